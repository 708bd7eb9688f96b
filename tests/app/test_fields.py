"""Typed amounts: both units, comma and point, wrong ones told in place."""

import pytest
from pytestqt.qtbot import QtBot

from app.fields import length_field, length_field_text, typed_length_mm
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


@pytest.mark.parametrize("units", [MM, INCH])
@pytest.mark.parametrize("mm", [0.0, 6.35, 9.525, 123.4, -17.25, 3.175])
def test_that_what_a_field_shows_reads_back_to_a_hundredth(mm: float, units: Units) -> None:
    assert typed_length_mm(length_field_text(mm, units), "X", units) == pytest.approx(mm, abs=5e-3)


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
