"""Parts as corners and edges, and the forbidden places of a drag: round-ended bands about straight cores.

While a part is only moved and never turned, one point tells where it is: how far it has moved. Every corner of the part
and every edge of a neighbour together forbid a band of movements: those that bring the corner closer to the edge than
the wall. A band is all that lies nearer than a clearance to a straight core; a disc is one corner with a radius. Two
polygons that do not overlap are exactly as far apart as their nearest corner and edge, so the bands are exact.
"""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Polygon

from layout.geometry import FloatArray, Placed, PlacedDisc

MOVE_SLACK_MM: Final = 5e-7
"""A part under way keeps the wall less this, half of what the check forgives: so it passes a gap that just fits."""

REST_MARGIN_MM: Final = 2e-7
"""A part at rest keeps the wall plus this: far above rounding, so that it measures the wall or more."""

THIN_MM: Final = 1e-5
"""A clearance below this has no band to speak of: the neighbour is shrunk by `SHRINK_MM` and keeps that instead."""

SHRINK_MM: Final = 4e-7
_THIN_SLACK_MM: Final = 1e-7
"""Shrinking rounds corners; the tip of the sharpest then reaches over by twice the shrinking, less than is forgiven."""

_FACING_MM: Final = 1e-9
"""Sides so nearly level with each other count as facing."""

BoolArray = npt.NDArray[np.bool_]

Kind = Literal["cavity", "keep-out", "side"]


@dataclass(frozen=True, slots=True)
class Body:
    """Corners of a closed outline, what is solid on their left; or the one centre of a disc with its radius, mm.

    Parameters
    ----------
    corners : array of shape (n, 2)
    runs : array of shape (n, 2)
        From each corner to the next.
    normals : array of shape (n, 2)
        Unit vectors out of each side.
    radius_mm : float
    bounds : tuple
        Of the corners.
    """

    corners: FloatArray
    runs: FloatArray
    normals: FloatArray
    radius_mm: float
    bounds: tuple[float, float, float, float]

    @property
    def is_point(self) -> bool:
        """Whether this is a disc's centre."""
        return len(self.corners) == 1


def body_of(placed: Placed, *, hollow: bool = False) -> Body:
    """Return a placed footprint as corners and sides; ``hollow``: what is solid lies outside of it."""
    if isinstance(placed, PlacedDisc):
        centre = np.array([[placed.x_mm, placed.y_mm]])
        x, y = placed.x_mm, placed.y_mm
        return Body(centre, np.zeros((1, 2)), np.zeros((1, 2)), placed.radius_mm, (x, y, x, y))
    corners = shapely.get_coordinates(placed.exterior)[:-1]
    if placed.exterior.is_ccw == hollow:
        corners = corners[::-1]
    runs = np.roll(corners, -1, axis=0) - corners
    lengths = np.maximum(np.hypot(runs[:, 0], runs[:, 1]), 1e-300)
    normals = np.column_stack((runs[:, 1], -runs[:, 0])) / lengths[:, None]
    return Body(corners, runs, normals, 0.0, placed.bounds)


def shrunk(polygon: Polygon, by_mm: float) -> Polygon:
    """Return a polygon with every side moved inward (outward if negative); itself if nothing would be left."""
    smaller = polygon.buffer(-by_mm, join_style="mitre", mitre_limit=20.0)
    return smaller if isinstance(smaller, Polygon) and not smaller.is_empty else polygon


@dataclass(slots=True)
class Obstacle:
    """What the dragged parts keep clear of.

    Parameters
    ----------
    kind, name : Kind, str
        What it is, for the user.
    outline : Placed
        As it stands in the box; of the side, the inside of the box.
    clearance_mm : float
        Distance to keep from the body under way: the rule less a slack.
    shrink_mm : float
        How far the body lies inside the outline.
    slack_mm : float
        What the clearance is less than the rule.
    """

    kind: Kind
    name: str
    outline: Placed
    clearance_mm: float
    shrink_mm: float = 0.0
    slack_mm: float = MOVE_SLACK_MM
    _body: Body | None = None

    @property
    def is_hollow(self) -> bool:
        """Whether the parts are inside of it."""
        return self.kind == "side"

    @property
    def radius_mm(self) -> float:
        """Of a disc, else 0.0."""
        return self.outline.radius_mm if isinstance(self.outline, PlacedDisc) else 0.0

    @property
    def body(self) -> Body:
        """Its corners and sides, made when it first comes near."""
        if self._body is None:
            outline = self.outline
            if self.shrink_mm and not isinstance(outline, PlacedDisc):
                outline = shrunk(outline, -self.shrink_mm if self.is_hollow else self.shrink_mm)
            self._body = body_of(outline, hollow=self.is_hollow)
        return self._body


