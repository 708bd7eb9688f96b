"""The repeat dialogs, by their fields: what OK stands for is what `layout.arrange` makes, and broken rules are told."""

import re
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialogButtonBox
from pytestqt.qtbot import QtBot

from app.dialogs.repeat import RepeatRoundDialog, RepeatRowsDialog
from layout import edits
from layout.arrange import repeat_grid
from layout.checks import check
from layout.geometry import Disc
from layout.model import Box, CavityId, Master, MasterId, Project, RectBox, Rules
from layout.units import Units

PIN = Master(MasterId("pin"), "pin", "disc:12x5", Disc(6.0), 5.0, 0.57, 113.1)
FIRST = [CavityId("c1")]


@pytest.fixture
def project() -> Project:
    empty = Project("p", Box(RectBox(120.0, 100.0)), (PIN,), Rules(6.0, 9.0))
    return edits.add_cavities(empty, [(PIN.id, 15.0, 15.0, 0.0)])[0]


def test_that_the_fields_left_empty_repeat_at_the_least_wall(qtbot: QtBot, project: Project) -> None:
    dialog = RepeatRowsDialog(project, FIRST)
    qtbot.addWidget(dialog)
    dialog.columns.setValue(5)
    dialog.rows.setValue(4)
    dialog.staggered.setChecked(True)
    assert dialog.after == repeat_grid(project, FIRST, 5, 4, staggered=True)[0]
    assert not check(dialog.after)
    assert dialog.across.placeholderText() == "18 mm"
    assert "20 cavities" in dialog.answer.text()
    assert dialog.undo_text == "Repeat: 19 more cavities"


def test_that_a_typed_pitch_is_taken_in_the_users_unit_and_broken_rules_are_told(
    qtbot: QtBot, project: Project
) -> None:
    dialog = RepeatRowsDialog(replace(project, units=Units("in")), FIRST)
    qtbot.addWidget(dialog)
    dialog.leave_out.setChecked(False)
    dialog.columns.setValue(3)
    dialog.rows.setValue(2)
    qtbot.keyClicks(dialog.across, "5/8")
    qtbot.keyClick(dialog.across, Qt.Key.Key_Return)
    assert [c.x_mm for c in dialog.after.cavities[:3]] == [15.0, 30.875, 46.75]
    assert dialog.across.text() == "5/8 in"
    assert "would be broken" in dialog.answer.text()
    assert dialog.buttons.button(QDialogButtonBox.StandardButton.Ok).isEnabled()


def test_that_it_begins_with_as_many_as_fit_and_leaves_out_what_would_break_a_rule(
    qtbot: QtBot, project: Project
) -> None:
    """120 x 100 with an edge of 9 takes 6 x 4 discs of 12 at 18; staggered five rows, every second with one less."""
    dialog = RepeatRowsDialog(project, FIRST)
    qtbot.addWidget(dialog)
    assert len(dialog.after.cavities) == 24
    assert not check(dialog.after)
    dialog.staggered.setChecked(True)
    assert not check(dialog.after)
    assert [sum(abs(c.y_mm - 15.0 - j * 18.0 * 0.75**0.5) < 1e-6 for c in dialog.after.cavities) for j in range(5)] == [
        6, 5, 6, 5, 6,
    ]  # fmt: skip


def test_that_one_by_one_makes_nothing_and_cannot_be_confirmed(qtbot: QtBot, project: Project) -> None:
    dialog = RepeatRowsDialog(project, FIRST)
    qtbot.addWidget(dialog)
    dialog.columns.setValue(1)
    dialog.rows.setValue(1)
    assert dialog.after == project
    assert not dialog.buttons.button(QDialogButtonBox.StandardButton.Ok).isEnabled()


def test_that_the_circle_takes_as_many_as_fit_and_its_centre_under_the_part_is_told(
    qtbot: QtBot, project: Project
) -> None:
    dialog = RepeatRoundDialog(edits.move_cavities(project, FIRST, 15.0, 35.0), FIRST)
    qtbot.addWidget(dialog)
    assert dialog.answer.text() == "10 on the circle."
    assert not check(dialog.after)
    dialog.count.setValue(4)
    assert len(dialog.after.cavities) == 4
    for field, text in ((dialog.centre_x, "30"), (dialog.centre_y, "50")):
        field.selectAll()
        qtbot.keyClicks(field, text)
        qtbot.keyClick(field, Qt.Key.Key_Return)
    assert "centre" in dialog.answer.text()
    assert dialog.after == dialog.before


