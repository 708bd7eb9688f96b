"""Small habits at the mold: numbers that stay, panels by Ctrl+Tab, and the word beside the hand."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.canvas.hand_note import HandNote
from app.fields import angle_text
from app.main_window import MainWindow
from app.pages.cavities import CavitiesPage
from layout import edits
from layout.geometry import Outline
from layout.model import Box, CavityId, Master, MasterId, Project, RectBox
from layout.numbering import numbers
from tests.app.canvas_help import discs, drag, window_with

SQUARE = Master(
    MasterId("square"), "Square", "box:20x20x5", Outline(((-10.0, -10.0), (10.0, -10.0), (10.0, 10.0), (-10.0, 10.0))),
    5.0, 2.0, 400.0,
)  # fmt: skip


def squares(*places: tuple[float, float], length: float = 80.0) -> Project:
    """Squares in a box that leaves the first, at (19.525, 19.525), no room to turn."""
    project = edits.add_master(Project("test", Box(RectBox(length, 39.05))), SQUARE)
    return edits.add_cavities(project, [(SQUARE.id, x, y, 0.0) for x, y in places])[0]


def note_of(page: CavitiesPage) -> HandNote:
    return next(iter(page.view.viewport().findChildren(HandNote)))


def _put(_window: MainWindow, page: CavitiesPage) -> None:
    assert page.acts is not None
    page.acts.commands.put_one((100.0, 20.0))


def _duplicate(window: MainWindow, page: CavitiesPage) -> None:
    page.desk.selection.set([page.desk.project.cavities[0].id])
    window.actions_table["duplicate"].trigger()


def _paste(window: MainWindow, page: CavitiesPage) -> None:
    page.desk.selection.set([page.desk.project.cavities[0].id])
    window.actions_table["copy"].trigger()
    window.actions_table["paste"].trigger()


@pytest.mark.parametrize("add", [_put, _duplicate, _paste])
def test_that_cavities_keep_their_numbers_when_one_is_added(qtbot: QtBot, add: object) -> None:
    before = discs((150, 20), (20, 120), (150, 120))
    window, page = window_with(qtbot, before)
    old = numbers(before)
    assert callable(add)
    add(window, page)
    now = numbers(window.store.project)
    assert {i: now[i] for i in old} == old
    assert sorted(now.values()) == [1, 2, 3, 4]


def test_that_a_cavity_added_between_others_is_told_to_be_numbered_last(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((20, 20), (150, 20)))
    told: list[str] = []
    page.desk.told.connect(told.append)
    assert page.acts is not None
    page.acts.commands.put_one((85.0, 20.0))
    assert told
    assert told[-1].startswith("Numbered last")
    window.actions_table["order_serpentine"].trigger()
    assert [numbers(window.store.project)[c.id] for c in window.store.project.cavities] == [1, 3, 2]


def test_that_cavities_added_at_the_end_of_the_serpentine_leave_it_in_force() -> None:
    before = discs((20, 20))
    after, _ = edits.add_cavities(before, [(before.masters[0].id, 60.0, 20.0, 0.0)])
    assert edits.keep_numbers(before, after) is after


def test_that_a_turn_without_room_changes_nothing_and_says_why_beside_the_hand(qtbot: QtBot) -> None:
    before = squares((19.525, 19.525))
    window, page = window_with(qtbot, before)
    page.desk.selection.set([before.cavities[0].id])
    window.actions_table["turn_step_right"].trigger()
    assert window.store.project is before
    assert not window.store.is_modified
    note = note_of(page)
    assert note.isVisible()
    assert note.text() == "Held at the wall; F4 lets it pass"
    assert page.view.viewport().rect().contains(note.geometry())


def test_that_the_ring_says_beside_the_pointer_that_it_is_held_at_the_wall(qtbot: QtBot) -> None:
    before = squares((19.525, 19.525))
    window, page = window_with(qtbot, before)
    page.desk.selection.set([before.cavities[0].id])
    ring = page.desk.handle(page.view.mm_per_pixel)
    assert ring is not None
    drag(page.view, ring, (ring[0] + 12.0, ring[1]))
    assert window.store.project is before
    assert note_of(page).isVisible()
    assert note_of(page).text() == "Held at the wall; Ctrl passes"
    # gone as soon as something changes
    page.desk.free = True
    window.actions_table["turn_step_right"].trigger()
    assert window.store.project is not before
    assert not note_of(page).isVisible()


def test_that_an_angle_a_hair_short_of_a_whole_turn_reads_as_none(qtbot: QtBot) -> None:
    assert angle_text(359.9999) == "0°"
    project = edits.turn_cavities(squares((19.525, 19.525)), [CavityId("c1")], -1e-9)
    _, page = window_with(qtbot, project)
    page.desk.selection.set([project.cavities[0].id])
    assert page.inspector.angle_field.text() == "0°"


@pytest.mark.parametrize("add", [_put, _duplicate, _paste])
def test_that_a_full_box_takes_no_more_and_says_so(qtbot: QtBot, add: object) -> None:
    before = discs((19.525, 19.525), length=39.05, width=39.05)
    window, page = window_with(qtbot, before)
    assert callable(add)
    add(window, page)
    assert window.store.project is before
    assert window.status.currentMessage() == "box: no room was found for one more; make room or a larger box."


def test_that_the_status_line_gives_the_least_wall_and_the_grid_it_snaps_to(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((30, 30), (58, 30)))
    readings = window.status._readings
    assert readings["wall"].text() == "least wall 8 mm: every rule kept"
    assert readings["snap"].text() == ""
    window.actions_table["snap"].trigger()
    assert readings["snap"].text() == "snaps to 5.00 mm"
    page.desk.do("Move", lambda p: edits.move_cavities(p, [p.cavities[0].id], 3.0, 0.0))
    assert readings["wall"].text() == "least wall 5 mm: ▲ wall too thin"


def test_that_what_is_held_at_the_wall_and_goes_nowhere_is_no_step_to_undo(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((19.525, 19.525), (45.875, 19.525), length=65.4, width=39.05))
    window.actions_table["select_all"].trigger()
    for key in (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down):
        QTest.keyClick(page.view, key)
        assert window.status.currentMessage().startswith("Held at the wall")
    drag(page.view, (19.525, 19.525), (5.0, 30.0))
    assert not window.store.is_modified
    assert not window.store.undo_stack.canUndo()


def focused_in(window: MainWindow, *widgets: QWidget) -> bool:
    focus = window.focusWidget()
    return focus in widgets


def test_that_ctrl_tab_goes_from_the_shelf_to_the_mold_to_the_answers_and_round(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((20, 20), (60, 20)))
    with qtbot.waitActive(window):
        window.activateWindow()
    page.shelf.setFocus()
    seen = []
    for _ in range(3):
        QTest.keyClick(window.focusWidget() or window, Qt.Key.Key_Tab, Qt.KeyboardModifier.ControlModifier)
        seen.append(window.focusWidget())
    assert seen == [page.view, page.table, page.shelf]
    page.desk.selection.set([page.desk.project.cavities[0].id])
    page.rules.length_field.setFocus()
    QTest.keyClick(page.rules.length_field, Qt.Key.Key_Tab, Qt.KeyboardModifier.ControlModifier)
    assert focused_in(window, page.view)
    QTest.keyClick(page.view, Qt.Key.Key_Tab, Qt.KeyboardModifier.ControlModifier)
    assert focused_in(window, page.inspector.x_field)
    both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(page.inspector.x_field, Qt.Key.Key_Tab, both)
    assert focused_in(window, page.view)


def test_that_the_keys_go_to_the_mold_when_the_card_of_first_steps_goes(qtbot: QtBot) -> None:
    window = MainWindow()
    qtbot.addWidget(window, before_close_func=lambda w: w.store.undo_stack.setClean())
    window.show()
    with qtbot.waitActive(window):
        window.activateWindow()
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    button = page.first_steps.buttons["demo"]
    button.setFocus()
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.first_steps.isVisible())
    assert window.focusWidget() is page.view
