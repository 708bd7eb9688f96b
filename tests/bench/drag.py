"""Time of one drag step in the window: hold, measure the gaps, repaint; and of the hold and the check by themselves.

``python -m tests.bench.drag [--json] [--cavities N]``. Parts of 200 corners on a staggered grid with every eighth place
free; one part is led about for hundreds of pointer moves of 3 mm, much of it against its neighbours. The window is the
real canvas, 1200 x 900 pixels, off screen, with the whole mold in view. Beside it runs a plain pass of a general
geometry library over the same moves, that only finds and measures near neighbours and holds nothing, for the ratio.
``cpu_p95_ms`` is processor time: it tells more than the clock on a machine that does other things as well.
"""

import argparse
import json
import math
import os
import random
import sys
from dataclasses import dataclass
from time import perf_counter, process_time
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import affinity

from layout import edits
from layout.geometry import centred_outline
from layout.hold import Hold
from layout.model import Box, Master, MasterId, Project, RectBox, Rules
from layout.regions import placed_cavities

if TYPE_CHECKING:
    from app.canvas.view import CanvasView

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
    cpu_p95_ms: float
    hold_p50_ms: float
    hold_p95_ms: float
    peer_p50_ms: float

    @property
    def ratio(self) -> float:
        return self.hold_p50_ms / self.peer_p50_ms


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
    window: list[tuple[float, float]] = []
    ours: list[float] = []
    begins: list[float] = []
    peers: list[float] = []
    view = _canvas(project)
    for drag in range(drags):
        cavity = project.cavities[(drag + 1) * cavities // (drags + 1)]
        lead = pointer_moves(drag, moves)
        start = perf_counter()
        hold = Hold.begin(project, [cavity.id])
        begins.append(perf_counter() - start)
        for at in lead:
            start = perf_counter()
            hold.move_to(*at)
            hold.findings()
            ours.append(perf_counter() - start)
        peers += _peer(project, cavity.id, lead)
        window += _in_window(view, (cavity.x_mm, cavity.y_mm), lead)
    p50, p95 = (float(v) for v in np.percentile(np.array(window)[:, 0] * 1e3, [50, 95]))
    cpu_p95 = float(np.percentile(np.array(window)[:, 1] * 1e3, 95))
    hold_p50, hold_p95 = (float(v) for v in np.percentile(np.array(ours) * 1e3, [50, 95]))
    begin, peer = (1e3 * float(np.median(times)) for times in (begins, peers))
    _put_away(view)
    return Result(cavities, CORNERS, len(window), begin, p50, p95, cpu_p95, hold_p50, hold_p95, peer)


def _canvas(project: Project) -> "CanvasView":
    from PySide6.QtWidgets import QApplication

    from app.canvas.desk import Desk
    from app.canvas.scene import Scene
    from app.canvas.view import CanvasView
    from app.store import Store
    from app.theme import LIGHT

    store = Store(project)
    desk = Desk(store, store)
    view = CanvasView(desk, Scene(desk, LIGHT))
    store.setParent(QApplication.instance())
    view.resize(1200, 900)
    view.show()
    view.zoom_fit()
    _painted()
    return view


def _put_away(view: "CanvasView") -> None:
    from PySide6.QtCore import QCoreApplication, QEvent

    view.close()
    view.deleteLater()
    QCoreApplication.sendPostedEvents(view, QEvent.Type.DeferredDelete)


def _painted() -> None:
    from PySide6.QtWidgets import QApplication

    QApplication.processEvents()


def _in_window(
    view: "CanvasView", start: tuple[float, float], lead: list[tuple[float, float]]
) -> list[tuple[float, float]]:
    """Drag as the mouse does, each move followed by its repaint, and put back: clock and processor time of each."""
    from app.canvas.desk import Hands

    hands = Hands()
    view.hand.press(start, hands, view.mm_per_pixel)
    _painted()
    times = []
    for dx, dy in lead:
        begin, cpu = perf_counter(), process_time()
        view.hand.move((start[0] + dx, start[1] + dy), hands, view.mm_per_pixel)
        _painted()
        times.append((perf_counter() - begin, process_time() - cpu))
    view.hand.cancel()
    _painted()
    return times


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
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtWidgets import QApplication

    application = QApplication.instance() or QApplication([])
    results = [measure(count) for count in args.cavities or [300, 1000]]
    rows = [
        {
            "cavities": r.cavities,
            "vertices": r.vertices,
            "steps": r.steps,
            "p50_ms": round(r.p50_ms, 3),
            "p95_ms": round(r.p95_ms, 3),
            "cpu_p95_ms": round(r.cpu_p95_ms, 3),
            "begin_ms": round(r.begin_ms, 3),
            "hold_p50_ms": round(r.hold_p50_ms, 3),
            "hold_p95_ms": round(r.hold_p95_ms, 3),
            "peer_p50_ms": round(r.peer_p50_ms, 3),
            "ratio": round(r.ratio, 2),
        }
        for r in results
    ]
    if args.json:
        print(json.dumps({**rows[0], "runs": rows}, indent=2))
    else:
        for row in rows:
            print(", ".join(f"{key} {value}" for key, value in row.items()))
    del application
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
