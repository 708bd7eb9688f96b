"""What a press of the hand begins: objects that take points in mm, show a preview and end in one undo step."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from app.canvas.desk import FEW, Desk, Hands, Preview, gaps_near
from app.words import counted, tr
from layout import edits
from layout.checks import check_placed
from layout.gaps import Gap
from layout.model import CavityId, KeepOut, KeepOutId, Project
from layout.regions import placed_keep_out
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import length_text

if TYPE_CHECKING:
    from collections.abc import Mapping

    from layout.geometry import XY, Placed, Segment
    from layout.hold import HeldMove, Hold, KeepOutHold

TURN_STEP_DEG = 15.0

STILL_DEG = 0.05
"""A turn held after less than this reads as none, and is none."""


def is_still(moved: HeldMove) -> bool:
    """Whether what is held has not moved: by less than the wall is measured, which would be an empty undo step."""
    return moved.held and math.hypot(moved.dx_mm, moved.dy_mm) < CLEARANCE_TOL_MM


class Interaction(Protocol):
    """From press to release."""

    def move(self, point: XY, hands: Hands) -> None:
        """Follow the pointer."""

    def finish(self, point: XY, hands: Hands) -> None:
        """End it and keep what was done."""

    def cancel(self) -> None:
        """End it as if it had not begun."""


class DragCavities:
    """Moves cavities, held at the wall; Ctrl passes through, Shift keeps to one axis."""

    def __init__(self, desk: Desk, ids: tuple[CavityId, ...], start: XY) -> None:
        self._desk, self._ids, self._start = desk, ids, start
        self._before = desk.project
        self._hold: Hold | None = None
        self._after = desk.project
        self._at: XY = (0.0, 0.0)

    def move(self, point: XY, hands: Hands) -> None:
        self.move_by(point[0] - self._start[0], point[1] - self._start[1], hands)

    def move_by(self, dx_mm: float, dy_mm: float, hands: Hands) -> None:
        """Go to where the pointer would be this far from the press."""
        if self._hold is None:
            from layout.hold import Hold

            known = self._desk.placed() if self._desk.project is self._before else None
            self._hold = Hold.begin(self._before, self._ids, known)
        if hands.add:
            dx_mm, dy_mm = (dx_mm, 0.0) if abs(dx_mm) >= abs(dy_mm) else (0.0, dy_mm)
        snapped = ""
        if self._desk.snap and not hands.free:
            dx_mm, dy_mm, snapped = self._snapped(dx_mm, dy_mm)
        moved = self._hold.pass_to(dx_mm, dy_mm) if hands.free else self._hold.move_to(dx_mm, dy_mm)
        self._at = (moved.dx_mm, moved.dy_mm)
        self._after = self._before if is_still(moved) else self._hold.project()
        gaps = gaps_near(self._after, self._ids, most=6) if len(self._ids) <= FEW else ()
        self._desk.show(Preview(self._after, self._ids, gaps, hint=self._hint(moved.held, hands.free, snapped)))

    def _snapped(self, dx_mm: float, dy_mm: float) -> tuple[float, float, str]:
        grid = self._desk.grid_mm()
        first = next(c for c in self._before.cavities if c.id == self._ids[0])
        x, y = first.x_mm + dx_mm, first.y_mm + dy_mm
        sx, sy = round(x / grid) * grid, round(y / grid) * grid
        units = self._before.units
        name = tr("on the grid at {x}, {y}", x=length_text(sx, units), y=length_text(sy, units))
        return sx - first.x_mm, sy - first.y_mm, name

    def _hint(self, held: bool, free: bool, snapped: str) -> str:
        units = self._before.units
        way = tr("moved {x}, {y}", x=length_text(self._at[0], units), y=length_text(self._at[1], units))
        if free:
            return tr("{way}; passing through (Ctrl)", way=way)
        if held:
            return tr("{way}; held at the wall, Ctrl passes through", way=way)
        return tr("{way}; {snapped}", way=way, snapped=snapped) if snapped else way

    def finish(self, point: XY, hands: Hands) -> None:
        self.move(point, hands)
        self.drop()

    def drop(self) -> None:
        """End where the cavities are."""
        self._desk.commit(counted(len(self._ids), "Move cavity", "Move {n} cavities"), self._after)
        tell_of_pins(self._desk, self._ids)

    def cancel(self) -> None:
        self._desk.show(None)


def tell_of_pins(desk: Desk, ids: tuple[CavityId, ...]) -> None:
    """Say that a pin is no bolt, if any of these has one."""
    if any(c.pinned for c in desk.project.cavities if c.id in ids):
        desk.told.emit(tr("A pin holds a cavity against a fill alone; by hand it still moves."))


class TurnCavities:
    """Turns the selection by its handle, held at the wall, in steps of 15°; Shift: steps of 1°; Ctrl: free."""

    def __init__(self, desk: Desk, ids: tuple[CavityId, ...], start: XY) -> None:
        from layout.hold import Turning

        self._desk, self._ids = desk, ids
        self._before = desk.project
        self._about = edits.middle_of(desk.project, ids)
        self._from_deg = self._angle(start)
        self._total_deg = 0.0
        self._last_deg = self._from_deg
        self._turning = Turning.begin(desk.project, ids, self._about)
        self._after: Project = desk.project
        self._held = False

    def _angle(self, point: XY) -> float:
        return math.degrees(math.atan2(point[1] - self._about[1], point[0] - self._about[0]))

    def move(self, point: XY, hands: Hands) -> None:
        angle = self._angle(point)
        # the shortest way from the last angle, so that several turns round are several turns
        self._total_deg += (angle - self._last_deg + 180.0) % 360.0 - 180.0
        self._last_deg = angle
        asked = self._wanted_deg(hands)
        if hands.free:
            self._after = edits.turn_together(self._before, self._ids, asked, self._about)
            self._turning = self._turning.begin(self._before, self._ids, self._about)
            held = False
        else:
            turned = self._turning.turn_to(asked)
            still = turned.held and abs(turned.by_deg) < STILL_DEG
            self._after, held = self._before if still else self._turning.project(), turned.held
            asked = 0.0 if still else turned.by_deg
        self._held = held
        gaps = gaps_near(self._after, self._ids, most=6) if len(self._ids) <= FEW else ()
        hint = tr("turned {angle}°", angle=f"{asked:.1f}")
        if held:
            hint = tr("{turned}; held at the wall", turned=hint)
        self._desk.show(Preview(self._after, self._ids, gaps, hint=hint))
        self._desk.noted.emit(tr("Held at the wall; Ctrl passes") if held else "", point)

    def _wanted_deg(self, hands: Hands) -> float:
        if hands.free:
            return self._total_deg
        step = 1.0 if hands.add else TURN_STEP_DEG
        if len(self._ids) > 1:
            return round(self._total_deg / step) * step
        # a single cavity comes to a multiple of the step, whatever angle it began with
        begin = next(c.angle_deg for c in self._before.cavities if c.id == self._ids[0])
        return round((begin + self._total_deg) / step) * step - begin

    def finish(self, point: XY, hands: Hands) -> None:
        self.move(point, hands)
        self._desk.commit(counted(len(self._ids), "Turn cavity", "Turn {n} cavities"), self._after)
        if self._held:
            self._desk.told.emit(tr("Held at the wall: it turns no farther that way. Ctrl passes through."))

    def cancel(self) -> None:
        self._desk.noted.emit("", self._about)
        self._desk.show(None)


class BandSelect:
    """Selects what a band drawn over the mold holds whole; Shift adds to the selection."""

    def __init__(self, desk: Desk, start: XY, hands: Hands) -> None:
        self._desk, self._start = desk, start
        self._kept = desk.selection.cavities if hands.add or hands.free else ()

    def move(self, point: XY, hands: Hands) -> None:
        self._desk.selection.set((*self._kept, *self._desk.cavities_in(self._start, point)))
        self._desk.show(Preview(self._desk.project, band=(self._start, point)))

    def finish(self, point: XY, hands: Hands) -> None:
        self.move(point, hands)
        self._desk.show(None)

    def cancel(self) -> None:
        self._desk.selection.set(self._kept)
        self._desk.show(None)


class DrawKeepOut:
    """Draws a rectangle no cavity may enter; Shift makes it round."""

    def __init__(self, desk: Desk, start: XY) -> None:
        self._desk, self._start = desk, start

    def _corner(self, point: XY, hands: Hands) -> XY:
        if not self._desk.snap or hands.free:
            return point
        grid = self._desk.grid_mm()
        return round(point[0] / grid) * grid, round(point[1] / grid) * grid

    def move(self, point: XY, hands: Hands) -> None:
        a, b = self._corner(self._start, hands), self._corner(point, hands)
        units = self._desk.project.units
        hint = tr("keep-out {x} by {y}", x=length_text(abs(b[0] - a[0]), units), y=length_text(abs(b[1] - a[1]), units))
        self._desk.show(Preview(self._desk.project, area=(a, b), hint=hint))

    def finish(self, point: XY, hands: Hands) -> None:
        a, b = self._corner(self._start, hands), self._corner(point, hands)
        size = abs(b[0] - a[0]), abs(b[1] - a[1])
        self._desk.set_tool("")
        if min(size) < 0.5:
            self._desk.show(None)
            return
        middle = (a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0
        if hands.add:
            size = (max(size), max(size))
        area = KeepOut(KeepOutId(""), *middle, *size, round=hands.add, purpose=tr("finger room"))
        if self._desk.commit(tr("Draw a keep-out"), edits.add_keep_outs(self._desk.project, [area])):
            self._desk.selection.set((), [self._desk.project.keep_outs[-1].id])

    def cancel(self) -> None:
        self._desk.set_tool("")
        self._desk.show(None)


class DragKeepOut:
    """Moves a keep-out, held at cavities and the side; Ctrl passes through, Shift keeps to one axis."""

    def __init__(self, desk: Desk, keep_out: KeepOutId, start: XY) -> None:
        self._desk, self._id, self._start = desk, keep_out, start
        self._hold: KeepOutHold | None = None
        self._after = desk.project

    def move(self, point: XY, hands: Hands) -> None:
        if self._hold is None:
            from layout.hold import KeepOutHold

            self._hold = KeepOutHold.begin(self._desk.project, self._id)
        dx, dy = point[0] - self._start[0], point[1] - self._start[1]
        if hands.add:
            dx, dy = (dx, 0.0) if abs(dx) >= abs(dy) else (0.0, dy)
        moved = self._hold.pass_to(dx, dy) if hands.free else self._hold.move_to(dx, dy)
        self._after = self._desk.project if is_still(moved) else self._hold.project()
        units = self._after.units
        hint = tr("moved {x}, {y}", x=length_text(moved.dx_mm, units), y=length_text(moved.dy_mm, units))
        if hands.free:
            hint = tr("{way}; passing through (Ctrl)", way=hint)
        elif moved.held:
            hint = tr("{way}; held at a cavity or the side, Ctrl passes through", way=hint)
        self._desk.show(Preview(self._after, gaps=entered(self._after, self._id, self._desk.placed()), hint=hint))

    def finish(self, point: XY, hands: Hands) -> None:
        self.move(point, hands)
        self._desk.commit(tr("Move a keep-out"), self._after)

    def cancel(self) -> None:
        self._desk.show(None)


def entered(project: Project, keep_out: KeepOutId, placed: Mapping[CavityId, Placed]) -> tuple[Gap, ...]:
    """Return how deep cavities reach into a keep-out; none where it is held."""
    area = next(k for k in project.keep_outs if k.id == keep_out)
    x0, y0, x1, y1 = placed_keep_out(area).bounds
    near = {}
    for cavity_id, part in placed.items():
        px0, py0, px1, py1 = part.bounds
        if px0 <= x1 and x0 <= px1 and py0 <= y1 and y0 <= py1:
            near[cavity_id] = part
    only = replace(project, keep_outs=(area,))
    return tuple(
        Gap("keep-out", str(keep_out), f.cavities[0], f.measured or 0.0, 0.0, f.segment)
        for f in check_placed(only, near, near)
        if f.kind == "in_keep_out" and f.segment
    )


class DragSection:
    """Moves the line of the section: by an end to turn it, elsewhere to shift it."""

    def __init__(self, desk: Desk, start: XY, end: int | None) -> None:
        self._desk, self._start, self._end = desk, start, end
        self._before: Segment | None = desk.section_line

    def move(self, point: XY, hands: Hands) -> None:
        if self._before is None:
            return
        (ax, ay), (bx, by) = self._before
        dx, dy = point[0] - self._start[0], point[1] - self._start[1]
        if self._end == 0:
            self._desk.set_section(((ax + dx, ay + dy), (bx, by)))
        elif self._end == 1:
            self._desk.set_section(((ax, ay), (bx + dx, by + dy)))
        else:
            self._desk.set_section(((ax + dx, ay + dy), (bx + dx, by + dy)))

    def finish(self, point: XY, hands: Hands) -> None:
        self.move(point, hands)

    def cancel(self) -> None:
        self._desk.set_section(self._before)
