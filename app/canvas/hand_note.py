"""A word beside the hand: why nothing moves, where the eyes are; the status line says it too."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt, QTimer
from PySide6.QtWidgets import QLabel

if TYPE_CHECKING:
    from app.canvas.view import CanvasView
    from layout.geometry import XY

SHOWN_MS = 4_000
_ASIDE_PIXELS = 14


class HandNote(QLabel):
    """Shows what the desk notes at a place of the mold, until something else is shown or a while has passed."""

    def __init__(self, view: CanvasView) -> None:
        super().__init__(view.viewport())
        self._view = view
        self.setProperty("role", "note")
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setContentsMargins(6, 3, 6, 3)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SHOWN_MS)
        self._timer.timeout.connect(self.hide)
        view.desk.noted.connect(self._say)
        view.desk.store.changed.connect(self.hide)
        view.zoomed.connect(self.hide)
        self.hide()

    def _say(self, sentence: str, place: XY) -> None:
        if not sentence:
            self.hide()
            return
        self.setText(sentence)
        self.adjustSize()
        inside = self._view.viewport().rect()
        at = self._view.pixel_at(place) + QPointF(_ASIDE_PIXELS, _ASIDE_PIXELS)
        self.move(
            max(0, min(round(at.x()), inside.width() - self.width())),
            max(0, min(round(at.y()), inside.height() - self.height())),
        )
        self.show()
        self.raise_()
        self._timer.start()
