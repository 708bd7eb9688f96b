import math
import re
import zlib
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely

from app.printing.paint import pages_to_pdf
from layout.box.shapes import Circle, Layer, line_of, points_of
from layout.documents.page import A4, LETTER, Line, Page, Paper, Round, Text
from layout.documents.template import (
    MIRRORED,
    OVERLAP_MM,
    outer_bounds,
    template_pages,
    template_shapes,
    tiles,
)
from layout.documents.template_spots import spots
from layout.geometry import Disc, Outline, as_polygon
from layout.masters import read_master
from layout.model import Box, Cavity, CavityId, Master, MasterId, OutlineBox, Project, RectBox
from layout.regions import placed_cavities
from tests.layout.box.boxes import bare_project, bolt_project, round_project

MM_PER_POINT = 25.4 / 72.0


class PdfPage:
    """Straight lines and curves' end points of a PDF page in mm from its upper left corner, by its own coordinates."""

    def __init__(self, content: str, height_points: float) -> None:
        self.segments: list[tuple[float, float, float, float]] = []
        matrix = np.eye(3)
        stack: list[np.ndarray] = []
        start = at = (0.0, 0.0)
        numbers: list[float] = []
        for token in content.split():
            try:
                numbers.append(float(token))
                continue
            except ValueError:
                pass
            if token == "q":
                stack.append(matrix.copy())
            elif token == "Q":
                matrix = stack.pop()
            elif token == "cm":
                a, b, c, d, e, f = numbers[-6:]
                matrix = np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]]) @ matrix
            elif token == "m":
                start = at = (numbers[-2], numbers[-1])
            elif token == "l":
                self._add(matrix, at, (numbers[-2], numbers[-1]), height_points)
                at = (numbers[-2], numbers[-1])
            elif token == "c":
                at = (numbers[-2], numbers[-1])
            elif token == "h":
                self._add(matrix, at, start, height_points)
            numbers = []

    def _add(self, matrix: np.ndarray, a: tuple[float, float], b: tuple[float, float], height: float) -> None:
        (ax, ay, _), (bx, by, _) = np.array([*a, 1.0]) @ matrix, np.array([*b, 1.0]) @ matrix
        self.segments.append(
            (ax * MM_PER_POINT, (height - ay) * MM_PER_POINT, bx * MM_PER_POINT, (height - by) * MM_PER_POINT)
        )

    def has(self, x0: float, y0: float, x1: float, y1: float, tolerance: float) -> bool:
        for ax, ay, bx, by in self.segments:
            ends = ((ax, ay, bx, by), (bx, by, ax, ay))
            if any(max(abs(p - q) for p, q in zip(e, (x0, y0, x1, y1), strict=True)) <= tolerance for e in ends):
                return True
        return False


