"""A master from a file: what the file does not say is asked for, and the dialog stays until it is right."""

from pathlib import Path

import ezdxf
import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.dialogs.add_file import AddFile, add_file
from app.dialogs.add_master import AddMaster
from app.main_window import MainWindow
from app.pages.cavities import CavitiesPage
from layout.geometry import footprint_size_mm
from tests.app.canvas_help import discs, window_with

SQUARE = [(0, 0), (2, 0), (2, 1), (0, 1)]


def drawing(folder: Path, unit: int) -> Path:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = unit
    document.modelspace().add_lwpolyline(SQUARE, close=True)
    path = folder / "bracket.dxf"
    document.saveas(path)
    return path


def block(folder: Path, size: tuple[float, float, float]) -> Path:
    import trimesh

    path = folder / "block.stl"
    trimesh.creation.box(size).export(path)
    return path


def opened(qtbot: QtBot, file: Path) -> tuple[MainWindow, CavitiesPage, AddFile]:
    window, page = window_with(qtbot, discs())
    dialog = add_file(page, page.desk, str(file))
    return window, page, dialog


def test_that_a_drawing_without_a_unit_is_asked_for_it_and_read(qtbot: QtBot, tmp_path: Path) -> None:
    window, page, dialog = opened(qtbot, drawing(tmp_path, 0))
    assert dialog.height_field.hasFocus() or not dialog.isActiveWindow()
    assert not dialog.add.isEnabled()
    qtbot.keyClicks(dialog.height_field, "0.25in")
    qtbot.waitUntil(lambda: "does not say its unit" in dialog.facts.text(), timeout=10_000)
    assert "--" not in dialog.facts.text()
    dialog.unit.setCurrentIndex(2)
    dialog.unit.activated.emit(2)
    qtbot.waitUntil(dialog.add.isEnabled, timeout=10_000)
    assert "50.8 x 25.4 x 6.35 mm, that is 2 x 1 x 1/4 in" in dialog.facts.text()
    dialog.add.click()
    master = window.store.project.masters[-1]
    assert footprint_size_mm(master.footprint) == pytest.approx((50.8, 25.4))
    assert page.desk.master == master.id


def test_that_a_drawing_that_says_its_unit_needs_the_height_alone(qtbot: QtBot, tmp_path: Path) -> None:
    window, _page, dialog = opened(qtbot, drawing(tmp_path, 1))
    qtbot.keyClicks(dialog.height_field, "abc")
    assert not dialog.add.isEnabled()
    assert dialog.isVisible()
    dialog.height_field.clear()
    qtbot.keyClicks(dialog.height_field, "8")
    qtbot.waitUntil(dialog.add.isEnabled, timeout=10_000)
    dialog.add.click()
    assert footprint_size_mm(window.store.project.masters[-1].footprint) == pytest.approx((50.8, 25.4))


def test_that_a_solid_in_inches_is_doubted_and_read_again_in_inches(qtbot: QtBot, tmp_path: Path) -> None:
    window, _page, dialog = opened(qtbot, block(tmp_path, (1.2, 0.8, 0.3)))
    qtbot.waitUntil(dialog.add.isEnabled, timeout=10_000)
    assert "Can that be?" in dialog.facts.text()
    dialog.unit.setCurrentIndex(1)
    dialog.unit.activated.emit(1)
    qtbot.waitUntil(lambda: "30.48 x 20.32 x 7.62 mm" in dialog.facts.text(), timeout=10_000)
    assert "Can that be?" not in dialog.facts.text()
    dialog.add.click()
    assert window.store.project.masters[-1].height_mm == pytest.approx(7.62)


def test_that_a_file_that_cannot_be_read_is_told_without_the_command_line(qtbot: QtBot, tmp_path: Path) -> None:
    bad = tmp_path / "shape.txt"
    bad.write_text("no")
    _window, _page, dialog = opened(qtbot, bad)
    qtbot.waitUntil(lambda: dialog.facts.text().startswith("▲"), timeout=10_000)
    assert not dialog.add.isEnabled()
    assert "--" not in dialog.facts.text()


def test_that_a_new_master_begins_in_its_first_box_and_tells_what_is_wrong_in_its_words(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs())
    dialog = AddMaster(page.desk, window.settings, page)
    qtbot.addWidget(dialog)
    dialog.kind.setCurrentIndex(5)
    dialog.kind.activated.emit(5)
    dialog.show()
    outside, hole, height = dialog.sizes
    hole.setText("40")
    hole.textEdited.emit("40")
    assert "The hole is 40 mm and the outside 30 mm; make the hole smaller." in dialog._facts.text()
    assert hole.property("wrong")
    hole.setText("10")
    height.setText("0")
    height.textEdited.emit("0")
    assert "Height is 0 mm; type more than 0." in dialog._facts.text()
    assert height.property("wrong")
    assert not hole.property("wrong")
    assert not dialog.add.isEnabled()
    assert outside is dialog.sizes[0]


