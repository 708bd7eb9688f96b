"""What the hand works on: the Project as it is shown this moment, the selection, the tool. No widget, no event."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import QObject, Signal

from app.canvas.judged import Judged
from app.canvas.nearby import near, with_those_between
from app.canvas.selection import Selection
from app.words import said
from layout.errors import LayoutError
from layout.gaps import Gap, gaps
from layout.geometry import XY, Placed, PlacedDisc, Segment
from layout.numbering import numbers
from layout.regions import placed_keep_out
from layout.units import MM_PER_INCH

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.store import Store
    from layout.model import CavityId, Finding, KeepOutId, MasterId, Project

Tool = Literal["", "keep_out"]

FEW = 24
"""The gaps of more cavities than these are not shown: they could not be read."""

HANDLE_PIXELS = 26.0
"""How far over the selection the turn handle stands."""


@dataclass(frozen=True, slots=True)
class Hands:
    """The modifier keys of this moment, by what they mean.

    Parameters
    ----------
    add : bool
        Shift: add to the selection; keep a drag to one axis; turn in steps of one degree.
    free : bool
        Ctrl: pass through the wall, off the grid, at any angle.
    """

    add: bool = False
    free: bool = False


@dataclass(frozen=True, slots=True)
class Preview:
    """What is shown while something is dragged: it becomes the Project on release."""

    project: Project
    moving: tuple[CavityId, ...] = ()
    gaps: tuple[Gap, ...] = ()
    band: tuple[XY, XY] | None = None
    area: tuple[XY, XY] | None = None
    hint: str = ""


class Desk(QObject):
    """One window's working place.

    Signals
    -------
    previewed(Preview or None)
        Show this instead of the Project; None: the Project again.
    ended()
        What was previewed becomes the Project, which is shown right after.
    told(str)
        A sentence for the status line.
    noted(str, (float, float))
        A word to be shown beside a place of the mold, mm; an empty one takes it away.
    tool_changed(str)
    section_changed()
    master_chosen()
    """

    previewed = Signal(object)
    ended = Signal()
    told = Signal(str)
    noted = Signal(str, object)
    tool_changed = Signal(str)
    section_changed = Signal()
    master_chosen = Signal()

    def __init__(self, store: Store, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.store = store
        self.selection = Selection(self)
        self.locked = False
        self.snap = False
        self.free = False
        """Whether the hand passes through walls without a key held down."""
        self.tool: Tool = ""
        self.master: MasterId | None = None
        self.section_line: Segment | None = None
        self._judged = Judged()
        self._numbers_of: Project | None = None
        self._numbers: dict[CavityId, int] = {}
        store.changed.connect(self._project_changed)

    @property
    def project(self) -> Project:
        return self.store.project

    def _project_changed(self, project: Project) -> None:
        self.selection.keep_existing(project)
        if self.master is None or all(m.id != self.master for m in project.masters):
            self.choose_master(project.masters[0].id if project.masters else None)

    def choose_master(self, master: MasterId | None) -> None:
        """Take a master from the shelf: what is put in the box next, and what its form shows."""
        if master != self.master:
            self.master = master
            self.master_chosen.emit()

    def placed(self) -> dict[CavityId, Placed]:
        """Return every cavity where the Project has it."""
        return self._judged.placed(self.project)

    def findings(self) -> tuple[Finding, ...]:
        """Return the broken rules of the Project."""
        return self._judged.findings(self.project)

    def numbers(self) -> dict[CavityId, int]:
        """Return the number of every cavity in pouring order, once per Project; the same object while they stay."""
        if self._numbers_of is not self.project:
            found = numbers(self.project)
            # a dict counts as equal in any order, the table goes by it
            same = list(found) == list(self._numbers)
            self._numbers_of, self._numbers = self.project, self._numbers if same else found
        return self._numbers

    def cavity_at(self, point: XY) -> CavityId | None:
        """Return the topmost cavity at a point."""
        for cavity_id, placed in reversed(self.placed().items()):
            x0, y0, x1, y1 = placed.bounds
            if x0 <= point[0] <= x1 and y0 <= point[1] <= y1 and _covers(placed, point):
                return cavity_id
        return None

    def keep_out_at(self, point: XY) -> KeepOutId | None:
        """Return the topmost keep-out at a point."""
        for area in reversed(self.project.keep_outs):
            if _covers(placed_keep_out(area), point):
                return area.id
        return None

    def cavities_in(self, a: XY, b: XY) -> list[CavityId]:
        """Return the cavities that lie wholly between two corners."""
        x0, x1 = sorted((a[0], b[0]))
        y0, y1 = sorted((a[1], b[1]))
        inside = []
        for cavity_id, placed in self.placed().items():
            bx0, by0, bx1, by1 = placed.bounds
            if x0 <= bx0 and bx1 <= x1 and y0 <= by0 and by1 <= y1:
                inside.append(cavity_id)
        return inside

    def bounds_of(self, ids: tuple[CavityId, ...]) -> tuple[float, float, float, float] | None:
        """Return the extent of these cavities, mm; None without any."""
        placed = self.placed()
        boxes = [placed[i].bounds for i in ids]
        if not boxes:
            return None
        lows, highs = [b[:2] for b in boxes], [b[2:] for b in boxes]
        return min(b[0] for b in lows), min(b[1] for b in lows), max(b[0] for b in highs), max(b[1] for b in highs)

    def handle(self, mm_per_pixel: float) -> XY | None:
        """Return where the turn handle of the selection is; None without a selection."""
        bounds = self.bounds_of(self.selection.cavities)
        if bounds is None:
            return None
        return (bounds[0] + bounds[2]) / 2.0, bounds[3] + HANDLE_PIXELS * mm_per_pixel

    def gaps(self) -> tuple[Gap, ...]:
        """Return the gaps round the selection; for a large one none, it would be a thicket."""
        ids = self.selection.cavities
        return gaps_near(self.project, ids) if 0 < len(ids) <= FEW else ()

    def step_mm(self, coarse: bool = False, fine: bool = False) -> float:
        """Return how far an arrow key moves."""
        from layout.arrange.snap import nudge_mm

        return nudge_mm(self.project.units, "coarse" if coarse else "fine" if fine else "plain")

    def grid_mm(self) -> float:
        """Return the spacing of the grid."""
        return 5.0 if self.project.units.length == "mm" else MM_PER_INCH / 4.0

    def set_tool(self, tool: Tool) -> None:
        """Take a tool in hand; empty: the hand itself."""
        if tool != self.tool:
            self.tool = tool
            self.tool_changed.emit(tool)

    def set_section(self, line: Segment | None) -> None:
        """Put the section line; None takes it away. A line that misses the box is not taken."""
        if line is not None and not self._crosses(line):
            return
        self.section_line = line
        self.section_changed.emit()

    def _crosses(self, line: Segment) -> bool:
        from layout.section import section

        try:
            section(self.project, line)
        except LayoutError:
            return False
        return True

    def first_section(self) -> Segment:
        """Return a line that shows something: through what is selected, else through the cavity nearest the middle."""
        from layout.section import middle_line

        line = middle_line(self.project)
        placed = self.placed()
        chosen = [placed[i] for i in self.selection.cavities] or list(placed.values())
        if not chosen:
            return line
        middles = [(p.bounds[1] + p.bounds[3]) / 2.0 for p in chosen]
        y = min(middles, key=lambda m: abs(m - line[0][1]))
        return (line[0][0], y), (line[1][0], y)

    def show(self, preview: Preview | None) -> None:
        """Show something that is not the Project yet."""
        self.previewed.emit(preview)

    def commit(self, text: str, after: Project, merge: str = "") -> bool:
        """Make it the Project, as one undo step."""
        if after == self.project:
            # nothing will be shown anew: what was shown while dragging has to go
            self.previewed.emit(None)
            return False
        self.ended.emit()
        return self.store.apply(text, after, merge=merge)

    def do(self, text: str, edit: Callable[[Project], Project], merge: str = "") -> bool:
        """Apply an edit; what makes it impossible is told. Return whether anything changed."""
        if self.locked:
            return False
        try:
            after = edit(self.project)
        except LayoutError as error:
            self.told.emit(said(error))
            return False
        return self.commit(text, after, merge)


def gaps_near(project: Project, ids: tuple[CavityId, ...], most: int = 12) -> tuple[Gap, ...]:
    """Return the gaps worth showing round these cavities: the broken, then the tightest, no more than can be read."""
    reach = 4.0 * max(project.rules.wall_mm, project.rules.edge_mm)
    part = near(project, ids, reach)
    while True:
        found = sorted(gaps(part, ids), key=lambda g: g.distance_mm - g.required_mm)
        close = [g for g in found if g.distance_mm <= 1.6 * g.required_mm]
        shown = tuple((close if len(close) > 1 else found[:3])[:most])
        # what is farther off than was looked at may have others in between, which then are the neighbours
        more = with_those_between(project, part, [g.segment for g in shown if g.distance_mm > reach])
        if more is part:
            return shown
        part = more


def _covers(placed: Placed, point: XY) -> bool:
    if isinstance(placed, PlacedDisc):
        return math.hypot(point[0] - placed.x_mm, point[1] - placed.y_mm) <= placed.radius_mm
    import shapely

    return bool(shapely.intersects_xy(placed, *point))
