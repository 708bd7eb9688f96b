"""The placement template: the base at full size, seen from above as the masters are glued, tiled on the user's paper.

Neighbouring pages overlap; crosses in the overlap are laid over each other. Two bars on every page show whether the
printer kept the size.
"""

from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry import Polygon

from layout.box.outline import grown
from layout.box.shapes import (
    Circle,
    Layer,
    Shape,
    line,
    moved,
    polygon_of,
    polyline,
    rectangle,
    ring_path,
    without_doubles,
)
from layout.box.strokes import text_strokes, text_width_mm
from layout.documents.page import GREY, Area, Line, Mark, Page, Paper, Round, Text
from layout.documents.template_frame import MIRRORED, SIDE_UP, TRUE_SIZE, frame, outside, seams
from layout.documents.template_spots import Number, Spot, cross_lines, spots
from layout.documents.template_tiles import OVERLAP_MM, Tile, tiles
from layout.errors import BadValueError
from layout.geometry import XY, Placed, PlacedDisc, as_polygon
from layout.model import OutlineBox, Project, RectBox, RoundBox
from layout.regions import inner_size_mm, placed_keep_out
from layout.wording import Say, as_written

__all__ = [
    "MIRRORED",
    "OVERLAP_MM",
    "SIDE_UP",
    "TRUE_SIZE",
    "outer_bounds",
    "template_pages",
    "template_shapes",
    "tiles",
]


def _rim_mm(project: Project) -> float:
    """Return how far the base reaches past the inside, under the sides."""
    box = project.box
    if isinstance(box.shape, RectBox) and box.joint != "butt":
        return box.thickness_mm if box.joint == "tab" else 0.0
    if box.base != "under":
        return 0.0
    tube = box.tube_wall_mm if isinstance(box.shape, RoundBox) else None
    return box.thickness_mm if tube is None else tube


def outer_bounds(project: Project) -> tuple[float, float, float, float]:
    """Return the base's bounds in box coordinates: with the rim under the sides where there is one."""
    rim, shape = _rim_mm(project), project.box.shape
    if isinstance(shape, OutlineBox):
        return _base_outline(project, shape).bounds
    length, width = inner_size_mm(shape)
    return -rim, -rim, length + rim, width + rim


def _base_outline(project: Project, shape: OutlineBox) -> Polygon:
    rim = _rim_mm(project)
    return polygon_of(grown(shape.points, rim)) if rim else Polygon(shape.points)


MOST_PAGES: Final = 200


def template_pages(
    project: Project, paper: Paper, letters: tuple[Polygon, ...] = (), say: Say = as_written
) -> tuple[Page, ...]:
    """Return the pages of the template, all at full size.

    Parameters
    ----------
    project : Project
    paper : Paper
    letters : tuple of Polygon
        Raised letters that are glued to the base too, box coordinates.
    say : callable
        What is written, in the reader's language.

    Raises
    ------
    BadValueError
        If the base would need more than `MOST_PAGES`.
    """
    page, windows = tiles(outer_bounds(project), paper)
    if len(windows) > MOST_PAGES:
        raise BadValueError(
            "template",
            f"the base would take {len(windows)} pages of {paper.name}",
            "write the template as DXF and have it plotted",
        )
    found = spots(project)
    taken = shapely.STRtree([as_polygon(spot.placed) for spot in found])

    def marks(tile: Tile, number: int) -> tuple[Mark, ...]:
        drawn = (*_drawing(project, tile, found, letters, say), *seams(tile, windows, taken))
        return *drawn, *frame(project, page, tile, number, windows, say)

    return tuple(Page(page.width_mm, page.height_mm, marks(tile, n)) for n, tile in enumerate(windows, start=1))


@dataclass(frozen=True, slots=True)
class _View:
    """Base coordinates to page coordinates, clipped to the tile."""

    tile: Tile

    def to_page(self, point: XY) -> XY:
        return self.tile.to_page(point)

    @property
    def window(self) -> Polygon:
        t = self.tile
        return shapely.box(t.x_mm, t.y_mm, t.x_mm + t.width_mm, t.y_mm + t.height_mm)

    def outline(
        self, placed: Placed, width_mm: float, dash: tuple[float, ...] = (), colour: str = "#000000"
    ) -> list[Mark]:
        """Return an outline; whole if the page shows all of it, else the parts it shows."""
        polygon = as_polygon(placed)
        if self.window.contains(polygon):
            if isinstance(placed, PlacedDisc):
                centre = self.to_page((placed.x_mm, placed.y_mm))
                return [Round(centre, placed.radius_mm, width_mm, colour, dash_mm=dash)]
            points = tuple(self.to_page((x, y)) for x, y in polygon.exterior.coords[:-1])
            return [Area(points, width_mm, colour, dash_mm=dash)]
        seen = shapely.line_merge(polygon.exterior.intersection(self.window))
        return [
            Area(tuple(self.to_page((x, y)) for x, y, *_ in part.coords), width_mm, colour, dash_mm=dash, closed=False)
            for part in shapely.get_parts(seen)
            if part.geom_type == "LineString"
        ]

    def line(self, a: XY, b: XY, width_mm: float, dash: tuple[float, ...] = ()) -> list[Mark]:
        seen = shapely.LineString([a, b]).intersection(self.window)
        if seen.geom_type != "LineString" or seen.is_empty:
            return []
        p, q = seen.coords[0], seen.coords[-1]
        return [Line(self.to_page((p[0], p[1])), self.to_page((q[0], q[1])), width_mm, dash_mm=dash)]

    def text(self, at: XY, words: str, size_mm: float, colour: str = "#000000") -> list[Mark]:
        """Return words about a point, if they are on the page whole."""
        across, up = 0.33 * size_mm * len(words), 0.4 * size_mm
        if not self.tile.shows(at[0] - across, at[1] - up, at[0] + across, at[1] + up):
            return []
        x, y = self.to_page(at)
        return [Text((x, y + 0.36 * size_mm), words, size_mm, "middle", colour=colour)]


