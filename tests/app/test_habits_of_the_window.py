"""Habits of a desktop program: it follows the system's look, tells what broke with details, and can be reset."""

import sys

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMessageBox
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.start import show_errors
from app.theme import DARK, LIGHT
from layout.errors import BadValueError
from tests.app.canvas_help import discs, window_with


def test_that_the_look_follows_the_system_until_one_is_chosen(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    scheme = Qt.ColorScheme.Dark
    hints = QGuiApplication.styleHints()
    monkeypatch.setattr(type(hints), "colorScheme", lambda _hints: scheme)
    hints.colorSchemeChanged.emit(scheme)
    assert window.themes.look is DARK
    # a desktop that does not say counts as light
    scheme = Qt.ColorScheme.Unknown
    hints.colorSchemeChanged.emit(scheme)
    assert window.themes.look is LIGHT
    window.actions_table["look_light"].trigger()
    scheme = Qt.ColorScheme.Dark
    hints.colorSchemeChanged.emit(scheme)
    assert window.themes.look is LIGHT


def test_that_an_error_nothing_caught_is_told_with_details_to_copy_and_the_project_stays(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    before = window.store.project
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    show_errors(window)
    try:
        raise ZeroDivisionError("a slip of ours")
    except ZeroDivisionError as error:
        sys.excepthook(type(error), error, error.__traceback__)
    (box,) = [b for b in window.findChildren(QMessageBox) if b.isVisible()]
    assert "unharmed" in box.informativeText()
    assert "ZeroDivisionError: a slip of ours" in box.detailedText()
    assert "ZeroDivisionError: a slip of ours" in capsys.readouterr().err
    box.close()
    assert window.store.project is before
    # what the user can mend is a sentence, not a fault of the program
    wrong = BadValueError("wall", "it is too thin", "make it 6 mm")
    sys.excepthook(type(wrong), wrong, None)
    assert window.status.currentMessage() == "wall: it is too thin; make it 6 mm."
    assert not [b for b in window.findChildren(QMessageBox) if b.isVisible()]


def test_that_the_window_remembers_its_look_and_place_and_can_be_reset(qtbot: QtBot) -> None:
    window, _page = window_with(qtbot, discs((40, 40)))
    # no larger than the screen of the tests, else Qt itself would mend it
    window.setMinimumSize(400, 300)
    window.resize(640, 480)
    window.actions_table["look_dark"].trigger()
    window.settings.remember("paper", "letter")
    window.store.undo_stack.setClean()
    window.close()
    again = MainWindow()
    qtbot.addWidget(again)
    assert again.themes.choice == "dark"
    assert not again.settings.bytes_of("geometry").isEmpty()
    again.actions_table["reset_window"].trigger()
    assert again.themes.choice == "system"
    assert again.settings.remembered("paper") == ""
    assert again.settings.bytes_of("geometry").isEmpty()
