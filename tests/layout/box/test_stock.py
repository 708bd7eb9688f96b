from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.box.by_fill import lay_by_fill
from layout.box.by_rectangles import fewest_whole, lay_by_rectangles
from layout.box.panel import Panel
from layout.box.panels import make_parts
from layout.box.shapes import rectangle
from layout.box.sheet_job import SheetJob
from layout.box.stock import Stock, as_leftover, cut_polygon, largest_rest_mm, lay_on_sheets, piece_bounds, waste_pct
from layout.errors import LayoutError
from layout.model import Box, OutlineBox, RectBox, RoundBox
from tests.layout.box.boxes import bare_project, bolt_project


def _panel(length: float, width: float, pieces: int = 1) -> Panel:
    return Panel(f"{length:g} x {width:g}", rectangle(0, 0, length, width), 3.0, (), pieces)


def test_that_the_bolt_heads_box_takes_seventeen_per_cent_of_a_20x30_sheet() -> None:
    # worked example: 17 % of a 20 x 30 in sheet
    sheets = lay_on_sheets(make_parts(bolt_project()).panels, [Stock(508.0, 762.0)])
    assert len(sheets) == 1
    waste = waste_pct(sheets)
    assert waste is not None
    assert 100.0 - waste == pytest.approx(17.2, abs=0.05)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.floats(10.0, 280.0), st.floats(10.0, 180.0), st.integers(1, 2)), min_size=1, max_size=4),
    st.floats(0.0, 8.0),
    st.floats(0.0, 10.0),
    st.floats(0.0, 3.2),
)
def test_that_pieces_keep_gap_and_margin_and_none_is_lost(
    sizes: list[tuple[float, float, int]], gap: float, margin: float, kerf: float
) -> None:
    panels = [_panel(*s) for s in sizes]
    sheets = lay_on_sheets(panels, [Stock(320.0, 220.0)], kerf_mm=kerf, gap_mm=gap, margin_mm=margin)
    laid = [piece.panel for sheet in sheets for piece in sheet.pieces]
    assert sorted(p.name for p in laid) == sorted(p.name for p in panels for _ in range(p.pieces))
    for sheet in sheets:
        boxes = [piece_bounds(p, kerf) for p in sheet.pieces]
        for i, (low, high) in enumerate(boxes):
            assert min(*low, 320.0 - high[0], 220.0 - high[1]) >= margin - 1e-6
            for low2, high2 in boxes[:i]:
                dx = max(low[0] - high2[0], low2[0] - high[0])
                dy = max(low[1] - high2[1], low2[1] - high[1])
                assert max(dx, dy) >= gap - 1e-6


def test_that_pieces_that_fit_exactly_are_laid() -> None:
    # 4 pieces of 100 x 50 and margins fill 210 x 110 with no play
    sheets = lay_on_sheets([_panel(100.0, 50.0, 4)], [Stock(213.0, 113.0)], gap_mm=3.0, margin_mm=5.0)
    assert len(sheets) == 1


def test_that_a_quarter_turn_is_used_where_it_helps() -> None:
    sheets = lay_on_sheets([_panel(30.0, 200.0)], [Stock(220.0, 50.0)], gap_mm=0.0, margin_mm=5.0)
    assert sheets[0].pieces[0].turned


def test_that_left_over_pieces_are_used_before_a_sheet() -> None:
    panels = [_panel(100.0, 50.0, 3)]
    sheets = lay_on_sheets(panels, [as_leftover(112.0, 62.0), Stock(320.0, 220.0)])
    assert [s.leftover for s in sheets] == [True, False]
    assert [len(s.pieces) for s in sheets] == [1, 2]


def test_that_the_kind_of_sheet_that_wastes_least_is_chosen() -> None:
    sheets = lay_on_sheets([_panel(250.0, 150.0)], [Stock(1000.0, 1000.0, "large"), Stock(300.0, 200.0, "small")])
    assert [s.name for s in sheets] == ["small"]


def test_that_a_panel_larger_than_the_sheet_is_refused_with_its_size() -> None:
    with pytest.raises(LayoutError, match=r"\(400 x 50 mm\)"):
        lay_on_sheets([_panel(400.0, 50.0)], [Stock(320.0, 220.0)])


def test_that_the_largest_rest_is_reported() -> None:
    sheets = lay_on_sheets([_panel(100.0, 190.0)], [Stock(300.0, 200.0)], gap_mm=3.0, margin_mm=5.0)
    rest = largest_rest_mm(sheets[0], 0.0, 3.0)
    assert rest == pytest.approx((192.0, 200.0))


