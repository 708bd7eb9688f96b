"""The cut list on paper, for cutting by hand: sizes, the box put together, steps, each sheet with its pieces."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry import Point

from layout.box.cutters import cautions
from layout.box.cutting import CutSheet, Piece, piece_shapes
from layout.box.estimates import estimate_lines
from layout.box.job import CutJob
from layout.box.notices import sheets_line, warnings_of
from layout.box.picture import picture_of
from layout.box.shapes import Layer, bounds_of_shapes, points_of, polygon_of
from layout.box.stock import piece_bounds, waste_pct
from layout.documents.cut_list import cut_lines
from layout.documents.page import GREY, PALE, Align, Area, Mark, Page, Paper, Table, Text
from layout.documents.panel_drawing import SCALES, crowded_words, drawing, drawing_height_mm, is_large_loop, scale_of
from layout.geometry import XY
from layout.units import fine_length_text, length_text
from layout.wording import Say, as_written

_MARGIN_MM: Final = 14.0
_SIZE_MM: Final = 3.3
_LETTER_SHARE: Final = 0.52
"""Width of a letter over the size of the text, on the wide side, to know how many lines a sentence takes."""

_PICTURE_MM: Final = 70.0


@dataclass(slots=True)
class _Flow:
    """Marks put one below the other on as many pages as they need."""

    paper: Paper
    pages: list[list[Mark]]
    y_mm: float
    say: Say

    @property
    def width_mm(self) -> float:
        return self.paper.width_mm - 2.0 * _MARGIN_MM

    def room(self, height_mm: float) -> float:
        """Return the top of a piece of this height, on a new page if this one is full."""
        if self.y_mm + height_mm > self.paper.height_mm - _MARGIN_MM and self.pages[-1]:
            self.pages.append([])
            self.y_mm = _MARGIN_MM
        top = self.y_mm
        self.y_mm += height_mm
        return top

    def add(self, *marks: Mark) -> None:
        self.pages[-1].extend(marks)

    def text(self, words: str, *, bold: bool = False, size_mm: float = _SIZE_MM) -> None:
        """Add a sentence in the reader's language, broken into lines."""
        words = self.say(words)
        letters = self.width_mm / (_LETTER_SHARE * size_mm)
        height = 1.25 * size_mm * max(1, math.ceil(len(words) / letters))
        top = self.room(height + 0.4)
        self.add(Text((_MARGIN_MM, top + size_mm), words, size_mm, bold=bold, width_mm=self.width_mm))


def cut_sheet_pages(job: CutJob, paper: Paper, say: Say = as_written) -> tuple[Page, ...]:
    """Return the pages: table, picture and sentences first, then every sheet with its pieces."""
    flow = _Flow(paper, [[]], _MARGIN_MM, say)
    project = job.project
    flow.text(f"Cut list: {project.name}", bold=True, size_mm=5.0)
    box = project.box
    thickness = length_text(box.thickness_mm, project.units)
    kerf = fine_length_text(job.kerf_mm, project.units)
    flow.text(f"{box.sheet}, counted as {thickness} thick (measure yours); {job.cutter}, kerf {kerf}.")
    flow.y_mm += 2.0
    _add_table(flow, job)
    _add_picture(flow, job)
    outside = " x ".join(length_text(round(v, 9), project.units) for v in job.parts.outside_mm)
    flow.text(f"Outside {outside}.")
    for head, lines in (
        ("Sheets", (*warnings_of(job), sheets_line(job))),
        ("Put it together", job.parts.steps),
        ("What it will stand", estimate_lines(project)),
        ("Mind", cautions(box.sheet, job.cutter, box.joint)),
    ):
        flow.y_mm += 1.5
        flow.text(head, bold=True)
        for sentence in lines:
            flow.text(sentence)
    _add_drawings(flow, job)
    for number, sheet in enumerate(job.sheets, start=1):
        _add_sheet(flow, job, sheet, number)
    return tuple(Page(paper.width_mm, paper.height_mm, tuple(marks)) for marks in flow.pages)


def _add_table(flow: _Flow, job: CutJob) -> None:
    units = job.project.units
    rows = tuple(
        (
            flow.say(line.name),
            line.size_text(units),
            f"{line.length_mm:.2f} x {line.width_mm:.2f}",
            str(line.quantity),
            ", ".join(str(n) for n in line.sheets) or "-",
        )
        for line in cut_lines(job.parts, job.sheets, job.project.box.sheet)
    )
    head = tuple(flow.say(words) for words in ("Panel", "Size", "True size in mm", "Pieces", "Sheet"))
    columns = tuple(share * flow.width_mm for share in (0.2, 0.32, 0.24, 0.1, 0.14))
    aligns: tuple[Align, ...] = ("left", "right", "right", "right", "right")
    # long lists, as with letters to cast in, go on over as many pages as they need
    rest = rows
    while rest:
        fits = max(1, int((flow.paper.height_mm - _MARGIN_MM - flow.y_mm) / 6.0) - 1)
        part, rest = rest[:fits], rest[fits:]
        table = Table((0.0, 0.0), columns, head, part, aligns)
        top = flow.room(table.height_mm + 3.0)
        flow.add(Table((_MARGIN_MM, top), columns, head, part, aligns))


