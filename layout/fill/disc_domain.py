"""Where the centres of discs may lie: the box narrowed by edge and radius, less all that stands in the way."""

import math
from dataclasses import dataclass

import numpy as np
import shapely

from layout.fill.search import Task
from layout.geometry import FloatArray, PlacedDisc
from layout.model import OutlineBox, RectBox, RoundBox


@dataclass(frozen=True, slots=True)
class Domain:
    """The region of the centres of equal discs, as plain arrays.

    Parameters
    ----------
    apart_mm : float
        Least distance of two centres: diameter and wall.
    bounds : array of shape (4,)
        Least x, least y, greatest x, greatest y a centre may have, mm.
    circles : array of shape (k, 4)
        x, y, radius, sign: a centre stays inside (1) or outside (-1) of each.
    sides : array of shape (m, 4)
        x1, y1, x2, y2 of the sides of all polygons, one polygon after the other.
    polygons : array of shape (p, 4)
        First side, end of sides, sign (1 inside, -1 outside), distance to keep from its sides.
    """

    apart_mm: float
    bounds: FloatArray
    circles: FloatArray
    sides: FloatArray
    polygons: FloatArray

    def clearance_mm(self, points: FloatArray) -> FloatArray:
        """Return how far each point is inside the region, mm; negative outside."""
        x, y = points[:, 0], points[:, 1]
        x0, y0, x1, y1 = self.bounds
        clear: FloatArray = np.minimum(np.minimum(x - x0, x1 - x), np.minimum(y - y0, y1 - y))
        for cx, cy, radius, sign in self.circles:
            clear = np.minimum(clear, sign * (radius - np.hypot(x - cx, y - cy)))
        for start, end, sign, keep in self.polygons:
            polygon = shapely.Polygon(self.sides[int(start) : int(end), :2])
            there = shapely.points(points)
            shapely.prepare(polygon)
            inside = np.where(shapely.contains(polygon, there), 1.0, -1.0)
            clear = np.minimum(clear, sign * inside * shapely.distance(polygon.exterior, there) - keep)
        return clear

    @property
    def extent(self) -> tuple[float, float, float, float]:
        """Return bounds that hold every centre, mm; the greatest is below the least where there's no room."""
        x0, y0, x1, y1 = (float(b) for b in self.bounds)
        return x0, y0, x1, y1


def domain_of(task: Task, radius_mm: float) -> Domain:
    """Return where the centres of discs of this radius may lie by the rules, pinned parts and keep-outs of the task."""
    shape, rules = task.project.box.shape, task.project.rules
    inset = rules.edge_mm + radius_mm
    circles: list[tuple[float, float, float, float]] = []
    rings: list[tuple[FloatArray, float, float]] = []
    if isinstance(shape, RectBox):
        bounds = [inset, inset, shape.length_mm - inset, shape.width_mm - inset]
    elif isinstance(shape, RoundBox):
        middle = shape.diameter_mm / 2.0
        bounds = [inset, inset, shape.diameter_mm - inset, shape.diameter_mm - inset]
        circles.append((middle, middle, middle - inset, 1.0))
    else:
        bounds = _outline_bounds(shape, inset)
        rings.append((np.asarray(shape.points, dtype=np.float64), 1.0, inset))
    for placed, wall in task.obstacles:
        if isinstance(placed, PlacedDisc):
            circles.append((placed.x_mm, placed.y_mm, placed.radius_mm + wall + radius_mm, -1.0))
        else:
            rings.append((shapely.get_coordinates(placed)[:-1], -1.0, wall + radius_mm))
    sides = [np.hstack((ring, np.roll(ring, -1, axis=0))) for ring, _, _ in rings]
    ends = np.cumsum([len(s) for s in sides]) if sides else np.zeros(0)
    polygons = [(end - len(s), end, ring[1], ring[2]) for s, end, ring in zip(sides, ends, rings, strict=True)]
    return Domain(
        2.0 * radius_mm + rules.wall_mm,
        np.array(bounds, dtype=np.float64),
        np.array(circles, dtype=np.float64).reshape(-1, 4),
        np.vstack(sides) if sides else np.zeros((0, 4)),
        np.array(polygons, dtype=np.float64).reshape(-1, 4),
    )


def _outline_bounds(shape: OutlineBox, inset: float) -> list[float]:
    xs, ys = zip(*shape.points, strict=True)
    return [min(xs) + inset, min(ys) + inset, max(xs) - inset, max(ys) - inset]


def lattice(domain: Domain, pitch: float, angle_deg: float, shift: tuple[float, float], stretch: float) -> FloatArray:
    """Return the points of a hexagonal lattice over the region's bounds, as it falls, also those outside the region.

    Parameters
    ----------
    pitch : float
        Distance of neighbours in a row, mm.
    angle_deg : float
        Of the rows.
    shift : (float, float)
        In pitches and in rows.
    stretch : float
        Of the distance of the rows; 1 for equilateral triangles.
    """
    x0, y0, x1, y1 = domain.extent
    reach = math.hypot(x1 - x0, y1 - y0) / 2.0 + pitch
    rise = pitch * math.sqrt(0.75) * stretch
    rows, columns = math.ceil(reach / rise), math.ceil(reach / pitch) + 1
    j, i = np.mgrid[-rows : rows + 1, -columns : columns + 1]
    x = (i + 0.5 * (j % 2) + shift[0]) * pitch
    y = (j + shift[1]) * rise
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    points = np.column_stack(((x * c - y * s).ravel() + (x0 + x1) / 2, (x * s + y * c).ravel() + (y0 + y1) / 2))
    margin = 0.51 * pitch
    near = (points[:, 0] > x0 - margin) & (points[:, 0] < x1 + margin)
    return np.asarray(points[near & (points[:, 1] > y0 - margin) & (points[:, 1] < y1 + margin)])


def rows_across(domain: Domain, counts: list[int], lead: int, *, upright: bool) -> FloatArray:
    """Return rows of these counts spread evenly over the region's bounds, every second one set in by half a pitch.

    Parameters
    ----------
    counts : list of int
        Discs in each row.
    lead : {0, 1}
        Whether the first row or the second is set in.
    upright : bool
        Rows along y in place of x.
    """
    x0, y0, x1, y1 = domain.extent
    if upright:
        x0, y0, x1, y1 = y0, x0, y1, x1
    pieces = []
    longest = max(counts)
    for k, n in enumerate(counts):
        y = y0 + (y1 - y0) * (k / (len(counts) - 1) if len(counts) > 1 else 0.5)
        if n == longest - 1 and min(counts) < longest:
            pitch = (x1 - x0) / max(longest - 1, 1)
            x = x0 + pitch * (0.5 + np.arange(n))
        elif min(counts) < longest or len(counts) == 1:
            x = np.linspace(x0, x1, n) if n > 1 else np.array([(x0 + x1) / 2])
        else:
            pitch = (x1 - x0) / (n - 0.5)
            x = x0 + pitch * (0.5 * ((k + lead) % 2) + np.arange(n))
        pieces.append(np.column_stack((x, np.full(len(x), y))))
    points = np.vstack(pieces)
    return points[:, ::-1].copy() if upright else points
