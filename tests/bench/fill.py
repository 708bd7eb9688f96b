"""Fills the benchmark's boxes by hand, by a general nester and by us, side by side: a table, a JSON list, pictures.

    python -m tests.bench.fill [CASES.json] [--json] [--more] [--seconds 10] [--nester 60] [--pictures DIR]

Every layout counted has passed the exact check. The nester's name stands among the development dependencies; without
it its column is empty.
"""

import argparse
import importlib.util
import json
import sys
import time
from pathlib import Path
from typing import Any

from layout import edits
from layout.checks import is_legal
from layout.documents.picture import layout_svg
from layout.fill.fill import FillOptions, fill
from layout.geometry import centred_outline, footprint_size_mm
from layout.model import Box, Master, MasterId, Project, RectBox, Rules, Turn
from tests.bench.nester import most_by_nester
from tests.bench.shapes import more_cases

CASES = Path(__file__).parents[1] / "data" / "fill_cases.json"
OURS = MasterId("part")


def main() -> int:
    args = _arguments()
    cases: list[dict[str, Any]] = more_cases() if args.more else json.loads(Path(args.cases).read_text("utf-8"))
    rows = []
    for case in cases:
        if args.only and case["name"] not in args.only:
            continue
        rows.append(_row(case, args))
        if not args.json:
            print(_line(rows[-1]), flush=True)
    if args.json:
        print(json.dumps(rows, indent=2))
    else:
        print(_total(rows))
    return 0


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.fill", description=__doc__)
    parser.add_argument("cases", nargs="?", default=str(CASES), help="a list of cases as in tests/data/fill_cases.json")
    parser.add_argument("--json", action="store_true", help="one JSON list on stdout")
    parser.add_argument("--more", action="store_true", help="the shapes of tests/bench/shapes.py instead")
    parser.add_argument("--only", action="append", help="just the case of this name")
    parser.add_argument("--seconds", type=float, default=10.0, help="for ours, each case")
    parser.add_argument("--seed", type=int, default=0, help="for ours")
    parser.add_argument("--nester", type=float, default=60.0, help="seconds for the nester, each case; 0: leave it out")
    parser.add_argument("--pictures", default="", metavar="DIR", help="write an SVG of each of our layouts there")
    return parser.parse_args()


def project_of(case: dict[str, Any]) -> Project:
    """Return a case as a project without cavities."""
    turn: Turn = "free" if case["turns_deg"] is None else "90" if 90.0 in case["turns_deg"] else "0"
    footprint = centred_outline(case["footprint_mm"], case["name"])
    master = Master(OURS, case["name"], "", footprint, 6.0, 1.0, 100.0)
    rules = Rules(wall_mm=case["wall_mm"], edge_mm=case["edge_mm"], turn=turn)
    return Project(case["name"], Box(RectBox(*case["box_mm"])), (master,), rules)


def by_hand(project: Project) -> int:
    """Return rows and columns of bounding boxes, the better of two turns (if turning is allowed)."""
    length, width = footprint_size_mm(project.masters[0].footprint)
    counts = [_grid(project, length, width)]
    if project.rules.turn != "0":
        counts.append(_grid(project, width, length))
    return max(counts)


def _grid(project: Project, length: float, width: float) -> int:
    shape, rules = project.box.shape, project.rules
    assert isinstance(shape, RectBox)
    along = (shape.length_mm - 2 * rules.edge_mm + rules.wall_mm + 1e-9) / (length + rules.wall_mm)
    across = (shape.width_mm - 2 * rules.edge_mm + rules.wall_mm + 1e-9) / (width + rules.wall_mm)
    return int(along) * int(across)


def by_nester(case: dict[str, Any], project: Project, seconds: float) -> int | None:
    """Return the most the general nester placed legally; None without it or where it fails."""
    if seconds <= 0 or importlib.util.find_spec("spyrrow") is None:
        return None
    footprint = project.masters[0].footprint
    theirs = {**case, "footprint_mm": list(getattr(footprint, "points", ()))}
    places, _ = most_by_nester(theirs, seconds)
    if not places:
        print(f"{case['name']}: the nester brought nothing", file=sys.stderr)
        return None
    layout = edits.add_cavities(project, [(OURS, x, y, angle) for x, y, angle in places])[0]
    if not is_legal(layout):
        print(f"{case['name']}: the nester's layout breaks a rule", file=sys.stderr)
        return None
    return len(places)


def _row(case: dict[str, Any], args: argparse.Namespace) -> dict[str, Any]:
    project = project_of(case)
    nester = by_nester(case, project, args.nester)
    start = time.monotonic()
    first: list[float] = []
    last: list[float] = []

    def note(_progress: object) -> None:
        last[:] = [time.monotonic() - start]
        first.extend(last if not first else [])

    options = FillOptions(seconds=args.seconds, seed=args.seed)
    result = fill(project, options, note, lambda: time.monotonic() - start >= args.seconds)
    seconds = time.monotonic() - start
    assert is_legal(result.project)
    if args.pictures:
        folder = Path(args.pictures)
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"{case['name'].replace(' ', '-')}.svg").write_text(layout_svg(result.project), "utf-8")
    return {
        "name": case["name"],
        "ours": result.count,
        "upper_bound": result.upper_bound,
        "seconds": round(seconds, 2),
        "nester": nester,
        "by_hand": by_hand(project),
        "ratio": None if not nester else round(result.count / nester, 3),
        "method": result.method,
        "rounds": result.rounds,
        "first_seconds": round(first[0], 3) if first else None,
        "last_seconds": round(last[0], 2) if last else None,
        "best_found": case.get("best_found"),
    }


def _line(row: dict[str, Any]) -> str:
    def cell(value: object) -> str:
        return "-" if value is None else str(value)

    return (
        f"{row['name']:18} by hand {row['by_hand']:4}  nester {cell(row['nester']):>4}  ours {row['ours']:4}"
        f"  bound {row['upper_bound']:4}  ratio {cell(row['ratio']):>5}  {row['seconds']:5.1f} s"
        f"  (first {cell(row['first_seconds'])}, last {cell(row['last_seconds'])}, {row['method']},"
        f" {row['rounds']} rounds)"
    )


def _total(rows: list[dict[str, Any]]) -> str:
    return f"in all: by hand {sum(r['by_hand'] for r in rows)}, ours {sum(r['ours'] for r in rows)}"


if __name__ == "__main__":
    raise SystemExit(main())
