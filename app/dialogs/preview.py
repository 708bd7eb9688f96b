"""What an export will be, before it is written: pages one below the other, or a drawing."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, QRectF, QSize, QSizeF
from PySide6.QtGui import QColor, QPainter

from app.pages.drawn import Drawn
from app.theme import Look
from app.words import counted, tr
from layout.documents.page import Page

_WIDTH = 460


class Preview(Drawn):
    """Shows pages one below the other, or a drawing."""

    def __init__(self) -> None:
        super().__init__(tr("Preview"))
        self._pages: tuple[Page, ...] = ()
        self._svg = ""

    @property
    def pages(self) -> tuple[Page, ...]:
        """The pages shown; none for a drawing."""
        return self._pages

    def ground(self, look: Look) -> str:
        return look.window

    def show_waiting(self) -> None:
        """Say that what is to be shown is being worked out."""
        self.empty_words = tr("Being worked out…")
        self._pages, self._svg = (), ""
        self.draw_anew(large=False)

    def show_pages(self, pages: tuple[Page, ...], *, large: bool) -> None:
        """Show pages of paper."""
        self._pages, self._svg = pages, ""
        self._resize(large)

    def show_svg(self, svg: str, *, large: bool) -> None:
        """Show a drawing."""
        self._pages, self._svg = (), svg
        self._resize(large)

    def _resize(self, large: bool) -> None:
        high = sum(_WIDTH * p.height_mm / p.width_mm + 12 for p in self._pages) if self._pages else 420
        self.setMinimumSize(QSize(_WIDTH, round(high)))
        self.setAccessibleDescription(counted(len(self._pages), "{n} page", "{n} pages"))
        self.draw_anew(large=large)

    def paint(self, painter: QPainter, size: QSizeF, look: Look) -> bool:
        # only now: a start shows no pages
        from app.printing.paint import paint_page_into

        if self._svg:
            return self._paint_svg(painter, size)
        top = 0.0
        for page in self._pages:
            width = size.width() - 4.0
            target = QRectF(2.0, top, width, width * page.height_mm / page.width_mm)
            painter.fillRect(target, QColor("white"))
            paint_page_into(painter, page, target)
            top += target.height() + 12.0
        return bool(self._pages)

    def _paint_svg(self, painter: QPainter, room: QSizeF) -> bool:
        from PySide6.QtSvg import QSvgRenderer

        renderer = QSvgRenderer(QByteArray(self._svg.encode()))
        painter.fillRect(QRectF(0.0, 0.0, room.width(), room.height()), QColor("white"))
        size = renderer.viewBoxF().size()
        if size.isEmpty():
            return True
        scale = min((room.width() - 16) / size.width(), (room.height() - 16) / size.height())
        target = QRectF(8, 8, size.width() * scale, size.height() * scale)
        target.moveCenter(QRectF(0.0, 0.0, room.width(), room.height()).center())
        renderer.render(painter, target)
        return True
