"""The pour sheet: nothing off its pages, on top of another or left out; the same as page, HTML and CSV."""

import csv
import io
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from app.printing.paint import ensure_application, page_font, page_to_image, text_lines
from layout import edits
from layout.advice import advice
from layout.documents.page import A4, LETTER, Area, Line, Round, Text
from layout.documents.page_svg import page_svg
from layout.documents.pour_sheet.cautions import DEFER, PLATINUM, URETHANE, cautions
from layout.documents.pour_sheet.content import grams, ranges, sheet_content
from layout.documents.pour_sheet.lines import wrapped
from layout.documents.pour_sheet.page import LEAST_BODY_MM, pour_pages
from layout.documents.pour_sheet.table import to_csv
from layout.documents.pour_sheet.web import to_html
from layout.geometry import Disc
from layout.materials import parse_mix
from layout.model import Box, Cavity, KeepOut, Master, PourSettings, Project, RectBox, RoundBox, SmallMold
from layout.units import Units
from tests.worked_example import grid_of_48


def _many(count_x: int, count_y: int) -> Project:
    master = Master("m", "peg", "disc", Disc(3.0), 5.0, 0.14, 28.0)
    cavities = tuple(
        Cavity(f"c{i}-{j}", "m", 12.0 + 12.4 * i, 12.0 + 12.4 * j) for j in range(count_y) for i in range(count_x)
    )
    box = Box(RectBox(12.4 * count_x + 12.0, 12.4 * count_y + 12.0))
    return Project("pegs", box, (master,), cavities=cavities)


E1 = grid_of_48()
WORST = replace(
    E1,
    name="A name far longer than anyone would write on a pour sheet by hand, but somebody will",
    units=Units("in"),
    silicone=parse_mix(
        "name=a silicone with a very long name,a=1.25,b=0.98,ratio=10:1w,cp=35000,pot=9,kit=1000+100g", "", "silicone"
    ),
    pour=PourSettings(
        temperature_c=36.0, degas=True, absolute_mbar=90.0, humidity_pct=80.0, coat_mm=0.5, filler_ml=300.0,
        pigment_pct=4.0, level_deg=1.0, container_ml=400.0, pressure_pot_diameter_mm=200.0, scale_step_g=5.0,
        small_molds=(SmallMold("knob of the left door", 5.0), SmallMold("key", 4.0)),
    ),
)  # fmt: skip

PROJECTS = {
    "e1": E1,
    "worst": WORST,
    "pegs": _many(24, 16),
    "one": replace(E1, cavities=E1.cavities[:1]),
    "none": replace(E1, cavities=()),
    "degassed": replace(E1, pour=PourSettings(degas=True, coat_mm=0.3)),
    "many cups": replace(E1, pour=PourSettings(container_ml=260.0)),
    "tall": replace(E1, box=replace(E1.box, shape=RectBox(70.0, 400.0)), cavities=E1.cavities[:2]),
    "round": replace(E1, box=replace(E1.box, shape=RoundBox(283.0))),
    "empty": replace(E1, cavities=tuple(replace(c, empty=True) for c in E1.cavities)),
    "tiny cups": replace(E1, pour=PourSettings(container_ml=110.0, pigment_pct=2.0), units=Units("in")),
    "keep-outs": replace(
        _many(4, 3), keep_outs=(KeepOut("k1", 30.0, 18.0, 12.0, 6.0), KeepOut("k2", 18.0, 30.0, 8.0, 8.0, round=True))
    ),
    "accepted": edits.accept(
        edits.accept(replace(E1, pour=PourSettings(temperature_c=36.0)), "warm_parts", "trial piece " * 12),
        "cavities_per_batch",
        "two of us pour",
    ),
}


def _pages(project, paper=A4):
    return pour_pages(project, sheet_content(project, advice(project), "2026-03-31"), paper)


def _words(project, paper=A4):
    return [m.words for page in _pages(project, paper) for m in page.marks if isinstance(m, Text)]


def _page(project, paper=A4):
    return pour_pages(project, sheet_content(project, advice(project), "2026-03-31"), paper)[0]


def _text_box(text: Text) -> tuple[float, float, float, float]:
    """Upper left and lower right of a one-line text, by the font it is painted with."""
    from PySide6.QtGui import QFontMetricsF

    assert len(text_lines(text)) == 1
    width = QFontMetricsF(page_font(text.bold)).horizontalAdvance(text.words) * text.size_mm / 1000.0
    left = text.at[0] - {"left": 0.0, "middle": width / 2, "right": width}[text.align]
    return left, text.at[1] - 0.8 * text.size_mm, left + width, text.at[1] + 0.2 * text.size_mm


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["a4", "letter"])
@pytest.mark.parametrize("name", PROJECTS)
def test_that_nothing_stands_off_the_page_or_on_other_words(name, paper):
    ensure_application()
    for page in _pages(PROJECTS[name], paper):
        _check_page(page, paper)


