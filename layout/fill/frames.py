"""The two ways to lay rows in a box, along x and along y, and the angles worth trying in each."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.fill.parts import Part
from layout.fill.room import Room
from layout.fill.search import Place
from layout.fill.stacks import Stack
from layout.model import MasterId

ANGLE_STEP_DEG: Final = 7.5
"""Angles between the ones along the part's own sides; the squeeze turns parts freely afterwards."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The room's rectangle seen so that the rows run along x.

    Parameters
    ----------
    x0_mm, y0_mm : float
        Lower left corner of the room in the box.
    width_mm, height_mm : float
        Along and across the rows.
    quarter : bool
        Rows run along the box's y: the frame is the box turned back by 90 degrees.
    angles_deg : tuple of float or None
        The turns allowed, as the frame sees them; None for any.
    """

    x0_mm: float
    y0_mm: float
    width_mm: float
    height_mm: float
    quarter: bool
    angles_deg: tuple[float, ...] | None

    def places(self, stack: Stack, master: MasterId) -> tuple[Place, ...]:
        """Return the places of a stack in box coordinates."""
        x, y, angle = stack.x_mm, stack.y_mm, stack.angle_deg
        if self.quarter:
            x, y, angle = self.height_mm - y, x, angle + 90.0
        return tuple(
            (master, self.x0_mm + float(a), self.y0_mm + float(b), float(c) % 360.0)
            for a, b, c in zip(x, y, angle, strict=True)
        )


def frames(room: Room, angles_deg: tuple[float, ...] | None) -> Iterator[Frame]:
    """Yield the frame along x and the one along y."""
    x0, y0, width, height = room.inside_mm
    yield Frame(x0, y0, width, height, False, angles_deg)
    back = None if angles_deg is None else tuple((a - 90.0) % 360.0 for a in angles_deg)
    yield Frame(x0, y0, height, width, True, back)


def row_angles(part: Part, allowed_deg: tuple[float, ...] | None) -> tuple[list[float], bool]:
    """Return the angles of rows worth trying, the likeliest first, and whether half turns make a difference.

    Notes
    -----
    A row and the same row turned by 180 degrees are tried together, so angles 180 degrees apart are one; likewise
    those that the part's own symmetry makes alike.
    """
    fold = part.fold
    if fold == 0:
        return [0.0 if allowed_deg is None else allowed_deg[0]], False
    if allowed_deg is not None:
        half = 180.0 in {round((b - a) % 360.0, 6) for a in allowed_deg for b in allowed_deg} and fold % 2 == 1
        period = 180.0 if half else 360.0
        return _distinct(allowed_deg, min(period, 360.0 / fold)), half
    period = 360.0 / math.lcm(2, fold)
    ahead = np.roll(part.points, -1, axis=0) - part.points
    length = np.hypot(ahead[:, 0], ahead[:, 1])
    lean = np.degrees(np.arctan2(ahead[:, 1], ahead[:, 0]))
    # the longest sides first, lying flat or upright
    sides = [float(a) for k in np.argsort(-length, kind="stable")[:6] for a in (-lean[k], 90.0 - lean[k])]
    number = max(2, math.ceil(period / ANGLE_STEP_DEG))
    between = [k * period / number for k in _spread(number)]
    return _distinct([0.0, *sides, *between], period), fold % 2 == 1


def _distinct(angles: tuple[float, ...] | list[float], period: float) -> list[float]:
    kept: list[float] = []
    for angle in angles:
        reduced = angle % period
        if all(min((reduced - k) % period, (k - reduced) % period) > 0.05 for k in kept):
            kept.append(reduced if abs(reduced - period) > 1e-9 else 0.0)
    return kept


def _spread(number: int) -> list[int]:
    """Return 0 .. number - 1 so that the first ones lie far apart."""
    bits = max(1, (number - 1).bit_length())
    order = [int(format(k, f"0{bits}b")[::-1], 2) for k in range(1 << bits)]
    return [k for k in order if k < number]
