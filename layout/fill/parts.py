"""A footprint as the search sees it: a core polygon, a rounding, convex pieces."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import shapely
from shapely.geometry import Polygon

from layout.fill.outlines import fewer_corners
from layout.geometry import Disc, FloatArray, Footprint, footprint_area_mm2, turned
from layout.model import Master, MasterId

MOST_CORNERS: Final = 72
"""Outlines with more corners are searched with a coarser one that contains them."""

MOST_CORNERS_COMPARED: Final = 200
"""Of an outline with more corners than this, the coarser one is asked for its symmetry."""

CONVEX_TOL: Final = 1e-9
"""A corner counts as convex down to this cross product of unit directions: collinear points are no notch."""


@dataclass(frozen=True, slots=True)
class Part:
    """The shape that a search moves about.

    Parameters
    ----------
    points : array of shape (n, 2)
        The core, counter-clockwise, about the cavity's origin, mm. A disc's core is its centre.
    rounding_mm : float
        The part is its core grown by this: a disc's radius, 0 for outlines. So the wall between two cores is the
        wall plus twice this, which is exact.
    pieces : tuple of arrays of shape (k, 2)
        Convex, counter-clockwise; together they are the core.
    radius_mm : float
        Largest distance of the core from the origin.
    area_mm2 : float
        Of the part itself.
    fold : int
        How many turns below 360 degrees leave the part as it is, itself included; 0 for a disc.
    """

    points: FloatArray
    rounding_mm: float
    pieces: tuple[FloatArray, ...]
    radius_mm: float
    area_mm2: float
    fold: int


@lru_cache(maxsize=32)  # filled with what never changes, and asked again at every insertion
def part_of(footprint: Footprint, wall_mm: float, least_mm2: float | None = None) -> Part:
    """Return the shape a search moves about; it contains the footprint.

    Parameters
    ----------
    footprint : Disc or Outline
    wall_mm : float
        What parts keep from each other, mm: notches that no wall gets into may be filled.
    least_mm2 : float, optional
        Area of the smallest part in the box, if there are others: a pocket that takes it stays open.
    """
    if isinstance(footprint, Disc):
        origin = np.zeros((1, 2))
        return Part(origin, footprint.radius_mm, (origin,), 0.0, math.pi * footprint.radius_mm**2, 0)
    exact = np.asarray(footprint.points, dtype=np.float64)
    area = footprint_area_mm2(footprint)
    points = fewer_corners(exact, MOST_CORNERS, wall_mm, area if least_mm2 is None else least_mm2)
    if points is None:
        points = coarser(exact) if len(exact) > MOST_CORNERS else exact
    radius = float(np.hypot(points[:, 0], points[:, 1]).max())
    fold = symmetry_fold(exact if len(exact) <= MOST_CORNERS_COMPARED else points)
    return Part(points, 0.0, convex_pieces(points), radius, area, fold)


def symmetry_fold(points: FloatArray) -> int:
    """Return how many turns below 360 degrees leave the polygon as it is, itself included; 0 for a single point."""
    if len(points) < 2:
        return 0
    middle = points - points.mean(axis=0)
    size = float(np.hypot(middle[:, 0], middle[:, 1]).max())
    for fold in range(len(points), 1, -1):
        if len(points) % fold:
            continue
        image = turned(middle, 360.0 / fold)
        gaps = np.hypot(image[:, None, 0] - middle[None, :, 0], image[:, None, 1] - middle[None, :, 1])
        if float(gaps.min(axis=1).max()) < 1e-5 * size:
            return fold
    return 1


def parts_of(masters: Sequence[Master], wall_mm: float) -> dict[MasterId, Part]:
    """Return the shapes of the masters of one box; see `part_of`."""
    least = min(footprint_area_mm2(m.footprint) for m in masters)
    return {m.id: part_of(m.footprint, wall_mm, least) for m in masters}


def coarser(points: FloatArray) -> FloatArray:
    """Return an outline of at most about `MOST_CORNERS` corners that contains the given one, by little."""
    polygon = Polygon(points)
    size = float(np.ptp(points, axis=0).max())
    for share in (0.0005, 0.001, 0.002, 0.005, 0.01, 0.02):
        grown = polygon.buffer(share * size, quad_segs=8, join_style="mitre", mitre_limit=2.0)
        simple = shapely.simplify(Polygon(grown.exterior), 0.8 * share * size)
        if simple.geom_type == "Polygon" and simple.is_valid and simple.contains(polygon):
            ring = np.asarray(simple.exterior.coords)[:-1]
            if len(ring) <= MOST_CORNERS:
                return ring if simple.exterior.is_ccw else ring[::-1].copy()
    hull = Polygon(shapely.get_coordinates(polygon.convex_hull))
    ring = np.asarray(hull.exterior.coords)[:-1]
    return ring if hull.exterior.is_ccw else ring[::-1].copy()


def is_convex(points: FloatArray) -> bool:
    """Return whether a counter-clockwise ring has no notch."""
    ahead = np.roll(points, -1, axis=0) - points
    ahead = ahead / np.maximum(np.hypot(ahead[:, 0], ahead[:, 1]), 1e-300)[:, None]
    after = np.roll(ahead, -1, axis=0)
    return bool((ahead[:, 0] * after[:, 1] - ahead[:, 1] * after[:, 0] >= -CONVEX_TOL).all())


def convex_pieces(points: FloatArray) -> tuple[FloatArray, ...]:
    """Return convex pieces that together are the polygon: triangles merged over their longest shared sides."""
    if is_convex(points):
        return (points,)
    index = {(float(x), float(y)): i for i, (x, y) in enumerate(points)}
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(Polygon(points)))
    pieces: list[list[int]] = []
    for triangle in triangles:
        ring = shapely.get_coordinates(shapely.orient_polygons(triangle, exterior_cw=False))[:-1]
        pieces.append([index[(float(x), float(y))] for x, y in ring])
    while (merged := _merge_two(pieces, points)) is not None:
        pieces = merged
    return tuple(points[piece] for piece in pieces)


def _merge_two(pieces: list[list[int]], points: FloatArray) -> list[list[int]] | None:
    """Return the pieces with one pair merged over the longest shared side that leaves it convex; None if none does."""
    sides = {(p[k], p[(k + 1) % len(p)]): (n, k) for n, p in enumerate(pieces) for k in range(len(p))}
    shared = sorted(
        ((a, b) for a, b in sides if a < b and (b, a) in sides), key=lambda s: -math.dist(points[s[0]], points[s[1]])
    )
    for a, b in shared:
        (m, i), (n, j) = sides[(a, b)], sides[(b, a)]
        left, right = pieces[m], pieces[n]
        ring = left[i + 1 :] + left[: i + 1]
        ring += (right[j + 1 :] + right[: j + 1])[1:-1]
        if is_convex(points[ring]):
            return [p for k, p in enumerate(pieces) if k not in (m, n)] + [ring]
    return None
