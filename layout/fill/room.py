"""The room a part may be put in: inside the box by the edge, clear of pinned cavities and keep-outs."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Point, Polygon

from layout.fill.parts import Part
from layout.fill.search import Task
from layout.geometry import FloatArray, PlacedDisc, cos_sin
from layout.model import OutlineBox, RectBox, RoundBox
from layout.regions import inner_size_mm

CLEAR_MM = 1e-7
"""A keep-out may be touched, not entered; touching is told from entering by this distance."""


@dataclass(frozen=True, slots=True)
class Room:
    """Where the core of a part may be.

    Parameters
    ----------
    part : Part
    shape : RectBox, RoundBox or OutlineBox
    inset_mm : float
        The edge and the part's rounding.
    obstacles : tuple of (geometry, distance)
        Cores of pinned cavities and keep-outs, with the distance to keep from the part's core, mm.
    """

    part: Part
    shape: RectBox | RoundBox | OutlineBox
    inset_mm: float
    obstacles: tuple[tuple[Point | Polygon, float], ...]

    @property
    def plain(self) -> bool:
        """Whether it is a rectangle with nothing in it."""
        return isinstance(self.shape, RectBox) and not self.obstacles

    @property
    def inside_mm(self) -> tuple[float, float, float, float]:
        """Least x, least y, width and height of the bounding rectangle of the core's room."""
        length, width = inner_size_mm(self.shape)
        return self.inset_mm, self.inset_mm, length - 2.0 * self.inset_mm, width - 2.0 * self.inset_mm

    def allows(self, x_mm: FloatArray, y_mm: FloatArray, angle_deg: FloatArray) -> npt.NDArray[np.bool_]:
        """Return for each place whether the box and the obstacles allow it; other free cavities are not looked at."""
        corners = placed_corners(self.part, x_mm, y_mm, angle_deg)
        fine = self._in_box(corners)
        if not self.obstacles or not fine.any():
            return fine
        shapes = _geometries(corners[fine])
        clear = np.ones(len(shapes), dtype=bool)
        for obstacle, distance in self.obstacles:
            clear &= shapely.distance(shapes, obstacle) >= max(distance, CLEAR_MM)
        fine[fine] = clear
        return fine

    def crowding_mm(self, x_mm: FloatArray, y_mm: FloatArray, angle_deg: FloatArray) -> FloatArray:
        """Return for each place how much too near it is to obstacles, and how deep in them; 0.0 where it is clear."""
        shapes = _geometries(placed_corners(self.part, x_mm, y_mm, angle_deg))
        crowding = np.zeros(len(shapes))
        for obstacle, distance in self.obstacles:
            crowding += np.maximum(0.0, distance - shapely.distance(shapes, obstacle))
            crowding += np.sqrt(shapely.area(shapely.intersection(shapes, obstacle)))
        return crowding

    def _in_box(self, corners: FloatArray) -> npt.NDArray[np.bool_]:
        tol = 1e-7
        if isinstance(self.shape, RectBox):
            size = np.array([self.shape.length_mm, self.shape.width_mm])
            low, high = corners.min(axis=1), corners.max(axis=1)
            rect: npt.NDArray[np.bool_] = ((low >= self.inset_mm - tol) & (high <= size - self.inset_mm + tol)).all(
                axis=1
            )
            return rect
        if isinstance(self.shape, RoundBox):
            r = self.shape.diameter_mm / 2.0
            far = np.hypot(corners[:, :, 0] - r, corners[:, :, 1] - r).max(axis=1)
            inside: npt.NDArray[np.bool_] = far <= r - self.inset_mm + tol
            return inside
        box = Polygon(self.shape.points)
        shapely.prepare(box)
        # far from every side one look at a corner tells; what is left is measured in full
        x, y = corners[:, 0, 0], corners[:, 0, 1]
        within = shapely.contains_xy(box, x, y)
        far = shapely.distance(shapely.points(x, y), box.exterior) - self.inset_mm > 2.0 * self.part.radius_mm
        near = within & ~far
        shapes = _geometries(corners[near])
        near[near] = shapely.contains(box, shapes) & (shapely.distance(shapes, box.exterior) >= self.inset_mm - tol)
        clear: npt.NDArray[np.bool_] = (within & far) | near
        return clear


def placed_corners(part: Part, x_mm: FloatArray, y_mm: FloatArray, angle_deg: FloatArray) -> FloatArray:
    """Return the corners of the placed cores, shape (places, corners, 2)."""
    turns = np.array([cos_sin(float(a)) for a in angle_deg]).reshape(-1, 2)
    c, s = turns[:, :1], turns[:, 1:]
    px, py = part.points[None, :, 0], part.points[None, :, 1]
    return np.stack((px * c - py * s + x_mm[:, None], px * s + py * c + y_mm[:, None]), axis=2)


def _geometries(corners: FloatArray) -> npt.NDArray[np.object_]:
    shapes = shapely.points(corners[:, 0]) if corners.shape[1] == 1 else shapely.polygons(corners)
    return np.asarray(shapes, dtype=object)


def room_of(task: Task, part: Part) -> Room:
    """Return the room of a task's free part."""
    obstacles: list[tuple[Point | Polygon, float]] = []
    for placed, distance in task.obstacles:
        keep = distance + part.rounding_mm
        if isinstance(placed, PlacedDisc):
            obstacles.append((Point(placed.x_mm, placed.y_mm), keep + placed.radius_mm))
        else:
            obstacles.append((placed, keep))
    project = task.project
    return Room(part, project.box.shape, project.rules.edge_mm + part.rounding_mm, tuple(obstacles))
