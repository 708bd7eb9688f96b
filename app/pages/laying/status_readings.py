"""The readings of the Cavities page in the status line: pointer, selection, count, walls, zoom, unit, and the hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.words import counted, tr
from layout.units import length_text, measured_length_text

if TYPE_CHECKING:
    from app.canvas.desk import Desk
    from app.canvas.scene import Scene
    from app.canvas.view import CanvasView
    from app.pages.laying.readings import Readings
    from app.status import StatusLine


class StatusReadings:
    """Keeps the status line up to date while the page is open."""

    def __init__(self, status: StatusLine, desk: Desk, view: CanvasView, readings: Readings, scene: Scene) -> None:
        self._status, self._desk, self._view, self._readings, self._scene = status, desk, view, readings, scene

    def show(self, page_open: bool = True) -> None:
        """Show what holds now; on another page only what is of the project and not of this page."""
        project, chosen = self._desk.project, len(self._desk.selection.cavities)
        wall, edge = self._readings.wall, self._readings.edge
        kept = tr("every rule kept") if not self._scene.findings else tr("▲ a rule is broken")
        if not (wall.is_met and edge.is_met):
            kept = tr("▲ wall too thin")
        put = self._status.set_reading
        put("selected", tr("{n} selected", n=chosen) if chosen and page_open else "")
        put("count", counted(len(project.cavities), "{n} cavity", "{n} cavities"))
        if wall.measured_mm is not None and wall.measured_mm > 0.0:
            least = measured_length_text(wall.measured_mm, project.units)
            kept = tr("least wall {wall}: {kept}", wall=least, kept=kept)
        put("wall", kept, wall.toolTip())
        put("zoom", f"{self._view.zoom_percent:.0f} %" if page_open else "", tr("100 % is true size"))
        put("unit", project.units.length)
        if page_open:
            self.show_hand()

    def show_hand(self) -> None:
        """Show whether the hand passes through walls and snaps to the grid."""
        desk, put = self._desk, self._status.set_reading
        put("free", tr("▲ passing through walls") if desk.free else "")
        grid = length_text(desk.grid_mm(), desk.project.units)
        put("snap", tr("snaps to {grid}", grid=grid) if desk.snap else "", tr("F9; hold Ctrl to pass the grid"))

    def show_pointer(self, x: float | None, y: float | None) -> None:
        """Show where the pointer is; None: not over the mold."""
        units = self._desk.project.units
        text = "" if x is None or y is None else f"{length_text(x, units)}, {length_text(y, units)}"
        self._status.set_reading("pointer", text)

    def leave(self) -> None:
        """Take away what means nothing on another page."""
        for reading in ("pointer", "selected", "zoom", "free", "snap"):
            self._status.set_reading(reading, "")
