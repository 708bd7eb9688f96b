"""Held at the wall by every way to move or turn, with real keys and mouse; F4 and Ctrl pass through."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.pages.cavities import CavitiesPage
from layout import edits
from layout.checks import check
from layout.geometry import Outline
from layout.model import Box, KeepOut, KeepOutId, Master, MasterId, Project, RectBox, Rules
from tests.app.canvas_help import discs, drag, window_with

_FLAT = Outline(((-20.0, -5.0), (20.0, -5.0), (20.0, 5.0), (-20.0, 5.0)))
BAR = Master(MasterId("bar"), "Bar", "rect:40x10x5", _FLAT, 5.0, 2.0, 400.0)


def bars(*ys: float) -> Project:
    """Bars one above another in a box 100 wide, the wall 5 and the edge 5 mm."""
    project = edits.add_master(Project("bars", Box(RectBox(100.0, 100.0)), rules=Rules(5.0, 5.0)), BAR)
    return edits.add_cavities(project, [(BAR.id, 50.0, y, 0.0) for y in ys])[0]


def selected(qtbot: QtBot, project: Project) -> tuple[MainWindow, CavitiesPage]:
    window, page = window_with(qtbot, project)
    page.desk.selection.set([project.cavities[0].id])
    # the window's keys need it to be the active one
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    page.view.setFocus()
    return window, page


def test_that_a_turn_by_keys_stops_at_the_last_legal_angle_and_f4_lets_it_pass(qtbot: QtBot) -> None:
    window, page = selected(qtbot, bars(30.0, 46.0))
    told: list[str] = []
    page.desk.told.connect(told.append)
    QTest.keyClick(window, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    angle = window.store.project.cavities[0].angle_deg
    assert 0.0 < angle < 90.0
    assert check(window.store.project) == ()
    assert "Held at the wall after" in told[-1]
    QTest.keyClick(window, Qt.Key.Key_F4)
    QTest.keyClick(window, Qt.Key.Key_L, Qt.KeyboardModifier.ControlModifier)
    assert window.store.project.cavities[0].angle_deg == pytest.approx(angle + 90.0)
    assert check(window.store.project) != ()


def test_that_typed_degrees_are_held_and_the_field_shows_what_came_of_them(qtbot: QtBot) -> None:
    window, page = selected(qtbot, bars(30.0, 46.0))
    field = page.inspector.angle_field
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "90")
    QTest.keyClick(field, Qt.Key.Key_Return)
    angle = window.store.project.cavities[0].angle_deg
    assert 0.0 < angle < 90.0
    assert check(window.store.project) == ()
    assert field.value == pytest.approx(angle)


def test_that_a_typed_place_is_held_and_the_field_shows_what_came_of_it(qtbot: QtBot) -> None:
    window, page = selected(qtbot, bars(30.0, 60.0))
    field = page.inspector.y_field
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "55")
    QTest.keyClick(field, Qt.Key.Key_Return)
    y = window.store.project.cavities[0].y_mm
    assert 45.0 - 3e-6 <= y <= 45.0
    assert field.value == pytest.approx(y)


def test_that_arrow_keys_are_held_and_both_modifiers_pass_through(qtbot: QtBot) -> None:
    window, page = selected(qtbot, bars(30.0, 46.0))
    for _ in range(4):
        QTest.keyClick(page.view, Qt.Key.Key_Up)
    assert 31.0 - 3e-6 <= window.store.project.cavities[0].y_mm <= 31.0
    both = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    QTest.keyClick(page.view, Qt.Key.Key_Up, both)
    assert window.store.project.cavities[0].y_mm == pytest.approx(32.0, abs=1e-5)
    assert [f.kind for f in check(window.store.project)] == ["thin_wall"]


def test_that_a_dragged_keep_out_stops_at_a_cavity_and_ctrl_passes_into_it(qtbot: QtBot) -> None:
    project = edits.add_keep_outs(discs((100.0, 75.0)), [KeepOut(KeepOutId(""), 40.0, 75.0, 20.0, 20.0)])
    window, page = window_with(qtbot, project)
    drag(page.view, (40.0, 75.0), (100.0, 75.0))
    x = window.store.project.keep_outs[0].x_mm
    assert 80.0 - 2e-5 <= x <= 80.0 + 1e-6
    assert check(window.store.project) == ()
    shown: list[str] = []
    page.desk.previewed.connect(lambda p: p and shown.extend(g.kind for g in p.gaps if g.is_thin))
    drag(page.view, (80.0, 75.0), (100.0, 75.0), Qt.KeyboardModifier.ControlModifier)
    assert window.store.project.keep_outs[0].x_mm == pytest.approx(100.0, abs=0.6)
    assert "keep-out" in shown
    assert [f.kind for f in check(window.store.project)] == ["in_keep_out"]


def test_that_a_keep_out_nudged_by_keys_stops_at_a_cavity(qtbot: QtBot) -> None:
    project = edits.add_keep_outs(discs((100.0, 75.0)), [KeepOut(KeepOutId(""), 78.5, 75.0, 20.0, 20.0)])
    window, page = window_with(qtbot, project)
    page.desk.selection.set((), [project.keep_outs[0].id])
    page.view.setFocus()
    for _ in range(3):
        QTest.keyClick(page.view, Qt.Key.Key_Right)
    assert 80.0 - 2e-5 <= window.store.project.keep_outs[0].x_mm <= 80.0 + 1e-6


def test_that_keys_the_system_binds_twice_still_do_what_the_table_says(monkeypatch: pytest.MonkeyPatch) -> None:
    from PySide6.QtGui import QKeySequence

    from app import actions

    # what X11 binds; other platforms leave Ctrl+D and Ctrl+Shift+A free
    own = {actions.Key.Delete: ["Del", "Ctrl+D"], actions.Key.Deselect: ["Ctrl+Shift+A"]}
    real = actions.keys_of
    monkeypatch.setattr(
        actions, "keys_of", lambda key: [QKeySequence(k) for k in own[key]] if key in own else real(key)
    )
    seen: dict[str, str] = {}
    for spec in actions.TABLE:
        for key in actions._shortcuts(spec):
            assert key.toString() not in seen, (key.toString(), spec.id, seen[key.toString()])
            seen[key.toString()] = spec.id
    assert seen["Ctrl+D"] == "duplicate"
    assert seen["Del"] == "delete"
    assert seen["Ctrl+Shift+A"] == "select_none"


def test_that_tab_reaches_the_keep_outs_after_the_cavities(qtbot: QtBot) -> None:
    project = edits.add_keep_outs(discs((100.0, 75.0)), [KeepOut(KeepOutId(""), 40.0, 75.0, 20.0, 20.0)])
    _window, page = window_with(qtbot, project)
    page.view.setFocus()
    QTest.keyClick(page.view, Qt.Key.Key_Tab)
    assert page.desk.selection.cavities == (project.cavities[0].id,)
    QTest.keyClick(page.view, Qt.Key.Key_Tab)
    assert page.desk.selection.keep_outs == (project.keep_outs[0].id,)
    QTest.keyClick(page.view, Qt.Key.Key_Backtab)
    assert page.desk.selection.cavities == (project.cavities[0].id,)
