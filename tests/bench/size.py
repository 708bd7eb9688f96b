"""Holds `size` against filling every box of a 5 mm grid that takes less silicone than its answer.

    python -m tests.bench.size [--part NAME] [--cavities N] [--seconds 20] [--fill 2] [--most 60] [--json]

The boxes are filled from the largest down, those left out that the proven bound rules out. A box that holds the number
is a loss: there should be none. Seconds are of the processor (two threads on an idle machine use two a second), so
that a busy machine says the same as an idle one.
"""

import argparse
import itertools
import json
import math
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from layout import edits
from layout.fill.bounds import upper_bound_mixed
from layout.fill.fill import FillOptions, fill
from layout.fill.size_asked import SizeResult, shares, with_wanted
from layout.fill.size_box import size_box
from layout.geometry import Disc, centred_outline
from layout.model import Box, Master, MasterId, Project, RectBox, Rules
from tests.bench.shapes import SHAPES

STEP_MM = 5.0
LONGEST = 8.0
"""Boxes longer than so many times their width are left out."""

STAR = [
    (r * math.cos(math.radians(90 + 36 * k)), r * math.sin(math.radians(90 + 36 * k)))
    for k, r in enumerate([16.0, 7.0] * 5)
]
OUTLINES = {
    "hexagon": [(9.0 * math.cos(math.radians(60 * k)), 9.0 * math.sin(math.radians(60 * k))) for k in range(6)],
    "star": STAR,
    "arrow": [(0, -6), (20, -6), (20, -12), (36, 0), (20, 12), (20, 6), (0, 6)],
    "angle": [(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)],
    **SHAPES,
}


def project_with(part: str) -> Project:
    """Return a project with a part of this name, or with a disc, a hexagon and an angle together: ``mixed``."""
    names = ["disc", "hexagon", "angle"] if part == "mixed" else [part]
    footprints = {name: Disc(10.0) if name == "disc" else centred_outline(OUTLINES[name], name) for name in names}
    masters = tuple(Master(MasterId(name), name, "", shape, 6.0, 1.0, 100.0) for name, shape in footprints.items())
    return Project("size", Box(RectBox(100.0, 100.0)), masters, Rules(wall_mm=6.35, edge_mm=8.0))


def cheaper_boxes(answer: Project, cavities: int) -> Iterator[RectBox]:
    """Yield the boxes of the grid smaller than the answer's that the bound lets hold the number, the largest first."""
    shape = answer.box.shape
    assert isinstance(shape, RectBox)
    area = shape.length_mm * shape.width_mm
    sides = [STEP_MM * k for k in range(1, int(math.sqrt(area * LONGEST) / STEP_MM) + 2)]
    sizes = [(a, b) for a, b in itertools.product(sides, sides) if a * b < area and a < LONGEST * b < LONGEST**2 * a]
    if answer.rules.turn in ("free", "90"):
        sizes = [(a, b) for a, b in sizes if a >= b]
    for length, width in sorted(sizes, key=lambda s: -s[0] * s[1]):
        box = RectBox(length, width)
        empty = edits.set_box(answer, replace(answer.box, shape=box))
        if upper_bound_mixed(empty, empty.masters) >= cavities:
            yield box


def losses(answer: SizeResult, cavities: int, most: int, filled: Callable[[Project], int]) -> tuple[list[str], int]:
    """Return the boxes that hold the number with less silicone than the answer, and how many were filled."""
    empty = edits.remove_cavities(answer.project, [c.id for c in answer.project.cavities])
    lost, tried = [], 0
    for box in itertools.islice(cheaper_boxes(empty, cavities), most):
        tried += 1
        if filled(edits.set_box(empty, replace(empty.box, shape=box))) >= cavities:
            lost.append(f"{box.length_mm:g}x{box.width_mm:g}")
    return lost, tried


def _within(seconds: float) -> Callable[[], bool]:
    end = time.process_time() + seconds
    return lambda: time.process_time() >= end


def _row(part: str, cavities: int, args: argparse.Namespace) -> dict[str, Any]:
    found = size_box(project_with(part), cavities, None, None, _within(args.seconds))
    shape = found.project.box.shape
    assert isinstance(shape, RectBox)

    def filled(empty: Project) -> int:
        mix = shares(empty, cavities)
        options = FillOptions(seconds=args.fill, most=cavities)
        made = fill(with_wanted(empty, mix), options, None, _within(args.fill)).project
        # a mixed box must hold as many of each: one of the smallest parts alone would take less
        return sum((Counter(c.master for c in made.cavities) & Counter(mix)).values())

    lost, tried = losses(found, cavities, args.most, filled)
    return {
        "part": part,
        "cavities": found.count,
        "length_mm": shape.length_mm,
        "width_mm": shape.width_mm,
        "silicone_ml": round(found.silicone_ml, 1),
        "rounds": found.rounds,
        "grid_boxes_filled": tried,
        "lost_to": lost,
    }


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.size", description=__doc__)
    parser.add_argument("--part", action="append", choices=["disc", "mixed", *OUTLINES])
    parser.add_argument("--cavities", action="append", type=int)
    parser.add_argument("--seconds", type=float, default=20.0, help="of the processor, for size")
    parser.add_argument("--fill", type=float, default=2.0, help="of the processor, for each box of the grid")
    parser.add_argument("--most", type=int, default=60, help="boxes of the grid filled, the largest first")
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    rows = []
    for part in args.part or ["disc", "hexagon", "star", "arrow", "angle", "mixed"]:
        for cavities in args.cavities or [1, 2, 3, 5, 7, 13, 24, 48, 100, 200, 400]:
            rows.append(_row(part, cavities, args))
            if not args.json:
                print(*(f"{key} {value}" for key, value in rows[-1].items()), sep="  ", flush=True)
    if args.json:
        json.dump(rows, sys.stdout, indent=2)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
