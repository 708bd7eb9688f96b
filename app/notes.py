"""The sentence under a field: what is wrong with what was typed, there at once and without hovering."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QFormLayout,
    QGridLayout,
    QLabel,
    QLayout,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PySide6.QtGui import QResizeEvent

_SIGN: Final = "▲ "


class AlarmLabel(QLabel):
    """A sentence about what is wrong: in the alarm colour, and with a sign for whoever does not see colours."""

    def __init__(self) -> None:
        super().__init__()
        self.setWordWrap(True)
        self.setProperty("role", "alarm")

    @property
    def sentence(self) -> str:
        """What is said, without the sign."""
        return self.text().removeprefix(_SIGN)

    def setText(self, sentence: str) -> None:
        super().setText("\n".join(_SIGN + line for line in sentence.splitlines()))


class FieldNote(QLabel):
    """A line under a field, in whatever layout the field stands; it takes no room while it has nothing to say."""

    def __init__(self, field: QWidget) -> None:
        super().__init__()
        self.setWordWrap(True)
        self.setProperty("role", "alarm")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        self.setBuddy(field)
        self._to_show = False
        # the layouts round it settle one after another: only then it is known where the line stands
        self._settled = QTimer(self)
        self._settled.setSingleShot(True)
        self._settled.setInterval(60)
        self._settled.timeout.connect(self._reveal)
        self._released = QTimer(self)
        self._released.setInterval(40)
        self._released.timeout.connect(self._button_let_go)
        self.is_placed = _put_under(field, self)
        self.hide()

    def say(self, sentence: str) -> None:
        """Say this, scrolled to where it is seen; an empty text takes the line away."""
        self.setText(sentence)
        if not self.is_placed:
            return
        if not sentence and self.isVisible() and QGuiApplication.mouseButtons() != Qt.MouseButton.NoButton:
            # the line keeps its room until the button is let go: what is pressed must not move away from the pointer
            self._to_show = False
            self._released.start()
            return
        self.setVisible(bool(sentence))
        self._to_show = bool(sentence)
        if sentence:
            self._make_room()
            self._reveal()
            self._settled.start()

    def _button_let_go(self) -> None:
        if self.text():
            self._released.stop()
        elif QGuiApplication.mouseButtons() == Qt.MouseButton.NoButton:
            self._released.stop()
            self.hide()

    def minimumSizeHint(self) -> QSize:
        # a long word must not push the column wider than its frame
        return QSize(60, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.setMinimumHeight(max(0, self.heightForWidth(self.width())))
        if self._to_show:
            self._to_show = False
            self._make_room()
            self._reveal()

    def _make_room(self) -> None:
        """Let a dialog grow by the line, so that no other field is squeezed for it."""
        window = self.window()
        layout = window.layout()
        if isinstance(window, QDialog) and layout is not None:
            layout.activate()
            least = max(layout.totalMinimumSize().height(), layout.totalMinimumHeightForWidth(window.width()))
            window.resize(window.width(), max(window.height(), least))

    def _reveal(self) -> None:
        above = self.parentWidget()
        while above is not None:
            if isinstance(above, QScrollArea):
                above.ensureWidgetVisible(self, 0, 8)
            above = above.parentWidget()


def _put_under(widget: QWidget, note: QLabel) -> bool:
    """Put a note under a widget, or under the row or the group it stands in; return whether there was such a place."""
    parent = widget.parentWidget()
    while parent is not None:
        whole = parent.layout()
        if whole is None:
            return False
        for layout, inner in _path(whole, widget):
            if isinstance(layout, QFormLayout):
                layout.insertRow(_form_row(layout, inner) + 1, note)
                return True
            if isinstance(layout, QVBoxLayout):
                layout.insertWidget(layout.indexOf(inner) + 1, note)
                return True
            if isinstance(layout, QGridLayout):
                layout.addWidget(note, layout.rowCount(), 0, 1, layout.columnCount())
                return True
        widget, parent = parent, parent.parentWidget()
    return False


def _path(layout: QLayout, widget: QWidget) -> list[tuple[QLayout, QWidget | QLayout]]:
    """Return the layouts round a widget, the innermost first, each with what of it holds the widget."""
    for inner in _contents(layout):
        if inner is widget:
            return [(layout, inner)]
        if isinstance(inner, QLayout):
            below = _path(inner, widget)
            if below:
                return [*below, (layout, inner)]
    return []


def _contents(layout: QLayout) -> Iterator[QWidget | QLayout]:
    for index in range(layout.count()):
        item = layout.itemAt(index)
        inner = None if item is None else item.widget() or item.layout()
        if inner is not None:
            yield inner


def _form_row(form: QFormLayout, inner: QWidget | QLayout) -> int:
    for row in range(form.rowCount()):
        for role in (QFormLayout.ItemRole.FieldRole, QFormLayout.ItemRole.SpanningRole):
            item = form.itemAt(row, role)
            if item is not None and (item.widget() is inner or item.layout() is inner):
                return row
    return form.rowCount() - 1