def test_that_what_is_left_out_of_what_was_asked_for_is_told(qtbot: QtBot, project: Project) -> None:
    dialog = RepeatRowsDialog(project, FIRST)
    qtbot.addWidget(dialog)
    dialog.columns.setValue(50)
    dialog.rows.setValue(1)
    made = 1 + len(dialog.new_ids)
    assert f"{50 - made} of the 50 asked for do not fit and are left out." in dialog.answer.text()


def type_in(qtbot: QtBot, dialog: RepeatRowsDialog, text: str) -> None:
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    dialog.up.setFocus()
    dialog.up.selectAll()
    qtbot.keyClick(dialog.up, Qt.Key.Key_Delete)
    qtbot.keyClicks(dialog.up, text)
    qtbot.keyClick(dialog.up, Qt.Key.Key_Tab)


def test_that_a_distance_of_0_is_told_at_its_field_and_nothing_is_repeated(qtbot: QtBot, project: Project) -> None:
    dialog = RepeatRowsDialog(project, FIRST)
    qtbot.addWidget(dialog)
    dialog.show()
    ok = dialog.buttons.button(QDialogButtonBox.StandardButton.Ok)
    type_in(qtbot, dialog, "0")
    assert dialog.up.note == "▲ '0' is no distance; give more than 0, or leave it empty."
    assert "pitch" not in dialog.answer.text()
    assert not ok.isEnabled()
    assert dialog.after == project
    type_in(qtbot, dialog, "")
    assert (dialog.up.note, dialog.up.is_wrong) == ("", False)
    assert ok.isEnabled()
    assert len(dialog.after.cavities) == 24


def test_that_an_emptied_distance_is_the_least_again(qtbot: QtBot, project: Project) -> None:
    dialog = RepeatRowsDialog(project, FIRST)
    qtbot.addWidget(dialog)
    dialog.show()
    type_in(qtbot, dialog, "30")
    assert len(dialog.after.cavities) == 18
    type_in(qtbot, dialog, "")
    assert len(dialog.after.cavities) == 24


def test_that_columns_alone_asked_for_in_vain_are_told(qtbot: QtBot, project: Project) -> None:
    dialog = RepeatRowsDialog(project, FIRST)
    qtbot.addWidget(dialog)
    dialog.columns.setValue(50)
    assert len(dialog.after.cavities) == 24
    # 50 columns by the 4 rows there is width for
    assert "176 of the 200 asked for do not fit and are left out." in dialog.answer.text()
    dialog.columns.setValue(6)
    assert "left out" not in dialog.answer.text()


def test_that_what_cant_be_is_told_without_the_name_of_an_option(qtbot: QtBot, project: Project) -> None:
    dialog = RepeatRoundDialog(project, FIRST)
    qtbot.addWidget(dialog)
    for field in (dialog.centre_x, dialog.centre_y):
        field.selectAll()
        qtbot.keyClicks(field, "15")
        qtbot.keyClick(field, Qt.Key.Key_Return)
    assert dialog.answer.text() == "The chosen cavity lies on the centre; choose another centre."


@pytest.mark.parametrize("size", [(120.0, 100.0), (400.0, 300.0), (215.9, 177.8)])
def test_that_the_words_of_the_picture_are_large_enough_to_be_read(qtbot: QtBot, size: tuple[float, float]) -> None:
    empty = Project("p", Box(RectBox(*size)), (PIN,), Rules(6.0, 9.0))
    dialog = RepeatRowsDialog(edits.add_cavities(empty, [(PIN.id, 15.0, 15.0, 0.0)])[0], FIRST)
    qtbot.addWidget(dialog)
    dialog.show()
    svg, view = dialog.picture.svg, dialog.picture.px_per_mm
    # numbers of cavities are as large as the part lets them be
    words = re.findall(r'font-size="([0-9.]+)"[^>]*>([^<]*)<', svg)
    plain = [float(high) for high, text in words if not text.isdigit()]
    assert len(plain) >= 6
    assert min(plain) * view >= 9.0


def test_that_no_room_is_told_as_that(qtbot: QtBot, project: Project) -> None:
    full = repeat_grid(project, FIRST, 6, 4)[0]
    dialog = RepeatRowsDialog(full, FIRST)
    qtbot.addWidget(dialog)
    assert dialog.answer.text().startswith("There is no room for one more")
    assert not dialog.buttons.button(QDialogButtonBox.StandardButton.Ok).isEnabled()
