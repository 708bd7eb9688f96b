"""In a made-up language that puts every text in brackets, no text of the window is left without them."""

import re
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtGui import QAction, QPainter
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QComboBox,
    QGroupBox,
    QLabel,
    QLineEdit,
    QListView,
    QMenu,
    QTabWidget,
    QTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app import words
from app.example import example_project
from app.main_window import MainWindow
from app.pages import PAGES
from app.pages.cavities import CavitiesPage
from layout import edits
from layout.checks import check
from layout.materials.catalogue import built_in
from layout.model import KeepOut, KeepOutId, Project
from tests.texts import texts

MARKS = "⟦⟧"
# what is the same in every language: units, numbers with them, keys, file endings, the program's name
SAME = re.compile(
    r"(?<=\d)(?:mm|in|g|lb|s|min|h|C|F|A)\b|"
    r"(?:Ctrl|Shift|Alt|Meta)(?:\+(?:Ctrl|Shift|Alt|Meta))*\+\S+|\bF\d+\b|\bA\d\b|\b(?:Letter|Legal|Tabloid)\b"
    r"|\b(?:mm|in|ml|mL|g|kg|lb|oz|fl|cm|s|min|h|d|GPa|MPa|mbar|inHg|C|F|A|B|L|W|H|X|Y|DXF|SVG|PDF|HTML|CSV|PNG)\b"
    r"|\b(?:R12|R2010|Backspace|Del|Ins|Esc|Return|Enter|PgUp|PgDown|Home|End|Tab|Space|Manymold|manymold|EUR|USD)\b"
    r"|[\d\s.,:;/x×·%°+\-−–—\[\]()<>=²³↶↷▲◆○⇄…&'\"#*|~≈±@≤≥]"
)
# Qt's own, translated by Qt's own texts
QTS = {"Scroll Left", "Scroll Right", "Cancel", "Close", "OK", "Restore Defaults", "Python", "Shapely", "NumPy", "Qt"}


@pytest.fixture(autouse=True)
def _brackets() -> Iterator[None]:
    words.use({text: f"⟦{text}⟧" for text in texts()})
    yield
    words.use({})


def shown(widget: QWidget) -> Iterator[tuple[str, str]]:
    """Every text of a widget and all in it: where it is, and the text."""
    for child in (widget, *widget.findChildren(QWidget)):
        name = f"{type(child).__name__} {child.objectName()}"
        yield f"{name} title", child.windowTitle() if child.isWindow() else ""
        yield f"{name} tip", child.toolTip()
        yield f"{name} status", child.statusTip()
        yield f"{name} name", child.accessibleName()
        yield f"{name} description", child.accessibleDescription()
        yield from ((name, text) for text in _own(child))
    for action in widget.findChildren(QAction):
        if not action.isSeparator():
            yield f"action {action.objectName()}", action.text()
            yield f"action {action.objectName()} tip", action.toolTip()
            yield f"action {action.objectName()} status", action.statusTip()


def _own(child: QWidget) -> Iterator[str]:
    if isinstance(child, QLabel | QAbstractButton):
        yield child.text()
    elif isinstance(child, QGroupBox | QMenu):
        yield child.title()
    elif isinstance(child, QComboBox):
        yield from (child.itemText(i) for i in range(child.count()))
    elif isinstance(child, QLineEdit):
        yield child.placeholderText()
    elif isinstance(child, QTabWidget):
        yield from (child.tabText(i) for i in range(child.count()))
    elif isinstance(child, QTextEdit):
        yield from child.toPlainText().splitlines()
    elif isinstance(child, QAbstractItemView) and child.model() is not None:
        model = child.model()
        columns = 1 if isinstance(child, QListView) else model.columnCount(QModelIndex())
        for column in range(columns):
            yield str(model.headerData(column, Qt.Orientation.Horizontal) or "")
            for row in range(model.rowCount(QModelIndex())):
                yield str(model.index(row, column).data() or "")


def untranslated(text: str, known: set[str]) -> str:
    """What of a text is neither in brackets, nor the user's own, nor the same everywhere."""
    plain = re.sub(r"<style.*?</style>|<[^>]+>|&\w+;", " ", text, flags=re.DOTALL)
    depth, outside = 0, ""
    for letter in plain:
        depth += (letter == "⟦") - (letter == "⟧")
        outside += letter if depth == 0 and letter not in MARKS else " " if letter in MARKS else ""
    for name in sorted(known, key=len, reverse=True):
        outside = outside.replace(name, " ")
    return SAME.sub(" ", outside).strip()


def project() -> Project:
    base = edits.add_keep_outs(example_project(), [KeepOut(KeepOutId(""), 10.0, 10.0, 8.0, 8.0, purpose="zzz")])
    # two broken rules, to be told
    moved = base.cavities[0]
    return edits.move_cavities(base, [moved.id], 3.0, 0.0)


