"""Plane geometry of footprints and boxes in mm: exact for round things, shapely for the rest."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final, ForwardRef

import numpy as np
import shapely

from layout.errors import BadOutlineError
from layout.tolerances import ARC_CHORD_TOL_MM, CLEARANCE_TOL_MM, POINT_MERGE_TOL_MM

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import numpy.typing as npt
    from shapely.geometry import Polygon

XY = tuple[float, float]
Segment = tuple[XY, XY]

# types by name: an import of this module touches nothing of numpy and shapely, so that the window can show before
# the two are loaded (`app.late`)
if TYPE_CHECKING:
    FloatArray = npt.NDArray[np.float64]
    IntArray = npt.NDArray[np.int64]
else:
    FloatArray = ForwardRef("npt.NDArray[np.float64]")
    IntArray = ForwardRef("npt.NDArray[np.int64]")

_QUARTERS: Final = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}


@dataclass(frozen=True, slots=True)
class Disc:
    """A round footprint about the origin, exact by its radius.

    Parameters
    ----------
    radius_mm : float
    """

    radius_mm: float


@dataclass(frozen=True, slots=True)
class Outline:
    """A footprint as a simple polygon whose bounding box is centred on the origin at 0 degrees.

    Parameters
    ----------
    points : tuple of (x, y)
        Counter-clockwise, mm, the first point not repeated. Contains the true part.
    """

    points: tuple[XY, ...]


Footprint = Disc | Outline


@dataclass(frozen=True, slots=True)
class PlacedDisc:
    """A disc in the box, exact.

    Parameters
    ----------
    x_mm, y_mm : float
        Its centre in box coordinates.
    radius_mm : float
    """

    x_mm: float
    y_mm: float
    radius_mm: float

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y, mm."""
        r = self.radius_mm
        return self.x_mm - r, self.y_mm - r, self.x_mm + r, self.y_mm + r

    @property
    def polygon(self) -> Polygon:
        """A polygon that contains the disc by at most `ARC_CHORD_TOL_MM`."""
        return _disc_polygon(self.x_mm, self.y_mm, self.radius_mm)


@lru_cache(maxsize=8192)
def _disc_polygon(x_mm: float, y_mm: float, radius_mm: float) -> Polygon:
    """The same discs are asked for by every check of a layout of which one cavity moved."""
    return shapely.Polygon(circle_around(radius_mm) + np.array([x_mm, y_mm]))


if TYPE_CHECKING:
    Placed = PlacedDisc | Polygon
else:
    Placed = PlacedDisc | ForwardRef("Polygon")
"""A footprint in the box: exact disc or shapely polygon, mm."""


def cos_sin(angle_deg: float) -> tuple[float, float]:
    """Return cosine and sine, exact at quarter turns.

    Examples
    --------
    >>> cos_sin(90), cos_sin(-180)
    ((0.0, 1.0), (-1.0, 0.0))
    """
    quarter = _QUARTERS.get(angle_deg % 360.0)
    if quarter is not None:
        return quarter
    radians = math.radians(angle_deg)
    return math.cos(radians), math.sin(radians)


def turned(points: npt.ArrayLike, angle_deg: float) -> FloatArray:
    """Return points turned counter-clockwise about the origin.

    Parameters
    ----------
    points : array of shape (n, 2), mm
    angle_deg : float
    """
    c, s = cos_sin(angle_deg)
    xy = np.asarray(points, dtype=np.float64)
    return np.column_stack((xy[:, 0] * c - xy[:, 1] * s, xy[:, 0] * s + xy[:, 1] * c))


def sides_for_chord(radius_mm: float, tolerance_mm: float = ARC_CHORD_TOL_MM) -> int:
    """Return how many sides a polygon round (or in) a circle needs to stay within the tolerance; a multiple of 4.

    Examples
    --------
    >>> sides_for_chord(10.0)
    72
    """
    if radius_mm <= tolerance_mm:
        return 8
    half = math.acos(radius_mm / (radius_mm + tolerance_mm))
    return max(16, 4 * math.ceil(math.pi / half / 4))


def circle_around(radius_mm: float, tolerance_mm: float = ARC_CHORD_TOL_MM) -> FloatArray:
    """Return a polygon, shape (n, 2), that contains the circle of this radius by at most the tolerance."""
    n = sides_for_chord(radius_mm, tolerance_mm)
    angles = (np.arange(n) + 0.5) * (2.0 * math.pi / n)
    # the last bits of cos(pi/n) must not pull a side inside the circle
    r = radius_mm / math.cos(math.pi / n) * (1.0 + 4e-16)
    return np.column_stack((r * np.cos(angles), r * np.sin(angles)))


