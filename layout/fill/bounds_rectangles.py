"""Bounds for equal rectangles that keep to quarter turns and have no wall between them."""

import math
from fractions import Fraction
from typing import Final

import numpy as np

_FINEST: Final = 100_000
"""Sides that are no multiple of a common hundred-thousandth of a mm have no useful common measure."""


def rectangle_bound(
    length: float, width: float, a: float, b: float, *, quarter_turns: bool, slack_mm: float
) -> int | None:
    """Return a number that no packing of a x b rectangles in length x width can pass, all sides parallel.

    Parameters
    ----------
    length, width, a, b : float
        mm.
    quarter_turns : bool
        False: a lies along the length, always.
    slack_mm : float
        Neighbours may overlap by this much and still count as apart.

    Returns
    -------
    int or None
        None where the sides have no common measure.

    Notes
    -----
    Without turns: the points (i a, j b), i, j >= 1, inside the box number floor(length / a) floor(width / b), and
    every rectangle, closed on its right and upper side, holds exactly one point of that grid.

    With quarter turns (Barnes 1979, proved anew): pushed left and down as far as they go, the rectangles start and end
    at sums i a + j b, so the box may be cut to the largest such sums X, Y that fit in it; with overlaps forgiven, a
    chain of k rectangles may be k slack_mm longer. In units in which a and b are whole, each rectangle is cut into a
    rods of 1 x b. Colour the unit squares by (x + y) mod b: a rod holds each colour once, so there are no more rods
    than squares of the rarest colour. With r = X mod b, s = Y mod b, all but an r x s block of the box holds each
    colour equally often, and that block holds its rarest colour max(0, r + s - b) times. What stays bare is thus at
    least r s, or (b - r) (b - s) where r + s > b; likewise with rods of 1 x a.
    """
    if min(length, width) <= 0.0:
        return 0
    chain = (max(length, width) / min(a, b) + 3.0) * slack_mm
    if not quarter_turns:
        return math.floor((length + chain) / a) * math.floor((width + chain) / b)
    whole = whole_sides(a, b)
    if whole is None:
        return None
    p, q, unit = whole
    x = _largest_sum(length + chain, p, q, unit)
    y = _largest_sum(width + chain, p, q, unit)
    bare = max(_bare(x, y, p), _bare(x, y, q))
    return max(0, (x * y - bare) // (p * q))


def _bare(x: int, y: int, rod: int) -> int:
    r, s = x % rod, y % rod
    return min(r * s, (rod - r) * (rod - s))


def whole_sides(a: float, b: float) -> tuple[int, int, float] | None:
    """Return both sides as whole numbers of a unit, and the unit, mm."""
    fa, fb = Fraction(a).limit_denominator(_FINEST), Fraction(b).limit_denominator(_FINEST)
    if abs(float(fa) - a) > 1e-9 or abs(float(fb) - b) > 1e-9 or min(fa, fb) <= 0:
        return None
    common = math.lcm(fa.denominator, fb.denominator)
    p, q = int(fa * common), int(fb * common)
    shared = math.gcd(p, q)
    return p // shared, q // shared, shared / common


def _largest_sum(limit: float, p: int, q: int, unit: float) -> int:
    """Return the largest i p + j q, in units, that is no more than the limit, mm."""
    top = math.floor(limit / unit)
    i = np.arange(top // p + 1, dtype=np.int64) * p
    return int((i + (top - i) // q * q).max())
