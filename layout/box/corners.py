"""The corners of an outlined box: how it is built from them, and the flats of a strip that goes round it."""

import math
from typing import Final

from shapely.geometry import LineString, Point

from layout.box.shapes import corners_of, turn_at, unit_vector
from layout.geometry import XY
from layout.model import OutlineBox

FLAT_TOL_MM: Final = 0.1
"""The most by which the middle of a flat of a strip stands off a curve: a tenth is far below what hand work or foam
board holds, and the base, cut to the curve, holds the strip to size."""

TIGHT_TOL_MM: Final = 0.4
"""The same in tight curves. Engineering judgement, no source."""

_SQUARE: Final = 1e-9


def ring_of(shape: OutlineBox) -> list[XY]:
    """Return the corners of the inside, counter-clockwise, without points on a straight side."""
    return list(corners_of(shape.points))


def is_square_cornered(ring: list[XY]) -> bool:
    """Return whether every side runs along x or y."""
    sides = zip(ring, [*ring[1:], ring[0]], strict=True)
    return all(abs(a[0] - b[0]) <= _SQUARE or abs(a[1] - b[1]) <= _SQUARE for a, b in sides)


def sine_at(ring: list[XY], i: int) -> float:
    """Return how the ring turns at a corner: the sine, positive to the left (an outer corner of the box)."""
    return turn_at(ring[i - 1], ring[i], ring[(i + 1) % len(ring)])


def angle_at(ring: list[XY], i: int) -> float:
    """Return by how much the ring turns at a corner, radians, -pi to pi, positive to the left."""
    ux, uy = unit_vector(ring[i - 1], ring[i])
    vx, vy = unit_vector(ring[i], ring[(i + 1) % len(ring)])
    return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)


def hinges(ring: list[XY], thickness_mm: float = 0.0) -> list[XY]:
    """Return the corners a strip is cut at; those of a curve thinned as far as a flat may leave it.

    A flat leaves the curve by `FLAT_TOL_MM` at most, or by `TIGHT_TOL_MM` where it would be shorter than the sheet is
    thick: closer cuts crumble.
    """
    # a true corner must be the seam
    start = max(range(len(ring)), key=lambda i: abs(angle_at(ring, i)))
    turned = [*ring[start:], *ring[:start], ring[start]]
    found, at = [0], 0
    while at < len(turned) - 1:
        end = at + 1
        while end + 1 < len(turned) and _may_skip(turned[at : end + 2], thickness_mm):
            end += 1
        at = end
        found.append(at)
    kept = [turned[k] for k in found[:-1]]
    return kept if len(kept) >= 3 else turned[:-1]


def _may_skip(points: list[XY], thickness_mm: float) -> bool:
    chord = LineString([points[0], points[-1]])
    off = max(chord.distance(Point(p)) for p in points[1:-1])
    return off <= FLAT_TOL_MM or (chord.length <= thickness_mm and off <= TIGHT_TOL_MM)


def strip_flats(ring: list[XY], thickness_mm: float) -> tuple[list[XY], list[float]]:
    """Return the hinges of the strip round a ring, and the lengths of its flats as seen from the inside, from the left.

    Notes
    -----
    Seen from the inside the outline runs from right to left: the first flat is the last side of the ring.
    """
    corners = hinges(ring, thickness_mm)
    lengths = [math.dist(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    return corners, lengths[::-1]
