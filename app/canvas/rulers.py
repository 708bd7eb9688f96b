"""Rulers along the canvas, in the user's unit: millimetres, or inches with fractions."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QWidget

from app.theme import current_look
from layout.units import MM_PER_INCH, Units, inch_fraction

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtGui import QPaintEvent

    from app.canvas.view import CanvasView

_LEAST_LABEL_PIXELS = 48.0


def ruler_steps(units: Units, mm_per_pixel: float) -> tuple[float, int]:
    """Return the distance between labels in mm and into how many ticks each is divided.

    Examples
    --------
    >>> ruler_steps(Units(), 0.25)
    (20.0, 4)
    >>> ruler_steps(Units("in"), 0.25)
    (12.7, 4)
    """
    least = _LEAST_LABEL_PIXELS * mm_per_pixel
    if units.length == "mm":
        power = 10.0 ** math.floor(math.log10(max(least, 1e-9)))
        for factor, parts in ((1, 5), (2, 4), (5, 5), (10, 5)):
            if factor * power >= least:
                return factor * power, parts
        return 10 * power, 5
    step = 1.0 / max(units.denominator, 16)
    while step * MM_PER_INCH < least:
        step *= 2
    return step * MM_PER_INCH, 4


def ruler_label(value_mm: float, units: Units) -> str:
    """Return the label of a place on the ruler, without unit."""
    if units.length == "mm":
        text = f"{value_mm:.3f}".rstrip("0").rstrip(".")
        return "0" if text in ("-0", "") else text
    return inch_fraction(value_mm / MM_PER_INCH, max(units.denominator, 64))


class Ruler(QWidget):
    """One ruler, level or upright."""

    def __init__(self, view: CanvasView, level: bool, units: Callable[[], Units]) -> None:
        super().__init__(view)
        self._view, self._level, self._units = view, level, units
        self._at: float | None = None
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def thickness(self) -> int:
        """How many pixels the ruler is high, or the upright one wide."""
        metrics = QFontMetricsF(self._small())
        return round(metrics.height() + 8) if self._level else round(metrics.horizontalAdvance("888-8/8") + 10)

    def _small(self) -> QFont:
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 0.82)
        return font

    def show_pointer(self, mm: float | None) -> None:
        """Mark where the pointer is."""
        if mm != self._at:
            self._touch(self._at)
            self._at = mm
            self._touch(mm)

    def _touch(self, mm: float | None) -> None:
        """Ask for a repaint of the mark alone: a drag moves it at every step."""
        if mm is not None:
            at = round(self._pixel_at(mm))
            self.update(QRect(at - 2, 0, 5, self.height()) if self._level else QRect(0, at - 2, self.width(), 5))

    def paintEvent(self, event: QPaintEvent) -> None:
        look, painter = current_look(), QPainter(self)
        painter.setBackground(QColor(look.panel))
        painter.eraseRect(self.rect())
        painter.setFont(self._small())
        painter.setPen(QPen(QColor(look.quiet), 1))
        step, parts = ruler_steps(self._units(), self._view.mm_per_pixel)
        part = event.rect()
        start, end = (part.left(), part.right()) if self._level else (part.top(), part.bottom())
        # a label stands up to its own length beside its tick
        ends = sorted((self._mm_at(start - _LEAST_LABEL_PIXELS), self._mm_at(end + _LEAST_LABEL_PIXELS)))
        for i in range(math.floor(ends[0] / step * parts), math.ceil(ends[1] / step * parts) + 1):
            self._tick(painter, i * step / parts, i % parts == 0)
        if self._at is not None:
            painter.setPen(QPen(QColor(look.accent), 2))
            at = self._pixel_at(self._at)
            if self._level:
                painter.drawLine(QPointF(at, 0), QPointF(at, self.height()))
            else:
                painter.drawLine(QPointF(0, at), QPointF(self.width(), at))

    def _tick(self, painter: QPainter, mm: float, labelled: bool) -> None:
        at = self._pixel_at(mm)
        long = 7 if labelled else 4
        if self._level:
            painter.drawLine(QPointF(at, self.height() - long), QPointF(at, self.height()))
        else:
            painter.drawLine(QPointF(self.width() - long, at), QPointF(self.width(), at))
        if not labelled:
            return
        text = ruler_label(mm, self._units())
        metrics = QFontMetricsF(painter.font())
        width = metrics.horizontalAdvance(text)
        if self._level:
            # a label at the very end would be cut
            if at + 3 >= 0 and at + 3 + width <= self.width():
                painter.drawText(QPointF(at + 3, metrics.ascent() + 1), text)
        elif at <= self.height():
            painter.drawText(
                QRectF(self.width() - width - 10, at - metrics.height() - 1, width + 2, metrics.height()), text
            )

    def _mm_at(self, pixel: float) -> float:
        point = self._view.mm_at(QPointF(pixel, pixel))
        return point[0] if self._level else point[1]

    def _pixel_at(self, mm: float) -> float:
        point = self._view.pixel_at((mm, mm))
        return point.x() if self._level else point.y()
