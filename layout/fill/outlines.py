"""An outline of fewer corners round a given one, that costs a layout nothing or next to it.

Parts that keep a wall t touch each other's grown outlines, which are unions of discs of radius t. Such a disc does not
get into a notch that is narrower than itself: with a wall t, a part is as good as its *closing*, what is left when
every disc of radius t that avoids the part is taken away. Any outline between a part and its closing gives the same
walls. (Proof: P keeps t from Q if and only if P avoids every open disc of radius t about a point of Q; a disc that
avoids P avoids the closing of P by its definition. So P may be replaced by its closing, and then Q by its own.)
Neither is there anything to gain from a pocket whose mouth no wall gets through, unless a whole part fits into it.
"""

import heapq
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from layout.geometry import FloatArray

FREE_SHARE: Final = 1e-4
"""What passes the closing by less than this share of the part's size is let go although corners are few enough."""

FEW_CORNERS: Final = 24
"""Outlines of no more corners are left as they are: each corner costs a search little."""

MANY_CORNERS: Final = 240
"""Outlines of more corners are thinned at once first, for the steps that follow take the longer the more there are."""

FINE_SHARE: Final = 4e-4
"""By so much of the part's size at most."""

_ARC_SEGMENTS: Final = 32
_SAMPLES: Final = np.array([0.25, 0.5, 0.75])

Point = tuple[float, float]


def fewer_corners(points: FloatArray, most: int, wall_mm: float, least_mm2: float) -> FloatArray | None:
    """Return an outline that contains the given one; None if none of so few corners is found.

    Parameters
    ----------
    points : array (n, 2)
        A simple ring, counter-clockwise, mm.
    most : int
        Corners wanted at most. Down to there, corners go at the least cost; beyond, as long as they cost nothing.
    wall_mm : float
        What parts keep from each other, mm.
    least_mm2 : float
        Of the smallest part in the box: no pocket of less room takes it.
    """
    if len(points) <= FEW_CORNERS:
        return points
    polygon = Polygon(points)
    size = float(np.ptp(points, axis=0).max())
    start = _thinned(points, FINE_SHARE * size) if len(points) > MANY_CORNERS else points.copy()
    ring = _Ring(start, _closed(polygon, wall_mm, least_mm2)).reduced(most, FREE_SHARE * size)
    simple = Polygon(ring)
    # corners of the part may lie on the new sides, and then pass them by the rounding of the arithmetic
    if len(ring) > most or not simple.is_valid or not simple.buffer(1e-9 * size).contains(polygon):
        return None
    return ring


def _closed(polygon: Polygon, wall_mm: float, least_mm2: float) -> BaseGeometry:
    """Return what no part that keeps the wall can get into, the polygon included."""
    if wall_mm <= 0.0:
        return polygon
    grown = polygon.buffer(wall_mm, quad_segs=_ARC_SEGMENTS)
    # what is left of a pocket is where points of another part might be
    roomy = [hole for hole in grown.interiors if Polygon(hole).area >= least_mm2]
    filled = Polygon(grown.exterior, roomy).buffer(-wall_mm, quad_segs=_ARC_SEGMENTS)
    return shapely.union(polygon, filled)


def _thinned(points: FloatArray, by_mm: float) -> FloatArray:
    """Return an outline that contains the given one, wider by no more than this; the given one if that fails."""
    polygon = Polygon(points)
    grown = polygon.buffer(by_mm / 2.0, quad_segs=2, join_style="mitre", mitre_limit=2.0)
    simple = shapely.simplify(Polygon(grown.exterior), by_mm / 2.0)
    if simple.geom_type != "Polygon" or not simple.is_valid or not simple.contains(polygon):
        return points.copy()
    ring = np.asarray(simple.exterior.coords)[:-1]
    return ring.copy() if simple.exterior.is_ccw else ring[::-1].copy()


