"""Printed pages as SVG, read by the rules of SVG 1.1 (W3C, 2011): y down, `rotate` clockwise as seen."""

import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from layout.documents.page import A4, Area, Line, Page, Round, Table, Text
from layout.documents.page_svg import page_svg
from layout.documents.picture import layout_svg
from layout.documents.pour_sheet.lines import width_em, wrapped
from layout.documents.template import template_pages
from layout.documents.template_frame import frame
from layout.documents.template_tiles import HEAD_MM, MARGIN_MM, Tile
from tests.layout.box.boxes import bolt_project


def _read(*marks: Line | Area | Round | Text | Table) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(page_svg(Page(210.0, 297.0, marks))))


@pytest.mark.parametrize("angle", [0.0, 90.0, 30.0, -45.0])
def test_that_turned_words_run_counter_clockwise_about_their_place(angle: float) -> None:
    (text,) = _read(Text((10.0, 20.0), "a < b", 3.5, "right", angle_deg=angle))
    place = text.attrib["transform"]
    assert place.startswith("translate(10.000 20.000)")
    turn = re.search(r"rotate\((\S+)\)", place)
    turned = math.radians(float(turn[1]) if turn else 0.0)
    # where the line of words runs to, y down on the page: counter-clockwise is up
    to = (math.cos(turned), math.sin(turned))
    assert to == pytest.approx((math.cos(math.radians(angle)), -math.sin(math.radians(angle))))
    scale = re.search(r"scale\((\S+)\)", place)
    assert scale is not None
    assert float(text.attrib["font-size"]) * float(scale[1]) == pytest.approx(3.5)
    assert (text.attrib["text-anchor"], text.text) == ("end", "a < b")


def test_that_every_mark_is_there_in_true_millimetres() -> None:
    page = ElementTree.fromstring(page_svg(Page(210.0, 297.0, ())))
    assert (page.attrib["width"], page.attrib["height"], page.attrib["viewBox"]) == ("210mm", "297mm", "0 0 210 297")
    line, open_line, disc, area = _read(
        Line((1.0, 2.0), (3.0, 4.5), dash_mm=(2.0, 1.0)),
        Area(((0.0, 0.0), (5.0, 0.0), (5.0, 5.0)), closed=False),
        Round((7.0, 8.0), 2.5, fill="#ffffff"),
        Area(((0.0, 0.0), (5.0, 0.0), (5.0, 5.0)), 0.0, fill="#e4e4e4", hatch=True),
    )
    assert [float(line.attrib[k]) for k in ("x1", "y1", "x2", "y2")] == [1.0, 2.0, 3.0, 4.5]
    assert line.attrib["stroke-dasharray"] == "2 1"
    assert open_line.tag.endswith("polyline")
    assert [float(disc.attrib[k]) for k in ("cx", "cy", "r")] == [7.0, 8.0, 2.5]
    assert disc.attrib["fill"] == "#ffffff"
    assert (area.attrib["fill"], area.attrib["stroke"]) == ("none", "none")


def test_that_a_table_is_its_head_its_cells_and_a_line_under_each_row() -> None:
    marks = _read(Table((10.0, 20.0), (30.0, 40.0), ("A", "B"), (("1", "2"), ("3", "4"))))
    words = [m.text for m in marks if m.tag.endswith("text")]
    assert words == ["A", "B", "1", "2", "3", "4"]
    lines = [m for m in marks if m.tag.endswith("line")]
    assert [float(m.attrib["y1"]) for m in lines] == [26.0, 32.0, 38.0]
    assert {(float(m.attrib["x1"]), float(m.attrib["x2"])) for m in lines} == {(10.0, 80.0)}


LONG = "Spare knobs for the drawers of the workshop, third try with the harder silicone, " * 3


def test_that_a_long_name_leaves_room_for_the_number_of_the_page() -> None:
    tile = Tile(0.0, 0.0, 190.0, 240.0, column=1, row=1, top_mm=MARGIN_MM + HEAD_MM)
    marks = frame(replace(bolt_project(), name=LONG), A4, tile, 1, (tile,))
    title, where = (mark for mark in marks if isinstance(mark, Text) and mark.at[1] == MARGIN_MM + 3.5)
    end = title.at[0] + width_em(title.words, bold=True) * title.size_mm
    assert end <= where.at[0] - width_em(where.words) * where.size_mm
    assert title.words.startswith("Placement template: Spare")


def test_that_a_long_name_in_the_strip_at_the_side_takes_no_more_than_three_lines() -> None:
    (page,) = template_pages(replace(bolt_project(), name=LONG), A4)
    words = next(m for m in page.marks if isinstance(m, Text) and m.words.startswith("Placement template: Spare"))
    assert words.width_mm is not None
    assert len(wrapped(words.words.partition("\n")[0], words.width_mm, words.size_mm)) <= 3


def test_that_a_long_name_stays_on_the_picture() -> None:
    svg = ElementTree.fromstring(layout_svg(replace(bolt_project(), name=LONG)))
    left, _, width, _ = (float(v) for v in svg.attrib["viewBox"].split())
    title = next(e for e in svg.iter() if e.tag.endswith("text") and e.attrib.get("font-weight") == "bold")
    assert title.text is not None
    assert title.text.startswith("Spare knobs")
    end = float(title.attrib["x"]) + width_em(title.text, bold=True) * float(title.attrib["font-size"])
    assert end <= left + width
