"""Laying out with the real mouse and keys: what is dragged stops at the wall, and every change is one undo step."""

import math
from dataclasses import replace
from threading import Event

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.canvas import clipboard
from app.canvas.commands import LayoutCommands
from app.canvas.desk import gaps_near
from app.canvas.table import PartsModel
from layout import edits
from layout.checks import check, clearances
from layout.masters import read_master
from layout.model import Box, Project, RectBox
from layout.regions import placed_holes
from layout.units import Units
from tests.app.canvas_help import discs, drag, pixel, window_with

CTRL = Qt.KeyboardModifier.ControlModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier


def test_that_a_dragged_cavity_stops_at_the_least_wall_in_one_undo_step(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 70), (120, 70)))
    drag(page.view, (40, 70), (110, 70))
    moved = window.store.project.cavities[0]
    wall = math.hypot(moved.x_mm - 120, moved.y_mm - 70) - 20
    assert 6.35 <= wall <= 6.35 + 2e-6
    assert not check(window.store.project)
    assert window.store.undo_stack.count() == 1
    assert window.store.undo_stack.undoText() == "Move cavity"
    window.actions_table["undo"].trigger()
    assert window.store.project.cavities[0].x_mm == 40


def test_that_ctrl_passes_through_and_shows_the_broken_wall(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 70), (120, 70)))
    drag(page.view, (40, 70), (97, 70), CTRL)
    moved = window.store.project.cavities[0]
    assert moved.x_mm == pytest.approx(97, abs=1.0)
    kinds = [f.kind for f in page.scene.findings]
    assert kinds == ["thin_wall"]
    assert page.findings.item(0).text().startswith("▲")
    assert not page.readings.wall.is_met


def test_that_shift_keeps_a_drag_to_one_axis(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 70)))
    drag(page.view, (40, 70), (80, 78), SHIFT)
    moved = window.store.project.cavities[0]
    assert moved.y_mm == 70
    assert moved.x_mm == pytest.approx(80, abs=1.0)


def test_that_esc_puts_a_dragged_cavity_back(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 70)))
    before = window.store.project
    QTest.mousePress(page.view.viewport(), Qt.MouseButton.LeftButton, pos=pixel(page.view, 40, 70))
    for x in (45, 60, 80):
        QTest.mouseMove(page.view.viewport(), pixel(page.view, x, 70))
    QTest.keyClick(page.view, Qt.Key.Key_Escape)
    QTest.mouseRelease(page.view.viewport(), Qt.MouseButton.LeftButton, pos=pixel(page.view, 80, 70))
    assert window.store.project is before
    assert window.store.undo_stack.count() == 0


def test_that_a_band_selects_what_it_holds_whole_and_shift_adds(qtbot: QtBot) -> None:
    _window, page = window_with(qtbot, discs((40, 40), (80, 40), (120, 110)))
    drag(page.view, (25, 25), (95, 58))
    assert set(page.desk.selection.cavities) == {"c1", "c2"}
    drag(page.view, (105, 95), (135, 125), SHIFT)
    assert set(page.desk.selection.cavities) == {"c1", "c2", "c3"}


def test_that_clicks_select_add_and_take_away(qtbot: QtBot) -> None:
    _window, page = window_with(qtbot, discs((40, 40), (80, 40)))
    port = page.view.viewport()
    QTest.mouseClick(port, Qt.MouseButton.LeftButton, pos=pixel(page.view, 40, 40))
    assert page.desk.selection.cavities == ("c1",)
    QTest.mouseClick(port, Qt.MouseButton.LeftButton, CTRL, pixel(page.view, 80, 40))
    assert page.desk.selection.cavities == ("c1", "c2")
    QTest.mouseClick(port, Qt.MouseButton.LeftButton, CTRL, pixel(page.view, 40, 40))
    assert page.desk.selection.cavities == ("c2",)
    QTest.mouseClick(port, Qt.MouseButton.LeftButton, pos=pixel(page.view, 150, 120))
    assert page.desk.selection.cavities == ()


