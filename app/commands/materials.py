"""`materials`: the names that may be typed, and their numbers."""

import argparse
from dataclasses import asdict, replace
from typing import Any

from app.commands.answers import answer
from app.user_catalogue import catalogue, catalogue_path, save, users_own
from layout.errors import BadValueError, UnknownNameError
from layout.materials import Catalogue, Kind, Sheet, built_in, parse_mix, same_name
from layout.model import Mix
from layout.units import minutes_text, parse_length_mm, parse_number

HELP = "list the silicones, resins and sheets that may be named"
EXAMPLE = "manymold materials"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--kind", choices=["silicone", "resin", "sheet"], help="list only these")
    group = parser.add_argument_group("your own", "kept in your data folder, before the program's of the same name")
    group.add_argument("--keep-silicone", metavar="MIX", help="name=bench mix,a=1.07,b=1.09,ratio=1:1w,pot=15@75F")
    group.add_argument("--keep-resin", metavar="MIX", help="likewise")
    group.add_argument("--keep-sheet", metavar="NAME:T[,e=GPa][,laser]", help="twin wall:6,e=1.1")
    group.add_argument("--remove", metavar="NAME", help="remove one of your own")


def run(args: argparse.Namespace) -> int:
    _change(args)
    known = catalogue()
    document: dict[str, Any] = {
        "silicones": [_mix_json(m) for m in known.silicones] if args.kind in (None, "silicone") else [],
        "resins": [_mix_json(m) for m in known.resins] if args.kind in (None, "resin") else [],
        "sheets": [asdict(s) for s in known.sheets] if args.kind in (None, "sheet") else [],
        "own_catalogue": str(catalogue_path()),
    }
    answer(args, document, _text(known, args.kind))
    return 0


def _change(args: argparse.Namespace) -> None:
    """Keep or remove what was typed; the file is written once, and only if all of it can be read."""
    before = own = users_own()
    kinds: tuple[tuple[Kind, str | None], ...] = (("silicone", args.keep_silicone), ("resin", args.keep_resin))
    for kind, typed in kinds:
        if typed is not None:
            mix = parse_mix(typed, f"--keep-{kind}", kind, catalogue())
            if mix.name == kind:
                raise BadValueError(f"--keep-{kind}", "it has no name", "begin with name=...")
            own = own.with_mix(mix, kind)
    if args.keep_sheet is not None:
        own = own.merged(Catalogue((), (), (_sheet(args.keep_sheet),)))
    if args.remove is not None:
        own = _without(own, args.remove)
    if own != before:
        save(own)


def _without(own: Catalogue, name: str) -> Catalogue:
    sheets = tuple(s for s in own.sheets if not same_name(s.name, name))
    rest = replace(own.without_mix(name, "silicone").without_mix(name, "resin"), sheets=sheets)
    if rest == own:
        raise UnknownNameError("--remove", f"none of your own is called {name!r}", "see manymold materials")
    return rest


def _sheet(text: str) -> Sheet:
    option = "--keep-sheet"
    first, *more = (part.strip() for part in text.split(","))
    name, colon, thickness = first.rpartition(":")
    if not colon or not name.strip():
        raise BadValueError(option, f"{text!r} has no name and thickness", "write it like twin wall:6,e=1.1")
    t = parse_length_mm(thickness, option, least_mm=0.1)
    known = next((s for s in built_in().sheets if same_name(s.name, name)), None)
    sheet = known or Sheet(name.strip(), t, t, t, 1.0, 0.3, (), ("knife", "router"), no_laser=True)
    sheet = replace(sheet, thickness_mm=t, least_mm=min(t, sheet.least_mm), most_mm=max(t, sheet.most_mm))
    for part in more:
        key, _, value = part.partition("=")
        if key == "e":
            sheet = replace(sheet, e_gpa=parse_number(value, option, least=0.001, most=500.0))
        elif key == "laser" and known is None:
            sheet = replace(sheet, no_laser=False, cutters=("knife", "router", "laser"))
        else:
            raise BadValueError(option, f"{part!r} is not understood", "write it like twin wall:6,e=1.1")
    return sheet


def _mix_json(mix: Mix) -> dict[str, Any]:
    return {**asdict(mix), "origins": dict(mix.origins)}


def _text(known: Catalogue, only: str | None) -> str:
    lines: list[str] = []
    kinds: tuple[tuple[Kind, str], ...] = (("silicone", "Silicones"), ("resin", "Resins"))
    for kind, title in kinds:
        if only in (None, kind):
            lines += [title, *(f"  {_mix_line(m)}" for m in known.mixes(kind)), ""]
    if only in (None, "sheet"):
        lines += ["Sheets", *(f"  {_sheet_line(s)}" for s in known.sheets), ""]
    lines.append("Typical values: the data sheet of the lot in hand wins.")
    return "\n".join(lines)


def _mix_line(mix: Mix) -> str:
    by = "volume" if mix.ratio_by == "v" else "weight"
    return (
        f"{mix.name:26s} A {mix.a_g_per_ml:.2f}, B {mix.b_g_per_ml:.2f} g/mL, {mix.ratio_a:g}:{mix.ratio_b:g} by {by},"
        f" pot life {minutes_text(mix.pot_life_min)} at {mix.pot_life_at_c:.0f} °C,"
        f" demold {minutes_text(mix.demold_min)}"
    )


def _sheet_line(sheet: Sheet) -> str:
    sizes = ", ".join(f"{a:g}x{b:g}" for a, b in sheet.stock_mm)
    laser = "no laser" if sheet.no_laser else "laser, if the shop allows it"
    return f"{sheet.name:26s} {sheet.thickness_mm:g} mm, in {sizes} mm; {laser}"
