"""Broken rules and advice as a list; each leads to its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QListWidget, QListWidgetItem

from app.theme import current_look
from app.words import said, tr
from layout.model import Finding, Project, Severity
from layout.numbering import by_number
from layout.wording import head, message

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

MOST_LISTED = 200
"""More findings than anybody reads; a layout with the wrong wall has thousands."""

SIGNS = {Severity.REFUSE: "▲", Severity.WARN: "◆", Severity.INFO: "○"}


class FindingsList(QListWidget):
    """Lists findings, the gravest first.

    Signals
    -------
    chosen(Finding)
    """

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWordWrap(True)
        self.setAccessibleName(tr("Broken rules and advice"))
        self._findings: tuple[Finding, ...] = ()
        self._waiting = False
        self.itemClicked.connect(self._choose)
        self.itemActivated.connect(self._choose)

    @property
    def findings(self) -> tuple[Finding, ...]:
        return self._findings

    def show_findings(self, findings: tuple[Finding, ...], project: Project) -> None:
        """List these; cavities are called by their number."""
        self._findings, self._waiting = findings, False
        self.clear()
        look = current_look()
        for finding in by_number(findings[:MOST_LISTED], project):
            text = f"{tr(head(finding))}: {said(message(finding, project.units))}"
            item = QListWidgetItem(f"{SIGNS[finding.severity]} {text}")
            item.setToolTip(text)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, text)
            if finding.severity == Severity.REFUSE:
                item.setForeground(QColor(look.alarm))
            self.addItem(item)
        if not findings:
            item = QListWidgetItem(
                tr("Every wall and edge keeps its rule.") if project.cavities else tr("Nothing yet.")
            )
            item.setFlags(Qt.ItemFlag.NoItemFlags)
            self.addItem(item)

    def show_waiting(self) -> None:
        """Show that what is to be listed is being worked out."""
        self._findings, self._waiting = (), True
        self.clear()
        item = QListWidgetItem(tr("Being worked out…"))
        item.setFlags(Qt.ItemFlag.NoItemFlags)
        self.addItem(item)

    def show_look(self, project: Project) -> None:
        """Take on another look."""
        if not self._waiting:
            self.show_findings(self._findings, project)

    def _choose(self, item: QListWidgetItem) -> None:
        row = self.row(item)
        if row < len(self._findings):
            self.chosen.emit(self._findings[row])