def _check_page(page, paper):
    boxes = []
    for mark in page.marks:
        if isinstance(mark, Text):
            box = _text_box(mark)
            boxes.append((box, mark.words))
        elif isinstance(mark, Round):
            (x, y), r = mark.centre, mark.radius_mm
            box = (x - r, y - r, x + r, y + r)
        else:
            assert isinstance(mark, (Line, Area))
            points = (mark.start, mark.end) if isinstance(mark, Line) else mark.points
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            box = (min(xs), min(ys), max(xs), max(ys))
        assert min(box[0], box[1]) >= 5.0, mark
        assert box[2] <= paper.width_mm - 5.0, mark
        assert box[3] <= paper.height_mm - 5.0, mark
    for i, (a, words) in enumerate(boxes):
        for b, others in boxes[i + 1 :]:
            across = min(a[2], b[2]) - max(a[0], b[0])
            down = min(a[3], b[3]) - max(a[1], b[1])
            assert across < 0.3 or down < 0.3, (words, others)


def test_that_readings_are_large_enough_for_arms_length():
    # letters of 1/200 of the distance are read with ease: 3.5 mm at 0.7 m; common practice, no source
    sizes = {m.words: m.size_mm for m in _page(E1).marks if isinstance(m, Text)}
    assert sizes["377.1"] >= 6.0
    assert sizes["781.6"] >= 6.0
    assert sizes["64.9"] >= 4.5


def test_that_the_page_shows_each_number_twice_the_map_mirrored():
    places: dict[str, list[float]] = {}
    for mark in _page(E1).marks:
        if isinstance(mark, Text) and mark.words.isdigit() and mark.align == "middle":
            places.setdefault(mark.words, []).append(mark.at[0])
    assert sorted(places, key=int) == [str(n) for n in range(1, 49)]
    glued, mold = (places["1"][i] - places["2"][i] for i in (0, 1))
    assert glued == pytest.approx(-mold)
    assert glued < 0


def test_that_the_checklist_is_in_the_order_of_work():
    steps = sheet_content(WORST, ()).checklist
    words = ["Test patch", "Box dry-fitted", "glued all round", "Fill line", "container ready", "Detail coat",
             "Old silicone", "Weigh A, then B", "Degas", "Pour a thin", "Weigh what was used",
             "Demold from"]  # fmt: skip
    found = [next(i for i, step in enumerate(steps) if word in step) for word in words]
    assert found == sorted(found)


def test_that_cautions_follow_the_materials_and_defer_to_their_data_sheets():
    said = cautions(E1)
    assert URETHANE in said
    assert PLATINUM in said
    assert said[-1] == DEFER
    for resin in ("slow epoxy", "medium urethane"):
        for silicone in ("tin-cure", "fast platinum"):
            project = replace(
                E1, resin=parse_mix(resin, "", "resin"), silicone=parse_mix(silicone, "", "silicone"),
                pour=PourSettings(degas=True, pressure_pot_diameter_mm=300.0),
            )  # fmt: skip
            words = " ".join(cautions(project)).lower()
            assert "isocyanate" in words if "urethane" in resin else "isocyanate" not in words
            assert ("sulfur" in words) == (silicone == "fast platinum")
            assert "vacuum: only a chamber rated" in words
            assert "relief valve" in words
            assert " safe " not in words
            assert "safely" not in words


def test_that_what_was_taken_on_is_printed():
    texts = " ".join(m.words for m in _page(PROJECTS["accepted"]).marks if isinstance(m, Text))
    assert "Taken on: warm parts: trial piece" in texts
    assert "two of us pour" in texts


def test_that_a_reason_for_another_day_is_not_printed_where_nothing_asks_for_it():
    cool = replace(PROJECTS["accepted"], pour=PourSettings())
    assert sheet_content(PROJECTS["accepted"], advice(PROJECTS["accepted"])).accepted
    assert sheet_content(cool, advice(cool)).accepted == ()


def test_that_every_cups_clock_times_are_on_the_page():
    content = sheet_content(PROJECTS["many cups"], ())
    assert len(content.silicone) > 12
    texts = {m.words for m in _page(PROJECTS["many cups"]).marks if isinstance(m, Text)}
    assert {r.times for r in content.silicone} <= texts


class _Strict(HTMLParser):
    VOID = ("meta", "br")

    def __init__(self):
        super().__init__()
        self.open, self.words, self.links = [], [], []

    def handle_starttag(self, tag, attrs):
        self.links += [v for k, v in attrs if k in ("src", "href")]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.links += [v for k, v in attrs if k in ("src", "href")]

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)


def test_that_the_html_is_whole_stands_alone_and_lets_no_name_in_as_code():
    project = replace(E1, name="<script>alert(1)</script> & Co")
    page = to_html(project, sheet_content(project, advice(project)))
    parser = _Strict()
    parser.feed(page)
    assert parser.open == []
    assert parser.links == []
    assert "<script" not in page
    assert "377.1" in parser.words
    assert any("<script>alert(1)</script> & Co" in w for w in parser.words)