def read_pdf(pdf: bytes) -> list[PdfPage]:
    heights = [float(h) for _, h in re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)]
    contents = []
    for match in re.finditer(rb"stream\r?\n(.*?)endstream", pdf, re.S):
        try:
            text = zlib.decompress(match[1])
        except zlib.error:
            continue
        if b" cm" in text[:200]:
            contents.append(text.decode("latin1"))
    assert len(contents) == len(heights)
    return [PdfPage(c, h) for c, h in zip(contents, heights, strict=True)]


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_that_the_printed_size_is_right_to_a_tenth_on_every_page(qapp, paper: Paper) -> None:
    project = bolt_project()
    page, windows = tiles(outer_bounds(project), paper)
    pdf_pages = read_pdf(pages_to_pdf(template_pages(project, paper), "template"))
    # the base is 225.4 x 192.3: with the words at the side it goes on one page
    assert len(pdf_pages) == len(windows) == 1
    assert (page.width_mm, page.height_mm) == (paper.height_mm, paper.width_mm)
    seen = set()
    for tile, pdf in zip(windows, pdf_pages, strict=True):
        assert_bars(pdf)
        for cavity_id, placed in placed_cavities(project).items():
            corners = [tile.to_page((x, y)) for x, y in placed.exterior.coords]
            seen.add(cavity_id)
            assert all(pdf.has(*a, *b, 0.1) for a, b in pairwise(corners))
    assert len(seen) == 48


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_that_the_printed_size_is_right_to_a_tenth_over_many_pages(qapp, paper: Paper) -> None:
    project = replace(bolt_project(), box=replace(bolt_project().box, shape=RectBox(430.0, 360.0)))
    _, windows = tiles(outer_bounds(project), paper)
    pdf_pages = read_pdf(pages_to_pdf(template_pages(project, paper), "template"))
    assert len(pdf_pages) == len(windows) > 2
    seen = set()
    for tile, pdf in zip(windows, pdf_pages, strict=True):
        assert_bars(pdf)
        for cavity_id, placed in placed_cavities(project).items():
            if tile.shows(*placed.bounds):
                seen.add(cavity_id)
                corners = [tile.to_page((x, y)) for x, y in placed.exterior.coords]
                assert all(pdf.has(*a, *b, 0.1) for a, b in pairwise(corners))
    # a hexagon is at most 22 mm and the overlap 10: some are cut by a seam, no more than a row and a column
    assert len(seen) >= 48 - 8 - 6


def assert_bars(pdf: "PdfPage") -> None:
    """A bar of 100 mm and one of 4 in are on the page, lying or upright, to a tenth of a millimetre."""
    for length in (100.0, 101.6):
        found = [
            s
            for s in pdf.segments
            if abs(math.dist(s[:2], s[2:]) - length) <= 0.1 and (abs(s[0] - s[2]) < 1e-3 or abs(s[1] - s[3]) < 1e-3)
        ]
        assert found, length


def test_that_neighbouring_pages_carry_the_same_crosses_in_the_overlap() -> None:
    project = bare_project(500.0, 400.0)
    _, windows = tiles(outer_bounds(project), A4)
    crosses: dict[tuple[float, float], int] = {}
    for tile, sheet in zip(windows, template_pages(project, A4), strict=True):
        for mark in sheet.marks:
            if isinstance(mark, Round) and mark.radius_mm == 2.0:
                x = mark.centre[0] - tile.left_mm + tile.x_mm
                y = tile.height_mm - (mark.centre[1] - tile.top_mm) + tile.y_mm
                key = (round(x, 6), round(y, 6))
                crosses[key] = crosses.get(key, 0) + 1
    assert len(windows) > 2
    assert crosses
    assert set(crosses.values()) == {2}


@pytest.mark.parametrize("size", [(80.0, 60.0), (180.0, 225.0), (300.0, 200.0), (700.0, 500.0)])
@pytest.mark.parametrize("paper", [A4, LETTER])
def test_that_the_pages_together_show_the_whole_base(size: tuple[float, float], paper: Paper) -> None:
    import shapely

    bounds = outer_bounds(bare_project(*size))
    _, windows = tiles(bounds, paper)
    shown = shapely.union_all([shapely.box(t.x_mm, t.y_mm, t.x_mm + t.width_mm, t.y_mm + t.height_mm) for t in windows])
    assert shown.covers(shapely.box(*bounds))
    for t in windows:
        for u in windows:
            if (u.column, u.row) == (t.column + 1, t.row):
                assert t.x_mm + t.width_mm - u.x_mm == pytest.approx(OVERLAP_MM)


@pytest.mark.parametrize("columns", [1, 2, 3])
def test_that_a_line_on_the_very_edge_of_the_base_is_not_cut_off(columns: int) -> None:
    """A base as large as the windows of some pages takes one more: its edge has a line, half a millimetre is kept."""
    _, (one, *_) = tiles((0.0, 0.0, 20.0, 20.0), A4)
    wide = columns * (one.width_mm - OVERLAP_MM) + OVERLAP_MM
    for size in (wide, wide - 0.8, wide - 1.0, wide + 0.01):
        _, windows = tiles((0.0, 0.0, size, 20.0), A4)
        assert min(t.x_mm for t in windows) <= -0.5 + 1e-9
        assert max(t.x_mm + t.width_mm for t in windows) >= size + 0.5 - 1e-9