@settings(max_examples=15, deadline=None)
@given(
    st.floats(60.0, 200.0),
    st.floats(60.0, 200.0),
    st.sampled_from(["butt", "tab"]),
    st.floats(0.0, 3.0),
    st.floats(230.0, 420.0),
)
def test_that_the_lines_in_the_file_keep_gap_and_margin_also_when_turned(
    length: float, width: float, joint: str, kerf: float, stock: float
) -> None:
    import shapely

    from layout.box.cutting import SHEET_GAP_MM, file_shapes
    from layout.box.shapes import Layer, polygon_of
    from tests.layout.box.boxes import bare_project

    parts = make_parts(bare_project(length, width, 40.0, thickness_mm=4.0, joint=joint))
    sheets = lay_on_sheets(parts.panels, [Stock(stock, 230.0)], kerf_mm=kerf, gap_mm=3.0, margin_mm=5.0)
    cut = [polygon_of(s) for s in file_shapes(sheets, kerf) if s.layer == Layer.THROUGH]
    assert len(cut) == 5
    # closed form of a square-cornered outline moved out by d: A + P d + 4 d^2
    nominal = 0.0
    for p in parts.panels:
        outer = polygon_of(p.outer)
        nominal += p.pieces * (outer.area + outer.length * kerf / 2 + kerf**2)
    assert sum(c.area for c in cut) == pytest.approx(nominal, rel=1e-9)
    rooms = [
        shapely.box(k * (stock + SHEET_GAP_MM), 0.0, k * (stock + SHEET_GAP_MM) + stock, 230.0).buffer(
            -5.0 + 1e-6, join_style="mitre"
        )
        for k in range(len(sheets))
    ]
    for i, one in enumerate(cut):
        assert any(room.covers(one) for room in rooms)
        assert all(one.distance(other) >= 3.0 - 1e-6 for other in cut[:i])


def test_that_the_fill_lays_pieces_in_each_others_notches() -> None:
    # two folded boxes as crosses: their bounding squares side by side need 613 mm, the crosses mesh
    cross = make_parts(bare_project(120.0, 120.0, 90.0, joint="folded")).panels[0]
    stock = [Stock(580.0, 440.0)]
    two = (replace(cross, pieces=2),)
    job = SheetJob(two * 2, 0.0, 3.0, 5.0)
    assert len(lay_by_rectangles(job, (), stock[0]) or ()) == 2
    sheets = lay_on_sheets(two, stock)
    assert len(sheets) == 1
    first, second = (cut_polygon(piece, 0.0) for piece in sheets[0].pieces)
    assert first.distance(second) >= 3.0 - 1e-6
    assert shapely.box(5, 5, 575, 435).buffer(1e-6).covers(shapely.union_all([first, second]))


def test_that_every_laying_of_real_boxes_keeps_gap_and_margin_by_either_way() -> None:
    ell = ((0.0, 0.0), (260.0, 0.0), (260.0, 90.0), (110.0, 90.0), (110.0, 200.0), (0.0, 200.0))
    for box in (
        Box(RectBox(215.9, 182.8)),
        Box(RectBox(160.0, 120.0), joint="tab"),
        Box(RoundBox(180.0), "acrylic", 3.0, tube_wall_mm=3.0),
        Box(OutlineBox(ell)),
    ):
        panels = make_parts(replace(bare_project(10.0, 10.0, 40.0), box=box)).panels
        pieces = tuple(panel for panel in panels for _ in range(panel.pieces))
        stock = Stock(609.6, 304.8)
        for rounds in (0, 2):
            sheets = lay_by_fill(SheetJob(pieces, 0.2, 4.0, 6.0), (), stock, rounds)
            assert sheets is not None
            assert sorted(p.panel.name for s in sheets for p in s.pieces) == sorted(p.name for p in pieces)
            for sheet in sheets:
                cut = [cut_polygon(piece, 0.2) for piece in sheet.pieces]
                assert all(shapely.box(6, 6, 603.6, 298.8).buffer(1e-6).covers(one) for one in cut)
                assert all(one.distance(other) >= 4.0 - 1e-6 for i, one in enumerate(cut) for other in cut[:i])
            assert sheets == lay_by_fill(SheetJob(pieces, 0.2, 4.0, 6.0), (), stock, rounds)


def test_that_a_usual_box_is_laid_in_under_two_seconds_of_work() -> None:
    from time import process_time

    panels = make_parts(bolt_project()).panels
    lay_on_sheets(panels, [Stock(508.0, 762.0)])  # loads what is loaded once
    for stock in (Stock(500.0, 760.0), Stock(600.0, 300.0), Stock(240.0, 300.0)):
        start = process_time()
        lay_on_sheets(panels, [stock])
        assert process_time() - start < 2.0


def test_that_pieces_that_just_fill_a_sheet_are_not_counted_as_more() -> None:
    """Four squares of 100 mm, 3 mm apart, just go on 203 by 203 mm; a fifth asks for a second sheet."""
    square = Panel("square", rectangle(0.0, 0.0, 100.0, 100.0), 3.0, (), 1)
    sheet = Stock(203.0, 203.0)
    assert fewest_whole(SheetJob((square,) * 4, 0.0, 3.0, 0.0), (), sheet) == 1
    assert fewest_whole(SheetJob((square,) * 5, 0.0, 3.0, 0.0), (), sheet) == 2
    assert len(lay_on_sheets((square,) * 4, (sheet,), gap_mm=3.0, margin_mm=0.0)) == 1
