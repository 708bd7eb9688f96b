from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.box.cutters import cautions
from layout.box.cutting import Piece, file_shapes, in_rows, piece_shapes
from layout.box.panel import Panel
from layout.box.panels import make_parts
from layout.box.shapes import Circle, Layer, Path, offset, polygon_of, polyline, rectangle
from layout.documents.cut_list import cut_lines, cut_list_csv
from layout.documents.panels_svg import to_svg
from layout.units import Units
from tests.layout.box.boxes import bare_project, bolt_project, round_project


@settings(max_examples=30, deadline=None)
@given(st.floats(0.05, 1.0), st.sampled_from(["butt", "tab"]))
def test_that_the_cutters_line_stands_half_a_kerf_outside_every_panel(kerf: float, joint: str) -> None:
    # what the cutter takes away is a band of the kerf's width round its line: the panel itself must be left whole
    for panel in make_parts(bare_project(120.0, 80.0, 30.0, thickness_mm=3.0, joint=joint)).panels:
        (cut,) = (s for s in piece_shapes(Piece(panel, 0.0, 0.0), kerf) if s.layer == Layer.THROUGH)
        x0, y0, _, _ = panel.bounds
        nominal = shapely.affinity.translate(polygon_of(panel.outer), kerf / 2 - x0, kerf / 2 - y0)
        expected = nominal.buffer(kerf / 2, join_style="mitre", mitre_limit=10.0)
        assert polygon_of(cut).symmetric_difference(expected).area == pytest.approx(0.0, abs=1e-6)
        assert polygon_of(cut).exterior.distance(nominal.exterior) == pytest.approx(kerf / 2)


def test_that_holes_shrink_by_half_a_kerf_and_come_before_the_outline() -> None:
    hole = Circle(20.0, 20.0, 5.0)
    panel = Panel("plate", rectangle(0.0, 0.0, 40.0, 40.0), 3.0, (), 1, holes=(hole,))
    first, last = piece_shapes(Piece(panel, 0.0, 0.0), 0.2)
    assert isinstance(first, Circle)
    assert first.radius_mm == pytest.approx(4.9)
    assert isinstance(last, Path)
    assert polygon_of(last).area == pytest.approx(40.2**2)


def test_that_every_outline_comes_after_all_drawing_half_cuts_and_holes() -> None:
    parts = make_parts(bolt_project(joint="folded"))
    shapes = file_shapes((in_rows(parts, 0.0, 3.0),), 0.0, ("mm",))
    order = [s.layer for s in shapes]
    rank = {Layer.DRAW: 0, Layer.HALF: 1, Layer.THROUGH: 2, Layer.NOTES: 3}
    assert [rank[layer] for layer in order] == sorted(rank[layer] for layer in order)


def test_that_a_round_base_stays_a_circle_in_the_file() -> None:
    parts = make_parts(round_project(100.0, thickness_mm=5.0))
    shapes = file_shapes((in_rows(parts, 0.2, 5.0),), 0.2)
    radii = [s.radius_mm for s in shapes if isinstance(s, Circle) and s.layer == Layer.THROUGH]
    assert radii == pytest.approx([55.1])


def test_that_a_corner_that_is_straight_is_offset_too() -> None:
    ring = polyline([(0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    assert polygon_of(offset(ring, 1.0)).area == pytest.approx(144.0)


def test_that_the_svg_holds_the_same_lines_in_millimetres() -> None:
    import re

    parts = make_parts(bolt_project())
    shapes = file_shapes((in_rows(parts, 0.0, 3.0),), 0.0, ("mm",))
    text = to_svg(shapes, "box <1> & 2").decode()
    assert "<title>box &lt;1&gt; &amp; 2</title>" in text
    assert f'width="{215.9 + 2 * 4.7625:.6f}mm"' in text
    groups = dict(re.findall(r'<g id="([^"]+)".*?>(.*?)</g>', text, re.S))
    assert groups["through"].count("<path") == 5
    assert len(groups) == 4


def test_that_the_cut_list_shows_fractions_and_true_millimetres() -> None:
    parts = make_parts(bolt_project())
    lines = cut_lines(parts, (in_rows(parts, 0.0, 3.0),), "foam board")
    rows = cut_list_csv(lines, Units("in")).decode().split("\r\n")
    assert rows[1] == "base,8-7/8 in,7-9/16 in,225.425,192.307,1,foam board,1"
    assert rows[2].startswith("long side,8-7/8 in,1-1/8 in,225.425,28.400,2,foam board")


def test_that_a_tube_is_on_the_cut_list() -> None:
    parts = make_parts(round_project(50.8, 30.0, tube_wall_mm=2.5))
    lines = cut_lines(parts, (), "foam board")
    assert lines[-1].name == "tube"
    assert (lines[-1].length_mm, lines[-1].width_mm) == pytest.approx((30.0, 55.8))


@pytest.mark.parametrize(
    ("sheet", "cutter", "word"),
    [
        ("foam board", "knife", "blade"),
        ("foam board", "router", "usually cut by knife"),
        ("MDF", "router", "dust"),
        ("MDF", "knife", "MDF is usually cut by"),
        ("acrylic", "laser", "extinguisher"),
        ("expanded PVC", "router", "fumes"),
    ],
)
def test_that_each_cutter_and_sheet_brings_its_caution(sheet: str, cutter: str, word: str) -> None:
    text = " ".join(cautions(sheet, cutter))  # type: ignore[arg-type]
    assert word in text
    assert "safety data" in text
    assert "is safe" not in text


def test_that_a_bit_wider_than_a_notch_is_refused() -> None:
    from layout.box.cutting import refuse_wide_kerf
    from layout.errors import LayoutError

    parts = make_parts(bare_project(120.0, 80.0, 30.0, thickness_mm=3.0, joint="tab", tab_mm=5.0))
    refuse_wide_kerf(parts, 3.0)
    with pytest.raises(LayoutError, match="narrower than a cut"):
        refuse_wide_kerf(parts, 8.0)
    hole = Panel("plate", rectangle(0.0, 0.0, 40.0, 40.0), 3.0, (), 1, holes=(Circle(20.0, 20.0, 1.0),))
    with pytest.raises(LayoutError, match="narrower than a cut"):
        refuse_wide_kerf(replace(parts, panels=(hole,)), 3.0)


@pytest.mark.parametrize("kerf", [0.0, 0.2, 3.175])
@pytest.mark.parametrize("name", ["butt", "tab", "folded", "pinwheel", "strip", "tube", "number cast in"])
def test_that_no_line_of_any_box_is_there_twice(name: str, kerf: float) -> None:
    from layout.box.job import cut_job
    from tests.layout.box.test_panels import doubled_mm

    projects = {
        "butt": bolt_project(),
        "tab": bolt_project(joint="tab"),
        "folded": bolt_project(joint="folded"),
        "pinwheel": bolt_project(corners="pinwheel"),
        "strip": round_project(120.0, 60.0),
        "tube": round_project(120.0, 60.0, tube_wall_mm=3.0),
        "number cast in": bolt_project(),
    }
    project = projects[name]
    relief = "M12" if name == "number cast in" and kerf < 1.0 else None
    for stock in ((), ((508.0, 762.0),)):
        cutting = replace(project.cutting, kerf_mm=kerf, stock_mm=stock)
        shapes = cut_job(replace(project, cutting=cutting), relief).shapes()
        assert doubled_mm(shapes) == pytest.approx(0.0, abs=1e-6)