@dataclass(slots=True)
class _Ring:
    """A ring whose corners go one by one; each step adds a triangle outside."""

    points: FloatArray
    closed: BaseGeometry
    before: list[int] = field(init=False)
    after: list[int] = field(init=False)
    there: list[bool] = field(init=False)
    heap: list[tuple[float, float, int, bytes, tuple[int, ...], Point | None]] = field(default_factory=list)
    moves: int = 0

    def __post_init__(self) -> None:
        n = len(self.points)
        self.before = [(k - 1) % n for k in range(n)]
        self.after = [(k + 1) % n for k in range(n)]
        self.there = [True] * n

    def reduced(self, most: int, free_mm: float) -> FloatArray:
        """Return the ring with corners taken away, the cheapest first."""
        left = len(self.points)
        for k in range(left):
            self._propose(k)
        while self.heap and left > 4:
            cost, _, _, version, corners, new = heapq.heappop(self.heap)
            if left <= most and cost > free_mm:
                break
            if not self._stands(version, corners) or not self._clear(corners, new):
                continue
            left -= 1
            first, last = corners[0], corners[-1]
            self.there[corners[1]] = False
            k = first
            if new is not None:
                k = corners[2]
                self.points[k] = new
                self.after[first], self.before[k] = k, first
            else:
                self.after[first], self.before[last] = last, first
            for near in self._around(k):
                self._propose(near)
        order: list[int] = []
        k = self.there.index(True)
        while not order or k != order[0]:
            order.append(k)
            k = self.after[k]
        return self.points[order]

    def _around(self, k: int) -> list[int]:
        """Return the corners whose moves may have changed."""
        out = [self.before[self.before[k]], self.before[k], k, self.after[k], self.after[self.after[k]]]
        return list(dict.fromkeys(out))

    def _stands(self, version: bytes, corners: tuple[int, ...]) -> bool:
        """Return whether the corners of a move still follow each other, where they were when it was proposed."""
        follow = all(self.after[a] == b for a, b in pairwise(corners))
        return follow and all(self.there[c] for c in corners) and self._version(corners) == version

    def _version(self, corners: tuple[int, ...]) -> bytes:
        return self.points[list(corners)].tobytes()

    def _propose(self, b: int) -> None:
        a, c = self.before[b], self.after[b]
        d = self.after[c]
        if len({a, b, c, d}) < 4:
            return
        pa, pb, pc, pd = (self.points[k] for k in (a, b, c, d))
        at_b, at_c = _turn(pa, pb, pc), _turn(pb, pc, pd)
        if at_b <= 0.0:
            self._push((a, b, c), None, _between(pa, pc), abs(at_b))
            if at_c <= 0.0:
                middle = (pb + pc) / 2.0
                self._push((a, b, c, d), middle, np.vstack((_between(pa, middle), _between(middle, pd))), abs(at_b))
        elif at_c > 0.0:
            tip = _crossing(pa, pb, pc, pd)
            if tip is not None:
                self._push((a, b, c, d), tip, tip[None, :], abs(_turn(pb, tip, pc)))

    def _push(self, corners: tuple[int, ...], new: FloatArray | None, at: FloatArray, area: float) -> None:
        cost = float(shapely.distance(shapely.points(at), self.closed).max())
        self.moves += 1
        point = None if new is None else (float(new[0]), float(new[1]))
        heapq.heappush(self.heap, (cost, area, self.moves, self._version(corners), corners, point))

    def _clear(self, corners: tuple[int, ...], new: Point | None) -> bool:
        """Return whether no other corner lies in what a move adds."""
        p = [self.points[k] for k in corners]
        others = np.array(self.there)
        others[list(corners)] = False
        rest = self.points[others]
        if new is None:
            return not _within(rest, p[0], p[1], p[2])
        e = np.array(new)
        if _turn(p[0], p[1], p[2]) > 0.0:
            return not _within(rest, p[1], e, p[2])
        return not (_within(rest, p[0], p[1], e) or _within(rest, e, p[2], p[3]))


def _turn(a: FloatArray, b: FloatArray, c: FloatArray) -> float:
    """Return twice the area of a triangle, above 0 if b is a left turn."""
    return float((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]))


def _between(a: FloatArray, b: FloatArray) -> FloatArray:
    along: FloatArray = a + _SAMPLES[:, None] * (b - a)
    return along


def _crossing(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> FloatArray | None:
    """Return where the side a b, led on beyond b, meets the side d c, led on beyond c."""
    u, v = b - a, c - d
    cross = float(u[0] * v[1] - u[1] * v[0])
    # they meet where the two turns together are less than half a turn
    if cross >= -1e-9 * float(np.hypot(u[0], u[1]) * np.hypot(v[0], v[1])):
        return None
    w = c - b
    share = float(w[0] * v[1] - w[1] * v[0]) / cross
    tip: FloatArray = b + share * u
    return tip if share > 0.0 else None


def _within(points: FloatArray, a: FloatArray, b: FloatArray, c: FloatArray) -> bool:
    """Return whether a point lies in a triangle, its sides included."""
    sides = [
        (q[0] - p[0]) * (points[:, 1] - p[1]) - (q[1] - p[1]) * (points[:, 0] - p[0])
        for p, q in ((a, b), (b, c), (c, a))
    ]
    left = (sides[0] >= 0.0) & (sides[1] >= 0.0) & (sides[2] >= 0.0)
    right = (sides[0] <= 0.0) & (sides[1] <= 0.0) & (sides[2] <= 0.0)
    return bool((left | right).any())
