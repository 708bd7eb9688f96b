"""How the distances between parts change when they move and turn: one feature for each corner near another part."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from layout.geometry import FloatArray, IntArray, Placed, PlacedDisc
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


@dataclass(frozen=True, slots=True)
class Features:
    """Many features as arrays, one row each.

    Parameters
    ----------
    gap, first, second, slope_first, slope_second : array
        As in `Feature`; the slopes of shape (k, 3).
    pair : array
        Which of the pairs asked for it's of; -1 for what is kept from something that never moves.
    """

    gap: FloatArray
    first: IntArray
    second: IntArray
    slope_first: FloatArray
    slope_second: FloatArray
    pair: IntArray

    @classmethod
    def of(cls, features: Sequence[Feature]) -> "Features":
        """Return features that were found one by one."""
        return cls(
            np.array([f.gap for f in features], dtype=np.float64),
            np.array([f.first for f in features], dtype=np.int64),
            np.array([f.second for f in features], dtype=np.int64),
            np.array([f.slope_first for f in features], dtype=np.float64).reshape(-1, 3),
            np.array([f.slope_second for f in features], dtype=np.float64).reshape(-1, 3),
            np.full(len(features), -1, dtype=np.int64),
        )

    def entries(self, reach_mm: FloatArray) -> tuple[IntArray, IntArray, FloatArray]:
        """Return rows, columns and values of the matrix that says how much less each gap is after the moves.

        Parameters
        ----------
        reach_mm : array
            Of each body: its third unknown is its turn times this.
        """
        rows: list[IntArray] = []
        columns: list[IntArray] = []
        values: list[FloatArray] = []
        for who, slope in ((self.first, self.slope_first), (self.second, self.slope_second)):
            moving = np.flatnonzero(who >= 0)
            lever = np.ones((len(moving), 3))
            lever[:, 2] = reach_mm[who[moving]]
            rows.append(np.repeat(moving, 3))
            columns.append((3 * who[moving][:, None] + np.arange(3)).ravel())
            values.append((-slope[moving] / lever).ravel())
        return np.concatenate(rows), np.concatenate(columns), np.concatenate(values)


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


_TOGETHER: Final = 2_000_000
"""Corners times sides that are looked at in one go; more would take much memory."""


def _feet(points: FloatArray, ring: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return for each point the distance to a ring, the foot on it, and the direction from foot to point.

    Parameters
    ----------
    points, ring : array of shape (g, n, 2) and (g, m, 2)
        Points, and the ring that they're near.
    """
    if ring.shape[1] == 1:
        away = points - ring
        d = np.hypot(away[..., 0], away[..., 1])
        return d, np.broadcast_to(ring, points.shape), away / np.maximum(d, 1e-12)[..., None]
    along = np.roll(ring, -1, axis=1) - ring
    length2 = np.maximum((along**2).sum(axis=2), 1e-24)
    offset = points[:, :, None, :] - ring[:, None, :, :]
    share = np.clip((offset * along[:, None, :, :]).sum(axis=3) / length2[:, None, :], 0.0, 1.0)
    gap = offset - share[..., None] * along[:, None, :, :]
    d = np.hypot(gap[..., 0], gap[..., 1])
    k = d.argmin(axis=2)
    nearest = np.take_along_axis(d, k[..., None], axis=2)[..., 0]
    away = np.take_along_axis(gap, k[..., None, None], axis=2)[:, :, 0, :]
    side = np.take_along_axis(along, k[..., None], axis=1)
    # a point that touches a side has no direction of its own: the side's outward normal, the ring being anticlockwise
    length = np.sqrt(np.take_along_axis(length2, k, axis=1))[..., None]
    outward = np.stack((side[..., 1], -side[..., 0]), axis=2) / length
    direction = np.where((nearest > 1e-9)[..., None], away / np.maximum(nearest, 1e-12)[..., None], outward)
    return nearest, points - away, direction


def pair_features(bodies: Sequence[Body], pairs: Sequence[tuple[int, int]], near_mm: float) -> Features:
    """Return the features of pairs of bodies: corners of each that are at most this near to the other."""
    groups: dict[tuple[int, int], list[tuple[int, int, int]]] = {}
    for k, (i, j) in enumerate(pairs):
        m, n = len(bodies[i].points), len(bodies[j].points)
        groups.setdefault((m, n), []).append((k, i, j))
        if max(m, n) > 1:
            groups.setdefault((n, m), []).append((k, j, i))
    found = [Features.of(())]
    for (m, n), members in groups.items():
        together = max(1, _TOGETHER // (m * n))
        for at in range(0, len(members), together):
            some = np.array(members[at : at + together], dtype=np.int64)
            found.append(_of_corners(bodies, some, near_mm))
    return joined(found)


def joined(features: Sequence[Features]) -> Features:
    """Return all of them as one."""
    return Features(
        np.concatenate([f.gap for f in features]),
        np.concatenate([f.first for f in features]),
        np.concatenate([f.second for f in features]),
        np.concatenate([f.slope_first for f in features]),
        np.concatenate([f.slope_second for f in features]),
        np.concatenate([f.pair for f in features]),
    )


def _of_corners(bodies: Sequence[Body], members: IntArray, near_mm: float) -> Features:
    """Return the features of corners of bodies near others, for rows of pair, body and other."""
    near, other = [bodies[i] for i in members[:, 1].tolist()], [bodies[j] for j in members[:, 2].tolist()]
    points = np.array([body.points for body in near])
    radii = np.array([one.radius_mm + two.radius_mm for one, two in zip(near, other, strict=True)])
    centre, reach = np.array([body.centre for body in other]), np.array([body.reach_mm for body in other])
    # most corners are on the far side: the other's circumscribed circle tells without looking at its sides
    away = points - centre[:, None, :]
    row, corner = np.nonzero(np.hypot(away[..., 0], away[..., 1]) <= (near_mm + radii + reach)[:, None])
    points = points[row, corner]
    found, foot, direction = _feet(points[:, None, :], np.array([body.points for body in other])[row])
    gap = found[:, 0] - radii[row]
    kept = gap <= near_mm
    row, points, foot, direction = row[kept], points[kept], foot[kept, 0], direction[kept, 0]
    arm = points - np.array([body.centre for body in near])[row]
    pair, a, b = members[row].T
    return Features(gap[kept], a, b, _slopes(direction, arm), _slopes(-direction, foot - centre[row]), pair)


def _slopes(direction: FloatArray, arm: FloatArray) -> FloatArray:
    return np.column_stack((direction, direction[:, 1] * arm[:, 0] - direction[:, 0] * arm[:, 1]))


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
    found = pair_features((body, still), [(0, 1)], near_mm + keep_mm)
    slopes = np.where((found.first == 0)[:, None], found.slope_first, found.slope_second)
    return [
        Feature(gap - keep_mm, who, -1, (x, y, turn), NOT_MOVING)
        for gap, (x, y, turn) in zip(found.gap.tolist(), slopes.tolist(), strict=True)
    ]