def test_that_the_html_prints_the_very_page_of_the_pdf(tmp_path):
    from PySide6.QtCore import QByteArray
    from PySide6.QtGui import QColor, QImage, QPainter
    from PySide6.QtSvg import QSvgRenderer

    ensure_application()
    page = _page(E1, LETTER)
    html = to_html(E1, sheet_content(E1, advice(E1), "2026-03-31"), LETTER)
    assert "size: 215.9mm 279.4mm" in html
    svg = page_svg(page)
    assert svg in html
    renderer = QSvgRenderer(QByteArray(svg.encode()))
    assert renderer.isValid()
    image = QImage(432, 559, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    renderer.render(painter)
    painter.end()
    painted = page_to_image(page, 2.0)
    dark = [
        [sum(p.pixelColor(x, y).lightness() < 200 for x in range(0, 430, 2)) for y in range(0, 558, 2)]
        for p in (image, painted)
    ]
    # line for line about as much ink, whoever paints it
    assert sum(abs(a - b) for a, b in zip(*dark, strict=True)) < 0.25 * sum(dark[1])


def test_that_the_csv_lets_no_name_in_as_a_formula():
    project = replace(E1, name="=1+1", silicone=replace(E1.silicone, name="@sum"))
    rows = list(csv.reader(io.StringIO(to_csv(project, sheet_content(project, ())))))
    assert rows[0] == ["section", "item", "value", "unit"]
    assert all(len(row) == 4 for row in rows)
    assert not [row for row in rows for cell in row if cell[:1] in ("=", "@")]
    assert ["silicone", "masters", "110.948", "mL"] in rows


@pytest.mark.parametrize(
    ("value", "step", "shown"),
    [
        (377.083, None, "377.1"),
        (377.083, 0.01, "377.08"),
        (377.083, 1.0, "377"),
        (377.083, 2.0, "378"),
        (0.04, 0.1, "0.0"),
    ],
)
def test_that_a_reading_is_one_the_scale_can_show(value, step, shown):
    assert grams(value, step) == shown


def test_that_numbers_in_a_row_are_a_range():
    assert ranges([]) == ""
    assert ranges([5]) == "5"
    assert ranges([3, 1, 2, 5]) == "1-3, 5"


def test_that_an_ordinary_pour_is_on_one_page():
    for name in ("e1", "one", "none", "tall", "round", "empty", "keep-outs"):
        for paper in (A4, LETTER):
            assert len(_pages(PROJECTS[name], paper)) == 1, name


@pytest.mark.parametrize("name", PROJECTS)
def test_that_no_letter_but_a_cavitys_number_is_too_small_for_the_bench(name):
    for page in _pages(PROJECTS[name]):
        for mark in page.marks:
            if isinstance(mark, Text) and not mark.words.isdigit():
                assert mark.size_mm >= LEAST_BODY_MM - 0.21, mark


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["a4", "letter"])
@pytest.mark.parametrize("name", PROJECTS)
def test_that_every_warning_step_and_caution_is_on_the_sheet(name, paper):
    project = PROJECTS[name]
    content = sheet_content(project, advice(project))
    said = " ".join(_words(project, paper)).replace(" ", "").replace("\u00a0", "")
    for words in (*(w for _, w in content.warnings), *content.accepted, *content.checklist, *content.cautions):
        assert words.replace(" ", "") in said, words


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["a4", "letter"])
def test_that_every_one_of_very_many_cups_has_its_times(paper):
    content = sheet_content(PROJECTS["tiny cups"], ())
    assert len(content.silicone) == 89
    words = set(_words(PROJECTS["tiny cups"], paper))
    assert {r.times for r in content.silicone} <= words
    assert any("see page 2" in w for w in words)


def test_that_no_number_is_torn_from_its_unit_or_its_other_part():
    content = sheet_content(PROJECTS["worst"], ())
    by_volume = dict(content.facts)["A + B a batch"]
    for width in range(40, 90):
        for line in wrapped(by_volume, float(width), 3.0):
            assert not line.endswith(("+", "\u00a0"))
            assert not line.startswith(("+", "g", "mL"))
    for project in PROJECTS.values():
        for line in _words(project) + _words(replace(project, units=Units("in"))):
            assert line.split(" ")[0] not in ("lb", "lb)", "g", "mL", "in³", "in³)", "min", "qt)"), line


def test_that_keep_outs_are_drawn_on_both_plans():
    hatched = [m for m in _page(PROJECTS["keep-outs"]).marks if isinstance(m, (Area, Round)) and m.hatch]
    assert len(hatched) == 4
    rounds = sorted(m.centre[0] for m in hatched if isinstance(m, Round))
    areas = sorted(sum(p[0] for p in m.points) / 4 for m in hatched if isinstance(m, Area))
    # on the mirrored plan they stand the other way round: k2 left of k1 as glued, right of it in the mold
    assert rounds[0] < areas[0]
    assert rounds[1] > areas[1]


def test_that_the_sheet_is_called_by_its_file():
    assert sheet_content(E1, (), name="left hand").title == "Pour sheet: left hand"
    assert sheet_content(E1, ()).title == "Pour sheet: bolts"
