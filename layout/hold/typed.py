"""Moves and turns that are typed or come by a key: there at once if the end is legal, else up to the wall.

A drag goes through every place between; who types a number names the end alone.
"""

import math
from collections.abc import Collection
from typing import Final

from layout import edits
from layout.checks import check
from layout.geometry import XY
from layout.hold.drag import HeldMove, Hold
from layout.hold.turn import HeldTurn, Turning
from layout.model import CavityId, Project

_STRAIGHT_MM: Final = 1e-9
"""So far aside a way still counts as straight."""

_BACK_MM: Final = 1.2e-6
"""A part under way may be a hair closer than the wall; drawn back by this it is on the safe side where it meets it."""


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
    """Return the project with cavities moved by (dx, dy), or as far on the straight way there as the wall lets them.

    They don't slide: who types one coordinate means the other to stay.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    """
    there = edits.move_cavities(project, ids, dx_mm, dy_mm)
    if not check(there, only=ids):
        return there, HeldMove(dx_mm, dy_mm, (), held=False)
    hold = Hold.begin(project, ids)
    hold.move_to(dx_mm, dy_mm)
    whole = math.hypot(dx_mm, dy_mm)
    gone = 0.0
    for x, y in hold.way()[1:]:
        if abs(x * dy_mm - y * dx_mm) > _STRAIGHT_MM * whole:
            break
        gone = max(gone, (x * dx_mm + y * dy_mm) / whole)
    share = max(0.0, gone - _BACK_MM) / whole
    x, y = share * dx_mm, share * dy_mm
    return edits.move_cavities(project, ids, x, y), HeldMove(x, y, (), held=True)
