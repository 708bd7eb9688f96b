"""The layout on a page: cavities with their numbers, each batch of resin in its own tint and with its own number."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from layout.documents.page import BLACK, GREY, Area, Line, Mark, Round, Text
from layout.documents.picture import label_spot
from layout.geometry import XY, Placed, PlacedDisc
from layout.mirror import mirrored
from layout.model import CavityId, Project, RoundBox
from layout.numbering import numbered, numbers, rows
from layout.regions import inner_polygon, inner_size_mm, placed_cavity, placed_holes, placed_keep_out
from layout.wording import Say, as_written

_PAPER: Final = "#ffffff"
TINTS: Final = (_PAPER, "#cfe2f3", "#fbe0bd", "#d9d9d9", "#fff3a6", "#e6d5ee")
"""Batches in turn: apart in grey and for the colour-blind; each batch's number stands in the key as well."""

LEAST_TEXT_MM: Final = 1.1
MOST_TEXT_MM: Final = 4.2
ROW_TEXT_MM: Final = 2.1
ROW_LABEL_MM: Final = 7.0
KEY_MM: Final = 31.0


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
    marks: list[Mark] = [_box(project, window), *_keep_outs(project, window), *_way(project, batch_of, window)]
    for cavity in project.cavities:
        placed = placed_cavity(project, cavity)
        batch = batch_of.get(cavity.id)
        marks.append(_shape(placed, window, tint(batch) if batch else None))
        marks += [_shape(hole, window, _PAPER) for hole in placed_holes(project, cavity)]
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


def plans(
    project: Project,
    batch_of: Mapping[CavityId, int],
    corner: XY,
    size_mm: tuple[float, float],
    say: Say = as_written,
) -> tuple[list[Mark], float]:
    """Return the layout as glued and mirrored, side by side, with the key of the batches, and how tall they are."""
    width = (size_mm[0] - 6.0) / 2.0
    key = 5.0 if len(set(batch_of.values())) > 1 else 0.0
    size = (width, size_mm[1] - 5.0 - key)
    number = numbers(project)
    tall = plan_height_mm(project, size)
    spare = max(0.0, size_mm[1] - 5.0 - key - tall)
    top = corner[1] + min(2.0, spare / 3.0)
    marks: list[Mark] = []
    for index, (title, shown) in enumerate(
        (("As the masters are glued", project), ("Mirror image: the mold from its open face", mirrored(project)))
    ):
        x = corner[0] + index * (width + 6.0)
        marks.append(Text((x + width / 2.0, top + 3.0), say(title), 3.0, "middle", True))
        marks += plan_marks(shown, batch_of, number, (x, top + 4.4), size)
    if key:
        marks += _key(batch_of, (corner[0], top + 4.4 + tall + 4.0), size_mm[0], say)
    return marks, top - corner[1] + 4.4 + tall + key + 2.0


def _key(batch_of: Mapping[CavityId, int], at: XY, width_mm: float, say: Say) -> list[Mark]:
    number_of = sorted(set(batch_of.values()))
    x, y = at
    marks: list[Mark] = []
    for batch in number_of:
        if x + 2.0 * KEY_MM > at[0] + width_mm and batch != number_of[-1]:
            marks.append(Text((x, y), say(f"... to {number_of[-1]}, in turn"), 2.8))
            break
        corners = ((x, y - 2.6), (x + 4.4, y - 2.6), (x + 4.4, y + 0.4), (x, y + 0.4))
        marks.append(Area(corners, 0.2, fill=tint(batch)))
        marks.append(Text((x + 5.4, y), say(f"resin batch {batch}"), 2.8))
        x += KEY_MM
    return marks


def _box(project: Project, window: _Window) -> Mark:
    shape = project.box.shape
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        return Round(window.at((r, r)), r * window.scale, 0.5)
    ring = inner_polygon(shape).exterior.coords[:-1]
    return Area(tuple(window.at((x, y)) for x, y in ring), 0.5)


def _keep_outs(project: Project, window: _Window) -> list[Mark]:
    """Where no master stands: hatched, with a cross so that it is told apart from a cavity."""
    marks: list[Mark] = []
    for area in project.keep_outs:
        placed = placed_keep_out(area)
        if isinstance(placed, PlacedDisc):
            centre, r = window.at((placed.x_mm, placed.y_mm)), placed.radius_mm * window.scale
            marks.append(Round(centre, r, 0.2, GREY, hatch=True))
            corners = [(centre[0] - 0.7 * r, centre[1] - 0.7 * r), (centre[0] + 0.7 * r, centre[1] + 0.7 * r)]
        else:
            points = tuple(window.at((p[0], p[1])) for p in placed.exterior.coords[:-1])
            marks.append(Area(points, 0.2, GREY, hatch=True))
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            corners = [(min(xs), min(ys)), (max(xs), max(ys))]
        (x0, y0), (x1, y1) = corners
        marks += [Line((x0, y0), (x1, y1), 0.2, GREY), Line((x0, y1), (x1, y0), 0.2, GREY)]
    return marks


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
