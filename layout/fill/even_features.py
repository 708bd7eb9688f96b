"""How the distances between parts change when they move and turn: one feature for each corner near another part."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from layout.geometry import FloatArray, Placed, PlacedDisc
from layout.model import BoxShape, Cavity, Project, RectBox, RoundBox
from layout.regions import placed_cavity

Slope = tuple[float, float, float]
"""Change of a distance with a move along x, along y, and with a turn in radians."""

NOT_MOVING: Slope = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Body:
    """A part as a ring of points grown by a radius; one point for a disc.

    Parameters
    ----------
    points : array of shape (n, 2)
    radius_mm : float
    centre : array of shape (2,)
        What it turns about.
    reach_mm : float
        Largest distance of the part from the centre.
    """

    points: FloatArray
    radius_mm: float
    centre: FloatArray
    reach_mm: float

    @property
    def core(self) -> shapely.Geometry:
        """The ring as a polygon, or the point."""
        return shapely.Point(self.points[0]) if len(self.points) == 1 else shapely.Polygon(self.points)


@dataclass(frozen=True, slots=True)
class Feature:
    """A distance that matters, and its slopes for the two bodies it's between; -1 for what never moves."""

    gap: float
    first: int
    second: int
    slope_first: Slope
    slope_second: Slope


def body_of(project: Project, cavity: Cavity) -> Body:
    """Return a cavity's body."""
    body = ring_of(placed_cavity(project, cavity))
    centre = np.array([cavity.x_mm, cavity.y_mm])
    reach = float(np.hypot(*(body.points - centre).T).max()) + body.radius_mm
    return Body(body.points, body.radius_mm, centre, reach)


def ring_of(placed: Placed) -> Body:
    """Return a placed shape as a body about its own middle."""
    if isinstance(placed, PlacedDisc):
        point = np.array([[placed.x_mm, placed.y_mm]])
        return Body(point, placed.radius_mm, point[0], placed.radius_mm)
    points = shapely.get_coordinates(placed)[:-1]
    centre = (points.min(axis=0) + points.max(axis=0)) / 2.0
    return Body(points, 0.0, centre, float(np.hypot(*(points - centre).T).max()))


def _feet(points: FloatArray, ring: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return for each point the distance to a ring, the foot on it, and the direction from foot to point."""
    if len(ring) == 1:
        away = points - ring[0]
        d = np.hypot(away[:, 0], away[:, 1])
        return d, np.repeat(ring, len(points), axis=0), away / np.maximum(d, 1e-12)[:, None]
    start, along = ring, np.roll(ring, -1, axis=0) - ring
    length2 = np.maximum((along**2).sum(axis=1), 1e-24)
    offset = points[:, None, :] - start[None, :, :]
    share = np.clip((offset * along[None, :, :]).sum(axis=2) / length2[None, :], 0.0, 1.0)
    foot = start[None, :, :] + share[:, :, None] * along[None, :, :]
    gap = points[:, None, :] - foot
    d = np.hypot(gap[:, :, 0], gap[:, :, 1])
    k = d.argmin(axis=1)
    who = np.arange(len(points))
    nearest, away = d[who, k], gap[who, k]
    # a point that touches a side has no direction of its own: the side's outward normal, the ring being anticlockwise
    outward = np.column_stack((along[k, 1], -along[k, 0])) / np.sqrt(length2[k])[:, None]
    direction = np.where((nearest > 1e-9)[:, None], away / np.maximum(nearest, 1e-12)[:, None], outward)
    return nearest, foot[who, k], direction


def pair_features(bodies: Sequence[Body], i: int, j: int, near_mm: float) -> list[Feature]:
    """Return the features of two bodies: corners of each that are at most this near to the other."""
    found: list[Feature] = []
    radii = bodies[i].radius_mm + bodies[j].radius_mm
    for a, b in ((i, j), (j, i)):
        d, foot, direction = _feet(bodies[a].points, bodies[b].points)
        for k in np.flatnonzero(d - radii <= near_mm):
            n = direction[k]
            mine = _slope(n, bodies[a].points[k] - bodies[a].centre)
            other = _slope(-n, foot[k] - bodies[b].centre)
            found.append(Feature(float(d[k]) - radii, a, b, mine, other))
        if len(bodies[i].points) == len(bodies[j].points) == 1:
            break
    return found


def _slope(direction: FloatArray, arm: FloatArray) -> Slope:
    x, y = float(direction[0]), float(direction[1])
    return x, y, y * float(arm[0]) - x * float(arm[1])


def box_features(shape: BoxShape, body: Body, who: int, edge_mm: float, near_mm: float) -> list[Feature]:
    """Return what is left of a body's distance to the side of the box beyond the edge, for its near corners."""
    inset = edge_mm + body.radius_mm
    if isinstance(shape, RectBox):
        sides = [
            (body.points[:, 0] - inset, (1.0, 0.0)),
            (body.points[:, 1] - inset, (0.0, 1.0)),
            (shape.length_mm - inset - body.points[:, 0], (-1.0, 0.0)),
            (shape.width_mm - inset - body.points[:, 1], (0.0, -1.0)),
        ]
        return [
            Feature(float(gap[k]), who, -1, _slope(np.array(n), body.points[k] - body.centre), NOT_MOVING)
            for gap, n in sides
            for k in np.flatnonzero(gap <= near_mm)
        ]
    if isinstance(shape, RoundBox):
        middle = shape.diameter_mm / 2.0
        out = body.points - middle
        d = np.hypot(out[:, 0], out[:, 1])
        gap = middle - inset - d
        return [
            Feature(float(gap[k]), who, -1, _slope(-out[k] / d[k], body.points[k] - body.centre), NOT_MOVING)
            for k in np.flatnonzero((gap <= near_mm) & (d > 1e-9))
        ]
    # the box's ring runs round its inside: a body inside it keeps off it like off another body
    ring = np.asarray(shape.points, dtype=np.float64)
    around = Body(ring, 0.0, ring.mean(axis=0), 0.0)
    return still_features(body, around, who, edge_mm, near_mm)


def still_features(body: Body, still: Body, who: int, keep_mm: float, near_mm: float) -> list[Feature]:
    """Return what is left of a body's distance to something that never moves, beyond the distance to keep."""
    features = pair_features((body, still), 0, 1, near_mm + keep_mm)
    mine = [(f.gap, f.slope_first if f.first == 0 else f.slope_second) for f in features]
    return [Feature(gap - keep_mm, who, -1, slope, NOT_MOVING) for gap, slope in mine]
