"""The placement template: the base at full size, seen from above as the masters are glued, tiled on the user's paper.

Neighbouring pages overlap; crosses in the overlap are laid over each other. Two bars on every page show whether the
printer kept the size.
"""

import math
from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry import Polygon

from layout.box.shapes import Circle, Layer, Shape, line, moved, polyline, rectangle, without_doubles
from layout.box.strokes import text_strokes, text_width_mm
from layout.documents.page import GREY, Area, Line, Mark, Page, Paper, Round, Text
from layout.errors import BadValueError
from layout.geometry import XY, Placed, PlacedDisc, as_polygon, cos_sin
from layout.mirror import AS_GLUED
from layout.model import Cavity, OutlineBox, Project, RectBox, RoundBox
from layout.numbering import numbered
from layout.regions import inner_size_mm, placed_cavity, placed_keep_out
from layout.units import length_text

OVERLAP_MM: Final = 10.0
MARGIN_MM: Final = 10.0
HEAD_MM: Final = 8.0
FOOT_MM: Final = 26.0
GLUE_INSET_MM: Final = 1.5
"""The glue stays this far inside the edge: glue that squeezes out would be copied. Common practice, no source."""

CHECK_BARS: Final = ((100.0, "100 mm"), (101.6, "4 in"))
SIDE_UP: Final = "This side up: lay it on the base and glue the masters on it as drawn."
MIRRORED: Final = "The finished mold, seen from its open face, is the mirror image of this sheet."
TRUE_SIZE: Final = "Print at 100 %, not fitted to the page, and measure both bars before use."


@dataclass(frozen=True, slots=True)
class Tile:
    """The window of the base that one page shows, base coordinates, and its place in the grid of pages, from 1."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    column: int
    row: int


def outer_bounds(project: Project) -> tuple[float, float, float, float]:
    """Return the base's bounds in box coordinates: with the rim under the sides where there is one."""
    length, width = inner_size_mm(project.box.shape)
    rim = 0.0
    if project.box.base == "under" or project.box.joint == "tab":
        tube = project.box.tube_wall_mm if isinstance(project.box.shape, RoundBox) else None
        rim = project.box.thickness_mm if tube is None else tube
    if project.box.joint == "folded" and isinstance(project.box.shape, RectBox):
        rim = 0.0
    return -rim, -rim, length + rim, width + rim


def tiles(bounds: tuple[float, float, float, float], paper: Paper) -> tuple[Paper, tuple[Tile, ...]]:
    """Return the paper, upright or across, whichever needs fewer pages, and the windows from the lower left."""
    across = Paper(paper.name, paper.height_mm, paper.width_mm)
    choices = [(page, _tiles_on(bounds, page)) for page in (paper, across)]
    return min(choices, key=lambda c: len(c[1]))


def _tiles_on(bounds: tuple[float, float, float, float], page: Paper) -> tuple[Tile, ...]:
    x0, y0, x1, y1 = bounds
    w = page.width_mm - 2.0 * MARGIN_MM
    h = page.height_mm - 2.0 * MARGIN_MM - HEAD_MM - FOOT_MM
    columns, rows = _pages_along(x1 - x0, w), _pages_along(y1 - y0, h)
    # spread the spare room evenly round the base
    left = (x0 + x1 - (columns * (w - OVERLAP_MM) + OVERLAP_MM)) / 2.0
    low = (y0 + y1 - (rows * (h - OVERLAP_MM) + OVERLAP_MM)) / 2.0
    return tuple(
        Tile(left + c * (w - OVERLAP_MM), low + r * (h - OVERLAP_MM), w, h, c + 1, r + 1)
        for r in range(rows)
        for c in range(columns)
    )


def _pages_along(extent: float, window: float) -> int:
    # a line on the very edge must not be cut off by the printer: half a millimetre to spare on both sides
    return max(1, math.ceil((extent + 1.0 - OVERLAP_MM) / (window - OVERLAP_MM) - 1e-9))


MOST_PAGES: Final = 200