def users_own(project: Project) -> set[str]:
    names = {m.name for m in project.masters} | {m.source for m in project.masters} | {project.name, "zzz"}
    known = built_in()
    catalogue = {m.name for m in (*known.silicones, *known.resins)} | {s.name for s in known.sheets}
    ids = {str(c.id) for c in project.cavities} | {"k1"}
    return names | catalogue | ids | {project.silicone.name, project.resin.name}


@pytest.mark.parametrize("page", [p.id for p in PAGES])
def test_that_every_text_of_a_page_is_in_the_made_up_language(qtbot: QtBot, page: str, tmp_path: Path) -> None:
    window = MainWindow()
    qtbot.addWidget(window, before_close_func=lambda w: w.store.undo_stack.setClean())
    window.store.open(project(), tmp_path / "zzz.manymold")
    window.show()
    window.open_page(page)
    qtbot.wait(1500)
    qtbot.waitUntil(lambda: not window.jobs.is_busy, timeout=60_000)
    known = users_own(window.store.project)
    known |= QTS
    left = {(where, text): rest for where, text in shown(window) if (rest := untranslated(text, known))}
    assert not left, "\n".join(f"{where}: {text[:300]!r} -> {rest[:80]!r}" for (where, text), rest in left.items())


def test_that_every_text_of_a_dialog_is_in_the_made_up_language(qtbot: QtBot, tmp_path: Path) -> None:
    window = MainWindow()
    qtbot.addWidget(window, before_close_func=lambda w: w.store.undo_stack.setClean())
    window.store.open(project(), tmp_path / "zzz.manymold")
    window.show()
    known = users_own(window.store.project) | QTS
    left: list[str] = []
    for make in dialogs(window):
        dialog = make()
        qtbot.addWidget(dialog)
        dialog.show()
        qtbot.wait(150)
        for where, text in shown(dialog):
            rest = untranslated(text, known)
            if rest:
                left.append(f"{type(dialog).__name__} {where}: {text[:200]!r} -> {rest[:80]!r}")
        dialog.close()
    assert not left, "\n".join(left)


def dialogs(window: MainWindow) -> list[Callable[[], QWidget]]:
    """Every dialog of the program."""
    from app.dialogs import help as helps
    from app.dialogs.accept import AcceptDialog
    from app.dialogs.add_master import AddMaster
    from app.dialogs.catalogue import CatalogueDialog
    from app.dialogs.export import ExportDialog
    from app.dialogs.find_action import FindAction
    from app.dialogs.limits import LimitsDialog
    from app.dialogs.repeat import RepeatRoundDialog, RepeatRowsDialog
    from app.dialogs.stiffness import StiffnessDialog

    page, store, project = window.page_widget("cavities"), window.store, window.store.project
    assert isinstance(page, CavitiesPage)
    ids = [c.id for c in project.cavities[:2]]
    exports = [partial(ExportDialog, what, store, window.settings, window) for what in ("panels", "template", "report")]
    return [
        *exports,
        partial(ExportDialog, "picture", store, window.settings, window),
        lambda: AcceptDialog(check(project), project.units, window),
        lambda: AddMaster(page.desk, window.settings, window),
        lambda: CatalogueDialog("silicone", project.silicone, window),
        lambda: CatalogueDialog("resin", project.resin, window),
        lambda: FindAction(window.actions_table, window),
        lambda: helps.first_steps(window),
        lambda: helps.keys(window.actions_table, window),
        lambda: helps.about(window),
        lambda: LimitsDialog(project, window),
        lambda: RepeatRowsDialog(project, ids, window),
        lambda: RepeatRoundDialog(project, ids[:1], window),
        lambda: StiffnessDialog(project.units, 5.0, window),
    ]


@pytest.mark.parametrize("page", [p.id for p in PAGES])
def test_that_what_is_painted_on_a_page_is_in_the_made_up_language(
    qtbot: QtBot, page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    painted: set[str] = set()
    own = QPainter.drawText

    def record(painter: QPainter, *args: object) -> object:
        # papers break their lines themselves: tests/app/printing/test_translated_papers.py looks at them whole
        if "printing" not in sys._getframe(1).f_code.co_filename:
            painted.update(a for a in args if isinstance(a, str))
        return own(painter, *args)  # type: ignore[call-overload]

    monkeypatch.setattr(QPainter, "drawText", record)
    window = MainWindow()
    qtbot.addWidget(window, before_close_func=lambda w: w.store.undo_stack.setClean())
    window.resize(1600, 1000)
    window.store.open(project(), tmp_path / "zzz.manymold")
    window.show()
    window.open_page(page)
    qtbot.waitUntil(lambda: not window.jobs.is_busy, timeout=60_000)
    widget = window.page_widget(page)
    for tabs in widget.findChildren(QTabWidget):
        for index in range(tabs.count()):
            tabs.setCurrentIndex(index)
            qtbot.wait(60)
    window.grab()
    known = users_own(window.store.project) | QTS
    left = {text: rest for text in painted if (rest := untranslated(text.replace("…", "⟧"), known))}
    assert not left, "\n".join(f"{text[:200]!r} -> {rest[:80]!r}" for text, rest in left.items())
