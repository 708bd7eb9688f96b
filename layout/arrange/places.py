"""Where a copy or a new cavity may stand: the legal place nearest to a wish."""

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np
import shapely

from layout import edits
from layout.geometry import FloatArray, Placed, as_polygon, depth_mm, distance_mm, moved
from layout.hold import Hold
from layout.model import CavityId, MasterId, Project
from layout.regions import edge_distance_mm, inner_size_mm, placed_cavities, placed_keep_out
from layout.tolerances import CLEARANCE_TOL_MM

_LOOKS: Final = 4000
"""Places looked at before giving up: a grid over the whole box no coarser than a sixtieth of its longer side."""


class _Room:
    """What stands in the box, asked whether a group of footprints has room."""

    def __init__(self, project: Project, placed: Mapping[CavityId, Placed], but: Collection[CavityId]) -> None:
        self._shape = project.box.shape
        self._edge_mm = project.rules.edge_mm
        wall = project.rules.wall_mm
        skipped = set(but)
        self._still: list[tuple[Placed, float]] = [(p, wall) for i, p in placed.items() if i not in skipped]
        self._still += [(placed_keep_out(k), 0.0) for k in project.keep_outs]
        self._wall_mm = wall
        self._tree = shapely.STRtree(np.array([as_polygon(p) for p, _ in self._still], dtype=object))

    def has(self, group: Sequence[Placed]) -> bool:
        return all(self._fits(placed) for placed in group)

    def _fits(self, placed: Placed) -> bool:
        if edge_distance_mm(self._shape, placed) < self._edge_mm:
            return False
        near = self._tree.query(as_polygon(placed), predicate="dwithin", distance=self._wall_mm + CLEARANCE_TOL_MM)
        for index in near:
            other, wall = self._still[int(index)]
            gap = distance_mm(placed, other)
            if gap < wall - CLEARANCE_TOL_MM / 2.0:
                return False
            if gap <= 0.0 and depth_mm(placed, other)[0] > CLEARANCE_TOL_MM / 2.0:
                return False
        return True


def _rings(step_mm: float, farthest_mm: float, low: FloatArray, high: FloatArray) -> Iterator[tuple[float, float]]:
    """Shifts on a grid between two corners, nearest first."""
    count = math.ceil(farthest_mm / step_mm)
    steps = np.arange(-count, count + 1) * step_mm
    x, y = (steps[(lo <= steps) & (steps <= hi)] for lo, hi in zip(low, high, strict=True))
    across, up = (grid.ravel() for grid in np.meshgrid(x, y))
    for k in np.lexsort((up, across, across * across + up * up)).tolist():
        yield float(across[k]), float(up[k])


def nearest_place(project: Project, ids: Collection[CavityId]) -> tuple[float, float] | None:
    """Return how far cavities must be moved, together, to stand legally, as near to where they are as can be.

    Returns
    -------
    (dx_mm, dy_mm) or None
        (0, 0) if they are legal already; None if no place was found.

    Notes
    -----
    A grid over the box finds places; from the nearest few the group slides back toward where it was, as if dragged, and
    the nearest rest wins. So a place is at the wall exactly. Lanes thinner than the grid may be missed.
    """
    placed = placed_cavities(project)
    asked = set(ids)
    group = [p for i, p in placed.items() if i in asked]
    room = _Room(project, placed, ids)
    if not group or room.has(group):
        return 0.0, 0.0
    far = math.hypot(*inner_size_mm(project.box.shape)) + math.hypot(*_middle_off(project, group))
    step = max(_least_side_mm(group) / 4.0, math.sqrt(4.0 * far * far / _LOOKS), 0.25)
    best: tuple[float, float] | None = None
    tried = 0
    for dx, dy in _rings(step, far, *_shifts_inside(project, group)):
        found = best is not None and math.hypot(dx, dy) > math.hypot(*best) + 2.0 * step
        if found or tried >= 6:
            break
        if not room.has([moved(p, dx, dy) for p in group]):
            continue
        tried += 1
        there = edits.move_cavities(project, ids, dx, dy)
        rest = Hold.begin(there, ids, _placed_there(placed, there, ids)).move_to(-dx, -dy)
        shift = (dx + rest.dx_mm, dy + rest.dy_mm)
        if best is None or math.hypot(*shift) < math.hypot(*best):
            best = shift
    return best


def _shifts_inside(project: Project, group: Sequence[Placed]) -> tuple[FloatArray, FloatArray]:
    """The least and the greatest shifts along x and y with which a group may keep the edge of any box so large."""
    extents = np.array([p.bounds for p in group])
    edge = project.rules.edge_mm - CLEARANCE_TOL_MM
    size = np.array(inner_size_mm(project.box.shape))
    return edge - extents[:, :2].min(axis=0), size - edge - extents[:, 2:].max(axis=0)


def _placed_there(
    placed: Mapping[CavityId, Placed], there: Project, ids: Collection[CavityId]
) -> dict[CavityId, Placed]:
    """Every cavity where a project has it, of which only these have moved."""
    moving = set(ids)
    return {**placed, **placed_cavities(replace(there, cavities=tuple(c for c in there.cavities if c.id in moving)))}


def _middle_off(project: Project, group: Sequence[Placed]) -> tuple[float, float]:
    length, width = inner_size_mm(project.box.shape)
    x0, y0, x1, y1 = np.array([p.bounds for p in group]).T
    return (
        float(x0.min() + x1.max()) / 2.0 - length / 2.0,
        float(y0.min() + y1.max()) / 2.0 - width / 2.0,
    )


def _least_side_mm(group: Sequence[Placed]) -> float:
    return min(min(x1 - x0, y1 - y0) for x0, y0, x1, y1 in (p.bounds for p in group))


def duplicate(project: Project, ids: Collection[CavityId]) -> tuple[Project, tuple[CavityId, ...]]:
    """Return the project with copies of these cavities, together at the nearest legal place, and the copies' ids.

    Notes
    -----
    Where there is no legal place the copies stand beside the originals, for the user to see what is in the way.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    """
    edits.change_cavities(project, ids, lambda cavity: cavity)
    chosen = [c for c in project.cavities if c.id in set(ids)]
    after, new = edits.add_cavities(project, [(c.master, c.x_mm, c.y_mm, c.angle_deg) for c in chosen])
    if not new:
        return project, ()
    return _settled(after, new)


def place_near(
    project: Project, master: MasterId, x_mm: float, y_mm: float, angle_deg: float = 0.0
) -> tuple[Project, CavityId]:
    """Return the project with one more cavity at the legal place nearest to (x, y), and its id.

    Raises
    ------
    UnknownNameError
        If the master is not in the project.
    BadValueError
        If a coordinate is not finite.
    """
    after, new = edits.add_cavities(project, [(master, x_mm, y_mm, angle_deg)])
    settled, ids = _settled(after, new)
    return settled, ids[0]


def _settled(project: Project, new: tuple[CavityId, ...]) -> tuple[Project, tuple[CavityId, ...]]:
    shift = nearest_place(project, new)
    if shift is None:
        shift = (10.0, -10.0)
    return edits.move_cavities(project, new, *shift), new
