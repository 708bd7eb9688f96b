"""The layout on a page: cavities with their numbers, each batch of resin in its own tint and with its own number."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from layout.documents.page import BLACK, GREY, Area, Line, Mark, Round, Text
from layout.documents.picture import label_spot
from layout.geometry import XY, Placed, PlacedDisc
from layout.model import CavityId, Project, RoundBox
from layout.numbering import numbered, rows
from layout.regions import inner_polygon, inner_size_mm, placed_cavity

TINTS: Final = ("#ffffff", "#cfe2f3", "#fbe0bd", "#d9d9d9", "#e6d5ee", "#fff3a6")
"""Batches in turn: apart in grey and for the colour-blind; each batch's number stands in the key as well."""

LEAST_TEXT_MM: Final = 1.1
MOST_TEXT_MM: Final = 4.2
ROW_TEXT_MM: Final = 2.1
ROW_LABEL_MM: Final = 7.0


def tint(batch: int) -> str:
    """Return the tint of a batch, from 1; they come round again."""
    return TINTS[(batch - 1) % len(TINTS)]


@dataclass(frozen=True, slots=True)
class _Window:
    """Box coordinates (y up) to the page's (y down)."""

    left: float
    top: float
    scale: float
    width_mm: float

    def at(self, point: XY) -> XY:
        return self.left + point[0] * self.scale, self.top + (self.width_mm - point[1]) * self.scale


def plan_marks(
    project: Project,
    batch_of: Mapping[CavityId, int],
    number_of: Mapping[CavityId, int],
    corner: XY,
    size_mm: tuple[float, float],
) -> tuple[Mark, ...]:
    """Return the layout drawn as large as fits into a rectangle of the page, in its upper middle.

    Parameters
    ----------
    project : Project
        As glued, or mirrored.
    batch_of : mapping
        The resin batch of each cavity; those not in it are drawn dashed: empty today.
    number_of : mapping
        The number of each cavity, of the layout as glued.
    corner, size_mm : (x, y), (width, height)
        Of the rectangle, mm.
    """
    length = inner_size_mm(project.box.shape)[0]
    window = _window(project, corner, size_mm, 0.0)
    sizes = {c.id: _number_size(placed_cavity(project, c), str(number_of[c.id]), window) for c in project.cavities}
    tiny = any(size < LEAST_TEXT_MM for size in sizes.values())
    if tiny:
        window = _window(project, corner, size_mm, ROW_LABEL_MM)
    marks: list[Mark] = [_box(project, window), *_way(project, batch_of, window)]
    for cavity in project.cavities:
        placed = placed_cavity(project, cavity)
        batch = batch_of.get(cavity.id)
        marks.append(_shape(placed, window, tint(batch) if batch else None))
    if tiny:
        return (*marks, *_row_labels(project, number_of, window, length))
    for cavity in project.cavities:
        x, y = window.at(label_spot(placed_cavity(project, cavity))[0])
        size = sizes[cavity.id]
        marks.append(Text((x, y + 0.36 * size), str(number_of[cavity.id]), size, "middle", True))
    return tuple(marks)


def _window(project: Project, corner: XY, size_mm: tuple[float, float], label_mm: float) -> _Window:
    length, width = inner_size_mm(project.box.shape)
    scale = min((size_mm[0] - 2.0 * label_mm) / length, size_mm[1] / width)
    return _Window(corner[0] + (size_mm[0] - length * scale) / 2.0, corner[1], scale, width)


def _row_labels(
    project: Project, number_of: Mapping[CavityId, int], window: _Window, length_mm: float
) -> tuple[Mark, ...]:
    """The first and last number of each row beside the box, where cavities are too small to bear theirs."""
    marks: list[Mark] = []
    last_y = float("inf")
    for row in rows(project):
        bounds = placed_cavity(project, next(c for c in project.cavities if c.id == row[0])).bounds
        x, y = window.at((0.0, (bounds[1] + bounds[3]) / 2.0))
        if last_y - y < 1.2 * ROW_TEXT_MM:
            continue
        last_y = y
        base, right = y + 0.36 * ROW_TEXT_MM, x + length_mm * window.scale
        marks.append(Text((x - 1.0, base), str(number_of[row[0]]), ROW_TEXT_MM, "right"))
        marks.append(Text((right + 1.0, base), str(number_of[row[-1]]), ROW_TEXT_MM, "left"))
    return tuple(marks)


def plan_height_mm(project: Project, size_mm: tuple[float, float]) -> float:
    """Return how tall the plan comes out in a rectangle, mm."""
    length, width = inner_size_mm(project.box.shape)
    return width * min(size_mm[0] / length, size_mm[1] / width)


def _box(project: Project, window: _Window) -> Mark:
    shape = project.box.shape
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        return Round(window.at((r, r)), r * window.scale, 0.5)
    ring = inner_polygon(shape).exterior.coords[:-1]
    return Area(tuple(window.at((x, y)) for x, y in ring), 0.5)


def _shape(placed: Placed, window: _Window, fill: str | None) -> Mark:
    dash = () if fill else (0.8, 0.8)
    if isinstance(placed, PlacedDisc):
        centre = window.at((placed.x_mm, placed.y_mm))
        return Round(centre, placed.radius_mm * window.scale, 0.2, BLACK, fill, dash)
    points = tuple(window.at((p[0], p[1])) for p in placed.exterior.coords[:-1])
    return Area(points, 0.2, BLACK, fill, dash)


def _way(project: Project, batch_of: Mapping[CavityId, int], window: _Window) -> list[Mark]:
    """A thin line along the pouring order, broken where a new batch starts."""
    spots = []
    for _, cavity in numbered(project):
        if cavity.id in batch_of:
            x0, y0, x1, y1 = placed_cavity(project, cavity).bounds
            spots.append((batch_of[cavity.id], window.at(((x0 + x1) / 2.0, (y0 + y1) / 2.0))))
    return [Line(a, b, 0.25, GREY) for (m, a), (n, b) in pairwise(spots) if m == n]


def _number_size(placed: Placed, words: str, window: _Window) -> float:
    """How large a number fits in a cavity on the page, mm."""
    room = label_spot(placed)[1] * window.scale
    return min(MOST_TEXT_MM, 1.3 * room, 2.9 * room / len(words))
