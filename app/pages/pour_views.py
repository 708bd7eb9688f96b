"""The pour on the clock, to scale: every step, and by when each cup must be empty."""

from __future__ import annotations

import math
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.theme import Look, current_look
from app.words import said, tr
from layout.pour.timeline import Step, Timeline, clock_text

MOST_ROWS: Final = 14
_NICE_MIN: Final = (0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0)

STEP_WORDS: Final = {
    "weigh": "weigh", "mix": "mix", "degas": "degas", "pour": "pour", "brush": "brush", "wait": "wait", "cure": "cure",
    "fill": "fill",
}  # fmt: skip


class TimelineView(QWidget):
    """The steps of a pour to scale; the line by which each cup must be empty, and where it sets."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._times: Timeline | None = None
        self._start: str | None = "09:00"
        self._name = name
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        return QSize(700, 170)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 110)

    def show_times(self, times: Timeline, start: str | None) -> None:
        """Show another pour, on the clock from a start, or counted from the first contact if there is none."""
        self._times, self._start = times, start
        lines = [
            tr("{row}: mix {at}, empty by {by}", row=said(c.row), at=_when(start, c.contact_min),
               by=_when(start, c.empty_by_min))
            for c in times.clocks
        ]  # fmt: skip
        lines.append(tr("demold {at}", at=_when(start, math.ceil(times.demold_min))))
        self.setAccessibleDescription("; ".join(lines))
        self.setToolTip("\n".join(lines[-12:]))
        self.update()

    def _rows(self) -> list[str]:
        assert self._times is not None
        return list(dict.fromkeys(s.row for s in self._times.steps if s.row != "mold"))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = current_look()
        if self._times is None or not self._times.clocks:
            painter.setPen(QColor(look.quiet))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, tr("Nothing to pour yet."))
            return
        _Clock(painter, look, self._times, self._start, QRectF(self.rect()).adjusted(8, 4, -8, -4)).paint(self._rows())


def _when(start: str | None, minutes: float) -> str:
    """A clock time, or minutes and seconds from the first contact."""
    if start is not None:
        return clock_text(start, minutes)
    whole, seconds = divmod(round(minutes * 60), 60)
    return f"{whole}:{seconds:02d}"


def _tick(start: str | None, minutes: float, tick_min: float) -> str:
    """A mark of the axis: hours and minutes, seconds too where marks are closer than a minute."""
    if start is None:
        return _when(None, minutes)
    words = clock_text(start, minutes)[:8].split(" ")[0].rstrip(",")
    return words[:5] if tick_min >= 1.0 else words if words.count(":") > 1 else f"{words}:00"


class _Clock:
    """One painting of a timeline."""

    def __init__(self, painter: QPainter, look: Look, times: Timeline, start: str | None, area: QRectF) -> None:
        self.painter, self.look, self.times, self.start = painter, look, times, start
        self.metrics = QFontMetricsF(painter.font())
        self.foot = self.metrics.height() + 8
        names = max(self.metrics.horizontalAdvance(said(c.row)) for c in times.clocks)
        self.demold = tr("demold {at}", at=_when(start, math.ceil(times.demold_min)))
        strokes = max(self.metrics.horizontalAdvance(words) for words in (tr("empty by"), tr("sets")))
        right = max(self.metrics.horizontalAdvance(self.demold) + 26, strokes + 20)
        self.area = area.adjusted(names + 12, 2, -right, -self.foot)
        self.names_left = area.left()
        self.last = max([c.sets_min for c in times.clocks] + [times.done_min]) * 1.02

    def x(self, minutes: float) -> float:
        return self.area.left() + minutes / self.last * self.area.width()

    def paint(self, rows: list[str]) -> None:
        most = max(2, min(MOST_ROWS, int(self.area.height() / self.metrics.height())))
        shown = rows if len(rows) <= most else [*rows[: most - 1], rows[-1]]
        self._axis()
        step = self.area.height() / len(shown)
        tall = min(26.0, step * 0.78)
        for index, row in enumerate(shown):
            middle = self.area.top() + (index + 0.5) * step
            self._row(row, QRectF(self.area.left(), middle - tall / 2.0, self.area.width(), tall))
        self._cure()
        self._legend()

    def _axis(self) -> None:
        short = self.metrics.horizontalAdvance("00:00") + 16
        long = self.metrics.horizontalAdvance("00:00:00") + 16 if self.start is not None else short
        tick = next((t for t in _NICE_MIN if self.x(t) - self.x(0) >= (long if t < 1.0 else short)), _NICE_MIN[-1])
        base = self.area.bottom()
        quiet = QPen(QColor(self.look.line), 1)
        for k in range(math.floor(self.last / tick) + 1):
            x = self.x(k * tick)
            self.painter.setPen(quiet)
            self.painter.drawLine(QPointF(x, self.area.top()), QPointF(x, base))
            self.painter.setPen(QColor(self.look.quiet))
            words = _tick(self.start, k * tick, tick)
            self.painter.drawText(QPointF(x - self.metrics.horizontalAdvance(words) / 2, base + self.foot - 6), words)
        self.painter.setPen(QPen(QColor(self.look.quiet), 1))
        self.painter.drawLine(QPointF(self.area.left(), base), QPointF(self.area.right(), base))

    def _row(self, row: str, bar: QRectF) -> None:
        self.painter.setPen(QColor(self.look.text))
        names = QRectF(self.names_left, bar.top(), self.area.left() - self.names_left - 8, bar.height())
        self.painter.drawText(names, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, said(row))
        clock = next(c for c in self.times.clocks if c.row == row)
        life = QRectF(self.x(clock.contact_min), bar.top() - 2, 0, bar.height() + 4)
        life.setRight(self.x(clock.sets_min))
        self.painter.setPen(QPen(QColor(self.look.quiet), 1, Qt.PenStyle.DotLine))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawRect(life)
        for step in (s for s in self.times.steps if s.row == row):
            self._step(step, bar)
        x = self.x(clock.empty_by_min)
        self.painter.setPen(QPen(QColor(self.look.alarm), 2, Qt.PenStyle.DashLine))
        self.painter.drawLine(QPointF(x, bar.top() - 3), QPointF(x, bar.bottom() + 3))
        x = self.x(clock.sets_min)
        self.painter.setPen(QPen(QColor(self.look.alarm), 3))
        self.painter.drawLine(QPointF(x, bar.top() - 3), QPointF(x, bar.bottom() + 3))

    def _step(self, step: Step, bar: QRectF) -> None:
        area = QRectF(self.x(step.start_min), bar.top(), self.x(step.end_min) - self.x(step.start_min), bar.height())
        ground, ink, pattern = self._paint_of(step.what)
        self.painter.setPen(QPen(QColor(self.look.text), 1))
        self.painter.setBrush(QColor(ground))
        self.painter.drawRect(area)
        if pattern is not None:
            self.painter.setBrush(QBrush(QColor(self.look.quiet), pattern))
            self.painter.drawRect(area)
        words = tr(STEP_WORDS[step.what])
        wide = self.metrics.horizontalAdvance(words)
        if wide + 6 < area.width() and self.metrics.height() * 0.8 <= area.height():
            if pattern is not None:
                plate = QRectF(0, 0, wide + 6, min(area.height() - 2, self.metrics.height()))
                plate.moveCenter(area.center())
                self.painter.fillRect(plate, QColor(ground))
            self.painter.setPen(QColor(ink))
            self.painter.drawText(area, Qt.AlignmentFlag.AlignCenter, words)

    def _paint_of(self, what: str) -> tuple[str, str, Qt.BrushStyle | None]:
        look = self.look
        return {
            "mix": (look.cavity, look.text, None),
            "degas": (look.panel, look.text, Qt.BrushStyle.Dense6Pattern),
            "pour": (look.accent, look.accent_text, None),
            "fill": (look.accent, look.accent_text, None),
            "brush": (look.accent, look.accent_text, None),
            "wait": (look.panel, look.text, Qt.BrushStyle.BDiagPattern),
        }.get(what, (look.panel, look.text, None))

    def _legend(self) -> None:
        """What the two strokes through each cup mean, in the margin on the right."""
        x, tall = self.area.right() + 8, self.metrics.height()
        kinds = ((2, Qt.PenStyle.DashLine, tr("empty by")), (3, Qt.PenStyle.SolidLine, tr("sets")))
        for index, (wide, style, words) in enumerate(kinds):
            top = self.area.top() + index * (tall + 4)
            self.painter.setPen(QPen(QColor(self.look.alarm), wide, style))
            self.painter.drawLine(QPointF(x, top + 1), QPointF(x, top + tall - 1))
            self.painter.setPen(QColor(self.look.quiet))
            self.painter.drawText(QPointF(x + 8, top + self.metrics.ascent()), words)

    def _cure(self) -> None:
        """The cure is far longer than the pour: a broken line, and the time it ends."""
        y = self.area.bottom() - self.metrics.height() * 0.6
        left = self.area.right() + 4
        self.painter.setPen(QPen(QColor(self.look.text), 2))
        self.painter.drawLine(QPointF(left, y), QPointF(left + 5, y))
        self.painter.drawLine(QPointF(left + 7, y - 5), QPointF(left + 4, y + 5))
        self.painter.drawLine(QPointF(left + 11, y - 5), QPointF(left + 8, y + 5))
        self.painter.drawText(QPointF(left + 16, y + self.metrics.ascent() / 2 - 1), self.demold)
