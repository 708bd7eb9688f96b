"""What may be typed behind `report`: the bench today, what was measured on a master, the user's own limits."""

import argparse
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from app.commands.options import whole_number
from layout import edits
from layout.errors import BadValueError, UnknownNameError
from layout.limits import changed_limit
from layout.model import Master, Project, SmallMold
from layout.pour.measured import measured_undercut, measured_volume_ml
from layout.pour.settings import with_settings
from layout.pour.today import with_empty
from layout.units import (
    parse_length_mm,
    parse_mass_g,
    parse_minutes,
    parse_number,
    parse_size_mm,
    parse_temperature_c,
    parse_volume_ml,
)

Reader = Callable[[str, str], Any]


def parse_altitude_m(text: str, where: str) -> float:
    """Return a typed height above the sea, m; ``5280ft`` is in feet."""
    bare = text.strip().lower()
    if bare.endswith("ft"):
        return 0.3048 * parse_number(bare.removesuffix("ft"), where)
    return parse_number(bare.removesuffix("m"), where)


_OPTIONS: tuple[tuple[str, str, Reader, str, str], ...] = (
    ("--temperature", "temperature_c", parse_temperature_c, "T", "of parts A and B today (75F)"),
    ("--waste", "waste_pct", parse_number, "PCT", "silicone lost, in per cent of the net (5)"),
    ("--cup-film", "cup_film_ml", parse_volume_ml, "V", "what stays in each cup (20ml)"),
    ("--container", "container_ml", parse_volume_ml, "V", "mixing container (100ml, 2.5l, 16oz, 1qt)"),
    ("--degas-time", "degas_min", parse_minutes, "MIN", "time under vacuum (2.5)"),
    ("--pour-rate", "pour_ml_per_s", parse_number, "ML/S", "how fast silicone is poured (4)"),
    ("--headroom", "headroom", parse_number, "K", "container over batch (4)"),
    ("--hands", "hands", partial(whole_number, least=1), "N", "people pouring (1)"),
    ("--humidity", "humidity_pct", parse_number, "PCT", "relative humidity today"),
    ("--altitude", "altitude_m", parse_altitude_m, "M", "of the shop, for the vacuum gauge (1600 or 5280ft)"),
    ("--vacuum", "absolute_mbar", parse_number, "MBAR", "absolute pressure the pump reaches"),
    ("--scale-limit", "scale_limit_g", parse_mass_g, "G", "what the scale can weigh"),
    ("--tare", "container_tare_g", parse_mass_g, "G", "weight of the empty container, which the scale carries too"),
    ("--scale-step", "scale_step_g", parse_mass_g, "G", "its step"),
    ("--level", "level_deg", parse_number, "DEG", "how far the bench is out of level"),
    ("--pigment", "pigment_pct", parse_number, "PCT", "pigment in per cent of the resin"),
    ("--drops", "pigment_drops", parse_number, "N", "drops of pigment for 100 g of resin"),
    ("--resin-waste", "resin_waste_pct", parse_number, "PCT", "resin lost in the cup, in per cent (12)"),
    ("--filler", "filler_ml", parse_volume_ml, "V", "old silicone of the same kind, chopped"),
    ("--coat", "coat_mm", parse_length_mm, "T", "detail coat brushed on first"),
    ("--coat-wait", "coat_wait_min", parse_minutes, "MIN", "from the coat to the fill pour (twice its pot life)"),
    ("--cover", "filler_cover_mm", parse_length_mm, "T", "new silicone over the old, all round (1/4in)"),
    ("--correction", "correction", parse_number, "F", "silicone used over silicone predicted (1)"),
)
"""Option, field of the pour settings, its reader, how it is shown, help."""

_GEAR: tuple[tuple[str, str, str], ...] = (
    ("--container-size", "container", "outside of the container, for the vacuum chamber"),
    ("--chamber", "chamber", "inside of the vacuum chamber"),
    ("--pot", "pressure_pot", "inside of the pressure pot the mold goes into"),
)
"""Option, beginning of its two fields, help; each is typed across x tall."""


