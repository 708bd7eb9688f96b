"""Parts that already overlap when a drag begins: they may be moved apart, never deeper into each other."""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from layout.geometry import FloatArray

_ON_LINE_MM = 1e-7


@dataclass(slots=True)
class Overlap:
    """A dragged part that overlaps a neighbour, or sticks out of a box of free outline.

    Parameters
    ----------
    moving : Polygon
        The part where the drag began.
    still : Polygon
        The neighbour, or the inside of the box.
    outside : bool
        Whether it is the part outside ``still`` that must not grow.
    pair : int
    """

    moving: Polygon
    still: Polygon
    outside: bool
    pair: int

    def region(self, at: FloatArray) -> shapely.Geometry:
        """Return where the rule is broken after a movement."""
        there = shapely.transform(self.moving, lambda xy: xy + at)
        return there.difference(self.still) if self.outside else there.intersection(self.still)

    def area_mm2(self, at: FloatArray) -> float:
        """Return the area of that region."""
        return float(shapely.area(self.region(at)))

    def is_over(self, at: FloatArray) -> bool:
        """Return whether the movement has brought the two apart (or the part inside), and clear of each other."""
        there = shapely.transform(self.moving, lambda xy: xy + at)
        if self.outside:
            return bool(self.still.contains(there)) and bool(self.still.exterior.distance(there) > _ON_LINE_MM)
        return bool(there.distance(self.still) > _ON_LINE_MM)

    def growth(self, at: FloatArray) -> FloatArray:
        """Return the direction in which the area grows fastest, as a unit vector; zero if it grows nowhere.

        Notes
        -----
        Moving the part shifts its own border only, so the area grows at the rate of the outward normals of that border
        inside the region, summed by length.
        """
        border = self.still.exterior
        total = np.zeros(2)
        for piece in shapely.get_parts(self.region(at)):
            if piece.geom_type != "Polygon" or piece.area <= 0.0:
                continue
            ring_of = orient(piece)
            for ring in (ring_of.exterior, *ring_of.interiors):
                xy = shapely.get_coordinates(ring)
                step = np.diff(xy, axis=0)
                middle = shapely.points((xy[:-1] + xy[1:]) / 2.0)
                own = shapely.distance(middle, border) > _ON_LINE_MM
                total += np.array([step[own, 1].sum(), -step[own, 0].sum()])
        size = float(np.hypot(*total))
        return total / size if size > 1e-9 else np.zeros(2)
