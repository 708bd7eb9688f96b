"""Sides and strips longer than the sheets: the pieces put together in space are the whole side."""

from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.box.job import cut_job
from layout.box.panel import BoxParts, Panel
from layout.box.panels import make_parts
from layout.box.shapes import Layer, line, points_of, rectangle
from layout.box.splice import with_splices
from layout.box.stock import Stock
from layout.errors import LayoutError
from layout.model import Box, OutlineBox
from layout.volumes import pour_height_mm, side_height_mm
from tests.layout.box.boxes import bare_project, round_project
from tests.layout.box.test_closing import Space


def _on(project, *stock):
    return cut_job(replace(project, cutting=replace(project.cutting, stock_mm=stock)))


@settings(max_examples=15, deadline=None)
@given(st.floats(420.0, 900.0), st.floats(50.0, 380.0), st.floats(20.0, 90.0), st.floats(2.0, 8.0))
def test_that_spliced_sides_close_like_whole_ones(length: float, width: float, height: float, t: float) -> None:
    project = bare_project(length, width, height, thickness_mm=t)
    whole = make_parts(project)
    # the base is longer than its sides: here the sides alone are to go on a small sheet
    sides = with_splices(project, replace(whole, panels=whole.panels[1:]), [Stock(400.0, 300.0)], 0.0)
    assert any("piece 2 of" in panel.name for panel in sides.panels)
    assert all(panel.length_mm <= 390.0 + 1e-6 for panel in sides.panels)
    spliced = replace(whole, panels=(whole.panels[0], *sides.panels))
    inside = (length, width, side_height_mm(project))
    space = Space(spliced.solids, inside)
    assert space.count.max() == 1
    assert not (space.count[space.cells_between((0.0, 0.0, 0.0), inside)] > 0).any()
    shell = space.cells_between((-t, -t, -t), (length + t, width + t, inside[2]))
    shell &= ~space.cells_between((0.0, 0.0, 0.0), inside)
    assert (space.count[shell] == 1).all(), "the pieces leave a gap"


@settings(max_examples=60, deadline=None)
@given(st.floats(20.0, 200.0), st.integers(5, 40))
def test_that_no_piece_of_a_strip_is_longer_than_the_sheet(flat: float, flats: int) -> None:
    cuts = tuple(line((flat * k, 0.0), (flat * k, 40.0), Layer.HALF) for k in range(1, flats))
    strip = Panel("strip", rectangle(0.0, 0.0, flat * flats, 40.0), 4.0, (), 1, half=cuts)
    parts = with_splices(
        bare_project(100.0, 50.0, 40.0), BoxParts((strip,), (0.0, 0.0, 0.0)), [Stock(762.0, 508.0)], 3.0
    )
    assert sum(p.length_mm for p in parts.panels) == pytest.approx(flat * flats)
    assert max(p.length_mm for p in parts.panels) <= 762.0 - 2 * 5.0 - 3.0 + 1e-6


def test_that_a_side_longer_than_the_sheet_is_cut_in_two_and_said() -> None:
    project = bare_project(700.0, 100.0, 40.0, thickness_mm=5.0)
    # a base is never put together from pieces
    with pytest.raises(LayoutError, match=r"the base \(710 x 110 mm\) does not go on 500 x 500 mm.*larger sheet"):
        _on(project, (500.0, 500.0))
    job = _on(round_project(230.0, 60.0), (500.0, 300.0))
    names = [p.name for p in job.parts.panels]
    assert names == ["base", "strip, piece 1 of 2", "strip, piece 2 of 2"]
    whole = make_parts(round_project(230.0, 60.0)).panels[1]
    one, two = job.parts.panels[1:]
    assert one.length_mm + two.length_mm == pytest.approx(whole.length_mm)
    # the joint is in the middle of a flat, and no half cut is lost
    cuts = [points_of(cut)[0][0] for cut in one.half] + [points_of(cut)[0][0] + one.length_mm for cut in two.half]
    assert cuts == pytest.approx(sorted(points_of(cut)[0][0] for cut in whole.half))
    flat = whole.length_mm / (len(whole.half) + 1)
    assert one.length_mm % flat == pytest.approx(flat / 2.0)
    assert any("cut in 2 pieces" in step and "patch" in step for step in job.parts.steps)
    assert {p.name for s in job.sheets for p in (piece.panel for piece in s.pieces)} == set(names)
    # the fill line runs on over both pieces
    for piece in (one, two):
        lines = [m for m in piece.marks if len(points_of(m)) == 2 and points_of(m)[0][1] == points_of(m)[1][1]]
        fill = max(lines, key=lambda m: abs(points_of(m)[1][0] - points_of(m)[0][0]))
        assert points_of(fill)[0][1] == pytest.approx(pour_height_mm(round_project(230.0, 60.0)))
        assert abs(points_of(fill)[1][0] - points_of(fill)[0][0]) == pytest.approx(piece.length_mm)


