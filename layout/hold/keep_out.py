"""A keep-out dragged in the box: held where it touches a cavity or the side, as a cavity is held at the wall."""

from dataclasses import replace
from typing import Final

from layout import edits
from layout.errors import UnknownNameError
from layout.geometry import Disc, Footprint, Outline
from layout.hold.bodies import THIN_MM
from layout.hold.drag import HeldMove, Hold
from layout.model import Cavity, CavityId, KeepOut, KeepOutId, Master, MasterId, Project

_STAND_IN: Final = "keep-out under the hand"
"""Longer than an id may be typed, so that no master or cavity has it."""


class KeepOutHold:
    """A drag of one keep-out: it never enters a cavity nor leaves the box, and slides along both.

    Notes
    -----
    It is dragged as a part of its shape in a box whose rules ask for no silicone to speak of, `THIN_MM`. What it
    covers as the drag begins it may leave and never enters deeper.
    """

    def __init__(self, project: Project, keep_out: KeepOut) -> None:
        self._project, self._id = project, keep_out.id
        part = Master(MasterId(_STAND_IN), _STAND_IN, "", _footprint(keep_out), 1.0, 0.0, 0.0)
        dragged = Cavity(CavityId(_STAND_IN), part.id, keep_out.x_mm, keep_out.y_mm)
        scene = replace(
            project,
            masters=(*project.masters, part),
            cavities=(*project.cavities, dragged),
            keep_outs=(),
            rules=replace(project.rules, wall_mm=THIN_MM, edge_mm=0.0),
        )
        self._hold = Hold(scene, [dragged.id])
        self._at = (0.0, 0.0)

    @classmethod
    def begin(cls, project: Project, keep_out: KeepOutId) -> "KeepOutHold":
        """Return a drag of this keep-out from where it is.

        Raises
        ------
        UnknownNameError
            If it is not in the project.
        """
        for area in project.keep_outs:
            if area.id == keep_out:
                return cls(project, area)
        raise UnknownNameError("keep-out", f"there is no {keep_out!r}", "choose one that is there")

    def move_to(self, dx_mm: float, dy_mm: float) -> HeldMove:
        """Follow the pointer, held; counted in mm from where the drag began."""
        return self._went(self._hold.move_to(dx_mm, dy_mm))

    def pass_to(self, dx_mm: float, dy_mm: float) -> HeldMove:
        """Go to the pointer through everything; the next `move_to` holds again from there."""
        return self._went(self._hold.pass_to(dx_mm, dy_mm))

    def project(self) -> Project:
        """Return the project with the keep-out where the drag has brought it."""
        return edits.move_keep_out(self._project, self._id, *self._at)

    def _went(self, moved: HeldMove) -> HeldMove:
        self._at = moved.dx_mm, moved.dy_mm
        return moved


def _footprint(area: KeepOut) -> Footprint:
    if area.round:
        return Disc(area.length_mm / 2.0)
    x, y = area.length_mm / 2.0, area.width_mm / 2.0
    return Outline(((-x, -y), (x, -y), (x, y), (-x, y)))
