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
from app.notes import AlarmLabel
from app.words import said, short, tr
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
        self._filling = False
        self._wrong: int | None = None
        self._kept: dict[tuple[int, int], float | None] = {}
        self.table = QTableWidget(len(TABLE), 4)
        heads = (tr("What is judged"), tr("Unit"), tr("else a warning"), tr("else refused"))
        self.table.setHorizontalHeaderLabels(list(heads))
        self.table.setAccessibleName(tr("Limits"))
        self.table.verticalHeader().hide()
        self.table.setTabKeyNavigation(False)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.problem = AlarmLabel()
        note = QLabel(tr("What is refused goes on only with a typed reason. An empty field: never."))
        note.setWordWrap(True)
        note.setProperty("role", "quiet")
        kinds = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(kinds.Ok | kinds.Cancel | kinds.RestoreDefaults)
        column = QVBoxLayout(self)
        for part in (self.table, note, self.problem, self.buttons):
            column.addWidget(part)
        self._fill(project)
        self.table.cellChanged.connect(lambda row, _column: self._check(row))
        self.buttons.accepted.connect(self._accept)
        self.buttons.rejected.connect(self.reject)
        defaults = self.buttons.button(kinds.RestoreDefaults)
        defaults.clicked.connect(lambda: self._fill(None))
        self.resize(760, 640)

    def _fill(self, project: Project | None) -> None:
        self._filling, self._wrong = True, None
        self.problem.setText("")
        for row, default in enumerate(TABLE):
            shown = default if project is None else limit(project, default.kind)
            side = tr("at most") if default.side == "most" else tr("at least")
            unit = shown_unit(default.unit, self._units)
            numbers = (self._text(default.unit, value) for value in (shown.warn, shown.refuse))
            texts = (tr("{what}, {side}", what=said(default.words), side=side), said(unit), *numbers)
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
        self._filling = False

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

    def _change(self, row: int) -> LimitChange:
        """Return the limit of a row as typed; raises what is wrong with it."""
        return changed_limit(TABLE[row].kind, self._number(row, _WARN), self._number(row, _REFUSE))

    def _check(self, row: int) -> bool:
        """Return whether a row can be read; what is wrong with it is said under the table at once."""
        if self._filling:
            return True
        try:
            self._change(row)
        except LayoutError as error:
            self._wrong = row
            self.problem.setText(f"{said(TABLE[row].words)}: {short(error)}")
            return False
        if self._wrong in (None, row):
            self._wrong = None
            self.problem.setText("")
        return True

    def _accept(self) -> None:
        for row in range(len(TABLE)):
            if not self._check(row):
                self.table.setCurrentCell(row, _WARN)
                self.table.setFocus()
                return
        changed = [(default, self._change(row)) for row, default in enumerate(TABLE)]
        self.changes = tuple(c for default, c in changed if (c.warn, c.refuse) != (default.warn, default.refuse))
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
