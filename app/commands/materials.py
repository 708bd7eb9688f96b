"""`materials`: the names that may be typed, and their numbers."""

import argparse
from dataclasses import asdict
from typing import Any

from app.commands.answers import answer
from app.user_catalogue import catalogue, catalogue_path
from layout.materials import Catalogue, Kind, Sheet
from layout.model import Mix
from layout.units import minutes_text

HELP = "list the silicones, resins and sheets that may be named"
EXAMPLE = "manymold materials"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--kind", choices=["silicone", "resin", "sheet"], help="list only these")


def run(args: argparse.Namespace) -> int:
    known = catalogue()
    document: dict[str, Any] = {
        "silicones": [_mix_json(m) for m in known.silicones] if args.kind in (None, "silicone") else [],
        "resins": [_mix_json(m) for m in known.resins] if args.kind in (None, "resin") else [],
        "sheets": [asdict(s) for s in known.sheets] if args.kind in (None, "sheet") else [],
        "own_catalogue": str(catalogue_path()),
    }
    answer(args, document, _text(known, args.kind))
    return 0


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
