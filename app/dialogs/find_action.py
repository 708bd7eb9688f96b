"""Finds any action by typing a part of what it does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QAction, QColor, QKeyEvent, QKeySequence, QPainter
from PySide6.QtWidgets import (
    QDialog,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app.theme import current_look
from app.words import tr

if TYPE_CHECKING:
    from app.actions import Actions

_KEYS = Qt.ItemDataRole.UserRole + 1

_ALSO = (
    (("turn_left", "turn_right", "turn_step_left", "turn_step_right"), "rotate angle"),
    (("line_left", "line_right", "line_bottom", "line_top", "line_x", "line_y"), "align straighten"),
    (("space_x", "space_y"), "distribute spread equal"),
    (("mirror_x", "mirror_y"), "flip reflect swap"),
    (("repeat_rows", "repeat_round"), "array grid pattern copies circle"),
    (("duplicate",), "copy double"),
    (("pin",), "lock fix hold"),
    (("unpin",), "unlock loosen release"),
    (("fill",), "nest pack most arrange search"),
    (("place_one", "add_master", "add_file"), "insert new part import"),
    (("export_panels",), "export dxf svg pdf box walls"),
    (("export_template",), "export pdf dxf glue positions"),
    (("export_report",), "export pdf silicone weights batches"),
    (("export_picture",), "export image svg png"),
    (("keep_out",), "obstacle reserve finger pry slot label"),
    (("order_selection", "order_serpentine"), "number renumber sequence"),
    (("units_mm", "units_in"), "metric imperial unit length"),
    (("look_dark", "look_light", "look_system"), "theme colours night day"),
    (("delete",), "erase clear"),
    (("undo",), "back revert"),
    (("zoom_fit", "zoom_selection"), "show everything"),
    (("section",), "cut through side depth height"),
    (("open_face",), "flip mirror underside bottom"),
    (("pass_through",), "overlap ignore walls free"),
)
"""What people also call an action, in everyday words."""
Index = QModelIndex | QPersistentModelIndex


class _TwoLines(QStyledItemDelegate):
    """An action's name with its key at the right, and under it, quieter, the menu it is in."""

    def sizeHint(self, option: QStyleOptionViewItem, _index: Index) -> QSize:
        return QSize(200, 2 * option.fontMetrics.height() + 9)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        look = current_look()
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        possible = bool(option.state & QStyle.StateFlag.State_Enabled)
        painter.save()
        if chosen:
            painter.fillRect(option.rect, QColor(look.accent))
        inner = option.rect.adjusted(8, 3, -8, -4)
        line = option.fontMetrics.height()
        plain = look.accent_text if chosen else look.text if possible else look.quiet
        quiet = look.accent_text if chosen else look.quiet
        painter.setFont(option.font)
        painter.setPen(QColor(plain))
        left, right = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight
        first = QRect(inner.left(), inner.top(), inner.width(), line)
        name, menu = str(index.data()).split("\n")
        keys = str(index.data(_KEYS) or "")
        painter.drawText(first, right, keys)
        room = inner.width() - option.fontMetrics.horizontalAdvance(keys) - 12
        painter.drawText(first, left, option.fontMetrics.elidedText(name, Qt.TextElideMode.ElideRight, room))
        painter.setPen(QColor(quiet))
        second = QRect(inner.left(), inner.top() + line + 1, inner.width(), line)
        painter.drawText(second, left, option.fontMetrics.elidedText(menu, Qt.TextElideMode.ElideRight, inner.width()))
        painter.restore()


def _plain(text: str) -> str:
    """Return the words of a text, each after one space: what is typed is looked for where words begin."""
    return " " + " ".join("".join(c if c.isalnum() else " " for c in text.casefold()).split())


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
        self.list.setItemDelegate(_TwoLines(self.list))
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
        words = _plain(text).split()
        also = {action: tr(called) for actions, called in _ALSO for action in actions}
        found: list[tuple[bool, int, str, str, QAction]] = []
        for spec, action in self._actions:
            name = action.text().replace("&", "").rstrip("…")
            menu = tr(spec.menu).replace("&", "").replace("/", " › ")
            hay = _plain(f"{name} {menu} {action.statusTip()} {also.get(spec.id, '')}")
            if spec.id not in ("find_action", "recent") and all(f" {word}" in hay for word in words):
                in_name = sum(word in name.casefold() for word in words)
                keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
                found.append((not action.isEnabled(), -in_name, f"{name}\n{menu}", keys, action))
        self.list.clear()
        for disabled, _, shown, keys, action in sorted(found, key=lambda f: f[:2]):
            item = QListWidgetItem(shown)
            item.setData(_KEYS, keys)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, ", ".join(filter(None, (*shown.split("\n"), keys))))
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