def obstacle(kind: Kind, name: str, outline: Placed, rule_mm: float) -> Obstacle:
    """Return an obstacle that asks for a wall, or an edge."""
    if rule_mm >= THIN_MM or isinstance(outline, PlacedDisc):
        return Obstacle(kind, name, outline, rule_mm - MOVE_SLACK_MM)
    return Obstacle(kind, name, outline, rule_mm + SHRINK_MM - _THIN_SLACK_MM, SHRINK_MM, _THIN_SLACK_MM)


@dataclass(frozen=True, slots=True)
class Cores:
    """Straight cores of bands: where each starts, its run to its end, its run's square, mm; and whose pair it is."""

    starts: FloatArray
    runs: FloatArray
    squares: FloatArray
    pairs: np.ndarray[tuple[int], np.dtype[np.intp]]

    def __len__(self) -> int:
        return len(self.starts)

    def offsets(self, at: FloatArray) -> FloatArray:
        """Return the vector from the nearest point of each core to a movement, shape (n, 2)."""
        away = at - self.starts
        along = np.einsum("ij,ij->i", away, self.runs) / self.squares
        offsets: FloatArray = away - self.runs * np.clip(along, 0.0, 1.0)[:, None]
        return offsets

    def away(self, at: FloatArray) -> tuple[FloatArray, FloatArray, BoolArray]:
        """Return the direction away from each core, a unit vector; the distance to it, mm; whether one is beside it.

        Notes
        -----
        Beside a core the direction is square to it, not the quotient of two small numbers.
        """
        gone = at - self.starts
        along = np.einsum("ij,ij->i", gone, self.runs) / self.squares
        beside = (along > 0.0) & (along < 1.0)
        offsets = gone - self.runs * np.clip(along, 0.0, 1.0)[:, None]
        far = np.hypot(offsets[:, 0], offsets[:, 1])
        way = offsets / np.maximum(far, 1e-300)[:, None]
        square = self.runs[beside][:, ::-1] * [-1.0, 1.0] / np.sqrt(self.squares[beside])[:, None]
        height = np.einsum("ij,ij->i", gone[beside], square)
        way[beside] = square * np.where(height < 0.0, -1.0, 1.0)[:, None]
        far[beside] = np.abs(height)
        return way, far, beside

    def first(self, count: int) -> "Cores":
        """Return the first of the cores."""
        return Cores(self.starts[:count], self.runs[:count], self.squares[:count], self.pairs[:count])


def cores_between(moving: Body, still: Body) -> tuple[FloatArray, FloatArray]:
    """Return starts and runs of the cores of a pair: where the movement would bring a corner onto a side.

    Notes
    -----
    Only corners and sides that can be nearest: from such a corner the outline leads away from the side to both ways.
    Where two corners are nearest, one of them is so for a side next to the other, and that side's end speaks for both.
    This leaves about as many cores as the two have corners, not their product.
    """
    found: list[tuple[FloatArray, FloatArray]] = []
    if not still.is_point or moving.is_point:
        found.append(_crossed(moving, still, 1.0))
    if not moving.is_point:
        found.append(_crossed(still, moving, -1.0))
    return np.concatenate([s for s, _ in found]), np.concatenate([r for _, r in found])


def _crossed(pointed: Body, sided: Body, sign: float) -> tuple[FloatArray, FloatArray]:
    """Corners of the one with the sides of the other that face them."""
    after = pointed.runs @ sided.normals.T
    before = np.roll(pointed.runs, 1, axis=0) @ sided.normals.T
    corner, side = np.nonzero((after >= -_FACING_MM) & (before <= _FACING_MM))
    starts: FloatArray = sign * (sided.corners[side] - pointed.corners[corner])
    runs: FloatArray = sign * sided.runs[side]
    return starts, runs
