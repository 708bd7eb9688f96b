"""Printed pages as SVG, read by the rules of SVG 1.1 (W3C, 2011): y down, `rotate` clockwise as seen."""

import math
import re
from xml.etree import ElementTree

import pytest

from layout.documents.page import Area, Line, Page, Round, Table, Text
from layout.documents.page_svg import page_svg


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
