"""What an empty window says: the three things to do first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QPushButton

from app.words import tr

if TYPE_CHECKING:
    from PySide6.QtCore import QObject
    from PySide6.QtGui import QShowEvent
    from PySide6.QtWidgets import QWidget

_STEPS = (
    ("add_master", "Put a master on the shelf", "The part to copy: a simple shape you type, or a drawing from a file."),
    ("box", "Say how large the box is", "Its inside, and the least wall between two cavities."),
    ("fill", "Fill the box", "Let the program find the most cavities, or drag them in one by one."),
)


class FirstSteps(QFrame):
    """A card in the middle of the empty canvas, its parent.

    Signals
    -------
    asked(str)
        ``add_master``, ``box``, ``fill``, ``open`` or ``demo``.
    """

    asked = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setAutoFillBackground(True)
        grid = QGridLayout(self)
        grid.setContentsMargins(20, 16, 20, 16)
        grid.setHorizontalSpacing(12)
        title = QLabel(tr("Three things to do first"))
        font = title.font()
        font.setPointSizeF(font.pointSizeF() * 1.25)
        font.setBold(True)
        title.setFont(font)
        grid.addWidget(title, 0, 0, 1, 2)
        self.buttons: dict[str, QPushButton] = {}
        for number, (action, text, why) in enumerate(_STEPS, start=1):
            button = QPushButton(tr("{number}. {what}", number=number, what=tr(text)))
            button.setProperty("step", True)
            button.clicked.connect(lambda _checked=False, action=action: self.asked.emit(action))
            if number == 1:
                button.setProperty("main", True)
            self.buttons[action] = button
            label = QLabel(tr(why))
            label.setProperty("role", "quiet")
            label.setWordWrap(True)
            grid.addWidget(button, 2 * number, 0, 1, 2)
            grid.addWidget(label, 2 * number + 1, 0, 1, 2)
        for column, (action, text) in enumerate((("open", "Open a project…"), ("demo", "Look at an example"))):
            button = QPushButton(tr(text))
            button.clicked.connect(lambda _checked=False, action=action: self.asked.emit(action))
            self.buttons[action] = button
            grid.addWidget(button, 9, column)
        grid.setRowMinimumHeight(8, 8)
        self.setMaximumWidth(430)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._canvas = parent
        parent.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._canvas and self.isVisibleTo(self._canvas) and event.type() == QEvent.Type.Resize:
            self._keep_in_the_middle()
        return super().eventFilter(watched, event)

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._keep_in_the_middle()

    def _keep_in_the_middle(self) -> None:
        room = self._canvas.size()
        width = min(max(self.sizeHint().width(), 340), room.width() - 20)
        height = max(self.sizeHint().height(), self.heightForWidth(width))
        self.setGeometry(max(0, (room.width() - width) // 2), max(0, (room.height() - height) // 2), width, height)
