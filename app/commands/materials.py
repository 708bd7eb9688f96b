"""`materials`: the names that may be typed, and their numbers."""

import argparse
from dataclasses import asdict, replace
from typing import Any

from app.commands.answers import answer
from app.user_catalogue import catalogue, catalogue_path, save, users_own
from layout.box.cutters import refuse_laser
from layout.errors import BadValueError, UnknownNameError
from layout.materials import Catalogue, Kind, Sheet, parse_mix, parse_sheet, same_name
from layout.model import Mix
from layout.units import MM_PER_INCH, Units, length_text, minutes_text

HELP = "list the silicones, resins and sheets that may be named"
EXAMPLE = "manymold materials"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--kind", choices=["silicone", "resin", "sheet"], help="list only these")
    group = parser.add_argument_group("your own", "kept in your data folder, before the program's of the same name")
    group.add_argument("--keep-silicone", metavar="MIX", help="name=bench mix,a=1.07,b=1.09,ratio=1:1w,pot=15@75F")
    group.add_argument("--keep-resin", metavar="MIX", help="likewise")
    group.add_argument(
        "--keep-sheet", metavar="NAME:T[,e=GPa][,stock=LxW][,laser]", help="twin wall:6,e=1.1,stock=20x30in"
    )
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
    changed = [f"Kept: {typed}" for typed in (args.keep_silicone, args.keep_resin, args.keep_sheet) if typed]
    changed += [f"Removed: {args.remove}"] if args.remove else []
    answer(args, document, "\n".join(changed) if changed else _text(known, args.kind))
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
        sheet = parse_sheet(args.keep_sheet, "--keep-sheet")
        if not sheet.no_laser:
            refuse_laser(sheet.name, "laser", (sheet,), "--keep-sheet")
        own = own.merged(Catalogue((), (), (sheet,)))
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
    said = [
        f"A {mix.a_g_per_ml:.2f}, B {mix.b_g_per_ml:.2f} g/mL, {mix.ratio_a:g}:{mix.ratio_b:g} by {by}",
        f"pot life {minutes_text(mix.pot_life_min)} at {_degrees(mix.pot_life_at_c)}",
        f"demold {minutes_text(mix.demold_min)}",
        f"mixing {minutes_text(mix.mix_min)}",
    ]
    if mix.viscosity_cp is not None:
        said.append(f"{mix.viscosity_cp:g} cP")
    if mix.shore_a is not None:
        said.append(f"{mix.shore_a:g}A")
    if mix.kit_a_g is not None and mix.kit_b_g is not None:
        said.append(f"kit {mix.kit_a_g:g} + {mix.kit_b_g:g} g")
    if mix.price_per_kg is not None:
        said.append(f"{mix.price_per_kg:g} a kg")
    return f"{mix.name:26s} {', '.join(said)}"


def _degrees(value_c: float) -> str:
    return f"{value_c:.0f} °C ({value_c * 9 / 5 + 32:.0f} °F)"


def _sheet_line(sheet: Sheet) -> str:
    inches, mm = Units("in"), Units()
    sizes = " or ".join(
        f"{a:g} x {b:g} mm ({a / MM_PER_INCH:.3g} x {b / MM_PER_INCH:.3g} in)" for a, b in sheet.stock_mm
    )
    thick = f"{length_text(sheet.thickness_mm, mm)} ({length_text(sheet.thickness_mm, inches)})"
    said = [thick, *([f"sold as {sizes}"] if sizes else []), f"{sheet.e_gpa:g} GPa stiff"]
    laser = "no laser" if sheet.no_laser else "laser, if the shop allows it"
    return f"{sheet.name:26s} {', '.join(said)}; {laser}"
