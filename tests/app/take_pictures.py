"""Takes a picture of every page in a look and writes them to a folder, and says what text is cut.

Run as ``python -m tests.app.take_pictures FOLDER light|dark``; QT_SCALE_FACTOR says how sharp. Used by
`test_pictures`, and by whoever wants to look.
"""

import sys
from pathlib import Path

from PySide6.QtCore import QEventLoop, QSettings, QTimer
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QLineEdit, QWidget


def wait(milliseconds: int) -> None:
    """Let the window work; unlike QTest's own wait it lets other threads work too."""
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()


def cut_texts(window: QWidget) -> list[str]:
    """Return the texts that do not fit where they stand."""
    cut = []
    for widget in window.findChildren(QWidget):
        if not widget.isVisible() or widget.width() <= 0:
            continue
        text = _text_of(widget)
        if text and widget.width() + 1 < min(widget.sizeHint().width(), _needed(widget, text)):
            cut.append(f"{type(widget).__name__}: {text!r} has {widget.width()} of {_needed(widget, text)}")
    return cut


def _text_of(widget: QWidget) -> str:
    if isinstance(widget, QLabel):
        return "" if widget.wordWrap() or "<" in widget.text() else widget.text()
    if isinstance(widget, QAbstractButton):
        return widget.text()
    if isinstance(widget, QComboBox):
        return widget.currentText()
    return widget.text() if isinstance(widget, QLineEdit) else ""


def _needed(widget: QWidget, text: str) -> int:
    return widget.fontMetrics().horizontalAdvance(text.replace("&", ""))


def take(folder: Path, look: str) -> list[str]:
    """Write the pictures and return the texts that are cut, each with its page."""
    from app.example import example_project
    from app.main_window import MainWindow
    from app.pages import PAGES
    from app.pages.cavities import CavitiesPage
    from layout import edits

    window = MainWindow()
    window.choose_look("dark" if look == "dark" else "light")
    window.resize(1280, 720)
    window.show()
    cut: list[str] = []

    def shoot(name: str) -> None:
        wait(60)
        window.grab().save(str(folder / f"{name}.png"))
        cut.extend(f"{name}: {text}" for text in cut_texts(window))

    shoot("empty")
    window.store.open(example_project(), None)
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    page.desk.selection.set([window.store.project.cavities[17].id])
    wait(2500)
    shoot("cavities")
    project = window.store.project
    window.store.apply("Move", edits.move_cavities(project, [project.cavities[20].id], 2.3, 1.0))
    page.desk.selection.set([c.id for c in project.cavities[9:11]])
    window.actions_table["section"].trigger()
    window.actions_table["open_face"].trigger()
    window.actions_table["units_in"].trigger()
    shoot("broken-mirrored-inches")
    window.store.undo_stack.setIndex(0)
    for other in PAGES[1:]:
        window.open_page(other.id)
        shoot(other.id)
    window.store.undo_stack.setClean()
    window.close()
    return cut


def main(arguments: list[str]) -> int:
    from app.start import make_application

    folder = Path(arguments[0])
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(folder / "settings"))
    application = make_application(["pictures"])
    for line in take(folder, arguments[1]):
        print(line)
    application.quit()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