def add_bench_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare them."""
    for option, field, _, metavar, words in _OPTIONS:
        parser.add_argument(option, dest=field, metavar=metavar, help=words)
    for option, field, words in _GEAR:
        parser.add_argument(option, dest=field, metavar="DxH", help=f"{words}, across x tall (300x400, 12x16in)")
    parser.add_argument(
        "--overfill",
        metavar="T|V",
        help="resin proud of the rim, scraped or sanded off: 0.5mm, or 0.2ml for each cavity",
    )
    parser.add_argument(
        "--empty", metavar="N,N-N", help="positions without a master today, by number; none: all filled"
    )
    degas = parser.add_mutually_exclusive_group()
    degas.add_argument("--degas", dest="degas", action="store_true", default=None, help="degas under vacuum")
    degas.add_argument("--no-degas", dest="degas", action="store_false", help="do not degas")
    parser.add_argument("--start", metavar="HH:MM", help="when the work starts (09:00)")
    parser.add_argument(
        "--small-mold",
        action="append",
        default=[],
        metavar="NAME:V",
        help="a small mold kept ready for the left-over (repeat)",
    )
    parser.add_argument(
        "--measured",
        action="append",
        default=[],
        metavar="MASTER:V",
        help="a master's volume found another way, hex:2.35ml, or weighed at a density, hex:2.43g@1.05,"
        " or what a beaker of water gains when the part hangs in it, hex:2.307g@water (repeat)",
    )
    parser.add_argument(
        "--undercut",
        action="append",
        default=[],
        metavar="MASTER:IN/NECK",
        help="widest inside over the neck it is pulled through, hex:22/20 (repeat)",
    )
    parser.add_argument(
        "--limit",
        action="append",
        default=[],
        metavar="KIND:WARN[/REFUSE]",
        help="your own limit of the advice, warm_parts:28/36 (repeat)",
    )


def with_bench(project: Project, args: argparse.Namespace) -> Project:
    """Return the project with everything of the bench that was typed; a LayoutError names the option."""
    for option, field, read, _, _ in _OPTIONS:
        typed = getattr(args, field)
        if typed is not None:
            project = with_settings(project, option, **{field: read(typed, option)})
    project = _with_gear(project, args)
    if args.degas is not None:
        project = with_settings(project, "--degas", degas=args.degas)
    if args.start is not None:
        project = with_settings(project, "--start", start=args.start)
    if args.small_mold:
        molds = tuple(_small_mold(text) for text in args.small_mold)
        project = with_settings(project, "--small-mold", small_molds=molds)
    for text in args.measured:
        project = edits.replace_master(project, _measured(project, text))
    for text in args.undercut:
        project = edits.replace_master(project, _undercut(project, text))
    for text in args.limit:
        project = _with_limit(project, text)
    return project


def unused_words(project: Project, args: argparse.Namespace) -> tuple[str, ...]:
    """Return a sentence for each option that was typed and changes nothing, since another one is missing."""
    settings = project.pour
    said = [
        f"{option} changes nothing without --degas."
        for option, field in (
            ("--degas-time", "degas_min"),
            ("--vacuum", "absolute_mbar"),
            ("--altitude", "altitude_m"),
        )
        if getattr(args, field) is not None and not settings.degas
    ]
    if args.container_tare_g is not None and settings.scale_limit_g is None:
        said.append("--tare changes nothing without --scale-limit.")
    if args.headroom is not None and settings.container_ml is None:
        said.append("--headroom splits nothing without --container; it only says which container is needed.")
    return tuple(said)


def _with_gear(project: Project, args: argparse.Namespace) -> Project:
    """Sizes of container, chamber and pot; the allowance of resin; positions left empty."""
    for option, field, _ in _GEAR:
        if getattr(args, field) is not None:
            across, tall = parse_size_mm(getattr(args, field), option)
            sizes = {f"{field}_diameter_mm": across, f"{field}_height_mm": tall}
            project = with_settings(project, option, **sizes)
    if args.overfill is not None:
        project = with_settings(project, "--overfill", **_overfill(args.overfill))
    if args.empty is not None:
        project = with_empty(project, args.empty, "--empty")
    return project


def _overfill(text: str) -> dict[str, float]:
    if text.strip().lower().endswith(("ml", "oz", "l")):
        return {"overfill_ml": parse_volume_ml(text, "--overfill")}
    return {"overfill_mm": parse_length_mm(text, "--overfill")}


def _small_mold(text: str) -> SmallMold:
    name, colon, volume = text.rpartition(":")
    if not colon or not name.strip():
        raise BadValueError("--small-mold", f"{text!r} has no name and volume", "write it like knob:12ml")
    return SmallMold(name.strip(), parse_volume_ml(volume, "--small-mold"))


def _named_master(project: Project, text: str, option: str, example: str) -> tuple[Master, str]:
    name, colon, value = text.rpartition(":")
    if not colon:
        raise BadValueError(option, f"{text!r} names no master", f"write it like {example}")
    for master in project.masters:
        if name.strip() in (master.id, master.name):
            return master, value.strip()
    names = ", ".join(m.id for m in project.masters) or "none"
    raise UnknownNameError(option, f"the project has no master {name.strip()!r}", f"use one of: {names}")


def _measured(project: Project, text: str) -> Master:
    master, value = _named_master(project, text, "--measured", "hex:2.35ml or hex:2.43g@1.05")
    return replace(master, second_volume_ml=measured_volume_ml(value, "--measured"))


def _undercut(project: Project, text: str) -> Master:
    master, value = _named_master(project, text, "--undercut", "hex:22/20")
    return replace(master, undercut=measured_undercut(value, "--undercut"))


def _with_limit(project: Project, text: str) -> Project:
    kind, colon, value = text.partition(":")
    warn, slash, refuse = value.partition("/")
    if not colon:
        raise BadValueError("--limit", f"{text!r} names no limit", "write it like warm_parts:28/36")
    change = changed_limit(
        kind.strip(),
        parse_number(warn, "--limit") if warn.strip() else None,
        parse_number(refuse, "--limit") if slash and refuse.strip() else None,
    )
    kept = tuple(c for c in project.limits if c.kind != change.kind)
    return replace(project, limits=(*kept, change))