def _texts(page: Page) -> str:
    return " ".join(mark.words for mark in page.marks if isinstance(mark, Text))


def test_that_every_page_says_which_side_is_up_and_that_the_mold_is_mirrored() -> None:
    for page in template_pages(bare_project(400.0, 400.0), A4):
        assert "This side up" in _texts(page)
        assert MIRRORED in _texts(page)
        assert "100 %" in _texts(page)


def test_that_numbers_follow_the_pouring_order() -> None:
    words = " ".join(_texts(page) for page in template_pages(bolt_project(), A4))
    assert all(f" {n} " in f" {words} " for n in range(1, 49))


def test_that_a_turned_master_gets_an_arrow_along_its_own_right() -> None:
    project = bolt_project()
    first = replace(project.cavities[0], angle_deg=90.0)
    project = replace(project, cavities=(first,))
    (page,) = template_pages(replace(project, box=replace(project.box, shape=RectBox(60.0, 60.0))), A4)
    upward = [
        m
        for m in page.marks
        if isinstance(m, Line) and m.start[0] == pytest.approx(m.end[0]) and m.end[1] < m.start[1] - 5.0
    ]
    assert len(upward) == 1


def test_that_a_round_box_is_drawn_as_circles() -> None:
    pages = template_pages(round_project(100.0), A4)
    radii = sorted(m.radius_mm for m in pages[0].marks if isinstance(m, Round))
    assert radii == pytest.approx([100 / 6 - 1.5, 100 / 6, 50.0, 50.0 + 4.7625])


def test_that_the_template_as_lines_has_every_outline_once() -> None:
    from tests.layout.box.test_panels import doubled_mm

    shapes = template_shapes(bolt_project())
    closed = [s for s in shapes if getattr(s, "closed", False) and s.layer == "draw" and len(s.vertices) == 6]
    assert len(closed) >= 48
    assert doubled_mm(shapes) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("project", [bolt_project(), bare_project(255.0, 150.0)], ids=["upright", "across"])
def test_that_a_printer_gets_the_same_sizes_to_a_tenth(qapp, tmp_path, project) -> None:
    from PySide6.QtPrintSupport import QPrinter

    from app.printing.printer import print_pages

    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    pages = template_pages(project, A4)
    assert print_pages(printer, pages)
    printed = read_pdf((tmp_path / "printed.pdf").read_bytes())
    assert len(printed) == len(pages)
    for pdf in printed:
        assert_bars(pdf)


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_that_the_pages_are_made_for_the_printers_paper(qapp, tmp_path, paper: Paper) -> None:
    from PySide6.QtGui import QPageSize
    from PySide6.QtPrintSupport import QPrinter

    from app.printing.printer import paper_of

    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.A4 if paper is A4 else QPageSize.PageSizeId.Letter))
    assert paper_of(printer) is paper


def test_that_a_base_of_ten_metres_is_not_tiled_onto_paper() -> None:
    from layout.errors import LayoutError

    with pytest.raises(LayoutError, match="pages of A4"):
        template_pages(bare_project(10_000.0, 10_000.0), A4)