def template_pages(project: Project, paper: Paper) -> tuple[Page, ...]:
    """Return the pages of the template, all at full size.

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
    spots = [_spot(project, cavity, n) for n, cavity in numbered(project)]
    return tuple(_page(project, page, tile, n, windows, spots) for n, tile in enumerate(windows, start=1))


@dataclass(frozen=True, slots=True)
class _Spot:
    """One cavity with what every page that shows it needs."""

    cavity: Cavity
    number: int
    placed: Placed
    glue: Placed | None

    def is_in(self, tile: Tile) -> bool:
        x0, y0, x1, y1 = self.placed.bounds
        across = x1 >= tile.x_mm and x0 <= tile.x_mm + tile.width_mm
        return across and y1 >= tile.y_mm and y0 <= tile.y_mm + tile.height_mm


def _spot(project: Project, cavity: Cavity, number: int) -> _Spot:
    placed = placed_cavity(project, cavity)
    return _Spot(cavity, number, placed, glue_line(placed))


@dataclass(frozen=True, slots=True)
class _View:
    """Base coordinates to page coordinates, clipped to the tile."""

    tile: Tile

    def to_page(self, point: XY) -> XY:
        t = self.tile
        return MARGIN_MM + point[0] - t.x_mm, MARGIN_MM + HEAD_MM + t.height_mm - (point[1] - t.y_mm)

    @property
    def window(self) -> Polygon:
        t = self.tile
        return shapely.box(t.x_mm, t.y_mm, t.x_mm + t.width_mm, t.y_mm + t.height_mm)

    def shows(self, point: XY) -> bool:
        t = self.tile
        return t.x_mm <= point[0] <= t.x_mm + t.width_mm and t.y_mm <= point[1] <= t.y_mm + t.height_mm

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
        if not self.shows(at):
            return []
        x, y = self.to_page(at)
        return [Text((x, y), words, size_mm, "middle", colour=colour)]


def _page(
    project: Project, paper: Paper, tile: Tile, number: int, windows: tuple[Tile, ...], spots: list[_Spot]
) -> Page:
    view = _View(tile)
    marks: list[Mark] = []
    marks += _box_marks(project, view)
    for area in project.keep_outs:
        marks += view.outline(placed_keep_out(area), 0.15, (2.0, 1.0), GREY)
        marks += view.text((area.x_mm, area.y_mm), area.purpose or area.id, 3.0, GREY)
    for spot in spots:
        if spot.is_in(tile):
            marks += _cavity_marks(view, spot)
    marks += _seams(view, windows)
    marks += _head(project, paper, tile, number, len(windows))
    marks += _foot(project, paper)
    return Page(paper.width_mm, paper.height_mm, tuple(marks))


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
        return view.outline(Polygon(shape.points), 0.35)
    marks += view.outline(shapely.box(0.0, 0.0, length, width), 0.35)
    if x0 < 0.0:
        marks += view.outline(shapely.box(x0, y0, x1, y1), 0.15)
    return marks


def arrow(cavity: Cavity, reach_mm: float) -> tuple[tuple[XY, XY], ...]:
    """Return an arrow from a cavity's centre to where the right of its master points, as three lines."""
    c, s = cos_sin(cavity.angle_deg)
    tip = (cavity.x_mm + reach_mm * c, cavity.y_mm + reach_mm * s)
    barb = 0.3 * reach_mm

    def back(side: float) -> XY:
        return (tip[0] - barb * c - side * 0.5 * barb * s, tip[1] - barb * s + side * 0.5 * barb * c)

    return (((cavity.x_mm, cavity.y_mm), tip), (tip, back(1.0)), (tip, back(-1.0)))


def glue_line(placed: Placed) -> Placed | None:
    """Return the line the glue keeps inside of, or None for a part too small for it."""
    if isinstance(placed, PlacedDisc):
        r = placed.radius_mm - GLUE_INSET_MM
        return PlacedDisc(placed.x_mm, placed.y_mm, r) if r > 0.5 else None
    smaller = placed.buffer(-GLUE_INSET_MM, join_style="mitre")
    return smaller if isinstance(smaller, Polygon) and not smaller.is_empty else None


def _reach_mm(placed: Placed) -> float:
    x0, y0, x1, y1 = placed.bounds
    return 0.4 * min(x1 - x0, y1 - y0)


def _cavity_marks(view: _View, spot: _Spot) -> list[Mark]:
    placed, cavity, inner = spot.placed, spot.cavity, spot.glue
    marks = view.outline(placed, 0.25, (1.5, 1.0) if cavity.empty else ())
    if inner is not None:
        marks += view.outline(inner, 0.1, (1.0, 0.8), GREY)
    reach = _reach_mm(placed)
    cross = min(2.0, 0.3 * reach)
    x, y = cavity.x_mm, cavity.y_mm
    marks += view.line((x - cross, y), (x + cross, y), 0.15)
    marks += view.line((x, y - cross), (x, y + cross), 0.15)
    if not isinstance(placed, PlacedDisc):
        for a, b in arrow(cavity, reach):
            marks += view.line(a, b, 0.2)
    size = max(1.5, min(5.0, 0.7 * reach))
    marks += view.text((x, y + cross + 0.2 * size), str(spot.number), size)
    return marks


