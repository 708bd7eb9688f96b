"""The picture is read back as XML and compared with the layout it shows."""

import xml.etree.ElementTree as ET

import pytest

from layout import edits
from layout.documents.picture import label_spot, layout_svg, scale_bar_mm
from layout.geometry import Disc, centred_outline
from layout.model import Box, KeepOut, KeepOutId, Master, MasterId, OutlineBox, Project, RectBox, RoundBox
from layout.regions import placed_cavities
from layout.units import Units

NS = {"s": "http://www.w3.org/2000/svg"}
PIN = Master(MasterId("pin"), "pin", "disc:18x5", Disc(9.0), 5.0, 1.27, 254.5)
ELL = Master(
    MasterId("ell"),
    "ell",
    "ell.dxf",
    centred_outline([(0, 0), (30, 0), (30, 4), (4, 4), (4, 30), (0, 30)], "ell"),
    8.0,
    4.0,
    500.0,
)


def _project(*places: tuple[str, float, float, float], units: str = "mm") -> Project:
    empty = Project("Two <pins> & more", Box(RectBox(203.2, 101.6)), (PIN, ELL), units=Units(units))  # type: ignore[arg-type]
    return edits.add_cavities(empty, [(MasterId(m), x, y, a) for m, x, y, a in places])[0]


def _texts(svg: str) -> list[str]:
    return [t.text or "" for t in ET.fromstring(svg).findall(".//s:text", NS)]


def test_that_a_disc_is_drawn_round_at_its_place_and_size_with_its_number() -> None:
    svg = layout_svg(_project(("pin", 30.0, 25.0, 0.0), ("pin", 80.0, 25.0, 0.0)))
    circles = ET.fromstring(svg).findall(".//s:circle", NS)
    assert [(float(c.get("cx", "")), float(c.get("cy", "")), float(c.get("r", ""))) for c in circles] == [
        (30.0, 76.6, 9.0),
        (80.0, 76.6, 9.0),
    ]
    assert {"1", "2", "Two <pins> & more", "203.20 mm", "101.60 mm", "50 mm"} <= set(_texts(svg))
    assert "seen from above, as the masters are glued" in _texts(svg)


def test_that_the_mirror_image_says_so_and_keeps_the_numbers() -> None:
    project = _project(("pin", 30.0, 25.0, 0.0), ("pin", 80.0, 25.0, 0.0))
    root = ET.fromstring(layout_svg(project, mirrored=True))
    words = {t.text: float(t.get("x", "")) for t in root.findall(".//s:text", NS)}
    assert words["1"] == pytest.approx(173.2)
    assert words["2"] == pytest.approx(123.2)
    assert "mirror image: the finished mold seen from its open face" in words


def test_that_broken_rules_are_drawn_with_their_length_and_written_with_the_pictures_numbers() -> None:
    texts = _texts(layout_svg(_project(("pin", 80.0, 25.0, 0.0), ("pin", 60.0, 25.0, 0.0), ("pin", 15.0, 25.0, 0.0))))
    assert "2 mm" in texts
    assert "6 mm" in texts
    assert "2 rules are broken" in texts
    assert "The wall between cavities 3 and 2 is 2 mm; the rule is 6.35 mm." in texts


def test_that_an_overlap_is_named_and_never_a_negative_wall() -> None:
    texts = _texts(layout_svg(_project(("pin", 80.0, 25.0, 0.0), ("pin", 72.0, 25.0, 0.0))))
    assert "overlap 10 mm" in texts
    assert any("cavities overlap by 10 mm" in t for t in texts)
    assert not any("-" in t for t in texts)


def test_that_inches_are_shown_to_who_thinks_in_inches() -> None:
    texts = _texts(layout_svg(_project(("pin", 30.0, 25.0, 0.0), units="in")))
    assert {"8 in", "4 in", "2 in"} <= set(texts)
    assert not any("mm" in t for t in texts)


@pytest.mark.parametrize("length", [8.0, 25.0, 199.0, 216.0, 4000.0])
def test_that_the_scale_bar_is_round_and_fits_the_box(length: float) -> None:
    assert scale_bar_mm(length, Units()) in {1, 2, 5, 20, 50, 1000}
    assert scale_bar_mm(length, Units("in")) / 25.4 in {0.05, 0.1, 0.2, 1, 2, 20} or length in {199.0, 25.0, 4000.0}
    assert length < 10 or length / 10 <= scale_bar_mm(length, Units()) <= length / 4


def test_that_a_number_stands_inside_a_thin_angle() -> None:
    placed = next(iter(placed_cavities(_project(("ell", 50.0, 50.0, 30.0))).values()))
    (x, y), room = label_spot(placed)
    from shapely.geometry import Point

    assert placed.contains(Point(x, y).buffer(0.95 * room))  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "shape", [RoundBox(120.0), OutlineBox(((0.0, 0.0), (120.0, 0.0), (120.0, 60.0), (40.0, 120.0), (0.0, 120.0)))]
)
def test_that_every_box_and_keep_out_is_drawn_and_an_empty_box_too(shape: RoundBox | OutlineBox) -> None:
    project = Project("b", Box(shape), (PIN,))
    for shown in (project, edits.add_keep_outs(project, [KeepOut(KeepOutId(""), 60, 60, 30, 10, False, "pry slot")])):
        root = ET.fromstring(layout_svg(shown))
        assert root.get("viewBox")
    assert "pry slot" in _texts(layout_svg(shown))
    assert len(root.findall(".//s:line", NS)) > 10
