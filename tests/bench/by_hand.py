"""What a ruler and a pencil reach: rows and columns of bounding boxes."""

import shapely

from layout.geometry import footprint_size_mm
from layout.model import OutlineBox, Project, RectBox

SHIFTS = 8
"""In a box that is no rectangle the grid is laid at so many places along each side."""


def by_hand(project: Project) -> int:
    """Return rows and columns of bounding boxes, the better of two turns (if turning is allowed)."""
    length, width = footprint_size_mm(project.masters[0].footprint)
    counts = [_grid(project, length, width)]
    if project.rules.turn != "0":
        counts.append(_grid(project, width, length))
    return max(counts)


def _grid(project: Project, length: float, width: float) -> int:
    shape, rules = project.box.shape, project.rules
    if isinstance(shape, OutlineBox):
        return _grid_inside(shapely.Polygon(shape.points).buffer(-rules.edge_mm), length, width, rules.wall_mm)
    assert isinstance(shape, RectBox)
    along = (shape.length_mm - 2 * rules.edge_mm + rules.wall_mm + 1e-9) / (length + rules.wall_mm)
    across = (shape.width_mm - 2 * rules.edge_mm + rules.wall_mm + 1e-9) / (width + rules.wall_mm)
    return int(along) * int(across)


def _grid_inside(room: shapely.Geometry, length: float, width: float, wall: float) -> int:
    """Return the most cells of a grid that lie in the room, over a few places of the grid."""
    x0, y0, x1, y1 = shapely.bounds(room).tolist()
    best = 0
    for i in range(SHIFTS):
        for j in range(SHIFTS):
            x, y = x0 + i * (length + wall) / SHIFTS, y0 + j * (width + wall) / SHIFTS
            cells = [
                shapely.box(
                    x + m * (length + wall),
                    y + n * (width + wall),
                    x + m * (length + wall) + length,
                    y + n * (width + wall) + width,
                )
                for m in range(int((x1 - x) / (length + wall)) + 1)
                for n in range(int((y1 - y) / (width + wall)) + 1)
            ]
            best = max(best, int(shapely.covers(shapely.buffer(room, 1e-9), cells).sum()))
    return best