def test_that_a_group_is_dragged_together_and_held_together(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), (40, 70), (120, 55)))
    page.desk.selection.set(["c1", "c2"])
    drag(page.view, (40, 40), (140, 40))
    a, b, _ = window.store.project.cavities
    assert (b.x_mm - a.x_mm, b.y_mm - a.y_mm) == pytest.approx((0, 30), abs=1e-9)
    assert not check(window.store.project)
    assert clearances(window.store.project).least_wall_mm == pytest.approx(6.35, abs=2e-6)


def test_that_arrow_keys_nudge_in_one_step_and_stop_at_the_wall(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 70), (70, 70)))
    page.desk.selection.set(["c1"])
    for _ in range(3):
        QTest.keyClick(page.view, Qt.Key.Key_Right)
    QTest.keyClick(page.view, Qt.Key.Key_Right, SHIFT)
    assert window.store.project.cavities[0].x_mm == pytest.approx(43.65, abs=2e-6)
    assert window.store.undo_stack.count() == 1
    QTest.keyClick(page.view, Qt.Key.Key_Right, CTRL | SHIFT)
    assert window.store.project.cavities[0].x_mm == pytest.approx(44.65, abs=2e-6)
    assert check(window.store.project)


def test_that_a_cavity_is_carried_and_put_down_by_keys_alone(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 70)))
    page.view.setFocus()
    QTest.keyClick(page.view, Qt.Key.Key_Tab)
    assert page.desk.selection.cavities == ("c1",)
    QTest.keyClick(page.view, Qt.Key.Key_Return)
    for _ in range(4):
        QTest.keyClick(page.view, Qt.Key.Key_Up, SHIFT)
    assert window.store.project.cavities[0].y_mm == 70
    QTest.keyClick(page.view, Qt.Key.Key_Return)
    assert window.store.project.cavities[0].y_mm == 110
    assert window.store.undo_stack.count() == 1


def test_that_the_handle_turns_in_steps_of_fifteen_degrees(qtbot: QtBot) -> None:
    from layout import edits
    from layout.masters import read_master
    from layout.model import Box, Project, RectBox

    project = edits.add_master(Project("t", Box(RectBox(200, 150))), read_master("rect:40x10x5"))
    project = edits.add_cavities(project, [(project.masters[0].id, 100, 75, 0)])[0]
    window, page = window_with(qtbot, project)
    page.desk.selection.set(["c1"])
    handle = page.desk.handle(page.view.mm_per_pixel)
    assert handle is not None
    drag(page.view, handle, (100 - 40 * math.sin(math.radians(31)), 75 + 40 * math.cos(math.radians(31))), steps=12)
    assert window.store.project.cavities[0].angle_deg == pytest.approx(30.0, abs=1e-9)
    assert window.store.undo_stack.undoText() == "Turn cavity"


def test_that_a_keep_out_is_drawn_selected_and_deleted(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40)))
    window.actions_table["keep_out"].trigger()
    drag(page.view, (100, 80), (140, 110))
    areas = window.store.project.keep_outs
    assert len(areas) == 1
    assert areas[0].length_mm == pytest.approx(40, abs=1.5)
    assert areas[0].width_mm == pytest.approx(30, abs=1.5)
    assert page.desk.tool == ""
    window.actions_table["delete"].trigger()
    assert window.store.project.keep_outs == ()


def test_that_the_mirror_view_is_labelled_and_drags_go_where_the_hand_goes(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 70)))
    glued = page.face.text()
    window.actions_table["open_face"].trigger()
    assert "open face" in page.face.text().lower()
    assert page.face.text() != glued
    left = page.view.pixel_at((40, 70)).x()
    assert left > page.view.pixel_at((160, 70)).x()
    drag(page.view, (40, 70), (90, 70))
    assert window.store.project.cavities[0].x_mm == pytest.approx(90, abs=1.0)
    page.desk.selection.set(["c1"])
    QTest.keyClick(page.view, Qt.Key.Key_Right)
    assert window.store.project.cavities[0].x_mm == pytest.approx(89, abs=1.0)


