"""How long the window stands still: for each thing a user does, the longest stretch in which it heard no key or click.

Run ``python -m tests.bench.blocks [--json] [--cavities N] [--only WORDS]``. The window is the real one, off screen,
with projects of 40, 300 and 1,024 cavities of 200 corners. Every action is done as the user does it, by its menu, key,
field or mouse, and the event loop is then turned by hand, one turn at a time, until all that the action set going is
done: timers, paints, threads. What is told is the longest of these turns, the first of which is the handler itself.

``cpu_ms`` is processor time of the window's thread, which other work on the machine disturbs least; ``wall_ms`` is what
the clock says, waiting for the other threads included. ``ratio`` is processor time against a peer in the same run:
plain Qt that paints as many polygons of as many corners once into a picture of the window's size. Work that runs in
another thread is not in ``cpu_ms``, so it must be slow nowhere but there.
"""

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from time import monotonic, perf_counter, sleep, thread_time
from typing import TYPE_CHECKING

from tests.bench.drag import layout_of

if TYPE_CHECKING:
    from app.main_window import MainWindow
    from layout.model import Project

SIZES = (40, 300, 1024)
LIMIT_MS = 50.0
QUIET_S = 0.45
"""A window in which nothing worth telling happened for so long has done all an action set going."""
WORTH_TELLING_S = 0.002
MOST_S = 60.0


@dataclass(frozen=True)
class Action:
    """One thing a user does: events that come one after another, each heard only when the one before is done."""

    name: str
    events: Iterable[Callable[[], object]]


@dataclass
class Stretch:
    """The longest turns of the event loop seen so far, seconds."""

    cpu_s: float = 0.0
    wall_s: float = 0.0
    turns: list[float] = field(default_factory=list)

    def timed(self, turn: Callable[[], object]) -> float:
        wall, cpu = perf_counter(), thread_time()
        turn()
        used = thread_time() - cpu
        self.cpu_s, self.wall_s = max(self.cpu_s, used), max(self.wall_s, perf_counter() - wall)
        self.turns.append(used)
        return used


def measured(action: Action, is_busy: Callable[[], bool]) -> Stretch:
    """Do an action and turn the event loop until all it set going is done; return the longest turns."""
    from PySide6.QtCore import QCoreApplication, QEvent

    def turn() -> None:
        QCoreApplication.processEvents()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # type: ignore[arg-type]

    seen = Stretch()
    for event in action.events:
        seen.timed(event)
        seen.timed(turn)
    started = last = monotonic()
    while monotonic() - last < QUIET_S and monotonic() - started < MOST_S:
        if seen.timed(turn) > WORTH_TELLING_S or is_busy():
            last = monotonic()
        sleep(0.001)
    return seen


def peer_s(project: "Project", times: int = 5) -> float:
    """Return the processor time plain Qt takes to paint the cavities' outlines once, seconds."""
    from PySide6.QtCore import QPointF
    from PySide6.QtGui import QColor, QImage, QPainter, QPolygonF

    from layout.geometry import Outline
    from layout.regions import inner_size_mm

    footprint = project.masters[0].footprint
    assert isinstance(footprint, Outline)
    corners = QPolygonF([QPointF(x, y) for x, y in footprint.points])
    picture = QImage(1280, 720, QImage.Format.Format_ARGB32_Premultiplied)
    scale = min(1280 / inner_size_mm(project.box.shape)[0], 720 / inner_size_mm(project.box.shape)[1])
    seen = []
    for _ in range(times):
        begun = thread_time()
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(QColor("steelblue"))
        painter.scale(scale, scale)
        for cavity in project.cavities:
            painter.drawPolygon(corners.translated(cavity.x_mm, cavity.y_mm))
        painter.end()
        seen.append(thread_time() - begun)
    return sorted(seen)[times // 2]


@dataclass(frozen=True)
class Row:
    cavities: int
    action: str
    cpu_ms: float
    wall_ms: float
    ratio: float

    @property
    def over(self) -> bool:
        return self.cpu_ms > LIMIT_MS


def measure(cavities: int, folder: Path, only: str = "") -> Iterator[Row]:
    """Do everything with a project of this size and tell the longest stretch of each."""
    from layout import project_file
    from tests.bench.block_actions import all_actions

    project = layout_of(cavities)
    file = folder / f"blocks-{cavities}.manymold"
    project_file.save(project, file)
    peer = peer_s(project)
    from app.main_window import MainWindow

    window = MainWindow()
    window.resize(1280, 720)
    window.show()
    measured(Action("start", ()), lambda: False)
    for action in all_actions(window, file, folder):
        seen = measured(action, lambda: is_busy(window))
        if only in action.name:
            yield Row(cavities, action.name, 1e3 * seen.cpu_s, 1e3 * seen.wall_s, seen.cpu_s / peer)
    window.deleteLater()
    measured(Action("end", ()), lambda: False)


def is_busy(window: "MainWindow") -> bool:
    """Whether a job of the window runs, or one of its pages says it is not done."""
    from app.jobs import Jobs

    return any(jobs.is_busy for jobs in window.findChildren(Jobs))


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.blocks")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--cavities", type=int, action="append", help="how many; may be repeated (40, 300 and 1024)")
    parser.add_argument("--only", default="", help="tell only actions whose name holds these words; all are done")
    args = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as place:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        os.environ["XDG_DATA_HOME"] = os.environ["XDG_CACHE_HOME"] = place
        from app.start import make_application

        application = make_application(["blocks"])
        from PySide6.QtCore import QSettings

        QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, f"{place}/settings")
        rows = []
        for cavities in args.cavities or SIZES:
            for row in measure(cavities, Path(place), args.only):
                rows.append(row)
                if not args.json:
                    mark = "  over 50 ms" if row.over else ""
                    print(
                        f"{row.cavities:5} {row.action:44} cpu {row.cpu_ms:7.1f} ms  wall {row.wall_ms:7.1f} ms"
                        f"  {row.ratio:6.2f} x peer{mark}",
                        flush=True,
                    )
    worst = max(rows, key=lambda row: row.cpu_ms)
    if args.json:
        print(json.dumps({"worst": vars(worst), "rows": [vars(row) for row in rows]}, indent=2))
    else:
        print(f"worst: {worst.action} with {worst.cavities} cavities, {worst.cpu_ms:.1f} ms, {worst.ratio:.2f} x peer")
    del application
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
