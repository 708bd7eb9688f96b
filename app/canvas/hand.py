"""The hand: decides what a press begins, follows it and ends it. Points in mm; the view turns events into them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from app.canvas.desk import Desk, Hands
from app.canvas.interactions import (
    BandSelect,
    DragCavities,
    DragKeepOut,
    DragSection,
    DrawKeepOut,
    Interaction,
    TurnCavities,
    is_still,
    tell_of_pins,
)
from app.words import counted, tr
from layout import edits
from layout.model import KeepOut, KeepOutId
from layout.regions import inner_size_mm

if TYPE_CHECKING:
    from layout.geometry import XY
    from layout.model import CavityId

START_PIXELS = 3.0
"""A press that moves less than this is a click."""

HANDLE_REACH_PIXELS = 9.0
LINE_REACH_PIXELS = 5.0


class Hand:
    """One hand at one desk."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._interaction: Interaction | None = None
        self._pressed: XY | None = None
        self._started = False
        self._clicked: CavityId | None = None
        self._carried: DragCavities | None = None
        self._carried_by: XY = (0.0, 0.0)

    @property
    def is_busy(self) -> bool:
        """Whether something is being dragged, by pointer or keys."""
        return self._interaction is not None or self._carried is not None

    def press(self, point: XY, hands: Hands, mm_per_pixel: float) -> None:
        """Begin what is under the pointer."""
        if self._desk.locked:
            return
        self.drop()
        self._pressed, self._started, self._clicked = point, False, None
        self._interaction = self._begin(point, hands, mm_per_pixel)

    def _begin(self, point: XY, hands: Hands, mm_per_pixel: float) -> Interaction:
        desk = self._desk
        if desk.tool == "keep_out":
            return DrawKeepOut(desk, point)
        handle = desk.handle(mm_per_pixel)
        if handle and math.dist(handle, point) <= HANDLE_REACH_PIXELS * mm_per_pixel:
            return TurnCavities(desk, desk.selection.cavities, point)
        cavity = desk.cavity_at(point)
        if cavity is not None:
            if cavity not in desk.selection:
                if hands.free and not hands.add:
                    # a click adds it; a drag passes it through the wall, and it alone
                    self._clicked = cavity
                    return DragCavities(desk, (cavity,), point)
                if hands.add:
                    desk.selection.add([cavity])
                else:
                    desk.selection.set([cavity])
            else:
                self._clicked = cavity
            return DragCavities(desk, desk.selection.cavities, point)
        line = self._section_line_at(point, mm_per_pixel)
        if line is not None:
            return line
        keep_out = desk.keep_out_at(point)
        if keep_out is not None:
            desk.selection.set((), [keep_out])
            return DragKeepOut(desk, keep_out, point)
        if not (hands.add or hands.free):
            desk.selection.clear()
        return BandSelect(desk, point, hands)

    def _section_line_at(self, point: XY, mm_per_pixel: float) -> DragSection | None:
        line = self._desk.section_line
        if line is None:
            return None
        for end in (0, 1):
            if math.dist(line[end], point) <= 2 * LINE_REACH_PIXELS * mm_per_pixel:
                return DragSection(self._desk, point, end)
        (ax, ay), (bx, by) = line
        size = math.dist(*line)
        aside = abs((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / size
        along = ((bx - ax) * (point[0] - ax) + (by - ay) * (point[1] - ay)) / size
        if aside <= LINE_REACH_PIXELS * mm_per_pixel and 0 <= along <= size:
            return DragSection(self._desk, point, None)
        return None

    def move(self, point: XY, hands: Hands, mm_per_pixel: float) -> None:
        """Follow the pointer."""
        if self._interaction is None or self._pressed is None:
            return
        if not self._started and math.dist(point, self._pressed) < START_PIXELS * mm_per_pixel:
            return
        self._started = True
        if self._clicked is not None and self._clicked not in self._desk.selection:
            self._desk.selection.set([self._clicked])
        self._interaction.move(point, self._freed(hands))

    def _freed(self, hands: Hands) -> Hands:
        """The hands, passing through if the desk says so without a key held down."""
        return Hands(hands.add, hands.free or self._desk.free)

    def release(self, point: XY, hands: Hands) -> None:
        """End it; a click on what is selected selects it alone, or takes it out of the selection."""
        interaction, self._interaction = self._interaction, None
        if interaction is None:
            return
        if self._started or isinstance(interaction, DrawKeepOut):
            interaction.finish(point, self._freed(hands))
        elif self._clicked is not None:
            if hands.add or hands.free:
                self._desk.selection.toggle(self._clicked)
            else:
                self._desk.selection.set([self._clicked])

    def cancel(self) -> bool:
        """End it as if it had not begun; return whether there was anything to cancel."""
        if self._interaction is not None:
            self._interaction.cancel()
            self._interaction = None
            return True
        if self._carried is not None:
            self._carried.cancel()
            self._carried = None
            self._desk.told.emit(tr("Put back."))
            return True
        if self._desk.tool:
            self._desk.set_tool("")
            return True
        return False

    def nudge(self, dx: int, dy: int, *, coarse: bool, fine: bool) -> None:
        """Move the selection by one step, held at the wall; both coarse and fine: pass through."""
        desk = self._desk
        step = desk.step_mm(coarse and not fine, fine and not coarse)
        hands = Hands(free=(coarse and fine) or desk.free)
        if self._carried is not None:
            self._carried_by = (self._carried_by[0] + dx * step, self._carried_by[1] + dy * step)
            self._carried.move_by(*self._carried_by, hands)
            return
        ids = desk.selection.cavities
        if desk.locked or self._interaction is not None:
            return
        if ids:
            self._nudge_cavities(ids, dx * step, dy * step, hands)
        elif desk.selection.keep_outs:
            self._nudge_keep_out(desk.selection.keep_outs[0], dx * step, dy * step, hands)

    def _nudge_keep_out(self, area: KeepOutId, dx_mm: float, dy_mm: float, hands: Hands) -> None:
        from layout.hold import KeepOutHold

        desk = self._desk
        hold = KeepOutHold.begin(desk.project, area)
        moved = hold.pass_to(dx_mm, dy_mm) if hands.free else hold.move_to(dx_mm, dy_mm)
        if not is_still(moved):
            desk.commit(tr("Move a keep-out"), hold.project(), merge=f"nudge {area}")
        if moved.held:
            desk.told.emit(tr("Held at a cavity or the side. Ctrl+Shift+arrow passes through."))

    def _nudge_cavities(self, ids: tuple[CavityId, ...], dx_mm: float, dy_mm: float, hands: Hands) -> None:
        desk = self._desk
        held = False
        if hands.free:
            after = edits.move_cavities(desk.project, ids, dx_mm, dy_mm)
        else:
            from layout.hold import Hold

            hold = Hold.begin(desk.project, ids, desk.placed())
            moved = hold.move_to(dx_mm, dy_mm)
            held = moved.held
            after = desk.project if is_still(moved) else hold.project()
        desk.commit(counted(len(ids), "Move cavity", "Move {n} cavities"), after, merge="nudge " + " ".join(ids))
        # last: what is told stands where the hint of a drag was
        if held:
            desk.told.emit(tr("Held at the wall. Ctrl+Shift+arrow passes through."))
        else:
            tell_of_pins(desk, ids)

    def pick_up(self) -> None:
        """Take the selection in hand: the arrow keys carry it, Enter puts it down, Esc puts it back."""
        ids = self._desk.selection.cavities
        if self._carried is not None:
            self.drop()
        elif ids and not self._desk.locked and self._interaction is None:
            self._carried = DragCavities(self._desk, ids, (0.0, 0.0))
            self._carried_by = (0.0, 0.0)
            self._desk.told.emit(tr("In hand: arrow keys carry, Enter puts down, Esc puts back."))

    def put_keep_out(self) -> None:
        """Put a keep-out in the middle of the box, for those who draw by keys; arrows and fields move and size it."""
        length, width = inner_size_mm(self._desk.project.box.shape)
        area = KeepOut(
            KeepOutId(""),
            length / 2.0,
            width / 2.0,
            min(30.0, length / 2),
            min(20.0, width / 2),
            purpose=tr("finger room"),
        )
        self._desk.set_tool("")
        if self._desk.do(tr("Draw a keep-out"), lambda p: edits.add_keep_outs(p, [area])):
            self._desk.selection.set((), [self._desk.project.keep_outs[-1].id])

    def drop(self) -> None:
        """Put down what is in hand."""
        if self._carried is not None:
            carried, self._carried = self._carried, None
            carried.drop()