def test_that_zooming_about_the_pointer_keeps_what_is_under_it(qtbot: QtBot) -> None:
    _window, page = window_with(qtbot, discs((40, 70)))
    spot = page.view.pixel_at((60, 50))
    page.view.zoom_by(1.7, spot)
    there = page.view.mm_at(spot)
    assert math.dist(there, (60, 50)) < 1.5 * page.view.mm_per_pixel


def test_that_a_finding_leads_to_its_place(qtbot: QtBot) -> None:
    _window, page = window_with(qtbot, discs((40, 40), (62, 40), (150, 120)))
    page.findings.itemClicked.emit(page.findings.item(0))
    assert set(page.desk.selection.cavities) == {"c1", "c2"}
    middle = page.view.mm_at(page.view.viewport().rect().center().toPointF())
    assert math.dist(middle, (51, 40)) < 3.0


def test_that_the_grid_is_snapped_to_and_ctrl_suspends_it(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((41.3, 71.7)))
    window.actions_table["snap"].trigger()
    drag(page.view, (41.3, 71.7), (83, 92))
    moved = window.store.project.cavities[0]
    assert moved.x_mm % 5 == pytest.approx(0, abs=1e-6)
    assert moved.y_mm % 5 == pytest.approx(0, abs=1e-6)


def test_that_a_keep_out_is_put_named_sized_and_moved_by_keys_alone(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40)))
    window.actions_table["keep_out"].trigger()
    QTest.keyClick(page.view, Qt.Key.Key_Return)
    area = window.store.project.keep_outs[0]
    assert (area.x_mm, area.y_mm) == (100, 75)
    QTest.keyClick(page.view, Qt.Key.Key_Left, SHIFT)
    assert window.store.project.keep_outs[0].x_mm == 90
    assert page.forms.keep_out.isVisible()
    page.forms.keep_out.length.setFocus()
    page.forms.keep_out.length.selectAll()
    qtbot.keyClicks(page.forms.keep_out.length, "44")
    QTest.keyClick(page.forms.keep_out.length, Qt.Key.Key_Return)
    page.forms.keep_out.purpose.setCurrentIndex(1)
    page.forms.keep_out.purpose.activated.emit(1)
    changed = window.store.project.keep_outs[0]
    assert (changed.length_mm, changed.purpose) == (44, "pry slot")


def test_that_what_is_dropped_from_the_shelf_lands_legally_at_the_pointer(qtbot: QtBot) -> None:
    from PySide6.QtCore import QMimeData

    from app.pages.laying.shelf import MASTER_MIME

    window, page = window_with(qtbot, discs((40, 40)))
    data = QMimeData()
    data.setData(MASTER_MIME, b"disc")
    assert page.acts is not None
    page.acts.drop(data, 45.0, 42.0)
    assert len(window.store.project.cavities) == 2
    assert check(window.store.project) == ()
    new = window.store.project.cavities[1]
    assert math.dist((new.x_mm, new.y_mm), (40, 40)) == pytest.approx(26.35, abs=1e-4)