def _add_drawings(flow: _Flow, job: CutJob) -> None:
    """Add every different panel with its distances; letters to cast in are cut along their own drawing."""
    for panel in dict.fromkeys(job.parts.panels):
        if panel.name.startswith("letter "):
            continue
        scale = scale_of(panel, flow.width_mm)
        top = flow.room(drawing_height_mm(panel, scale) + 2.0)
        flow.add(*drawing(panel, job.project.units, scale, (_MARGIN_MM, top), flow.say))
        for sentence in (crowded_words(panel, job.project.units, scale), panel.remark):
            if sentence:
                flow.text(sentence)
        flow.y_mm += 2.0


def _add_picture(flow: _Flow, job: CutJob) -> None:
    facets = picture_of(job.project, job.parts)
    xs = [x for f in facets for x, _ in f.points]
    ys = [y for f in facets for _, y in f.points]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scale = min(0.75 * flow.width_mm / wide, _PICTURE_MM / high)
    top = flow.room(high * scale + 4.0)
    left = _MARGIN_MM + (flow.width_mm - wide * scale) / 2.0

    def at(point: XY) -> XY:
        return left + (point[0] - min(xs)) * scale, top + (max(ys) - point[1]) * scale

    for facet in facets:
        points = tuple(at(p) for p in facet.points)
        if facet.kind == "fill line":
            flow.add(Area(points, 0.3, dash_mm=(2.0, 1.0), closed=False))
            continue
        if facet.kind == "edge":
            flow.add(Area(points, 0.12, closed=False))
            continue
        grey = round(195 + 60 * facet.shade) if facet.kind == "panel" else 150
        fill = f"#{grey:02x}{grey:02x}{grey:02x}"
        flow.add(Area(points, 0.12 if facet.border else 0.05, colour="#000000" if facet.border else fill, fill=fill))


def _add_sheet(flow: _Flow, job: CutJob, sheet: CutSheet, number: int) -> None:
    units = job.project.units
    shapes = [s for piece in sheet.pieces for s in piece_shapes(piece, job.kerf_mm)]
    x0, y0, x1, y1 = bounds_of_shapes(shapes)
    if sheet.length_mm is not None and sheet.width_mm is not None:
        x0, y0, x1, y1 = 0.0, 0.0, sheet.length_mm, sheet.width_mm
    most_high = flow.paper.height_mm - 2.0 * _MARGIN_MM - 12.0
    down = max((x1 - x0) / flow.width_mm, (y1 - y0) / most_high)
    scale = 1.0 / next((s for s in SCALES if s >= down), down)
    height = (y1 - y0) * scale
    top = flow.room(height + 12.0)
    left = _MARGIN_MM

    def at(point: XY) -> XY:
        return left + (point[0] - x0) * scale, top + 8.0 + (y1 - point[1]) * scale

    named = f"Sheet {number}, left-over piece" if sheet.leftover else f"Sheet {number}"
    words = f"{named}; drawn 1:{1.0 / scale:g}."
    if sheet.length_mm is not None and sheet.width_mm is not None:
        size = " x ".join(length_text(v, units) for v in (sheet.length_mm, sheet.width_mm))
        waste = waste_pct((sheet,)) or 0.0
        words = f"{named}: {size}, {waste:.0f} % waste; drawn 1:{1.0 / scale:g}."
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        flow.add(Area(tuple(at(p) for p in corners), 0.2, GREY, fill="#f7f7f7"))
    flow.add(Text((left, top + 5.0), flow.say(words), _SIZE_MM, bold=True))
    for shape in shapes:
        points = tuple(at(p) for p in points_of(shape))
        if shape.layer == Layer.THROUGH:
            flow.add(Area(points, 0.3))
        elif shape.layer == Layer.HALF:
            flow.add(Area(points, 0.2, dash_mm=(2.0, 1.0), closed=False))
        elif is_large_loop(shape):
            flow.add(Area(points, 0.1, GREY))
    _add_piece_names(flow, job, sheet, at, scale)


def _label_spot(piece: Piece, kerf_mm: float, middle: XY) -> XY:
    """Return the middle of a piece, or where it is widest if that is not on it, as on an L."""
    polygon = polygon_of(piece_shapes(piece, kerf_mm)[-1])
    if polygon.buffer(-0.1 * min(piece.panel.length_mm, piece.panel.width_mm)).contains(Point(middle)):
        return middle
    widest = shapely.maximum_inscribed_circle(polygon, tolerance=1.0).coords[0]
    return float(widest[0]), float(widest[1])


def _add_piece_names(flow: _Flow, job: CutJob, sheet: CutSheet, at: Callable[[XY], XY], scale: float) -> None:
    for piece in sheet.pieces:
        if piece.panel.name.startswith("letter "):
            continue  # a name would hide the letter
        (px0, py0), (px1, py1) = piece_bounds(piece, job.kerf_mm)
        words = flow.say(piece.panel.name)
        room = min((px1 - px0) * scale / (0.6 * len(words)), (py1 - py0) * scale * 0.6, _SIZE_MM)
        if room >= 1.2:
            x, y = at(_label_spot(piece, job.kerf_mm, ((px0 + px1) / 2.0, (py0 + py1) / 2.0)))
            half = 0.3 * len(words) * room
            corners = ((x - half, y - 0.7 * room), (x + half, y - 0.7 * room), (x + half, y + 0.5 * room))
            flow.add(Area((*corners, (x - half, y + 0.5 * room)), 0.0, fill=PALE))
            flow.add(Text((x, y + 0.3 * room), words, room, "middle"))