def test_that_inches_begin_with_round_inches(qtbot: QtBot) -> None:
    window, page = window_with(qtbot, discs())
    window.actions_table["units_in"].trigger()
    dialog = AddMaster(page.desk, window.settings, page)
    qtbot.addWidget(dialog)
    dialog.kind.setCurrentIndex(0)
    dialog.kind.activated.emit(0)
    for field in dialog.sizes:
        assert field.value is not None
        assert np.isclose(field.value / 25.4 * 16, round(field.value / 25.4 * 16))
    QTest.keyClick(dialog, Qt.Key.Key_Escape)


def test_that_tab_reaches_every_part_of_the_dialog_of_a_drawing(qtbot: QtBot, tmp_path: Path) -> None:
    from PySide6.QtWidgets import QDialogButtonBox

    _window, _page, dialog = opened(qtbot, drawing(tmp_path, 0))
    dialog.activateWindow()
    qtbot.waitUntil(dialog.isActiveWindow)
    qtbot.keyClicks(dialog.height_field, "8")
    dialog.unit.setCurrentIndex(1)
    dialog.unit.activated.emit(1)
    qtbot.waitUntil(dialog.add.isEnabled, timeout=10_000)
    dialog.height_field.setFocus()
    visited = []
    for _ in range(4):
        visited.append(dialog.focusWidget())
        QTest.keyClick(dialog.focusWidget(), Qt.Key.Key_Tab)
    cancel = dialog.buttons.button(QDialogButtonBox.StandardButton.Cancel)
    assert set(visited) == {dialog.height_field, dialog.unit, dialog.add, cancel}
    dialog.reject()


def test_that_a_height_taken_back_while_the_file_is_read_adds_nothing(qtbot: QtBot, tmp_path: Path) -> None:
    _window, _page, dialog = opened(qtbot, drawing(tmp_path, 1))
    qtbot.keyClicks(dialog.height_field, "8")
    assert dialog._jobs.is_busy
    dialog.height_field.clear()
    dialog.height_field.textEdited.emit("")
    qtbot.waitUntil(lambda: not dialog._jobs.is_busy, timeout=10_000)
    assert not dialog.add.isEnabled()
    assert dialog.master is None
    assert "type how high the part is" in dialog.facts.text()
    dialog.reject()


def test_that_the_users_unit_comes_first_and_a_hole_is_told(qtbot: QtBot, tmp_path: Path) -> None:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 1
    document.modelspace().add_circle((0, 0), 0.75)
    document.modelspace().add_circle((0, 0), 0.15)
    path = tmp_path / "rosette.dxf"
    document.saveas(path)
    window, page = window_with(qtbot, discs())
    window.actions_table["units_in"].trigger()
    dialog = add_file(page, page.desk, str(path))
    qtbot.keyClicks(dialog.height_field, "3/16")
    qtbot.waitUntil(dialog.add.isEnabled, timeout=10_000)
    assert dialog.facts.text().startswith("1-1/2 x 1-1/2 x 3/16 in, that is 38.1 x 38.1 x 4.763 mm; ")
    assert "It has a hole" in dialog.facts.text()
    dialog.unit.setCurrentIndex(1)
    dialog.unit.activated.emit(1)
    qtbot.waitUntil(lambda: "Can that be?" in dialog.facts.text(), timeout=10_000)
    dialog.reject()


def test_that_a_height_taken_back_by_esc_is_no_longer_called_wrong(qtbot: QtBot, tmp_path: Path) -> None:
    _window, _page, dialog = opened(qtbot, drawing(tmp_path, 4))
    qtbot.keyClicks(dialog.height_field, "8")
    QTest.keyClick(dialog.height_field, Qt.Key.Key_Return)
    qtbot.waitUntil(dialog.add.isEnabled, timeout=10_000)
    facts = dialog.facts.text()
    qtbot.keyClicks(dialog.height_field, "v")
    assert "not readable" in dialog.facts.text()
    QTest.keyClick(dialog.height_field, Qt.Key.Key_Escape)
    qtbot.waitUntil(dialog.add.isEnabled, timeout=10_000)
    assert dialog.facts.text() == facts
