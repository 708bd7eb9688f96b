"""Time of one drag step: hold, check and, where the window is there, repaint.

``python -m tests.bench.drag [--json] [--cavities N]``. Parts of 200 corners on a staggered grid with every eighth place
free; one part is led about for hundreds of pointer moves of 3 mm, much of it against its neighbours. Beside it runs
a plain pass of a general geometry library over the same moves, that only finds and measures near neighbours and holds
nothing, for the ratio.
"""

import argparse
import json
import math
import random
import sys
from dataclasses import dataclass
from time import perf_counter

import numpy as np
import shapely
from shapely import affinity

from layout import edits
from layout.geometry import centred_outline
from layout.hold import Hold
from layout.model import Box, Master, MasterId, Project, RectBox, Rules
from layout.regions import placed_cavities

CORNERS = 200
WALL_MM = 6.35
LEAD_MM = 3.0


@dataclass(frozen=True)
class Result:
    cavities: int
    vertices: int
    steps: int
    begin_ms: float
    p50_ms: float
    p95_ms: float
    peer_p50_ms: float
    repainted: bool

    @property
    def ratio(self) -> float:
        return self.p50_ms / self.peer_p50_ms


def layout_of(cavities: int) -> Project:
    angles = np.arange(CORNERS) * (2 * math.pi / CORNERS)
    radius = 10.0 + 1.2 * np.cos(5 * angles)
    points = np.column_stack((radius * np.cos(angles), radius * np.sin(angles)))
    master = Master(MasterId("rosette"), "rosette", "rosette.dxf", centred_outline(points, "rosette"), 8.0, 2.4, 310.0)
    columns = math.ceil(math.sqrt(cavities * 8 / 7 * 1.3))
    places = []
    row = 0
    while len(places) < cavities:
        for column in range(columns):
            if (column + 3 * row) % 8 and len(places) < cavities:
                x, y = 30.0 + 29.2 * column + 14.6 * (row % 2), 30.0 + 27.0 * row
                places.append((master.id, x, y, float((37 * column + 11 * row) % 360)))
        row += 1
    box = Box(RectBox(60.0 + 29.2 * (columns + 0.5), 60.0 + 27.0 * row))
    return edits.add_cavities(Project("drag", box, (master,), Rules(WALL_MM, 9.525)), places)[0]


def pointer_moves(seed: int, count: int) -> list[tuple[float, float]]:
    rng = random.Random(seed)
    x = y = 0.0
    heading = rng.uniform(0, 2 * math.pi)
    moves = []
    for _ in range(count):
        heading += rng.uniform(-0.5, 0.5)
        if math.hypot(x, y) > 70.0:
            heading = math.atan2(-y, -x)
        x, y = x + LEAD_MM * math.cos(heading), y + LEAD_MM * math.sin(heading)
        moves.append((x, y))
    return moves


def measure(cavities: int, drags: int = 8, moves: int = 50) -> Result:
    project = layout_of(cavities)
    ours: list[float] = []
    begins: list[float] = []
    peers: list[float] = []
    for drag in range(drags):
        cavity = project.cavities[(drag + 1) * cavities // (drags + 1)].id
        lead = pointer_moves(drag, moves)
        start = perf_counter()
        hold = Hold.begin(project, [cavity])
        begins.append(perf_counter() - start)
        for at in lead:
            start = perf_counter()
            hold.move_to(*at)
            hold.findings()
            ours.append(perf_counter() - start)
        peers += _peer(project, cavity, lead)
    p50, p95 = np.percentile(np.array(ours) * 1e3, [50, 95])
    return Result(
        cavities, CORNERS, len(ours), 1e3 * float(np.median(begins)), float(p50), float(p95),
        1e3 * float(np.median(peers)), repainted=False,
    )  # fmt: skip


def _peer(project: Project, cavity: str, lead: list[tuple[float, float]]) -> list[float]:
    placed = placed_cavities(project)
    polygons = [p for i, p in placed.items() if i != cavity]
    tree = shapely.STRtree(polygons)  # type: ignore[arg-type]
    own = placed[cavity]  # type: ignore[index]
    times = []
    for dx, dy in lead:
        start = perf_counter()
        there = affinity.translate(own, dx, dy)  # type: ignore[type-var]
        near = tree.query(there, predicate="dwithin", distance=2 * WALL_MM)
        [there.distance(polygons[i]) for i in near]  # type: ignore[arg-type]
        times.append(perf_counter() - start)
    return times


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.drag")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--cavities", type=int, action="append", help="how many; may be repeated (300 and 1000)")
    args = parser.parse_args(arguments)
    results = [measure(count) for count in args.cavities or [300, 1000]]
    rows = [
        {
            "cavities": r.cavities,
            "vertices": r.vertices,
            "steps": r.steps,
            "p50_ms": round(r.p50_ms, 3),
            "p95_ms": round(r.p95_ms, 3),
            "begin_ms": round(r.begin_ms, 3),
            "peer_p50_ms": round(r.peer_p50_ms, 3),
            "ratio": round(r.ratio, 2),
            "repainted": r.repainted,
        }
        for r in results
    ]
    if args.json:
        print(json.dumps({**rows[0], "runs": rows}, indent=2))
    else:
        for row in rows:
            print(", ".join(f"{key} {value}" for key, value in row.items()))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