def _drawing(
    project: Project, tile: Tile, found: tuple[Spot, ...], letters: tuple[Polygon, ...], say: Say
) -> list[Mark]:
    view = _View(tile)
    marks = _box_marks(project, view)
    for area in project.keep_outs:
        marks += view.outline(placed_keep_out(area), 0.15, (2.0, 1.0), GREY)
        marks += view.text((area.x_mm, area.y_mm), say(area.purpose or area.id), 3.0, GREY)
    for spot in found:
        if not outside(spot.placed.bounds, tile):
            marks += _cavity_marks(view, spot)
    for letter in letters:
        marks += view.outline(letter, 0.2)
        for hole in letter.interiors:
            marks += view.outline(Polygon(hole), 0.2)
    return marks


def _box_marks(project: Project, view: _View) -> list[Mark]:
    shape = project.box.shape
    x0, y0, x1, y1 = outer_bounds(project)
    length, width = inner_size_mm(shape)
    marks: list[Mark] = []
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        marks += view.outline(PlacedDisc(r, r, r), 0.35)
        if x0 < 0.0:
            marks += view.outline(PlacedDisc(r, r, r - x0), 0.15)
        return marks
    if isinstance(shape, OutlineBox):
        marks += view.outline(Polygon(shape.points), 0.35)
        return marks + (view.outline(_base_outline(project, shape), 0.15) if x0 < 0.0 else [])
    marks += view.outline(shapely.box(0.0, 0.0, length, width), 0.35)
    if x0 < 0.0:
        marks += view.outline(shapely.box(x0, y0, x1, y1), 0.15)
    return marks


def _cavity_marks(view: _View, spot: Spot) -> list[Mark]:
    marks = view.outline(spot.placed, 0.25, (1.5, 1.0) if spot.cavity.empty else ())
    for hole in spot.holes:
        marks += view.outline(hole, 0.25, (1.5, 1.0) if spot.cavity.empty else ())
    for border in spot.glue:
        marks += view.outline(border, 0.1, (1.0, 0.8), GREY)
    for a, b in _cross(spot):
        marks += view.line(a, b, 0.15)
    for a, b in spot.arrow:
        marks += view.line(a, b, 0.2)
    number = spot.number
    # whole or not at all: the overlap is wider than a number, so that it is whole on another page
    if view.tile.shows(*number.bounds):
        x, y = view.to_page((number.x_mm, number.y_mm))
        marks.append(Text((x, y + 0.36 * number.size_mm), number.words, number.size_mm, "middle"))
    return marks


def _cross(spot: Spot) -> tuple[tuple[XY, XY], ...]:
    return cross_lines((spot.cavity.x_mm, spot.cavity.y_mm), spot.cross_mm)


def template_shapes(project: Project, letters: tuple[Polygon, ...] = ()) -> tuple[Shape, ...]:
    """Return the template as lines for a DXF, box coordinates moved so that the base starts at the origin."""
    x0, y0, _, y1 = outer_bounds(project)
    shape = project.box.shape
    length, width = inner_size_mm(shape)
    drawn: list[Shape] = []
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        drawn.append(Circle(r, r, r, Layer.DRAW))
    elif isinstance(shape, OutlineBox):
        drawn.append(polyline(shape.points, Layer.DRAW))
    else:
        drawn.append(rectangle(0.0, 0.0, length, width, Layer.DRAW))
    inner: list[Shape] = []
    for spot in spots(project):
        drawn.append(_shape_of(spot.placed))
        drawn += [_shape_of(hole) for hole in spot.holes]
        inner += [_shape_of(border, Layer.NOTES) for border in spot.glue]
        inner += _number_strokes(spot.number)
        # the arrow runs along an arm of the cross: no stretch is drawn twice
        inner += without_doubles(tuple(line(a, b) for a, b in (*spot.arrow, *_cross(spot))))
    for letter in letters:
        inner += [ring_path(ring, Layer.DRAW) for ring in (letter.exterior, *letter.interiors)]
    notes: list[Shape] = []
    for i, words in enumerate((MIRRORED, SIDE_UP)):
        notes += text_strokes(words, (x0, y1 + 6.0 + 7.0 * i), 4.0, layer=Layer.NOTES)
    every = (*without_doubles(tuple(drawn)), *inner, *notes)
    return tuple(moved(s, -x0, -y0) for s in every)


def _number_strokes(number: Number) -> tuple[Shape, ...]:
    x0, _, x1, _ = number.bounds
    height = min(0.72 * number.size_mm, (x1 - x0) / text_width_mm(number.words, 1.0))
    return text_strokes(number.words, (number.x_mm, number.y_mm - height / 2.0), height, anchor="middle")


def _shape_of(placed: Placed, layer: Layer = Layer.DRAW) -> Shape:
    if isinstance(placed, PlacedDisc):
        return Circle(placed.x_mm, placed.y_mm, placed.radius_mm, layer)
    return ring_path(placed.exterior, layer)
