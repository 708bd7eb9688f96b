"""The actions of the Layout and Edit menus on the desk: each one edit, one undo step."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.canvas.interactions import STILL_DEG
from app.words import counted, said, tr
from layout import edits
from layout.errors import BadValueError, LayoutError
from layout.model import CavityId, Project

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from app.canvas.desk import Desk
    from layout.arrange import Axis, Side
    from layout.geometry import XY

Made = tuple[Project, tuple[CavityId, ...]]


def no_room(new: Collection[CavityId]) -> LayoutError:
    """Return why these cavities were not put in the box."""
    what = counted(len(new), "no room was found for one more", "no room was found for {n} more as they stand together")
    return BadValueError(tr("box"), what, tr("make room or a larger box"))


class LayoutCommands:
    """What can be done to the selection."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    @property
    def _ids(self) -> tuple[CavityId, ...]:
        return self._desk.selection.cavities

    def _make(self, text: str, edit: Callable[[Project], Made]) -> bool:
        """Apply an edit that makes cavities, and select them."""
        desk = self._desk
        if desk.locked:
            return False
        try:
            after, new = edit(desk.project)
        except LayoutError as error:
            desk.told.emit(said(error))
            return False
        return self.add(text, after, new)

    def add(self, text: str, after: Project, new: tuple[CavityId, ...]) -> bool:
        """Make a project with more cavities the Project and select them; those there were keep their numbers."""
        desk = self._desk
        kept = edits.keep_numbers(desk.project, after)
        done = desk.commit(text, kept)
        if new:
            desk.selection.set(new)
        if done and kept is not after:
            desk.told.emit(tr("Numbered last, as the others keep theirs; Layout, Pouring order numbers all anew."))
        return done

    def turn(self, by_deg: float) -> None:
        """Turn the selection, held at the wall unless the hand passes through; each turn is an undo step."""
        desk, ids = self._desk, self._ids
        if not ids or desk.locked:
            return
        text = counted(len(ids), "Turn cavity", "Turn {n} cavities")
        if desk.free:
            about = edits.middle_of(desk.project, ids)
            desk.do(text, lambda p: edits.turn_together(p, ids, by_deg, about))
            return
        from layout.hold import turned_as_far

        after, turned = turned_as_far(desk.project, ids, by_deg)
        if turned.held and abs(turned.by_deg) < STILL_DEG:
            desk.told.emit(tr("Held at the wall: it can't turn that way; F4 lets it pass."))
            desk.noted.emit(tr("Held at the wall; F4 lets it pass"), edits.middle_of(desk.project, ids))
            return
        desk.commit(text, after)
        if turned.held:
            way = tr("anticlockwise") if turned.by_deg > 0.0 else tr("clockwise")
            angle = f"{abs(turned.by_deg):.1f}"
            desk.told.emit(tr("Held at the wall after {angle}° {way}; F4 lets it pass.", angle=angle, way=way))

    def move(self, dx_mm: float, dy_mm: float) -> None:
        """Move the selection by typed lengths, held at the wall unless the hand passes through."""
        desk, ids = self._desk, self._ids
        if not ids or desk.locked:
            return
        text = counted(len(ids), "Move cavity", "Move {n} cavities")
        if desk.free:
            desk.do(text, lambda p: edits.move_cavities(p, ids, dx_mm, dy_mm))
            return
        from layout.hold import moved_as_far

        after, moved = moved_as_far(desk.project, ids, dx_mm, dy_mm)
        desk.commit(text, after)
        if moved.held:
            desk.told.emit(tr("Held at the wall short of where you typed; F4 lets it pass."))

    def delete(self) -> None:
        ids, areas = self._ids, self._desk.selection.keep_outs
        if areas and not ids:
            self._desk.do(
                counted(len(areas), "Remove keep-out", "Remove {n} keep-outs"),
                lambda p: edits.remove_keep_outs(p, areas),
            )
        elif ids:
            self._desk.do(
                counted(len(ids), "Remove cavity", "Remove {n} cavities"),
                lambda p: edits.remove_keep_outs(edits.remove_cavities(p, ids), areas),
            )

    def duplicate(self) -> None:
        from layout import arrange
        from layout.checks import check

        ids = self._ids

        def copied(project: Project) -> Made:
            after, new = arrange.duplicate(project, ids)
            # how the copies stand to one another is as the user has it; to the side and to others it has to be right
            if any(len(f.cavities) == 1 or not set(f.cavities) <= set(new) for f in check(after, only=new)):
                raise no_room(new)
            return after, new

        self._make(counted(len(ids), "Duplicate cavity", "Duplicate {n} cavities"), copied)

    def put_one(self, at: XY | None = None) -> None:
        """Put one of the chosen master at the legal place nearest to a point, by default the near left corner."""
        from layout import arrange

        master = self._desk.master
        if master is None:
            self._desk.told.emit(tr("Put a master on the shelf first."))
            return
        x, y = at or (0.0, 0.0)

        def put(project: Project) -> Made:
            from layout.checks import check

            after, new = arrange.place_near(project, master, x, y)
            if check(after, only=[new]):
                raise no_room((new,))
            return after, (new,)

        self._make(tr("Put a cavity in the box"), put)

    def pin(self, pinned: bool) -> None:
        ids = self._ids
        pin, unpin = ("Pin cavity", "Pin {n} cavities"), ("Unpin cavity", "Unpin {n} cavities")
        self._desk.do(counted(len(ids), *(pin if pinned else unpin)), lambda p: edits.pin_cavities(p, ids, pinned))

    def line_up(self, side: Side) -> None:
        from layout import arrange

        ids = self._ids
        self._arrange(tr("Line up"), lambda p: arrange.line_up(p, ids, side))

    def space(self, axis: Axis) -> None:
        from layout import arrange

        ids = self._ids
        self._arrange(tr("Space evenly"), lambda p: arrange.space_evenly(p, ids, axis))

    def mirror(self, axis: Axis) -> None:
        from layout import arrange

        ids = self._ids
        self._arrange(tr("Mirror the places"), lambda p: arrange.mirror_layout(p, axis, ids))

    def _arrange(self, text: str, edit: Callable[[Project], Project]) -> None:
        """Apply an edit that may break a rule, and say if it did."""
        chosen = set(self._ids)
        # what is shown has been judged already
        if self._desk.do(text, edit) and any(chosen.intersection(f.cavities) for f in self._desk.findings()):
            self._desk.told.emit(tr("Done, but a rule is broken now: see the list. Ctrl+Z takes it back."))

    def select_all(self) -> None:
        self._desk.selection.set(c.id for c in self._desk.project.cavities)

    def select_same(self) -> None:
        chosen = set(self._ids)
        masters = {c.master for c in self._desk.project.cavities if c.id in chosen}
        self._desk.selection.set(c.id for c in self._desk.project.cavities if c.master in masters)

    def order_selection(self) -> None:
        """Number the selection first, in the order it was selected; the others keep theirs."""
        ids = self._ids
        rest = [i for i in self._desk.project.pour_order if i not in ids]
        self._desk.do(tr("Change the pouring order"), lambda p: edits.set_pour_order(p, (*ids, *rest)))

    def order_serpentine(self) -> None:
        self._desk.do(tr("Pour to and fro by rows"), lambda p: edits.set_pour_order(p, ()))