def test_that_the_pieces_of_a_bevelled_side_stand_where_the_whole_one_does() -> None:
    ring = ((0.0, 100.0), (300.0, 0.0), (600.0, 100.0), (300.0, 200.0))
    project = replace(bare_project(10.0, 10.0, 60.0), box=Box(OutlineBox(ring), "acrylic", 4.0))
    whole = make_parts(project)
    sides = replace(whole, panels=whole.panels[1:])
    cut = with_splices(project, sides, [Stock(250.0, 200.0)], 0.0)
    assert len(cut.panels) == 8
    before = [shapely.Polygon(s.plan()) for s in whole.solids if s.pose.up == (0.0, 0.0, 1.0)]
    after = [shapely.Polygon(s.plan()) for s in cut.solids]
    grid = 1e-6
    assert shapely.union_all(after, grid_size=grid).area == pytest.approx(sum(p.area for p in after), abs=1e-3)
    assert shapely.symmetric_difference(
        shapely.union_all(before, grid_size=grid), shapely.union_all(after, grid_size=grid), grid_size=grid
    ).area == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("joint", ["tab", "folded"])
def test_that_what_cannot_be_put_together_from_pieces_is_refused_with_the_remedy(joint: str) -> None:
    project = bare_project(300.0, 280.0, 100.0, joint=joint)
    with pytest.raises(LayoutError, match="larger sheet"):
        _on(project, (305.0, 305.0))


def test_that_a_long_left_over_does_not_stop_the_other_strips_from_being_cut_in_pieces() -> None:
    from layout.box.stock import cut_polygon

    project = round_project(230.0, 60.0)
    # the left-over takes the whole strip (737 mm) beside nothing else; a strip of the sheet is too short for it
    cutting = replace(project.cutting, stock_mm=((500.0, 300.0),), leftover_mm=((760.0, 75.0),))
    whole = cut_job(replace(project, cutting=cutting))
    assert [p.name for p in whole.parts.panels] == ["base", "strip"]
    assert sum(sheet.leftover for sheet in whole.sheets) == 1
    # one that is too narrow once its margin is off takes none
    narrow = replace(cutting, leftover_mm=((760.0, 69.0),))
    cut = cut_job(replace(project, cutting=narrow))
    assert [p.name for p in cut.parts.panels] == ["base", "strip, piece 1 of 2", "strip, piece 2 of 2"]
    for sheet in cut.sheets:
        polygons = [cut_polygon(piece, 0.0) for piece in sheet.pieces]
        assert all(a.distance(b) >= 3.0 - 1e-6 for i, a in enumerate(polygons) for b in polygons[:i])
    # sides of a butt box with the base inside: one left-over holds one long side, two are needed
    box = bare_project(510.0, 60.0, 40.0, thickness_mm=5.0, base="inside")
    cutting = replace(box.cutting, stock_mm=((520.0, 300.0),), leftover_mm=((535.0, 56.0),))
    job = cut_job(replace(box, cutting=cutting))
    names = sorted(p.name for p in job.parts.panels)
    assert names == ["base", "long side, piece 1 of 2", "long side, piece 2 of 2", "short side"]
