"""Options of the box and its cutting, shared by `panels` (for one export) and `set` (to keep)."""

import argparse
from dataclasses import replace
from typing import Final

from layout.errors import BadValueError
from layout.model import Box, Project, RectBox, RoundBox
from layout.shop import CutSettings
from layout.units import parse_length_mm, parse_size_mm

WIDEST_KERF_MM: Final = 25.0
NAMES: Final = (
    "joint", "base", "corners", "tab", "fit", "tube", "cutter", "kerf", "gap", "margin", "stock", "leftover",
)  # fmt: skip


def add_box_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("--joint", choices=["butt", "tab", "folded"], help="how the sides of a rectangular box meet")
    parser.add_argument("--base", choices=["under", "inside"], help="base under the sides or between them")
    parser.add_argument("--corners", choices=["lap", "pinwheel"], help="butt joint: long sides lap, or all lap in turn")
    parser.add_argument("--tab", metavar="T", help="tab joint: width of a tab; default three thicknesses")
    parser.add_argument("--fit", metavar="T", help="tab joint: play between tab and notch; default 0")
    parser.add_argument("--tube", metavar="T", help="round box: use a bought tube with a wall this thick; 0 for none")
    parser.add_argument("--cutter", choices=["knife", "laser", "router"], help="what cuts the panels; default knife")
    parser.add_argument(
        "--kerf", metavar="K", help="width the cutter takes away; default laser 0.2 mm, router 3.175 mm, knife none"
    )
    parser.add_argument("--gap", metavar="T", help="between two pieces on a sheet; default 3 mm, laser and router 5 mm")
    parser.add_argument("--margin", metavar="T", help="from a piece to the edge of the sheet; default 5 mm")
    parser.add_argument(
        "--stock", action="append", default=[], metavar="LxW", help="a size of sheet you have (repeat), like 20x30in"
    )
    parser.add_argument(
        "--leftover", action="append", default=[], metavar="LxW", help="a left-over piece, used first (repeat)"
    )


def with_box_options(project: Project, args: argparse.Namespace) -> Project:
    """Return the project with what was typed about its box and its cutting."""
    return replace(project, box=_box(project.box, args), cutting=_cutting(project.cutting, args))


def _box(box: Box, args: argparse.Namespace) -> Box:
    rectangular = {"--joint": args.joint, "--corners": args.corners, "--tab": args.tab, "--fit": args.fit}
    for option, value in rectangular.items():
        if value is not None and not isinstance(box.shape, RectBox):
            raise BadValueError(option, "this box is not rectangular", "leave the option out")
    if args.tube is not None and not isinstance(box.shape, RoundBox):
        raise BadValueError("--tube", "this box is not round", "leave the option out")
    if args.joint:
        box = replace(box, joint=args.joint)
    if args.base:
        box = replace(box, base=args.base)
    for option in ("base", "corners"):
        if getattr(args, option) and isinstance(box.shape, RectBox) and box.joint != "butt":
            raise BadValueError(f"--{option}", f"{box.joint} joints leave no choice there", "leave the option out")
    if args.corners:
        box = replace(box, corners=args.corners)
    if args.tab is not None:
        box = replace(box, tab_mm=parse_length_mm(args.tab, "--tab", least_mm=0.1))
    if args.fit is not None:
        box = replace(box, fit_mm=parse_length_mm(args.fit, "--fit", least_mm=0.0))
    if args.tube is not None:
        wall = parse_length_mm(args.tube, "--tube", least_mm=0.0)
        box = replace(box, tube_wall_mm=wall or None)
    return box


def _cutting(cutting: CutSettings, args: argparse.Namespace) -> CutSettings:
    if args.kerf is not None:
        kerf = parse_length_mm(args.kerf, "--kerf", least_mm=0.0)
        if kerf > WIDEST_KERF_MM:
            raise BadValueError("--kerf", f"{args.kerf!r} is wider than any cutter", "give the cut's width, like 0.2mm")
        cutting = replace(cutting, kerf_mm=kerf)
    if args.cutter:
        # a knife takes nothing away, whatever else was said; another cutter has its own usual kerf
        own = 0.0 if args.cutter == "knife" else (cutting.kerf_mm if args.kerf is not None else None)
        cutting = replace(cutting, cutter=args.cutter, kerf_mm=own)
    if args.gap is not None:
        cutting = replace(cutting, gap_mm=parse_length_mm(args.gap, "--gap", least_mm=0.0))
    if args.margin is not None:
        cutting = replace(cutting, margin_mm=parse_length_mm(args.margin, "--margin", least_mm=0.0))
    if args.stock:
        cutting = replace(cutting, stock_mm=tuple(parse_size_mm(text, "--stock") for text in args.stock))
    if args.leftover:
        cutting = replace(cutting, leftover_mm=tuple(parse_size_mm(text, "--leftover") for text in args.leftover))
    return cutting