def test_that_a_thousand_cavities_are_all_numbered_on_their_pages() -> None:
    from layout.geometry import Disc
    from layout.model import Cavity, CavityId, Master, MasterId, Project

    master = Master(MasterId("d"), "d", "d", Disc(5.0), 5.0, 0.4, 78.5)
    cavities = tuple(
        Cavity(CavityId(f"c{i}"), master.id, 15.0 + 12.0 * (i % 40), 15.0 + 12.0 * (i // 40)) for i in range(1000)
    )
    box = bare_project(500.0, 320.0).box
    pages = template_pages(Project("many", box, (master,), cavities=cavities), A4)
    words = {mark.words for page in pages for mark in page.marks if isinstance(mark, Text)}
    assert {str(n) for n in range(1, 1001)} <= words


def _crowded_project() -> Project:
    """Parts at odd angles over several pages, an L whose centre lies outside it, numbers to three figures."""
    ell = ((-12.0, -12.0), (12.0, -12.0), (12.0, -6.0), (-6.0, -6.0), (-6.0, 12.0), (-12.0, 12.0))
    masters = (
        Master(MasterId("l"), "l", "l", Outline(ell), 5.0, 1.0, 250.0),
        Master(MasterId("r"), "r", "r", Outline(((-15.0, -4.0), (15.0, -4.0), (15.0, 4.0), (-15.0, 4.0))), 5.0, 1.0, 9),
        Master(MasterId("d"), "d", "d", Disc(9.0), 5.0, 1.0, 254.0),
    )  # fmt: skip
    cavities = tuple(
        Cavity(CavityId(f"c{i}"), masters[i % 3].id, 25.0 + 37.0 * (i % 11), 25.0 + 37.0 * (i // 11), 37.0 * i % 360.0)
        for i in range(110)
    )
    return replace(bare_project(430.0, 390.0), masters=masters, cavities=cavities)


def test_that_no_number_lies_on_an_arrow_or_leaves_its_part() -> None:
    for spot in spots(_crowded_project()):
        room = shapely.box(*spot.number.bounds)
        assert as_polygon(spot.placed).contains(room), spot.cavity
        for line in spot.arrow:
            assert not room.intersects(shapely.LineString(line)), spot.cavity


@pytest.mark.parametrize("paper", [A4, LETTER])
def test_that_every_number_is_whole_on_a_page_and_no_cross_lies_on_a_part(paper: Paper) -> None:
    project = _crowded_project()
    _, windows = tiles(outer_bounds(project), paper)
    assert len(windows) >= 4
    footprints = shapely.union_all([as_polygon(p) for p in placed_cavities(project).values()])
    whole: set[str] = set()
    crosses = 0
    for tile, sheet in zip(windows, template_pages(project, paper), strict=True):
        numbers = [spot.number for spot in spots(project) if tile.shows(*spot.number.bounds)]
        shown = {m.words for m in sheet.marks if isinstance(m, Text) and m.words.isdigit()}
        assert shown == {n.words for n in numbers}
        whole |= shown
        for mark in sheet.marks:
            if isinstance(mark, Round) and mark.radius_mm == 2.0:
                at = (
                    mark.centre[0] - tile.left_mm + tile.x_mm,
                    tile.height_mm + tile.top_mm - mark.centre[1] + tile.y_mm,
                )
                assert footprints.distance(shapely.Point(at)) >= 2.0
                crosses += 1
    assert whole == {str(n) for n in range(1, 111)}
    assert crosses >= 8


@pytest.mark.parametrize(
    ("size", "pages"), [((80.0, 60.0), 1), ((215.9, 182.8), 1), ((180.0, 215.0), 1), ((320.0, 180.0), 2)]
)
def test_that_no_more_paper_is_taken_than_the_base_asks_for(size: tuple[float, float], pages: int) -> None:
    for paper in (A4, LETTER):
        assert len(template_pages(bare_project(*size), paper)) == pages


def test_that_the_base_of_a_slanted_outline_is_on_the_paper_whole() -> None:
    ring = ((0.0, 40.0), (60.0, 0.0), (120.0, 40.0), (60.0, 80.0))
    project = replace(bare_project(10.0, 10.0), box=Box(OutlineBox(ring)))
    x0, y0, x1, y1 = outer_bounds(project)
    # a mitred corner reaches t / sin(half its angle) past the inside's
    half = math.atan2(40.0, 60.0)
    assert -x0 == pytest.approx(4.7625 / math.sin(half))
    assert (x1 - 120.0, y1 - 80.0) == pytest.approx((-x0, -y0))


def _ring_project() -> Project:
    ring, cavity = read_master("ring:30x18x6"), Cavity(CavityId("c1"), MasterId("ring"), 40.0, 30.0)
    return replace(bare_project(80.0, 60.0), masters=(ring,), cavities=(cavity,))


def _plate_project() -> Project:
    """A plate with a hole in its middle, quarter turned: the hole is 8 wide and 12 high as it is glued."""
    hole = ((-6.0, -4.0), (6.0, -4.0), (6.0, 4.0), (-6.0, 4.0))
    plate = replace(read_master("rect:40x30x5"), holes=(hole,))
    cavity = Cavity(CavityId("c1"), plate.id, 40.0, 30.0, 90.0)
    return replace(bare_project(80.0, 60.0), masters=(plate,), cavities=(cavity,))


def test_that_glue_keeps_as_far_off_a_hole_as_off_the_edge() -> None:
    (ring,) = spots(_ring_project())
    outer, inner = ring.glue
    assert outer.radius_mm == 15.0 - 1.5
    away = [math.dist(p, (40.0, 30.0)) for p in inner.exterior.coords]
    assert [min(away), max(away)] == pytest.approx([10.5, 10.5], abs=0.02)
    (plate,) = spots(_plate_project())
    assert sorted(g.bounds for g in plate.glue) == [
        pytest.approx((25.0 + 1.5, 10.0 + 1.5, 55.0 - 1.5, 50.0 - 1.5)),
        pytest.approx((36.0 - 1.5, 24.0 - 1.5, 44.0 + 1.5, 36.0 + 1.5)),
    ]


@pytest.mark.parametrize("project", [_ring_project(), _plate_project()], ids=["ring", "plate"])
def test_that_the_template_draws_a_hole_and_no_cross_arrow_or_number_in_it(project: Project) -> None:
    (spot,) = spots(project)
    assert spot.cross_mm == 0.0
    (hole,) = spot.holes
    lines = [s for s in template_shapes(project) if s.layer == Layer.DRAW and not isinstance(s, Circle)]
    drawn = [shapely.Polygon(points_of(s)) for s in lines if s.closed]
    x0, y0, _, _ = outer_bounds(project)
    base_hole = shapely.affinity.translate(hole, -x0, -y0)
    assert any(shapely.hausdorff_distance(p.exterior, base_hole.exterior) < 1e-9 for p in drawn)
    strokes = [line_of(s) for s in lines if not s.closed]
    assert strokes
    assert not any(stroke.intersects(base_hole) for stroke in strokes)
    figure = shapely.box(*spot.number.bounds)
    assert as_polygon(spot.placed).contains(figure)
    assert not figure.intersects(hole)


def test_that_the_printed_template_shows_the_hole_of_a_plate(qapp) -> None:
    project = _plate_project()
    (page,) = template_pages(project, A4)
    (tile,) = tiles(outer_bounds(project), A4)[1]
    (pdf,) = read_pdf(pages_to_pdf((page,), "t"))
    corners = [tile.to_page(p) for p in ((36.0, 24.0), (44.0, 24.0), (44.0, 36.0), (36.0, 36.0))]
    for (ax, ay), (bx, by) in pairwise([*corners, corners[0]]):
        assert pdf.has(ax, ay, bx, by, 0.1)


def test_that_a_washer_with_its_hole_aside_gets_an_arrow() -> None:
    project = _ring_project()
    (hole,) = project.masters[0].holes
    aside = replace(project.masters[0], holes=(tuple((x + 4.0, y) for x, y in hole),))
    assert spots(project)[0].arrow == ()
    (spot,) = spots(replace(project, masters=(aside,)))
    assert spot.arrow
    assert not any(shapely.LineString(a).intersects(spot.holes[0]) for a in spot.arrow)
