"""Fills the benchmark's boxes by hand, by a general nester and by us, side by side: a table, a JSON list, pictures.

    python -m tests.bench.fill [CASES.json] [--json] [--more [--parts 60]] [--mixed] [--outlined] [--seconds 10]
                               [--nester 60] [--processor] [--rounds N] [--pictures DIR]

Every layout counted has passed the exact check. The nester's name stands among the development dependencies; without
it its column is empty. ``--processor`` counts processor time, two seconds of it a second, so that a busy machine says
much the same as an idle one; ``--rounds`` says the same on every machine.
"""

import argparse
import importlib.util
import json
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from layout import edits
from layout.checks import is_legal
from layout.documents.picture import layout_svg
from layout.fill.fill import FillOptions, fill
from layout.geometry import centred_outline
from layout.model import Box, Master, MasterId, OutlineBox, Project, RectBox, Rules, Turn
from tests.bench.by_hand import by_hand
from tests.bench.nester import most_by_nester
from tests.bench.shapes import PARTS, mixed_cases, more_cases, outlined_cases

CASES = Path(__file__).parents[1] / "data" / "fill_cases.json"


def main() -> int:
    args = _arguments()
    rows = []
    for case in _cases(args):
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
    parser.add_argument("--parts", type=int, action="append", help="with --more: boxes for about so many only")
    parser.add_argument("--mixed", action="store_true", help="boxes of several shapes instead")
    parser.add_argument("--outlined", action="store_true", help="boxes that are no rectangle instead")
    parser.add_argument("--only", action="append", help="just the case of this name")
    parser.add_argument("--seconds", type=float, default=10.0, help="for ours, each case")
    parser.add_argument("--rounds", type=int, help="for ours, in place of seconds")
    parser.add_argument("--seed", type=int, default=0, help="for ours")
    parser.add_argument("--nester", type=float, default=60.0, help="seconds for the nester, each case; 0: leave it out")
    parser.add_argument("--processor", action="store_true", help="a second is two of processor time")
    parser.add_argument("--pictures", default="", metavar="DIR", help="write an SVG of each of our layouts there")
    return parser.parse_args()


def _cases(args: argparse.Namespace) -> list[dict[str, Any]]:
    known: list[dict[str, Any]] = json.loads(Path(args.cases).read_text("utf-8"))
    if args.mixed:
        return mixed_cases(known)
    if args.outlined:
        return outlined_cases()
    return more_cases(args.parts or PARTS) if args.more else known


def project_of(case: dict[str, Any]) -> Project:
    """Return a case as a project without cavities."""
    turn: Turn = "free" if case["turns_deg"] is None else "90" if 90.0 in case["turns_deg"] else "0"
    names = case.get("names", [case["name"]])
    rings = case.get("footprints_mm", [case.get("footprint_mm")])
    masters = tuple(
        Master(MasterId(f"part{k}"), name, "", centred_outline(ring, name), 6.0, 1.0, 100.0)
        for k, (name, ring) in enumerate(zip(names, rings, strict=True))
    )
    outline = case.get("box_outline_mm")
    shape = OutlineBox(tuple((float(x), float(y)) for x, y in outline)) if outline else RectBox(*case["box_mm"])
    return Project(case["name"], Box(shape), masters, Rules(case["wall_mm"], case["edge_mm"], turn=turn))


def by_nester(case: dict[str, Any], project: Project, args: argparse.Namespace) -> int | None:
    """Return the most the general nester placed legally; None without it or where it fails."""
    if args.nester <= 0 or "box_outline_mm" in case or importlib.util.find_spec("spyrrow") is None:
        return None
    theirs = {**case, "footprints_mm": [list(getattr(m.footprint, "points", ())) for m in project.masters]}

    def legal(places: list[tuple[int, float, float, float]]) -> bool:
        return is_legal(
            edits.add_cavities(project, [(project.masters[k].id, x, y, angle) for k, x, y, angle in places])[0]
        )

    places, broken = most_by_nester(theirs, args.nester, legal, processor=args.processor)
    if broken:
        print(f"{case['name']}: {broken} of the nester's layouts break a rule", file=sys.stderr)
    if not places:
        print(f"{case['name']}: the nester brought nothing", file=sys.stderr)
        return None
    return len(places)


def _in_turn(project: Project, count: int) -> Project:
    """Return a mixed project that wants so many, the masters taken in turn."""
    kinds = len(project.masters)
    masters = [replace(m, wanted=count // kinds + int(k < count % kinds)) for k, m in enumerate(project.masters)]
    return replace(project, masters=tuple(masters))


def _row(case: dict[str, Any], args: argparse.Namespace) -> dict[str, Any]:
    project = project_of(case)
    nester = by_nester(case, project, args)
    mixed = len(project.masters) > 1
    if mixed and nester:
        # as many of each as it placed must be there, before any other counts
        project = _in_turn(project, nester)
    clock: Callable[[], float] = (lambda: time.process_time() / 2.0) if args.processor else time.monotonic
    start = clock()
    first: list[float] = []
    last: list[float] = []

    def note(_progress: object) -> None:
        last[:] = [clock() - start]
        first.extend(last if not first else [])

    timed = args.rounds is None
    options = FillOptions(seconds=args.seconds if timed else None, rounds=args.rounds, seed=args.seed)
    result = fill(project, options, note, lambda: timed and clock() - start >= args.seconds)
    seconds = clock() - start
    assert is_legal(result.project)
    if args.pictures:
        folder = Path(args.pictures)
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"{case['name'].replace(' ', '-')}.svg").write_text(layout_svg(result.project), "utf-8")
    placed = [sum(c.master == m.id for c in result.project.cavities) for m in project.masters]
    return {
        "name": case["name"],
        "ours": result.count,
        "upper_bound": result.upper_bound,
        "seconds": round(seconds, 2),
        "nester": nester,
        "by_hand": None if mixed else by_hand(project),
        "ratio": None if not nester else round(result.count / nester, 3),
        "method": result.method,
        "rounds": result.rounds,
        "first_seconds": round(first[0], 3) if first else None,
        "last_seconds": round(last[0], 2) if last else None,
        "best_found": case.get("best_found"),
        "each": placed if mixed else None,
        "wanted_met": all(p >= (m.wanted or 0) for p, m in zip(placed, project.masters, strict=True)),
    }


def _line(row: dict[str, Any]) -> str:
    def cell(value: object) -> str:
        return "-" if value is None else str(value)

    return (
        f"{row['name']:18} by hand {cell(row['by_hand']):>4}  nester {cell(row['nester']):>4}  ours {row['ours']:4}"
        f"  bound {row['upper_bound']:4}  ratio {cell(row['ratio']):>5}  {row['seconds']:5.1f} s"
        f"  (first {cell(row['first_seconds'])}, last {cell(row['last_seconds'])}, {row['method']},"
        f" {row['rounds']} rounds)"
        + (f"  each {row['each']}" if row["each"] else "")
        + ("" if row["wanted_met"] else "  FEWER OF ONE THAN THE NESTER")
    )


def _total(rows: list[dict[str, Any]]) -> str:
    return f"in all: by hand {sum(r['by_hand'] or 0 for r in rows)}, ours {sum(r['ours'] for r in rows)}"


if __name__ == "__main__":
    raise SystemExit(main())
