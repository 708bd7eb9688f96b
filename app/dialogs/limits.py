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
from layout.units import parse_number

_WARN: Final = 2
_REFUSE: Final = 3


class LimitsDialog(QDialog):
    """Shows every limit; ``changes`` are those that differ from the program's own."""

    def __init__(self, project: Project, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Limits of the advice"))
        self.changes: tuple[LimitChange, ...] = project.limits
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
            texts = (f"{said(default.words)} {sign}", said(default.unit), _text(shown.warn), _text(shown.refuse))
            for column, words in enumerate(texts):
                item = QTableWidgetItem(words)
                if column < _WARN:
                    item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEditable)
                else:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(row, column, item)

    def _number(self, row: int, column: int) -> float | None:
        item = self.table.item(row, column)
        text = item.text().strip().replace(",", ".") if item else ""
        return parse_number(text, TABLE[row].words) if text else None

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


def _text(value: float | None) -> str:
    return "" if value is None else plain_number(value)
