from dataclasses import replace

import pytest
import shapely

from layout.box.job import cut_job
from layout.box.stock import cut_polygon, piece_bounds
from layout.documents.cut_sheet import _label_spot, cut_sheet_pages
from layout.documents.page import A4, LETTER, Area, Line, Page, Paper, Table, Text
from layout.model import Box, OutlineBox
from layout.units import Units
from tests.layout.box.boxes import bare_project, bolt_project, round_project


def _pages(project, paper: Paper = A4, relief: str | None = None) -> tuple[Page, ...]:
    return cut_sheet_pages(cut_job(project, relief), paper)


def _stock(project):
    return replace(project, cutting=replace(project.cutting, stock_mm=((508.0, 762.0),)))


def _points(page: Page):
    for mark in page.marks:
        if isinstance(mark, Area):
            yield from mark.points
        elif isinstance(mark, Line):
            yield from (mark.start, mark.end)
        elif isinstance(mark, Text):
            yield mark.at
        elif isinstance(mark, Table):
            yield mark.at
            yield mark.at[0] + sum(mark.columns_mm), mark.at[1] + mark.height_mm


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("name", ["butt", "folded", "round", "letters"])
def test_that_everything_stays_inside_the_margins(name: str, paper: Paper) -> None:
    projects = {
        "butt": _stock(bolt_project()),
        "folded": bolt_project(joint="folded"),
        "round": _stock(round_project(150.0)),
        "letters": _stock(bolt_project()),
    }
    pages = _pages(projects[name], paper, "NO 123456 78" if name == "letters" else None)
    for page in pages:
        for x, y in _points(page):
            assert 13.9 <= x <= page.width_mm - 13.9
            assert 13.9 <= y <= page.height_mm - 13.9


def test_that_the_table_has_fractions_and_true_millimetres() -> None:
    project = replace(_stock(bolt_project()), units=Units("in"))
    (table,) = (m for m in _pages(project)[0].marks if isinstance(m, Table))
    assert table.rows[1] == ("long side", "8-7/8 in x 1-1/8 in", "225.43 x 28.40", "2", "1")


def test_that_each_sheet_is_drawn_to_a_round_scale_with_its_pieces_named() -> None:
    words = [m.words for page in _pages(_stock(bolt_project())) for m in page.marks if isinstance(m, Text)]
    assert "Sheet 1: 508.00 mm x 762.00 mm, 83 % waste; drawn 1:4." in words
    assert words.count("long side") == 2
    assert words.count("base") == 1


def test_that_cautions_and_estimates_are_on_the_paper() -> None:
    words = " ".join(m.words for page in _pages(bolt_project()) for m in page.marks if isinstance(m, Text))
    assert "Knife" in words
    assert "Estimate" in words
    assert "safety data" in words


def test_that_the_name_of_an_l_stands_on_it_and_not_across_its_cut() -> None:
    ell = ((0.0, 0.0), (200.0, 0.0), (200.0, 60.0), (60.0, 60.0), (60.0, 200.0), (0.0, 200.0))
    project = replace(bare_project(10.0, 10.0, 30.0), box=Box(OutlineBox(ell)))
    project = replace(project, cutting=replace(project.cutting, stock_mm=((508.0, 762.0),)))
    job = cut_job(project)
    (piece,) = (p for s in job.sheets for p in s.pieces if p.panel.name == "base")
    spot = _label_spot(piece, 0.0, tuple((a + b) / 2 for a, b in zip(*piece_bounds(piece, 0.0), strict=True)))
    base = cut_polygon(piece, 0.0)
    assert base.exterior.distance(shapely.Point(spot)) > 20.0
    assert base.contains(shapely.Point(spot))
