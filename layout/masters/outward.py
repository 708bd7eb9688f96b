"""Polygons with fewer corners that still contain the part."""

import shapely
from shapely.geometry import MultiPolygon, Polygon

from layout.tolerances import ARC_CHORD_TOL_MM

MANY_CORNERS = 300
"""Outlines with more corners than this are simplified: each check gets slower with every corner."""


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