def circle_inside(radius_mm: float, tolerance_mm: float = ARC_CHORD_TOL_MM) -> FloatArray:
    """Return a polygon, shape (n, 2), inside the circle of this radius by at most the tolerance."""
    n = sides_for_chord(radius_mm, tolerance_mm)
    angles = np.arange(n) * (2.0 * math.pi / n)
    r = radius_mm * (1.0 - 4e-16)
    return np.column_stack((r * np.cos(angles), r * np.sin(angles)))


def place(footprint: Footprint, x_mm: float, y_mm: float, angle_deg: float) -> Placed:
    """Return the footprint turned about its own origin and put at (x, y)."""
    if isinstance(footprint, Disc):
        return PlacedDisc(x_mm, y_mm, footprint.radius_mm)
    polygon: Polygon = shapely.polygons(turned(footprint.points, angle_deg) + np.array([x_mm, y_mm]))
    return polygon


def moved(placed: Placed, dx_mm: float, dy_mm: float) -> Placed:
    """Return a placed footprint moved by (dx, dy)."""
    if isinstance(placed, PlacedDisc):
        return PlacedDisc(placed.x_mm + dx_mm, placed.y_mm + dy_mm, placed.radius_mm)
    there: Polygon = shapely.transform(placed, lambda xy: xy + np.array([dx_mm, dy_mm]))
    return there


def footprint_polygon(footprint: Footprint) -> Polygon:
    """Return the footprint at the origin as a polygon that contains it."""
    return as_polygon(place(footprint, 0.0, 0.0, 0.0))


def as_polygon(placed: Placed) -> Polygon:
    """Return a placed footprint as a polygon that contains it, for drawing and WKT; measure with `distance_mm`."""
    return placed.polygon if isinstance(placed, PlacedDisc) else placed


def footprint_size_mm(footprint: Footprint, angle_deg: float = 0.0) -> tuple[float, float]:
    """Return the extent of the footprint along x and y at this angle, mm."""
    if isinstance(footprint, Disc):
        return 2.0 * footprint.radius_mm, 2.0 * footprint.radius_mm
    xy = turned(footprint.points, angle_deg)
    return float(np.ptp(xy[:, 0])), float(np.ptp(xy[:, 1]))


def footprint_area_mm2(footprint: Footprint) -> float:
    """Return the area of the footprint, mm2: exact for discs."""
    if isinstance(footprint, Disc):
        return math.pi * footprint.radius_mm**2
    return float(shapely.Polygon(footprint.points).area)


def distance_mm(a: Placed, b: Placed) -> float:
    """Return the thickness of silicone between two placed footprints.

    Returns
    -------
    float
        Shortest distance, mm; negative for two discs that overlap, by how deep; 0.0 where polygons touch or overlap.
    """
    if isinstance(a, PlacedDisc) and isinstance(b, PlacedDisc):
        return math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm) - a.radius_mm - b.radius_mm
    if isinstance(a, PlacedDisc):
        return _disc_to_polygon_mm(a, as_polygon(b))
    if isinstance(b, PlacedDisc):
        return _disc_to_polygon_mm(b, a)
    return float(a.distance(b))


def _disc_to_polygon_mm(disc: PlacedDisc, polygon: Polygon) -> float:
    centre = shapely.Point(disc.x_mm, disc.y_mm)
    if polygon.covers(centre):
        return -(disc.radius_mm + float(polygon.exterior.distance(centre)))
    return float(polygon.distance(centre)) - disc.radius_mm


def depth_mm(a: Placed, b: Placed) -> tuple[float, Segment]:
    """Return how deep two placed footprints overlap and a segment across the overlap; 0.0 where they only touch.

    Notes
    -----
    For two discs exactly ``r1 + r2 - distance``, at most the smaller diameter. Otherwise the width of the largest
    disc that fits in the overlap, to `CLEARANCE_TOL_MM`; for a disc and a polygon never more than the disc reaches over
    the polygon's border, so that a disc that just touches overlaps by nothing.
    """
    if isinstance(a, PlacedDisc) and isinstance(b, PlacedDisc):
        d = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        ux, uy = ((b.x_mm - a.x_mm) / d, (b.y_mm - a.y_mm) / d) if d > 0 else (1.0, 0.0)
        lo, hi = max(-a.radius_mm, d - b.radius_mm), min(a.radius_mm, d + b.radius_mm)
        return max(0.0, hi - lo), ((a.x_mm + ux * lo, a.y_mm + uy * lo), (a.x_mm + ux * hi, a.y_mm + uy * hi))
    if isinstance(a, PlacedDisc) or isinstance(b, PlacedDisc):
        reach = -distance_mm(a, b)
        if reach <= CLEARANCE_TOL_MM:
            return max(0.0, reach), nearest_segment(a, b)
        width, across = widest_across(as_polygon(a).intersection(as_polygon(b)))
        return min(width, reach), across
    return widest_across(as_polygon(a).intersection(as_polygon(b)))