def test_that_a_large_layout_shows_a_change_at_once_and_its_walls_and_advice_right_after(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from app.aside import is_heavy
    from app.pages.laying.readings import answers_of

    may_answer = Event()
    may_answer.set()
    monkeypatch.setattr("app.pages.cavities.answers_of", lambda p: answers_of(p) if may_answer.wait(60) else None)

    places = [(20.0 + 27.0 * i, 20.0 + 27.0 * j) for i in range(13) for j in range(13)]
    project = discs(*places, length=400.0, width=400.0)
    assert is_heavy(project)
    window, page = window_with(qtbot, project)
    qtbot.waitUntil(lambda: "7 mm" in page.readings.wall.accessibleDescription())
    page.desk.selection.set([project.cavities[0].id])
    may_answer.clear()
    page.desk.do("Move", lambda p: edits.move_cavities(p, [p.cavities[0].id], 3.0, 0.0))
    assert page.scene.findings
    assert "being worked out" in page.readings.wall.accessibleDescription()
    assert "worked out" in page.findings.item(0).text()
    assert "worked out" in page.readings.silicone.text()
    may_answer.set()
    qtbot.waitUntil(lambda: "4 mm" in page.readings.wall.accessibleDescription())
    qtbot.waitUntil(lambda: page.findings.count() > 0 and "4 mm" in page.findings.item(0).text())
    assert not page.readings.wall.is_met
    window.store.undo_stack.undo()
    qtbot.waitUntil(lambda: page.readings.wall.is_met)


def test_that_a_key_held_at_the_wall_says_so_after_the_move(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40.0, 40.0), (67.0, 40.0)))
    page.desk.selection.set([window.store.project.cavities[0].id])
    page.view.setFocus()
    QTest.keyClick(page.view, Qt.Key.Key_Right)
    QTest.keyClick(page.view, Qt.Key.Key_Right)
    assert "Held at the wall" in window.status.currentMessage()


def test_that_silicone_shows_through_a_ring_and_a_copied_one_keeps_its_hole(qtbot: QtBot) -> None:
    project = edits.add_master(Project("rings", Box(RectBox(120.0, 80.0))), read_master("ring:30x18x6"))
    project, (ring,) = edits.add_cavities(project, [(project.masters[0].id, 40.0, 40.0, 0.0)])
    _window, page = window_with(qtbot, project)
    picture = page.view.viewport().grab().toImage()
    ratio = picture.devicePixelRatio()

    def colour(x_mm: float, y_mm: float) -> str:
        at = pixel(page.view, x_mm, y_mm)
        return picture.pixelColor(round(at.x() * ratio), round(at.y() * ratio)).name()

    # off the number in the middle: in the hole as beside the ring, and not as on it
    assert colour(46.0, 43.0) == colour(80.0, 60.0) != colour(50.0, 47.0)
    after, (copy,) = clipboard.from_text(Project("other", project.box), clipboard.to_text(project, [ring]))
    assert placed_holes(after, after.cavities[0])[0].equals(placed_holes(project, project.cavities[0])[0])
    assert copy == after.cavities[0].id


def test_that_a_drag_with_ctrl_of_what_is_not_selected_moves_that_alone(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((40, 40), (100, 75)))
    first, second = (c.id for c in window.store.project.cavities)
    page.desk.selection.set([first])
    drag(page.view, (100, 75), (120, 90), Qt.KeyboardModifier.ControlModifier)
    places = {c.id: (round(c.x_mm), round(c.y_mm)) for c in window.store.project.cavities}
    assert places == {first: (40, 40), second: (120, 90)}
    assert page.desk.selection.cavities == (second,)


def test_that_every_turn_by_key_is_an_undo_step(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs((100, 75)))
    cavity = window.store.project.cavities[0].id
    page.desk.selection.set([cavity])
    commands = LayoutCommands(page.desk)
    commands.turn(90.0)
    commands.turn(15.0)
    window.store.undo_stack.undo()
    assert window.store.project.cavities[0].angle_deg == 90.0


def test_that_a_column_of_places_in_inches_is_of_decimals_alone(qtbot: QtBot) -> None:
    _window, page = window_with(qtbot, replace(discs((25.4, 65.28), (101.6, 65.28)), units=Units("in")))
    model = PartsModel(page.desk)
    assert [[model.index(r, c).data() for c in (2, 3)] for r in (0, 1)] == [["1.000", "2.570"], ["4.000", "2.570"]]


def test_that_no_gap_is_shown_through_a_third_cavity_however_far_the_side() -> None:
    # the disc in the middle of a long box, alone but for one far to its left: the gap is to that, not to the side
    project = discs((60, 75), (300, 75), length=600.0, width=150.0)
    shown = gaps_near(project, (project.cavities[1].id,))
    left = [g for g in shown if g.segment[1][0] < 290 and abs(g.segment[1][1] - 75) < 1]
    assert [(g.kind, round(g.distance_mm)) for g in left] == [("cavity", 220)]
