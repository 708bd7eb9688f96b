"""Polygons with fewer corners that still contain the part."""

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from layout.geometry import XY
from layout.tolerances import ARC_CHORD_TOL_MM

MANY_CORNERS = 300
"""Outlines with more corners than this are simplified: each check gets slower with every corner."""


NARROWEST_HOLE_MM = 0.1
"""Holes narrower than this are not told of: no post of silicone stands in them, and rounding leaves such slivers."""


def middle_of(ring: Iterable[Sequence[float]]) -> XY:
    """Return the middle of a ring's bounding box, which becomes the origin of its footprint."""
    low, high = np.min(np.array(list(ring)), axis=0), np.max(np.array(list(ring)), axis=0)
    return float(low[0] + high[0]) / 2.0, float(low[1] + high[1]) / 2.0


def moved_ring(ring: Iterable[Sequence[float]], middle: XY) -> tuple[XY, ...]:
    """Return a ring seen from a footprint's origin."""
    return tuple((float(p[0]) - middle[0], float(p[1]) - middle[1]) for p in ring)


def filled(region: shapely.Geometry) -> Polygon:
    """Return the largest polygon of a region without its holes; empty if there is none."""
    parts = [p for p in shapely.get_parts(region) if isinstance(p, Polygon)]
    if isinstance(region, MultiPolygon):
        parts = list(region.geoms)
    largest = max(parts, key=lambda p: float(p.area), default=Polygon())
    return Polygon(largest.exterior)


def simplified_outward(polygon: Polygon, room_mm: float = ARC_CHORD_TOL_MM) -> Polygon:
    """Return a polygon that contains this one by at most ``room_mm``, with fewer corners if that helps.

    Notes
    -----
    Grown by 0.3 of the room, its sharp corners by at most 0.6, then simplified by just below 0.3: no side moves back
    to the old outline, and none farther out than 0.9 of the room. Kept as it is if the result fails to contain it.
    """
    by = 0.3 * room_mm
    grown = polygon.buffer(by, join_style="mitre", mitre_limit=2.0)
    simple = filled(shapely.simplify(grown, 0.99 * by, preserve_topology=True))
    fewer = len(simple.exterior.coords) < 0.8 * len(polygon.exterior.coords)
    return simple if fewer and simple.is_valid and simple.covers(polygon) else polygon


def simplified_inward(polygon: Polygon, room_mm: float = ARC_CHORD_TOL_MM) -> Polygon:
    """Return a polygon inside this one by at most ``room_mm`` but at its corners; itself if there is none."""
    smaller = filled(polygon.buffer(-0.5 * room_mm, join_style="mitre", mitre_limit=2.0))
    simple = filled(shapely.simplify(smaller, 0.49 * room_mm, preserve_topology=True))
    return simple if not simple.is_empty and simple.is_valid and polygon.covers(simple) else polygon
