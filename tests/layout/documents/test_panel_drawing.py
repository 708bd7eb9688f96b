"""The drawings to measure and cut by: every corner, hinge, fill line and brace has its distance."""

import re

import pytest

from layout.box.job import cut_job
from layout.box.panels import make_parts
from layout.documents.cut_sheet import cut_sheet_pages
from layout.documents.page import A4, LETTER, Area, Text
from layout.documents.panel_drawing import (
    crowded_words,
    distance_text,
    distances_of,
    drawing,
    drawing_height_mm,
    scale_of,
)
from layout.documents.pour_sheet.lines import width_em
from layout.model import Box, OutlineBox
from layout.units import Units
from layout.volumes import pour_height_mm, side_height_mm
from tests.layout.box.boxes import bare_project, bolt_project, round_project


def _panel(project, name):
    return next(p for p in make_parts(project).panels if p.name == name)


def test_that_every_tab_and_notch_of_a_side_has_its_distance_and_the_fill_line_its_height() -> None:
    project = bolt_project(joint="tab", tab_mm=15.0)
    side = _panel(project, "long side")
    found = distances_of(side)
    x0, y0, _, _ = side.bounds
    along, up = [v for v, _ in found.along], [v for v, _ in found.up]
    for x, y in side.outer.vertices:
        assert min(abs(x - x0 - v) for v in along) < 0.006
        assert min(abs(y - y0 - v) for v in up) < 0.006
    # the tabs reach a thickness under the base's top
    (fill,) = (v for v, word in found.up if word == "fill line")
    assert fill == pytest.approx(4.7625 + pour_height_mm(project))


def test_that_the_hinges_of_a_folded_box_have_their_distances() -> None:
    project = bolt_project(joint="folded")
    found = distances_of(_panel(project, "box"))
    h = side_height_mm(project)
    assert [v for v, word in found.along if word == "half-cut"] == pytest.approx([h, h + 215.9])
    assert [v for v, word in found.up if word == "half-cut"] == pytest.approx([h, h + 182.7823])
    assert [v for v, word in found.up if word == "fill line"] == pytest.approx(
        [h - pour_height_mm(project), h + 182.7823 + pour_height_mm(project)]
    )


def test_that_braces_and_bevels_are_named_with_their_distances() -> None:
    side = _panel(bare_project(400.0, 200.0, 80.0), "long side")
    assert sum(word == "brace" for _, word in distances_of(side).along) >= 2
    ring = ((0.0, 40.0), (60.0, 0.0), (120.0, 40.0), (60.0, 80.0))
    bevelled = make_parts(_outlined(ring)).panels[1]
    assert [word for _, word in distances_of(bevelled).along].count("bevel") == 2


def _outlined(ring):
    from dataclasses import replace

    project = bare_project(10.0, 10.0, 30.0)
    return replace(project, box=Box(OutlineBox(ring), "acrylic", 3.0))


def test_that_inches_stand_beside_the_true_millimetres() -> None:
    assert distance_text(28.4, Units()) == "28.40"
    assert distance_text(28.4, Units("in", 32)) == "1-1/8 (28.40)"


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize(
    "project",
    [bolt_project(joint="tab"), bolt_project(joint="folded"), round_project(150.0, 40.0), bare_project(900.0, 30.0)],
    ids=["tab", "folded", "round", "long"],
)
def test_that_every_panel_is_drawn_and_nothing_leaves_the_paper(project, paper) -> None:
    job = cut_job(project)
    pages = cut_sheet_pages(job, paper)
    heads = " ".join(m.words for page in pages for m in page.marks if isinstance(m, Text) and m.bold)
    for panel in job.parts.panels:
        assert re.search(rf"{panel.name}, \d+ piece", heads)
    for page in pages:
        for mark in page.marks:
            if isinstance(mark, Text):
                assert 0.0 < mark.at[0] < page.width_mm
                assert 0.0 < mark.at[1] < page.height_mm
                if mark.angle_deg == 90.0 and mark.align == "right":
                    # about the widest a figure can be
                    assert mark.at[1] + 0.65 * mark.size_mm * len(mark.words) < page.height_mm


def test_that_half_cuts_too_close_to_be_named_in_the_drawing_are_all_listed() -> None:
    strip = _panel(round_project(150.0, 40.0), "strip")
    words = crowded_words(strip, Units(), scale_of(strip, 180.0))
    assert words.count(",") + 1 == len(strip.half)
    assert crowded_words(_panel(bolt_project(joint="folded"), "box"), Units(), 2.0) == ""


def test_that_the_bevels_of_a_side_are_told_beside_its_drawing() -> None:
    ring = ((0.0, 40.0), (60.0, 0.0), (120.0, 40.0), (60.0, 80.0))
    pages = cut_sheet_pages(cut_job(_outlined(ring)), A4)
    words = " ".join(m.words for page in pages for m in page.marks if isinstance(m, Text))
    assert words.count("degrees off square") == 2 * 4


@pytest.mark.parametrize("units", [Units("mm"), Units("in", 32), Units("in", 0)])
@pytest.mark.parametrize(
    "project",
    [bolt_project(joint="tab", tab_mm=15.0), bolt_project(joint="folded"), round_project(230.0, 60.0),
     bare_project(900.0, 300.0, 80.0)],
)  # fmt: skip
def test_that_a_drawing_keeps_to_its_room_on_the_page(project, units: Units) -> None:
    """Letters as wide as the sheets reckon them, on the wide side of common faces."""
    for panel in make_parts(project).panels:
        scale = scale_of(panel, 182.0)
        low, left = 20.0 + drawing_height_mm(panel, scale), 14.0
        for mark in drawing(panel, units, scale, (left, 20.0)):
            if isinstance(mark, Text):
                long = width_em(mark.words) * mark.size_mm
                if mark.angle_deg:
                    assert (mark.align, mark.angle_deg) == ("right", 90.0)
                    assert 20.0 <= mark.at[1] + long <= low, mark.words
                elif mark.align == "right":
                    assert mark.at[0] - long >= left, mark.words
            else:
                points = mark.points if isinstance(mark, Area) else (mark.start, mark.end)
                assert all(20.0 <= y <= low and left <= x <= left + 182.0 + 1e-6 for x, y in points)