def widest_across(region: shapely.Geometry) -> tuple[float, Segment]:
    """Return the diameter of the largest disc in a region, and that diameter as a segment; 0.0 if it has no area."""
    best: tuple[float, Segment] = (0.0, ((0.0, 0.0), (0.0, 0.0)))
    for part in shapely.get_parts(region):
        if part.geom_type != "Polygon" or part.area <= CLEARANCE_TOL_MM**2:
            continue
        # a sliver thinner than the tolerance cannot hide an overlap: its width is about 2 area / perimeter
        if part.area / part.length < CLEARANCE_TOL_MM / 4:
            continue
        line = shapely.maximum_inscribed_circle(
            part, tolerance=max(CLEARANCE_TOL_MM / 4, 1e-4 * part.area / part.length)
        )
        (cx, cy), (ex, ey) = line.coords[0], line.coords[-1]
        width = 2.0 * float(line.length)
        if width > best[0]:
            best = width, ((2 * cx - ex, 2 * cy - ey), (ex, ey))
    return best


def nearest_segment(a: Placed, b: Placed) -> Segment:
    """Return the shortest segment from a to b; its length is `distance_mm` where they are apart."""
    if isinstance(a, PlacedDisc):
        if isinstance(b, PlacedDisc):
            toward: XY = (b.x_mm, b.y_mm)
        else:
            toward = _end_on(b, (a.x_mm, a.y_mm))
        start = _on_disc(a, toward)
        return (start, _on_disc(b, (a.x_mm, a.y_mm))) if isinstance(b, PlacedDisc) else (start, toward)
    if isinstance(b, PlacedDisc):
        end, start = nearest_segment(b, a)
        return start, end
    line = shapely.shortest_line(a, b)
    return _xy(line.coords[0]), _xy(line.coords[-1])


def _xy(coordinate: Sequence[float]) -> XY:
    return float(coordinate[0]), float(coordinate[1])


def _end_on(polygon: Polygon, point: XY) -> XY:
    return _xy(shapely.shortest_line(shapely.Point(point), polygon.exterior).coords[-1])


def _on_disc(disc: PlacedDisc, toward: XY) -> XY:
    d = math.hypot(toward[0] - disc.x_mm, toward[1] - disc.y_mm)
    if d == 0.0:
        return disc.x_mm + disc.radius_mm, disc.y_mm
    k = disc.radius_mm / d
    return disc.x_mm + (toward[0] - disc.x_mm) * k, disc.y_mm + (toward[1] - disc.y_mm) * k


def segment_length_mm(segment: Segment) -> float:
    """Return the length of a segment, mm."""
    (x1, y1), (x2, y2) = segment
    return math.hypot(x2 - x1, y2 - y1)


def clean_ring(points: Iterable[Sequence[float]], where: str) -> tuple[XY, ...]:
    """Return a simple ring, counter-clockwise, without repeated points.

    Parameters
    ----------
    points : iterable of (x, y)
        A closed outline, mm; the last point may repeat the first.
    where : str
        The file or field, for the error.

    Raises
    ------
    BadOutlineError
        If a coordinate is not finite, the ring crosses itself or encloses no area.
    """
    kept: list[XY] = []
    for x, y in ((float(p[0]), float(p[1])) for p in points):
        if not (math.isfinite(x) and math.isfinite(y)):
            raise BadOutlineError(where, "the outline has a coordinate that is not a number", "draw it again")
        if not kept or math.hypot(x - kept[-1][0], y - kept[-1][1]) > POINT_MERGE_TOL_MM:
            kept.append((x, y))
    while len(kept) > 1 and math.hypot(kept[0][0] - kept[-1][0], kept[0][1] - kept[-1][1]) <= POINT_MERGE_TOL_MM:
        kept.pop()
    if len(kept) < 3:
        raise BadOutlineError(where, "the outline encloses no area", "draw a closed outline")
    polygon = shapely.Polygon(kept)
    if not polygon.is_valid:
        raise BadOutlineError(where, "the outline crosses or touches itself", "redraw it as one simple closed line")
    if polygon.area <= POINT_MERGE_TOL_MM:
        raise BadOutlineError(where, "the outline encloses no area", "draw a closed outline")
    if not polygon.exterior.is_ccw:
        kept.reverse()
    return tuple(kept)


def centred_outline(points: Iterable[Sequence[float]], where: str) -> Outline:
    """Return a footprint whose bounding box is centred on the origin; see `clean_ring` for what is refused."""
    ring = np.array(clean_ring(points, where))
    middle = (ring.min(axis=0) + ring.max(axis=0)) / 2.0
    return Outline(tuple((float(x), float(y)) for x, y in ring - middle))
