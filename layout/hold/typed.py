"""Moves and turns that are typed or come by a key: there at once if the end is legal, else up to the wall.

A drag goes through every place between; who types a number names the end alone.
"""

from collections.abc import Collection

from layout import edits
from layout.checks import check
from layout.geometry import XY
from layout.hold.drag import HeldMove, Hold
from layout.hold.turn import HeldTurn, Turning
from layout.model import CavityId, Project


def turned_as_far(
    project: Project, ids: Collection[CavityId], by_deg: float, about: XY | None = None
) -> tuple[Project, HeldTurn]:
    """Return the project with cavities turned together by an angle, or to the last legal angle on the way to it.

    Parameters
    ----------
    by_deg : float
        Counter-clockwise.
    about : (x, y), optional
        As in `Turning.begin`.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    """
    pivot = edits.middle_of(project, ids) if about is None else about
    there = edits.turn_together(project, ids, by_deg, pivot)
    if not check(there, only=ids):
        return there, HeldTurn(by_deg, held=False)
    turning = Turning.begin(project, ids, pivot)
    turned = turning.turn_to(by_deg)
    return turning.project(), turned


def moved_as_far(project: Project, ids: Collection[CavityId], dx_mm: float, dy_mm: float) -> tuple[Project, HeldMove]:
    """Return the project with cavities moved by (dx, dy), or as near to there as a drag comes.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    """
    there = edits.move_cavities(project, ids, dx_mm, dy_mm)
    if not check(there, only=ids):
        return there, HeldMove(dx_mm, dy_mm, (), held=False)
    hold = Hold.begin(project, ids)
    moved = hold.move_to(dx_mm, dy_mm)
    return hold.project(), moved
