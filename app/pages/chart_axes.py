"""Round values for an axis, and words on a chart."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.theme import Look


def nice_steps(most: float, wanted: int = 4) -> list[float]:
    """Return round values from 0 to just over the most.

    Examples
    --------
    >>> nice_steps(7.3), nice_steps(1234.0)
    ([0.0, 2.0, 4.0, 6.0, 8.0], [0.0, 500.0, 1000.0, 1500.0])
    """
    if not most > 0.0:
        return [0.0, 1.0]
    raw = most / wanted
    unit = 10.0 ** math.floor(math.log10(raw))
    step = next(k * unit for k in (1, 2, 5, 10) if k * unit >= raw * 0.999)
    count = math.ceil(most / step - 1e-9)
    return [step * k for k in range(count + 1)]


def axis_text(value: float) -> str:
    """Return a value as an axis shows it.

    Examples
    --------
    >>> axis_text(1500.0), axis_text(0.5), axis_text(12000.0)
    ('1500', '0.5', '12k')
    """
    if value >= 10_000 and value % 1000 == 0:
        return f"{value / 1000:g}k"
    return f"{value:g}"


def label(painter: QPainter, look: Look, at: QPointF, words: str, colour: str) -> None:
    """Words on a ground of their own, so that no line runs through them."""
    metrics = painter.fontMetrics()
    ground = QColor(look.field)
    ground.setAlphaF(0.85)
    painter.fillRect(
        QRectF(at.x() - 2, at.y() - metrics.ascent(), metrics.horizontalAdvance(words) + 4, metrics.height()), ground
    )
    painter.setPen(QColor(colour))
    painter.drawText(at, words)
