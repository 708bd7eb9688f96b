"""No-fit regions: where a part may not be put beside another, and how close it may come from above or from the side."""

from dataclasses import dataclass, field
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import MultiPoint, Polygon

from layout.fill.parts import Part
from layout.geometry import FloatArray, turned

OUT_OF_REACH: Final = -1.0e4
"""Stands for "no contact at all" in tables, mm; finite, so that neighbours can be interpolated."""

MANY_PIECES: Final = 9
"""Regions of more pieces than this are united first: fewer sides to look at."""


@dataclass(frozen=True, slots=True)
class Region:
    """The union of rings, counter-clockwise; all their sides as rows of starts and ends (a point is its own side)."""

    rings: tuple[FloatArray, ...]
    starts: FloatArray
    ends: FloatArray


@dataclass(slots=True)
class NoFit:
    """The no-fit regions of one part against itself at any pair of angles, for one wall.

    Parameters
    ----------
    part : Part
    wall_mm : float
        Between the cores: the rule's wall plus twice the rounding.

    Notes
    -----
    N(phi) = P (+) -rot(P, phi), the union over convex pieces of the hulls of their corners' differences. The distance
    of P and rot(P, phi) + v is exactly the distance of v and N(phi), so a wall is an exact offset of N.
    """

    part: Part
    wall_mm: float
    _regions: dict[float, Region] = field(default_factory=dict)

    def region(self, relative_deg: float) -> Region:
        """Return where the part turned by this angle, put at v, would touch the part at 0 degrees at the origin."""
        key = round(relative_deg % 360.0, 7)
        if key not in self._regions:
            self._regions[key] = _region(self.part, key)
        return self._regions[key]

    def highest(self, lower_deg: float, upper_deg: float, x_mm: npt.ArrayLike) -> FloatArray:
        """Return the least height at which a part clears another from above.

        Parameters
        ----------
        lower_deg, upper_deg : float
            The angles of the part below, at the origin, and of the part above.
        x_mm : array
            How far the upper stands to the right.

        Returns
        -------
        array
            The greatest y at which (x, y) is within the wall of the region; `OUT_OF_REACH` where none is. Exact.
        """
        region = self.region(upper_deg - lower_deg)
        return _highest(turned(region.starts, lower_deg), turned(region.ends, lower_deg), self.wall_mm, x_mm)

    def rightmost(self, left_deg: float, right_deg: float, y_mm: npt.ArrayLike) -> FloatArray:
        """Return the least distance along x at which a part clears another that stands to its left, raised by y."""
        region = self.region(right_deg - left_deg)
        starts, ends = turned(region.starts, left_deg + 90.0), turned(region.ends, left_deg + 90.0)
        return _highest(starts, ends, self.wall_mm, -np.asarray(y_mm, dtype=np.float64))

    def reach_mm(self) -> float:
        """Return a distance beyond which two parts never come too close."""
        return 2.0 * self.part.radius_mm + self.wall_mm


def _region(part: Part, relative_deg: float) -> Region:
    sums = [
        (p[:, None, :] - turned(q, relative_deg)[None, :, :]).reshape(-1, 2) for p in part.pieces for q in part.pieces
    ]
    hulls: npt.NDArray[np.object_] = np.array([shapely.convex_hull(MultiPoint(s)) for s in sums], dtype=object)
    if len(hulls) > MANY_PIECES:
        # without a grid, unions of many pieces raise topology errors; 1e-7 mm is a tenth of the check's tolerance
        union = shapely.union_all(shapely.set_precision(hulls, 1e-7), grid_size=1e-7)
        hulls = shapely.get_parts(union)
    rings = [_ring(hull) for hull in hulls]
    return Region(tuple(rings), np.concatenate(rings), np.concatenate([np.roll(ring, -1, axis=0) for ring in rings]))


def _ring(hull: shapely.Geometry) -> FloatArray:
    """Return the corners of a hull, counter-clockwise; of a point or a line, its ends."""
    if not isinstance(hull, Polygon):
        return np.asarray(shapely.get_coordinates(hull))
    ring = np.asarray(hull.exterior.coords)[:-1]
    return ring if hull.exterior.is_ccw else ring[::-1]


def _highest(starts: FloatArray, ends: FloatArray, wall_mm: float, x_mm: npt.ArrayLike) -> FloatArray:
    x = np.asarray(x_mm, dtype=np.float64)
    best = np.full(x.shape, OUT_OF_REACH)
    flat, out = x.reshape(-1), best.reshape(-1)
    step = max(1, 400_000 // max(1, len(starts)))
    for k in range(0, len(flat), step):
        out[k : k + step] = _highest_block(starts, ends, wall_mm, flat[k : k + step])
    return best


def _highest_block(starts: FloatArray, ends: FloatArray, wall_mm: float, x: FloatArray) -> FloatArray:
    dx = x[:, None] - starts[None, :, 0]
    square = wall_mm * wall_mm - dx * dx
    # 1e-12: a corner exactly one wall away must still count as touched
    round_part = np.where(square >= -1e-12, starts[None, :, 1] + np.sqrt(np.maximum(square, 0.0)), OUT_OF_REACH)
    best: FloatArray = round_part.max(axis=1)
    along = ends - starts
    up = along[:, 0] < -1e-12
    if up.any():
        a, d = starts[up], along[up]
        normal = np.column_stack((d[:, 1], -d[:, 0])) / np.hypot(d[:, 0], d[:, 1])[:, None]
        a = a + normal * wall_mm
        share = (x[:, None] - a[None, :, 0]) / d[None, :, 0]
        inside = (share >= -1e-12) & (share <= 1.0 + 1e-12)
        best = np.maximum(best, np.where(inside, a[None, :, 1] + share * d[None, :, 1], OUT_OF_REACH).max(axis=1))
    return best
