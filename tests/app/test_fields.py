"""Typed amounts: both units, comma and point, wrong ones told in place."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFormLayout, QGridLayout, QHBoxLayout, QLabel, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.fields import AmountField, length_field, length_field_text, number_field, typed_length_mm
from app.temperatures import typed_temperature_c
from layout.errors import LayoutError
from layout.units import Units

MM, INCH = Units("mm"), Units("in")


@pytest.mark.parametrize(
    ("text", "units", "mm"),
    [
        ("6,35", MM, 6.35),
        ("6.35", MM, 6.35),
        ("1/4", INCH, 6.35),
        ("1-1/2", INCH, 38.1),
        ("0,25", INCH, 6.35),
        ("5mm", INCH, 5.0),
        ('2"', MM, 50.8),
        ("−3", MM, -3.0),
    ],
)
def test_that_a_bare_number_is_in_the_users_unit_and_a_comma_is_a_point(text: str, units: Units, mm: float) -> None:
    assert typed_length_mm(text, "X", units) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(("units", "within_mm"), [(MM, 5e-4), (INCH, 0.0005 * 25.4)])
@pytest.mark.parametrize("mm", [0.0, 6.35, 9.525, 123.4, -17.25, 3.175, 0.02])
def test_that_what_a_field_shows_reads_back_to_what_a_caliper_tells(mm: float, units: Units, within_mm: float) -> None:
    assert typed_length_mm(length_field_text(mm, units), "X", units) == pytest.approx(mm, abs=within_mm * 1.001)


def test_that_a_wrong_length_is_marked_in_place_and_not_committed(qtbot: QtBot) -> None:
    field = length_field("Wall", lambda: MM, 0.0)
    qtbot.addWidget(field)
    committed: list[float] = []
    field.committed.connect(committed.append)
    field.set_value(6.35)
    field.show()
    field.selectAll()
    qtbot.keyClicks(field, "thick")
    field.editingFinished.emit()
    assert field.is_wrong
    assert "thick" in field.toolTip()
    field.selectAll()
    qtbot.keyClicks(field, "1/4in")
    field.editingFinished.emit()
    assert not field.is_wrong
    field.selectAll()
    qtbot.keyClicks(field, "7,5")
    field.editingFinished.emit()
    assert committed == [6.35, 7.5]


def type_in(qtbot: QtBot, field: AmountField, text: str) -> None:
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def in_form(field: AmountField) -> QWidget:
    page = QWidget()
    QFormLayout(page).addRow("Field", field)
    return page


def in_row(field: AmountField) -> QWidget:
    page = QWidget()
    column = QVBoxLayout(page)
    row = QHBoxLayout()
    row.addWidget(QLabel("Field"))
    row.addWidget(field)
    column.addLayout(row)
    return page


def in_grid(field: AmountField) -> QWidget:
    page = QWidget()
    grid = QGridLayout(page)
    grid.addWidget(QLabel("Field"), 0, 0)
    grid.addWidget(field, 0, 1)
    return page


@pytest.mark.parametrize("page_of", [in_form, in_row, in_grid])
def test_that_what_is_wrong_stands_under_the_field_in_the_users_unit(qtbot: QtBot, page_of: object) -> None:
    field = length_field("Wall", lambda: INCH, 0.0)
    assert callable(page_of)
    page = page_of(field)
    qtbot.addWidget(page)
    field.set_value(6.35)
    page.show()
    type_in(qtbot, field, "-1")
    notes = [label for label in page.findChildren(QLabel) if label.isVisible() and label.text() == field.note]
    assert field.note == "▲ '-1' is too small; give at least 0 in. It is still 1/4 in."
    assert len(notes) == 1
    assert notes[0].mapTo(page, notes[0].rect().topLeft()).y() > field.mapTo(page, field.rect().topLeft()).y()
    assert page.rect().contains(notes[0].geometry())
    type_in(qtbot, field, "3/8")
    assert not notes[0].isVisible()
    assert field.value == pytest.approx(9.525)


def test_that_escape_takes_back_what_was_wrong(qtbot: QtBot) -> None:
    field = length_field("Wall", lambda: INCH, 0.0)
    page = in_form(field)
    qtbot.addWidget(page)
    field.set_value(6.35)
    page.show()
    type_in(qtbot, field, "thick")
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert (field.text(), field.is_wrong, field.note) == ("1/4 in", False, "")


def test_that_a_part_of_a_whole_number_is_refused_not_rounded(qtbot: QtBot) -> None:
    field = number_field("Good parts", least=1, most=100, whole=True)
    page = in_form(field)
    qtbot.addWidget(page)
    field.set_value(4.0)
    page.show()
    type_in(qtbot, field, "1.5")
    assert field.note == "▲ '1.5' is not a whole number; give 1 or 2. It is still 4."
    assert field.value == 4.0


@pytest.mark.parametrize(
    ("typed", "shown", "mm"),
    [("0.375", "0.375 in", 9.525), ("20mm", "20mm", 20.0), ("3/4", "3/4 in", 19.05), ('.5"', '.5"', 12.7)],
)
def test_that_a_length_is_shown_as_it_was_typed_until_it_is_another(
    qtbot: QtBot, typed: str, shown: str, mm: float
) -> None:
    field = length_field("Length", lambda: INCH, 0.0)
    page = in_form(field)
    qtbot.addWidget(page)
    page.show()
    field.set_value(1.0)
    type_in(qtbot, field, typed)
    field.set_value(mm)
    field.refresh()
    assert (field.text(), field.value) == (shown, pytest.approx(mm))
    field.set_value(25.4)
    assert field.text() == "1 in"


def test_that_a_refused_amount_stays_to_be_mended_and_the_old_one_in_force(qtbot: QtBot) -> None:
    field = length_field("Length", lambda: MM, 0.0)
    page = in_form(field)
    qtbot.addWidget(page)
    page.show()
    field.set_value(8.0)
    field.committed.connect(lambda _mm: field.refuse("the hole is too wide."))
    type_in(qtbot, field, "50")
    assert (field.text(), field.value, field.is_wrong) == ("50", 8.0, True)
    assert field.note == "▲ The hole is too wide. It is still 8 mm."


@pytest.mark.parametrize(
    ("typed", "units", "sentence"),
    [
        ("24", INCH, "24 °F is too cold; did you mean 24 °C? Give 32 °F to 140 °F"),
        ("75", MM, "75 °C is too warm; did you mean 75 °F? Give 0 °C to 60 °C"),
        ("500F", INCH, "500 °F is too warm; give 32 °F to 140 °F"),
        ("hot", INCH, "'hot' is not readable; write it like 24C or 75F"),
        ("", INCH, "'' is not readable; write it like 24C or 75F"),
    ],
)
def test_that_a_temperature_is_refused_with_the_number_that_was_typed(typed: str, units: Units, sentence: str) -> None:
    with pytest.raises(LayoutError) as refused:
        typed_temperature_c(typed, units)
    assert f"{refused.value.problem}; {refused.value.remedy}" == sentence


def test_that_a_bare_temperature_is_in_the_windows_scale() -> None:
    assert typed_temperature_c("77", INCH) == pytest.approx(25.0)
    assert typed_temperature_c("24 °C", INCH) == pytest.approx(24.0)
    assert typed_temperature_c("24,5", MM) == pytest.approx(24.5)
