"""Exports begin with what was chosen last time: kind of file, folder, paper."""

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app.dialogs.export import KINDS, ExportDialog
from app.dialogs.export_place import ask_place
from app.example import example_project
from app.main_window import MainWindow
from app.pages.box import BoxPage
from app.pages.order import OrderPage
from app.pages.pour import PourPage
from app.settings import Settings
from layout.units import Units
from tests.app.canvas_help import window_with

THREE = "Panels (*.dxf);;Panels for R12 readers (*.dxf);;Picture (*.svg)"


def asked(parent: QWidget, taken: list[tuple[Path, str]], name: str = "coins panels") -> QFileDialog:
    return ask_place(parent, Settings(), "panels", name, THREE, lambda path, kind: taken.append((path, kind)))


@pytest.fixture
def parent(qtbot: QtBot, tmp_path: Path) -> QWidget:
    widget = QWidget()
    qtbot.addWidget(widget)
    widget.show()
    Settings().last_folder = tmp_path
    return widget


def test_that_the_kind_and_the_folder_chosen_last_come_first(parent: QWidget, tmp_path: Path) -> None:
    taken: list[tuple[Path, str]] = []
    other = tmp_path / "for the cutter"
    other.mkdir()
    dialog = asked(parent, taken)
    assert dialog.selectedFiles() == [str(tmp_path / "coins-panels.dxf")]
    dialog.selectNameFilter(THREE.split(";;")[1])
    dialog.selectFile(str(other / "mine.dxf"))
    dialog.accept()
    assert taken == [(other / "mine.dxf", "Panels for R12 readers (*.dxf)")]
    again = asked(parent, taken)
    assert again.selectedNameFilter() == "Panels for R12 readers (*.dxf)"
    assert again.selectedFiles() == [str(other / "coins-panels.dxf")]
    again.reject()
    # what was looked at and not written is not remembered
    third = asked(parent, taken)
    third.selectNameFilter(THREE.split(";;")[2])
    third.reject()
    assert asked(parent, taken).selectedNameFilter() == "Panels for R12 readers (*.dxf)"


def test_that_the_name_of_the_file_ends_as_the_chosen_kind_does(parent: QWidget, tmp_path: Path) -> None:
    taken: list[tuple[Path, str]] = []
    dialog = asked(parent, taken, "box 2.5 panels")
    picture = THREE.split(";;")[2]
    dialog.selectNameFilter(picture)
    dialog.filterSelected.emit(picture)
    assert dialog.selectedFiles() == [str(tmp_path / "box-2.5-panels.svg")]
    dialog.selectFile(str(tmp_path / "bare"))
    dialog.accept()
    assert taken == [(tmp_path / "bare.svg", picture)]


def shown_dialog(window: QWidget) -> QFileDialog:
    return next(d for d in window.findChildren(QFileDialog) if d.isVisible())


def pressed(window: MainWindow, what: str) -> QFileDialog:
    """Press a button that asks where a paper goes."""
    if what == "panels":
        page = window.page_widget("box")
        assert isinstance(page, BoxPage)
        page.export_panels.click()
    elif what == "cut list":
        page = window.page_widget("box")
        assert isinstance(page, BoxPage)
        page.export_list.click()
    elif what == "report":
        pour = window.page_widget("pour")
        assert isinstance(pour, PourPage)
        pour._ask_place()
    else:
        order = window.page_widget("order")
        assert isinstance(order, OrderPage)
        order._ask_place("labels", "Mold labels (*.pdf)")
    return shown_dialog(window)


@pytest.mark.parametrize("what", ["panels", "cut list", "report", "labels"])
def test_that_the_pages_exports_begin_in_the_folder_of_the_last(qtbot: QtBot, tmp_path: Path, what: str) -> None:
    window, _ = window_with(qtbot, example_project())
    page = {"panels": "box", "cut list": "box", "report": "pour", "labels": "order"}[what]
    window.open_page(page)
    qtbot.waitUntil(lambda: not window.jobs.is_busy, timeout=60_000)
    Settings().last_folder = tmp_path
    dialog = pressed(window, what)
    last = dialog.nameFilters()[-1]
    dialog.selectNameFilter(last)
    dialog.filterSelected.emit(last)
    assert Path(dialog.selectedFiles()[0]).parent == tmp_path
    dialog.reject()


@pytest.mark.parametrize("what", list(KINDS))
def test_that_the_dialogs_with_a_preview_remember_the_kind(qtbot: QtBot, tmp_path: Path, what: str) -> None:
    window, _ = window_with(qtbot, example_project())
    folder = tmp_path / "papers"
    folder.mkdir()
    Settings().last_folder = folder
    dialog = ExportDialog(what, window.store, window.settings, window)
    qtbot.addWidget(dialog)
    dialog.show()
    dialog._ask_place()
    place = shown_dialog(dialog)
    last = place.nameFilters()[-1]
    place.selectNameFilter(last)
    place.filterSelected.emit(last)
    place.accept()
    written = list(folder.iterdir())
    assert len(written) == 1
    assert f"*{written[0].suffix}" in last
    dialog._ask_place()
    assert shown_dialog(dialog).selectedNameFilter() == last
    dialog.close()


def test_that_the_paper_chosen_for_one_sheet_comes_first_for_all(qtbot: QtBot) -> None:
    window, _ = window_with(qtbot, example_project())
    box = window.page_widget("box")
    assert isinstance(box, BoxPage)
    window.open_page("box")
    assert box.paper.currentData() == "a4"
    box.paper.setCurrentIndex(1)
    box.paper.activated.emit(1)
    pour = window.page_widget("pour")
    assert isinstance(pour, PourPage)
    assert pour.paper.currentData() == "letter"
    dialog = ExportDialog("report", window.store, window.settings, window)
    qtbot.addWidget(dialog)
    assert dialog.paper.currentData() == "letter"


def test_that_a_dialog_only_opened_does_not_choose_a_paper_for_all(qtbot: QtBot) -> None:
    window, _ = window_with(qtbot, example_project())
    window.settings.units = Units("in")
    qtbot.addWidget(ExportDialog("template", window.store, window.settings, window))
    assert window.settings.remembered("paper") == ""


def test_that_both_ways_to_cut_panels_offer_the_same_kinds_in_the_same_order(qtbot: QtBot, tmp_path: Path) -> None:
    # what is remembered is the place in the list
    window, _ = window_with(qtbot, example_project())
    Settings().last_folder = tmp_path
    window.open_page("box")
    place = pressed(window, "panels")
    dialog = ExportDialog("panels", window.store, window.settings, window)
    qtbot.addWidget(dialog)
    dialog._ask_place()
    other = shown_dialog(dialog)
    endings = [[kind.rpartition("*")[2] for kind in d.nameFilters()] for d in (place, other)]
    assert endings[0] == endings[1]
    assert [i for i, kind in enumerate(place.nameFilters()) if "R12" in kind] == [1]
    place.reject()
    other.selectNameFilter(other.nameFilters()[1])
    other.accept()
    (written,) = tmp_path.glob("*.dxf")
    assert b"AC1009" in written.read_bytes()
    dialog.close()
