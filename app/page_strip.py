"""The strip at the top: the pages in the order of the job, each with its answer of this moment under its name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QSizePolicy, QWidget

from app.theme import current_look
from app.words import tr

if TYPE_CHECKING:
    from PySide6.QtGui import QPaintEvent

    from app.pages import Page


class _Step(QAbstractButton):
    """One page's place in the strip: a number, a name and an answer, pointing to the next."""

    def __init__(self, number: int, title: str, last: bool, parent: QWidget) -> None:
        super().__init__(parent)
        self._number, self._last = number, last
        self._answer = ""
        self.setText(title)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(title)

    def set_answer(self, answer: str) -> None:
        if answer != self._answer:
            self._answer = answer
            self.setAccessibleDescription(answer)
            self.updateGeometry()
            self.update()

    def _small(self) -> QFont:
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 0.92)
        return font

    def _large(self) -> QFont:
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.1)
        font.setBold(True)
        return font

    def sizeHint(self) -> QSize:
        large, small = QFontMetricsF(self._large()), QFontMetricsF(self._small())
        width = max(large.horizontalAdvance(self.text()), small.horizontalAdvance(self._answer)) + 4.5 * large.height()
        return QSize(round(width), round(large.height() + small.height() + 14))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        look = current_look()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        chosen = self.isChecked()
        ground = QColor(look.panel if chosen else look.window)
        if self.underMouse() and not chosen:
            ground = QColor(look.line)
        rect = QRectF(self.rect())
        painter.setBackground(ground)
        painter.eraseRect(rect)
        large, small = QFontMetricsF(self._large()), QFontMetricsF(self._small())
        ink = QColor(look.text)
        radius = large.height() * 0.62
        centre = QPointF(12 + radius, rect.center().y())
        painter.setPen(QPen(QColor(look.accent if chosen else look.quiet), 2))
        painter.setBrush(QColor(look.accent) if chosen else Qt.BrushStyle.NoBrush)
        painter.drawEllipse(centre, radius, radius)
        painter.setFont(self._large())
        painter.setPen(QColor(look.accent_text if chosen else look.text))
        ring = QRectF(centre.x() - radius, centre.y() - radius, 2 * radius, 2 * radius)
        painter.drawText(ring, Qt.AlignmentFlag.AlignCenter, str(self._number))
        left = 2 * radius + 24
        room = rect.width() - left - 18
        painter.setPen(ink)
        top = (rect.height() - large.height() - small.height()) / 2
        name = large.elidedText(self.text(), Qt.TextElideMode.ElideRight, room)
        painter.drawText(QPointF(left, top + large.ascent()), name)
        painter.setFont(self._small())
        painter.setPen(QColor(look.text if ground == QColor(look.line) else look.quiet))
        answer = small.elidedText(self._answer, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QPointF(left, top + large.height() + small.ascent()), answer)
        painter.setPen(QPen(QColor(look.line), 1.5))
        if not self._last:
            x, middle = rect.right() - 9, rect.center().y()
            painter.drawPolyline(QPolygonF([QPointF(x, 6), QPointF(x + 7, middle), QPointF(x, rect.bottom() - 6)]))
        if chosen:
            painter.setBackground(QColor(look.accent))
            painter.eraseRect(QRectF(0, rect.bottom() - 2, rect.width() - 12, 3))
        if self.hasFocus():
            painter.setPen(QPen(QColor(look.text), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(rect.adjusted(3, 3, -13, -4), 4, 4)


class PageStrip(QWidget):
    """Shows the pages and which is open.

    Signals
    -------
    chosen(str)
        The id of a page.
    """

    chosen = Signal(str)

    def __init__(self, pages: list[Page], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._steps: dict[str, _Step] = {}
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        group = QButtonGroup(self)
        for number, page in enumerate(pages, start=1):
            step = _Step(number, tr(page.title), number == len(pages), self)
            step.setToolTip(tr("{page} (Ctrl+PgUp, Ctrl+PgDown)", page=tr(page.title)))
            step.clicked.connect(lambda _checked=False, page_id=page.id: self.chosen.emit(page_id))
            group.addButton(step)
            row.addWidget(step, 1)
            self._steps[page.id] = step
        self.setAccessibleName(tr("Pages"))

    def show_chosen(self, page_id: str) -> None:
        """Mark the open page; a focus on another step goes along."""
        step = self._steps[page_id]
        step.setChecked(True)
        if any(other.hasFocus() for other in self._steps.values()):
            step.setFocus()

    def set_answer(self, page_id: str, answer: str) -> None:
        """Show a page's answer under its name."""
        self._steps[page_id].set_answer(answer)
