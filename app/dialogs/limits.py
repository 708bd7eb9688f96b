"""The limits of the advice, each with its warning and its refusal: the user's own go before the program's."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.fields import plain_number
from app.words import said, tr
from layout.errors import LayoutError
from layout.limits import TABLE, changed_limit, limit
from layout.model import LimitChange, Project
from layout.units import MM_PER_INCH, Units, parse_number

_WARN: Final = 2
_REFUSE: Final = 3


class LimitsDialog(QDialog):
    """Shows every limit; ``changes`` are those that differ from the program's own."""

    def __init__(self, project: Project, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Limits of the advice"))
        self.changes: tuple[LimitChange, ...] = project.limits
        self._units = project.units
        self._kept: dict[tuple[int, int], float | None] = {}
        self.table = QTableWidget(len(TABLE), 4)
        self.table.setHorizontalHeaderLabels([tr("What is judged"), tr("Unit"), tr("Warns from"), tr("Refuses from")])
        self.table.setAccessibleName(tr("Limits"))
        self.table.verticalHeader().hide()
        self.table.setTabKeyNavigation(False)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.problem = QLabel()
        self.problem.setWordWrap(True)
        self.problem.setProperty("role", "alarm")
        note = QLabel(tr("More or less than this is warned of, or refused until a reason is typed. Empty: never."))
        note.setWordWrap(True)
        note.setProperty("role", "quiet")
        kinds = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(kinds.Ok | kinds.Cancel | kinds.RestoreDefaults)
        column = QVBoxLayout(self)
        for part in (self.table, note, self.problem, self.buttons):
            column.addWidget(part)
        self._fill(project)
        self.buttons.accepted.connect(self._accept)
        self.buttons.rejected.connect(self.reject)
        defaults = self.buttons.button(kinds.RestoreDefaults)
        defaults.clicked.connect(lambda: self._fill(None))
        self.resize(680, 620)

    def _fill(self, project: Project | None) -> None:
        for row, default in enumerate(TABLE):
            shown = default if project is None else limit(project, default.kind)
            sign = "≤" if default.side == "most" else "≥"
            unit = shown_unit(default.unit, self._units)
            numbers = (self._text(default.unit, value) for value in (shown.warn, shown.refuse))
            texts = (f"{said(default.words)} {sign}", said(unit), *numbers)
            for column, words in enumerate(texts):
                item = QTableWidgetItem(words)
                if column < _WARN:
                    item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEditable)
                else:
                    # what was not typed over stays exactly what it was
                    item.setData(Qt.ItemDataRole.UserRole, words)
                    self._kept[row, column] = (shown.warn, shown.refuse)[column - _WARN]
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(row, column, item)

    def _number(self, row: int, column: int) -> float | None:
        item = self.table.item(row, column)
        text = item.text().strip().replace(",", ".") if item else ""
        if not text:
            return None
        if item is not None and item.text() == item.data(Qt.ItemDataRole.UserRole):
            return self._kept[row, column]
        return from_shown(parse_number(text, TABLE[row].words), TABLE[row].unit, self._units)

    def _text(self, unit: str, value: float | None) -> str:
        return "" if value is None else plain_number(to_shown(value, unit, self._units))

    def _accept(self) -> None:
        changes = []
        for row, default in enumerate(TABLE):
            try:
                change = changed_limit(default.kind, self._number(row, _WARN), self._number(row, _REFUSE))
            except LayoutError as error:
                self.problem.setText(f"{said(default.words)}: {said(error.problem)}; {said(error.remedy)}.")
                self.table.setCurrentCell(row, _WARN)
                return
            if (change.warn, change.refuse) != (default.warn, default.refuse):
                changes.append(change)
        self.changes = tuple(changes)
        self.accept()


def shown_unit(unit: str, units: Units) -> str:
    """Return the unit a limit is shown in: inches and degrees Fahrenheit for inch users."""
    inch = units.length == "in"
    return {"mm": "in" if inch else "mm", "deg C": "°F" if inch else "°C"}.get(unit, unit)


def to_shown(value: float, unit: str, units: Units) -> float:
    """Return a limit in the unit it is shown in."""
    if units.length == "in" and unit == "mm":
        return value / MM_PER_INCH
    return value * 9.0 / 5.0 + 32.0 if units.length == "in" and unit == "deg C" else value


def from_shown(value: float, unit: str, units: Units) -> float:
    """Return a typed limit in mm or deg C."""
    if units.length == "in" and unit == "mm":
        return value * MM_PER_INCH
    return (value - 32.0) * 5.0 / 9.0 if units.length == "in" and unit == "deg C" else value
