"""What is cut and drawn: circles and polylines, mm, each on one layer."""

import math
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
import shapely
from shapely.geometry import LinearRing, LineString, Polygon
from shapely.geometry.polygon import orient

from layout.geometry import XY, cos_sin, sides_for_chord
from layout.tolerances import ARC_CHORD_TOL_MM


class Layer(StrEnum):
    """What is done along a line; the value is the layer's name in files."""

    THROUGH = "through"
    HALF = "half-cut"
    DRAW = "draw"
    NOTES = "notes"


@dataclass(frozen=True, slots=True)
class Path:
    """A polyline.

    Parameters
    ----------
    vertices : tuple of (x_mm, y_mm)
        The first is not repeated at the end of a closed path.
    layer : Layer
    closed : bool
    """

    vertices: tuple[XY, ...]
    layer: Layer = Layer.THROUGH
    closed: bool = True


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle, exact by its radius, mm."""

    x_mm: float
    y_mm: float
    radius_mm: float
    layer: Layer = Layer.THROUGH


Shape = Path | Circle
Bounds = tuple[float, float, float, float]


def polyline(points: tuple[XY, ...] | list[XY], layer: Layer = Layer.THROUGH, *, closed: bool = True) -> Path:
    """Return a path of straight sides."""
    return Path(tuple((float(x), float(y)) for x, y in points), layer, closed)


def ring_path(ring: LinearRing, layer: Layer = Layer.THROUGH) -> Path:
    """Return the border of a polygon as a closed path, its points as they are."""
    return polyline([(x, y) for x, y in ring.coords[:-1]], layer)


def contour_of(polygon: Polygon) -> Path:
    """Return the outer contour of a polygon, counter-clockwise, without points on a straight side."""
    ring = ring_path(orient(polygon).exterior)
    return polyline(corners_of(ring.vertices))


def rectangle(x_mm: float, y_mm: float, length_mm: float, width_mm: float, layer: Layer = Layer.THROUGH) -> Path:
    """Return a rectangle by its lower left corner and its size, counter-clockwise."""
    x1, y1 = x_mm + length_mm, y_mm + width_mm
    return polyline([(x_mm, y_mm), (x1, y_mm), (x1, y1), (x_mm, y1)], layer)


def line(start: XY, end: XY, layer: Layer = Layer.DRAW) -> Path:
    """Return one straight line."""
    return polyline([start, end], layer, closed=False)


def moved(shape: Shape, dx_mm: float, dy_mm: float) -> Shape:
    """Return a shape moved by (dx, dy)."""
    if isinstance(shape, Circle):
        return replace(shape, x_mm=shape.x_mm + dx_mm, y_mm=shape.y_mm + dy_mm)
    return replace(shape, vertices=tuple((x + dx_mm, y + dy_mm) for x, y in shape.vertices))


def turned_shape(shape: Shape, angle_deg: float) -> Shape:
    """Return a shape turned counter-clockwise about the origin; exact at quarter turns."""
    c, s = cos_sin(angle_deg)
    if isinstance(shape, Circle):
        return replace(shape, x_mm=shape.x_mm * c - shape.y_mm * s, y_mm=shape.x_mm * s + shape.y_mm * c)
    return replace(shape, vertices=tuple((x * c - y * s, x * s + y * c) for x, y in shape.vertices))


def on_layer(shape: Shape, layer: Layer) -> Shape:
    """Return the shape on another layer."""
    return replace(shape, layer=layer)


def points_of(shape: Shape) -> list[XY]:
    """Return the shape as points, a circle within `ARC_CHORD_TOL_MM`; a closed one does not repeat its first."""
    if isinstance(shape, Circle):
        n = sides_for_chord(shape.radius_mm, ARC_CHORD_TOL_MM)
        angles = np.arange(n) * (2.0 * math.pi / n)
        xs = shape.x_mm + shape.radius_mm * np.cos(angles)
        ys = shape.y_mm + shape.radius_mm * np.sin(angles)
        return [(float(x), float(y)) for x, y in zip(xs, ys, strict=True)]
    return list(shape.vertices)


def is_closed(shape: Shape) -> bool:
    """Return whether the shape encloses an area."""
    return isinstance(shape, Circle) or shape.closed


def line_of(shape: Shape) -> LineString:
    """Return the shape as a line, for lengths and overlaps."""
    points = points_of(shape)
    return LineString([*points, points[0]] if is_closed(shape) else points)


def polygon_of(outer: Shape, holes: tuple[Shape, ...] = ()) -> Polygon:
    """Return what is left of a contour with its holes cut out."""
    return Polygon(points_of(outer), [points_of(h) for h in holes])


def bounds_of_shapes(shapes: tuple[Shape, ...] | list[Shape]) -> Bounds:
    """Return least x, least y, greatest x, greatest y of shapes; exact."""
    boxes = []
    for shape in shapes:
        if isinstance(shape, Circle):
            r = shape.radius_mm
            boxes.append((shape.x_mm - r, shape.y_mm - r, shape.x_mm + r, shape.y_mm + r))
        else:
            xs, ys = zip(*points_of(shape), strict=True)
            boxes.append((min(xs), min(ys), max(xs), max(ys)))
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def offset(shape: Shape, by_mm: float) -> Shape:
    """Return a closed contour moved outwards by a distance (inwards if negative), corners kept sharp.

    Parameters
    ----------
    shape : Path or Circle
        Closed, counter-clockwise, no side shorter than twice the distance.
    by_mm : float
        Half the kerf for an outer contour, minus half for a hole.

    Raises
    ------
    ValueError
        If a path is open.
    """
    if by_mm == 0.0:
        return shape
    if isinstance(shape, Circle):
        return replace(shape, radius_mm=shape.radius_mm + by_mm)
    if not shape.closed:
        raise ValueError("only closed contours are offset")
    at = shape.vertices
    moved_points = [_offset_corner(at[i - 1], at[i], at[(i + 1) % len(at)], by_mm) for i in range(len(at))]
    return polyline(moved_points, shape.layer)


def _offset_corner(before: XY, at: XY, after: XY, by_mm: float) -> XY:
    ux, uy = unit_vector(before, at)
    vx, vy = unit_vector(at, after)
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-12:
        return at[0] + uy * by_mm, at[1] - ux * by_mm
    # both sides move to their right by the distance; the corner is where they meet again
    k = by_mm / cross
    return at[0] + (vx - ux) * -k, at[1] + (vy - uy) * -k


def unit_vector(start: XY, end: XY) -> XY:
    """Return the direction from one point to another, of length 1."""
    d = math.hypot(end[0] - start[0], end[1] - start[1])
    return (end[0] - start[0]) / d, (end[1] - start[1]) / d


def turn_at(before: XY, at: XY, after: XY) -> float:
    """Return the sine of the angle a line turns by at a point; positive to the left."""
    ux, uy = unit_vector(before, at)
    vx, vy = unit_vector(at, after)
    return ux * vy - uy * vx


def corners_of(ring: tuple[XY, ...]) -> tuple[XY, ...]:
    """Return a ring without the points that lie on a straight side."""
    count = len(ring)
    return tuple(p for i, p in enumerate(ring) if abs(turn_at(ring[i - 1], p, ring[(i + 1) % count])) > 1e-12)


def without_doubles(shapes: tuple[Shape, ...]) -> tuple[Shape, ...]:
    """Return drawn shapes with every stretch that an earlier one already draws left out.

    Two masters that touch share a side: a pen would draw it twice.
    """
    if not shapes:
        return ()
    lines = [line_of(shape) for shape in shapes]
    tree = shapely.STRtree(lines)
    left, right = tree.query(lines, predicate="intersects")
    earlier: dict[int, list[LineString]] = {}
    for i, j in zip(left, right, strict=True):
        # what an earlier shape leaves out, one before it draws: so the whole of it counts as drawn
        if j < i and lines[i].intersection(lines[j]).length > 1e-6:
            earlier.setdefault(int(i), []).append(lines[j])
    kept: list[Shape] = []
    for i, shape in enumerate(shapes):
        if i not in earlier:
            kept.append(shape)
            continue
        rest = lines[i].difference(shapely.union_all(earlier[i]))
        parts = (part for part in shapely.get_parts(shapely.line_merge(rest)) if part.length > 1e-6)
        kept += [polyline([(x, y) for x, y, *_ in part.coords], shape.layer, closed=False) for part in parts]
    return tuple(kept)
