import re
import zlib

import pytest

from app.printing.paint import page_to_image, pages_to_pdf, text_lines
from layout.documents.page import A4, Area, Line, Page, Round, Table, Text

POINTS_PER_MM = 72.0 / 25.4


def _contents(pdf: bytes) -> list[str]:
    streams = []
    for match in re.finditer(rb"stream\r?\n(.*?)endstream", pdf, re.S):
        try:
            text = zlib.decompress(match[1])
        except zlib.error:
            continue
        if b" cm" in text[:200]:
            streams.append(text.decode("latin1"))
    return streams


def test_that_a_line_of_100_mm_is_100_mm_in_the_pdf(qapp) -> None:
    pdf = pages_to_pdf((Page(A4.width_mm, A4.height_mm, (Line((10.0, 20.0), (110.0, 20.0)),)),), "line")
    (content,) = _contents(pdf)
    (device,) = re.findall(r"^(\S+) 0 0 -\S+ 0 \S+ cm", content, re.M)
    (own,) = re.findall(r"^(\S+) 0 0 \S+ 0 0 cm", content, re.M)
    (x0, x1) = (float(x) for x in re.findall(r"^(\S+) 20 [ml]", content, re.M))
    assert (x1 - x0) * float(own) * float(device) == pytest.approx(100.0 * POINTS_PER_MM, abs=0.001)


def test_that_pages_of_two_sizes_keep_their_sizes(qapp) -> None:
    pdf = pages_to_pdf((Page(210.0, 297.0, ()), Page(279.4, 215.9, ())), "two")
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    sizes = [(float(w) / POINTS_PER_MM, float(h) / POINTS_PER_MM) for w, h in boxes]
    assert sizes[0] == pytest.approx((210.0, 297.0), abs=0.2)
    assert sizes[1] == pytest.approx((279.4, 215.9), abs=0.2)


def test_that_a_long_text_is_broken_at_its_width(qapp) -> None:
    text = Text((0.0, 0.0), "mind the level of the bench before the pour", 4.0, width_mm=30.0)
    lines = text_lines(text)
    assert len(lines) > 2
    assert " ".join(lines) == text.words


def test_that_every_mark_leaves_ink_where_it_is_put(qapp) -> None:
    marks = (
        Area(((10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0)), fill="#000000"),
        Round((50.0, 20.0), 10.0, fill="#000000"),
        Line((70.0, 20.0), (90.0, 20.0), 2.0),
        Table((10.0, 50.0), (30.0,), ("head",), (("cell",),)),
    )
    image = page_to_image(Page(100.0, 100.0, marks), 4.0)
    for x, y in ((20.0, 20.0), (50.0, 20.0), (80.0, 20.0)):
        assert image.pixelColor(int(x * 4), int(y * 4)).lightness() < 40
    assert image.pixelColor(45 * 4, 80 * 4).lightness() > 250
    assert image.pixelColor(35 * 4, 53 * 4).lightness() < 240


@pytest.mark.parametrize(
    "names",
    [
        ("Bolt head",),
        ("Bolt head", "Porthole ring for the forward bulkhead", "Name plate"),
        ("Bolt head", "Rosette", "Ring", "Plate", "Knob", "Dial"),
        ("A name that somebody made up who had never seen a label of that size",),
    ],
)
def test_that_the_names_on_a_molds_label_leave_room_for_its_number(names: tuple[str, ...], qapp: object) -> None:
    from PySide6.QtGui import QFont, QFontMetricsF

    from layout import edits
    from layout.documents.mold_label import LABEL_MM, LabelFacts, one_label
    from layout.documents.page import Text
    from layout.masters import read_master
    from layout.model import Box, Project, RectBox

    project = Project("p", Box(RectBox(200.0, 150.0)))
    for name in names:
        master = read_master("disc:12x5", name=name, taken_ids={m.id for m in project.masters})
        project = edits.add_master(project, master)
    texts = [m for m in one_label(project, LabelFacts("12")).marks if isinstance(m, Text)]
    mold, part = (next(t for t in texts if t.align == side and t.at[1] == 9.0) for side in ("left", "right"))
    assert mold.words == "Mold 12"
    assert names[0][:30] in part.words

    def width_mm(text: Text) -> float:
        font = QFont("sans-serif")
        font.setPixelSize(100)
        font.setBold(text.bold)
        return QFontMetricsF(font).horizontalAdvance(text.words) * text.size_mm / 100.0

    assert mold.at[0] + width_mm(mold) + 2.0 < part.at[0] - width_mm(part)
    assert part.at[0] <= LABEL_MM[0]
