"""Pictures painted in the window's own thread where they are small, and aside where they are large."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QImage, QPainter
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.aside import Aside, Stop
from app.theme import current_look
from app.words import tr

if TYPE_CHECKING:
    from PySide6.QtGui import QPaintEvent

    from app.theme import Look

_Key = tuple[int, QSize, float, bool]


class Drawn(QWidget):
    """A picture that fills its place and says something instead when there is none.

    A large one is painted into an image in a thread. Until it is there, one of the same content at another size is
    shown, and else that it is being drawn: never what no longer holds.
    """

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.empty_words = tr("Nothing to show yet.")
        self._aside: Aside | None = None
        self._is_large = False
        self._version = 0
        self._asked: _Key | None = None
        self._done: tuple[_Key, QImage | None] | None = None

    def sizeHint(self) -> QSize:
        return QSize(480, 320)

    def minimumSizeHint(self) -> QSize:
        return QSize(220, 160)

    def ground(self, look: Look) -> str:
        """The colour under the picture."""
        return look.canvas

    def paint(self, painter: QPainter, size: QSizeF, look: Look) -> bool:
        """Paint the picture and return True, or return False if there is none; may be called in another thread."""
        raise NotImplementedError

    def draw_anew(self, *, large: bool) -> None:
        """Show what is to be painted now; ``large``: it takes too long to be painted in this thread."""
        self._version += 1
        self._is_large = large
        self.update()

    @property
    def is_drawn(self) -> bool:
        """Whether what is shown is what is to be painted now."""
        return not self._is_large or (self._done is not None and self._done[0] == self._key())

    def _key(self) -> _Key:
        return self._version, self.size(), self.devicePixelRatioF(), current_look().dark

    def paintEvent(self, _event: QPaintEvent) -> None:
        look, painter = current_look(), QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(self.ground(look)))
        words = ""
        if self._is_large:
            words = self._paint_kept(painter, look)
        elif not self.paint(painter, QSizeF(self.size()), look):
            words = self.empty_words
        if words:
            painter.setPen(QColor(look.quiet))
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self.rect().adjusted(20, 20, -20, -20), flags, words)
        painter.end()

    def _paint_kept(self, painter: QPainter, look: Look) -> str:
        """Paint what was painted aside and return what is to be said instead, if it can't be."""
        key = self._key()
        if self._asked != key:
            self._asked = key
            self._ask(key, look)
        if self._done is None or self._done[0][0] != key[0]:
            return tr("Being drawn…")
        image = self._done[1]
        if image is None:
            return self.empty_words
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(QRectF(self.rect()), image)
        return ""

    def _ask(self, key: _Key, look: Look) -> None:
        font, ground = QFont(self.font()), self.ground(look)

        def picture(_stop: Stop) -> tuple[_Key, QImage | None]:
            _, size, ratio, _ = key
            image = QImage(size * ratio, QImage.Format.Format_ARGB32_Premultiplied)
            image.setDevicePixelRatio(ratio)
            image.fill(QColor(ground))
            painter = QPainter(image)
            painter.setFont(font)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            there = self.paint(painter, QSizeF(size), look)
            painter.end()
            return key, image if there else None

        if self._aside is None:
            self._aside = Aside(self)
        self._aside.ask(picture, self._show, at_once=False)

    def _show(self, done: tuple[_Key, QImage | None]) -> None:
        self._done = done
        self.update()
