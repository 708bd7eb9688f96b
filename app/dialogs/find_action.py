"""Finds any action by typing a part of what it does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QDialog, QLabel, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.words import tr

if TYPE_CHECKING:
    from app.actions import Actions


class FindAction(QDialog):
    """A field, and below it the actions that have the typed words in their name, menu or tip."""

    def __init__(self, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("Find an action"))
        self._actions = actions
        self.field = QLineEdit()
        self.field.setPlaceholderText(tr("What do you want to do?"))
        self.field.setAccessibleName(tr("What do you want to do?"))
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Actions"))
        self._why = QLabel()
        self._why.setProperty("role", "quiet")
        column = QVBoxLayout(self)
        for widget in (self.field, self.list, self._why):
            column.addWidget(widget)
        self.resize(520, 420)
        self.field.textChanged.connect(self.search)
        self.list.itemActivated.connect(self._run)
        self.list.currentItemChanged.connect(lambda item, _old: self._explain(item))
        self.search("")

    def search(self, text: str) -> None:
        """List what matches every typed word; what is possible now comes first."""
        words = text.casefold().split()
        found: list[tuple[bool, int, str, QAction]] = []
        for spec, action in self._actions:
            name = action.text().replace("&", "").rstrip("…")
            menu = tr(spec.menu).replace("&", "").replace("/", " › ")
            hay = f"{name} {menu} {action.statusTip()}".casefold()
            if spec.id not in ("find_action", "recent") and all(word in hay for word in words):
                in_name = sum(word in name.casefold() for word in words)
                keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
                found.append((not action.isEnabled(), -in_name, f"{name}   {keys}\n{menu}", action))
        self.list.clear()
        for disabled, _, shown, action in sorted(found, key=lambda f: f[:2]):
            item = QListWidgetItem(shown)
            item.setData(Qt.ItemDataRole.UserRole, action.objectName())
            if disabled:
                item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEnabled)
            self.list.addItem(item)
        self.list.setCurrentRow(0)
        self._explain(self.list.currentItem())

    def _explain(self, item: QListWidgetItem | None) -> None:
        action = self._actions[item.data(Qt.ItemDataRole.UserRole)] if item else None
        if action is None:
            self._why.setText(tr("No action has these words."))
        elif action.isEnabled():
            self._why.setText(action.statusTip())
        else:
            self._why.setText(
                tr("{what}: not possible now, as nothing fit for it is selected or there", what=action.statusTip())
            )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            step = 1 if event.key() == Qt.Key.Key_Down else -1
            self.list.setCurrentRow(max(0, min(self.list.count() - 1, self.list.currentRow() + step)))
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._run(self.list.currentItem())
        else:
            super().keyPressEvent(event)

    def _run(self, item: QListWidgetItem | None) -> None:
        if item is None or not item.flags() & Qt.ItemFlag.ItemIsEnabled:
            return
        action = self._actions[item.data(Qt.ItemDataRole.UserRole)]
        self.accept()
        action.trigger()
