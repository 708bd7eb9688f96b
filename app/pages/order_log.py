"""The batch log of the Order page: a table that is typed into, one undo step a change."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtCore import QDate, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.fields import plain_number
from app.notes import AlarmLabel
from app.pages.parts import typed_table
from app.store import Store
from app.words import said, tr
from layout.batch_log import bad_cavities, log_doubts, mold_life_of, mold_use, yield_of
from layout.errors import BadValueError, LayoutError
from layout.model import CavityId, LogEntry, Project
from layout.numbering import numbers
from layout.order.learned import pot_life_of
from layout.units import Units, parse_minutes, parse_number, parse_temperature_c


@dataclass(frozen=True, slots=True)
class _Column:
    title: str
    name: str
    show: Callable[[Any], str]
    read: Callable[[str, Project], Any]


def _text(value: Any) -> str:
    return "" if value is None else str(value)


def _amount(value: Any) -> str:
    return "" if value is None else plain_number(value, 2)


def _whole(text: str, _project: Project) -> int:
    return round(parse_number(text, tr("parts"), least=0, most=1e6)) if text.strip() else 0


def _grams(text: str, _project: Project) -> float | None:
    return parse_number(text, tr("grams"), least=0, most=1e7) if text.strip() else None


def _celsius(text: str, project: Project) -> float | None:
    """A bare number is in the degrees of the window: of Fahrenheit where lengths are in inches."""
    cleaned = text.strip()
    if cleaned and project.units.length == "in" and cleaned[-1] not in "CcFf":
        cleaned += "F"
    return parse_temperature_c(cleaned, tr("temperature")) if cleaned else None


def _degrees(celsius: float | None, units: Units) -> str:
    return _amount(celsius if celsius is None or units.length == "mm" else celsius * 9.0 / 5.0 + 32.0)


def _minutes(text: str, _project: Project) -> float | None:
    return parse_minutes(text, tr("pot life")) if text.strip() else None


def read_bad(text: str, project: Project) -> tuple[tuple[CavityId, str], ...]:
    """Read failed cavities by their number on the layout, and their causes: ``3 bubble; 17 torn lip``.

    Raises
    ------
    BadValueError
        If a cavity is not in the layout.
    """
    known = {str(number): cavity for cavity, number in numbers(project).items()}
    known |= {str(c.id): c.id for c in project.cavities}
    found = []
    for piece in re.split(r";|,(?=\s*\d)", text):
        if not piece.strip():
            continue
        name, cause = (part.strip() for part in re.split(r"[:\s]\s*|$", piece.strip(), maxsplit=1))
        if name not in known:
            raise BadValueError(name, "the layout has no such cavity", "write it like 3 bubble; 17 torn lip")
        found.append((known[name], cause))
    return tuple(found)


def bad_text(bad: tuple[tuple[CavityId, str], ...], project: Project) -> str:
    """Return failed cavities as they are typed; by its id where the layout has the cavity no more."""
    number = numbers(project)
    return "; ".join(f"{number.get(cavity, cavity)} {cause}".strip() for cavity, cause in bad)


COLUMNS = (
    _Column("Date", "when", _text, lambda text, _p: text.strip()),
    _Column("What", "what", _text, lambda text, _p: text),
    _Column("Mold", "mold", _text, lambda text, _p: text.strip()),
    _Column("Good", "good", _text, _whole),
    _Column("Scrap", "scrap", _text, _whole),
    _Column("Failed cavities and cause", "bad_cavities", _text, read_bad),
    _Column("Used, g", "used_g", _amount, _grams),
    _Column("Lot", "lot", _text, lambda text, _p: text.strip()),
    _Column("Temperature, °C", "temperature_c", _amount, _celsius),
    _Column("Pot life, min", "pot_life_min", _amount, _minutes),
    _Column("Retired", "retired", _text, lambda text, _p: bool(text)),
    _Column("Note", "note", _text, lambda text, _p: text),
)


def _tick(ticked: bool) -> QTableWidgetItem:
    item = QTableWidgetItem()
    item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsUserCheckable)
    item.setCheckState(Qt.CheckState.Checked if ticked else Qt.CheckState.Unchecked)
    return item


class LogPanel(QWidget):
    """The log, and what it has taught."""

    def __init__(self, store: Store, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store = store
        self._showing = False
        self.table = typed_table([tr(c.title) for c in COLUMNS], tr("Batch log"))
        self.table.horizontalHeader().setStretchLastSection(True)
        self.table.cellChanged.connect(self._typed)
        self.said = AlarmLabel()
        self.learned = QLabel()
        self.learned.setWordWrap(True)
        self.add_cast = QPushButton(tr("Add a cast"))
        self.add_pour = QPushButton(tr("Add a pour"))
        self.remove = QPushButton(tr("Remove line"))
        self.add_cast.clicked.connect(lambda: self._add("cast"))
        self.add_pour.clicked.connect(lambda: self._add("pour"))
        self.remove.clicked.connect(self._remove)
        row = QHBoxLayout()
        for button in (self.add_cast, self.add_pour, self.remove):
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.addWidget(self.learned)
        column.addWidget(self.table, 1)
        column.addWidget(self.said)
        column.addLayout(row)

    def show_project(self, project: Project) -> None:
        """Show the log of a project."""
        self._showing = True
        self.table.setRowCount(len(project.log))
        warm = [c.name for c in COLUMNS].index("temperature_c")
        head = tr("Temperature, °C") if project.units.length == "mm" else tr("Temperature, °F")
        self.table.setHorizontalHeaderItem(warm, QTableWidgetItem(head))
        for row, entry in enumerate(project.log):
            for k, column in enumerate(COLUMNS):
                if column.name == "what":
                    self._show_kind(row, k, entry)
                    continue
                value = getattr(entry, column.name)
                is_bad = column.name == "bad_cavities"
                if column.name == "temperature_c":
                    self.table.setItem(row, k, QTableWidgetItem(_degrees(value, project.units)))
                    continue
                if column.name == "retired":
                    self.table.setItem(row, k, _tick(value))
                    continue
                item = QTableWidgetItem(bad_text(value, project) if is_bad else column.show(value))
                self.table.setItem(row, k, item)
        self._showing = False
        self.learned.setText(said(learned_text(project)))
        self.remove.setEnabled(bool(project.log))

    def _show_kind(self, row: int, k: int, entry: LogEntry) -> None:
        combo = QComboBox()
        combo.addItem(tr("cast"), "cast")
        combo.addItem(tr("pour"), "pour")
        combo.setCurrentIndex(0 if entry.what == "cast" else 1)
        combo.setAccessibleName(tr("What line {n} of the log is", n=row + 1))
        combo.activated.connect(lambda _i, row=row, combo=combo: self._set(row, "what", combo.currentData()))
        self.table.setCellWidget(row, k, combo)

    def _typed(self, row: int, k: int) -> None:
        item = self.table.item(row, k)
        if self._showing or item is None or row >= len(self._store.project.log):
            return
        if COLUMNS[k].name == "retired":
            self._set(row, "retired", item.checkState() == Qt.CheckState.Checked)
            return
        try:
            value = COLUMNS[k].read(item.text(), self._store.project)
        except LayoutError as error:
            self.said.setText(said(error))
            self.show_project(self._store.project)
            return
        self.said.setText("")
        self._set(row, COLUMNS[k].name, value)

    def _set(self, row: int, name: str, value: Any) -> None:
        project = self._store.project
        changed: Any = {name: value}
        log = tuple(replace(e, **changed) if k == row else e for k, e in enumerate(project.log))
        if not self._store.apply(tr("Change the log"), replace(project, log=log)):
            self.show_project(project)

    def _add(self, what: Any) -> None:
        project = self._store.project
        last = project.log[-1] if project.log else None
        today = QDate.currentDate().toString(Qt.DateFormat.ISODate)
        entry = LogEntry(today, what, last.mold if last else "1",
                         good=len(project.cavities) if what == "cast" else 0)  # fmt: skip
        self._store.apply(tr("Add to the log"), replace(project, log=(*project.log, entry)))
        self.table.setCurrentCell(self.table.rowCount() - 1, 0)
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def _remove(self) -> None:
        project, row = self._store.project, self.table.currentRow()
        if 0 <= row < len(project.log):
            log = project.log[:row] + project.log[row + 1 :]
            self._store.apply(tr("Remove from the log"), replace(project, log=log))


def learned_text(project: Project) -> str:
    """Return what the log has taught, each with its observations, and which molds and cavities to look at."""
    lines = [
        tr("Mold life: {what}.", what=mold_life_of(project).source),
        tr("Good parts: {what}.", what=yield_of(project).source),
        tr("Pot life of the resin: {what}.", what=pot_life_of(project).source),
    ]
    lines += list(log_doubts(project))
    worn = [u for u in mold_use(project) if not u.retired and u.share >= 0.8]
    lines += [tr("Mold {m}: {n} casts, {p} % of its life. Look at it before the next.", m=u.mold, n=u.casts,
                 p=f"{100 * u.share:.0f}") for u in worn]  # fmt: skip
    number = numbers(project)
    for bad in bad_cavities(project):
        why = ", ".join(x for x in bad.causes if x) or tr("no cause given")
        words = tr(
            "Cavity {c} failed in {n} of {all} casts: {why}.",
            c=number[bad.cavity],
            n=bad.failed,
            all=bad.casts,
            why=why,
        )
        lines.append(words)
    return "\n".join(lines)