def _seams(view: _View, windows: tuple[Tile, ...]) -> list[Mark]:
    """Crosses in the middle of every overlap, on both pages that share it."""
    marks: list[Mark] = []
    t = view.tile
    columns, rows = max(w.column for w in windows), max(w.row for w in windows)
    half = OVERLAP_MM / 2.0
    at: list[XY] = []
    for share in (0.1, 0.9):
        if t.column > 1:
            at.append((t.x_mm + half, t.y_mm + share * t.height_mm))
        if t.column < columns:
            at.append((t.x_mm + t.width_mm - half, t.y_mm + share * t.height_mm))
        if t.row > 1:
            at.append((t.x_mm + share * t.width_mm, t.y_mm + half))
        if t.row < rows:
            at.append((t.x_mm + share * t.width_mm, t.y_mm + t.height_mm - half))
    for x, y in at:
        px, py = view.to_page((x, y))
        marks += [Line((px - 4.0, py), (px + 4.0, py), 0.2), Line((px, py - 4.0), (px, py + 4.0), 0.2)]
        marks.append(Round((px, py), 2.0, 0.2))
    return marks


def _head(project: Project, paper: Paper, tile: Tile, number: int, count: int) -> list[Mark]:
    left, right = MARGIN_MM, paper.width_mm - MARGIN_MM
    where = f"page {number} of {count}" + (f", column {tile.column}, row {tile.row} from below" if count > 1 else "")
    return [
        Text((left, MARGIN_MM + 3.5), f"Placement template: {project.name}", 4.0, bold=True),
        Text((right, MARGIN_MM + 3.5), where, 3.2, "right"),
    ]


def _foot(project: Project, paper: Paper) -> list[Mark]:
    left, top = MARGIN_MM, paper.height_mm - MARGIN_MM - FOOT_MM
    marks: list[Mark] = [Line((left, top + 2.0), (paper.width_mm - MARGIN_MM, top + 2.0), 0.1, GREY)]
    for i, (length, words) in enumerate(CHECK_BARS):
        y = top + 8.0 + i * 9.0
        marks += [
            Line((left, y), (left + length, y), 0.3),
            Line((left, y - 2.0), (left, y + 2.0), 0.3),
            Line((left + length, y - 2.0), (left + length, y + 2.0), 0.3),
            Text((left + length / 2.0, y - 1.0), words, 3.0, "middle"),
        ]
    x = left + CHECK_BARS[1][0] + 5.0
    room = paper.width_mm - MARGIN_MM - x
    glue = length_text(GLUE_INSET_MM, project.units)
    words = (
        f"{SIDE_UP} {MIRRORED} {TRUE_SIZE} Arrow: the master's right. Inner dashed line: glue stays inside it"
        f" ({glue} from the edge). {AS_GLUED.capitalize()}."
    )
    size = 2.6 if room > 80.0 else 2.3
    marks.append(Text((x, top + 6.0), words, size, width_mm=room))
    return marks


def template_shapes(project: Project) -> tuple[Shape, ...]:
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
    for number, cavity in numbered(project):
        placed = placed_cavity(project, cavity)
        drawn.append(_shape_of(placed))
        glue = glue_line(placed)
        if glue is not None:
            inner.append(_shape_of(glue, Layer.NOTES))
        reach = _reach_mm(placed)
        height = min(5.0, 0.7 * reach, 1.2 * reach / text_width_mm(str(number), 1.0))
        inner += text_strokes(str(number), (cavity.x_mm, cavity.y_mm + 0.35 * reach), height, anchor="middle")
        if not isinstance(placed, PlacedDisc):
            inner += [line(a, b) for a, b in arrow(cavity, reach)]
        cross = min(2.0, 0.25 * reach)
        inner.append(line((cavity.x_mm, cavity.y_mm - cross), (cavity.x_mm, cavity.y_mm + cross)))
        if isinstance(placed, PlacedDisc):
            inner.append(line((cavity.x_mm - cross, cavity.y_mm), (cavity.x_mm + cross, cavity.y_mm)))
    notes: list[Shape] = []
    for i, words in enumerate((MIRRORED, SIDE_UP)):
        notes += text_strokes(words, (x0, y1 + 6.0 + 7.0 * i), 4.0, layer=Layer.NOTES)
    every = (*without_doubles(tuple(drawn)), *inner, *notes)
    return tuple(moved(s, -x0, -y0) for s in every)


def _shape_of(placed: Placed, layer: Layer = Layer.DRAW) -> Shape:
    if isinstance(placed, PlacedDisc):
        return Circle(placed.x_mm, placed.y_mm, placed.radius_mm, layer)
    return polyline([(x, y) for x, y in placed.exterior.coords[:-1]], layer)
