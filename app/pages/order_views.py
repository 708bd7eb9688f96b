"""The chain and the calendar of the Order page, painted by hand."""

from __future__ import annotations

import math
from typing import Final

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QBrush,
    QColor,
    QContextMenuEvent,
    QFont,
    QFontMetrics,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QMenu, QToolTip, QWidget

from app.pages.order_charts import Picture
from app.theme import Look
from app.words import said, tr
from layout.documents.order_csv import stint_words
from layout.model import Project
from layout.order.calendar import DAY_MIN, Shift
from layout.order.dates import MONTHS, WEEKDAYS, day_date
from layout.order.day_by_day import clock_text
from layout.order.steps import NEEDED, REPEATABLE, Step
from layout.order.stints import Schedule, Stint
from layout.units import minutes_text

_CARD: Final = QSize(198, 168)
_GAP: Final = 24
_PAD: Final = 10


def amount_text(step: Step) -> str:
    """Return the material of a step as a person says it: ``754 g fast platinum``."""
    if not step.amount:
        return step.material
    amount = f"{step.amount / 1000:.2f} kg" if step.unit == "g" and step.amount >= 1000 else None
    return f"{amount or f'{step.amount:.0f} {step.unit}'} {step.material}"


class ChainView(Picture):
    """The steps of the order as cards; a step that may be left out is left out, or taken back, by click or Space.

    Signals
    -------
    toggled(str)
        The id of the step.
    repeated(str, int)
        The step is to be done so much more often, +1 or -1.
    """

    toggled = Signal(str)
    repeated = Signal(str, int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Steps of the order"), parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.empty_words = tr("Lay out cavities first: the chain follows from them.")
        self.steps: tuple[Step, ...] = ()
        self.current = 0
        self._high = _CARD.height()

    def show_steps(self, steps: tuple[Step, ...]) -> None:
        """Show other steps."""
        self.steps = steps
        # all cards are as high as the fullest one needs
        self._high = max([_CARD.height(), *(_height_of(step, self.font()) for step in steps)])
        self.current = min(self.current, max(0, len(steps) - 1))
        self._tell()
        self.updateGeometry()
        self.setMinimumHeight(self.heightForWidth(max(self.width(), _CARD.width() + 2 * _GAP)))
        self.update()

    def _tell(self) -> None:
        if self.steps:
            step = self.steps[self.current]
            state = tr("not done") if step.left_out else tr("{n} times", n=step.count)
            self.setAccessibleDescription(f"{said(step.name)}: {state}. {said(step.detail)}")

    def _columns(self, width: int) -> int:
        return max(1, (width - _GAP // 2) // (_CARD.width() + _GAP))

    def heightForWidth(self, width: int) -> int:
        rows = math.ceil(max(1, len(self.steps)) / self._columns(width))
        return rows * (self._high + _GAP) + _GAP

    def resizeEvent(self, event: object) -> None:
        self.setMinimumHeight(self.heightForWidth(self.width()))
        del event

    def card(self, index: int) -> QRectF:
        """Where a step's card is."""
        columns = self._columns(self.width())
        row, column = divmod(index, columns)
        return QRectF(
            _GAP / 2 + column * (_CARD.width() + _GAP), _GAP / 2 + row * (self._high + _GAP),
            _CARD.width(), self._high,
        )  # fmt: skip

    def mousePressEvent(self, event: QMouseEvent) -> None:
        for index in range(len(self.steps)):
            if self.card(index).contains(event.position()):
                self._go(index)
                if event.button() == Qt.MouseButton.LeftButton:
                    self._toggle()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        if not self.steps:
            return
        menu = self.menu()
        at = event.globalPos()
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            at = self.mapToGlobal(self.card(self.current).center().toPoint())
        menu.popup(at)

    def menu(self) -> QMenu:
        """What can be done with the current step."""
        step, menu = self.steps[self.current], QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        words = tr("Take back in") if step.left_out else tr("Leave out")
        menu.addAction(words, self._toggle).setEnabled(step.id not in NEEDED)
        can = step.id in REPEATABLE and not step.left_out
        menu.addAction(tr("Once more"), lambda: self._repeat(1)).setEnabled(can)
        menu.addAction(tr("Once less"), lambda: self._repeat(-1)).setEnabled(can)
        return menu

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        columns = self._columns(self.width())
        moves = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Up: -columns, Qt.Key.Key_Down: columns}
        if key in moves and 0 <= self.current + moves[key] < len(self.steps):
            self._go(self.current + moves[key])
        elif key in (Qt.Key.Key_Space, Qt.Key.Key_Return):
            self._toggle()
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Minus):
            self._repeat(1 if key == Qt.Key.Key_Plus else -1)
        else:
            super().keyPressEvent(event)

    def _go(self, index: int) -> None:
        self.current = index
        self._tell()
        self.update()

    def _toggle(self) -> None:
        if self.steps and self.steps[self.current].id not in NEEDED:
            self.toggled.emit(self.steps[self.current].id)

    def _repeat(self, by: int) -> None:
        if self.steps and self.steps[self.current].id in REPEATABLE:
            self.repeated.emit(self.steps[self.current].id, by)

    def paint(self, painter: QPainter, look: Look) -> bool:
        if not self.steps:
            return False
        for index, step in enumerate(self.steps):
            self._paint_arrow(painter, look, index)
            self._paint_card(painter, look, self.card(index), step, index == self.current and self.hasFocus())
        return True

    def _paint_arrow(self, painter: QPainter, look: Look, index: int) -> None:
        if index + 1 == len(self.steps) or self.card(index + 1).top() > self.card(index).top():
            return
        card = self.card(index)
        y, start, end = card.center().y(), card.right() + 4, card.right() + _GAP - 4
        painter.setPen(QPen(QColor(look.quiet), 1.6))
        painter.setBrush(QColor(look.quiet))
        painter.drawLine(QPointF(start, y), QPointF(end - 5, y))
        painter.drawPolygon(QPolygonF([QPointF(end, y), QPointF(end - 7, y - 4), QPointF(end - 7, y + 4)]))

    def _paint_card(self, painter: QPainter, look: Look, card: QRectF, step: Step, current: bool) -> None:
        style = Qt.PenStyle.DashLine if step.left_out else Qt.PenStyle.SolidLine
        colour = look.accent if current else look.line if step.left_out else look.quiet
        painter.setPen(QPen(QColor(colour), 2.4 if current else 1.2, style))
        painter.setBrush(QBrush(Qt.BrushStyle.NoBrush) if step.left_out else QColor(look.panel))
        painter.drawRoundedRect(card, 7, 7)
        inner = card.adjusted(_PAD, 7, -_PAD, -6)
        font = painter.font()
        font.setBold(True)
        painter.setFont(font)
        painter.setPen(QColor(look.quiet if step.left_out else look.text))
        title = said(step.name) if step.left_out or step.count < 2 else f"{said(step.name)}  x {step.count}"
        painter.drawText(inner, Qt.AlignmentFlag.AlignTop, title)
        font.setBold(False)
        painter.setFont(font)
        line = painter.fontMetrics().height()
        rest = inner.adjusted(0, line + 3, 0, 0)
        painter.setPen(QColor(look.quiet))
        wrap = Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap
        if step.left_out:
            painter.drawText(rest, wrap, tr("Not done: {why}.", why=said(step.detail.removeprefix("left out: "))))
            return
        painter.setPen(QColor(look.text))
        lines = [t for t in (amount_text(step), *_times(step)) if t]
        for words in lines:
            taken = painter.drawText(rest, wrap, words)
            rest.setTop(taken.bottom() + 1)
        painter.setPen(QColor(look.quiet))
        painter.drawText(rest, wrap, said(step.detail))


def _height_of(step: Step, font: QFont) -> int:
    """Return how high a step's card has to be for all that is written on it."""
    if step.left_out:
        return 0
    metrics = QFontMetrics(font)
    room = QRect(0, 0, _CARD.width() - 2 * _PAD, 10_000)
    lines = [t for t in (amount_text(step), *_times(step), said(step.detail)) if t]
    wrapped = (metrics.boundingRect(room, int(Qt.TextFlag.TextWordWrap), words).height() + 1 for words in lines)
    return 7 + metrics.height() + 3 + sum(wrapped) + 8


def _times(step: Step) -> list[str]:
    parts = []
    if step.hands_min:
        parts.append(tr("{t} of hands", t=minutes_text(step.hands_min)))
    if step.wait_min:
        parts.append(tr("{t} of waiting", t=minutes_text(step.wait_min)))
    return parts


_ROW, _HEAD, _NAMES, _NIGHT = 26.0, 44.0, 92.0, 0.16
LEGEND: Final = (
    ("make", "mold making"),
    ("cast", "cast"),
    ("cure", "cure"),
    ("demold", "demold"),
    ("trim", "trim"),
    ("finish", "finish"),
)


class CalendarView(Picture):
    """Every operator's and every mold's line over the days; nights are narrow, and nothing is done in them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Calendar of the order"), parent)
        self.empty_words = tr("Lay out cavities first: the calendar follows from them.")
        self.found: Schedule | None = None
        self.shift, self.start = Shift(60.0), "09:00"
        self.start_date: str | None = None
        self.deadline: int | None = None
        self.zoom = 1.0

    def show_schedule(self, found: Schedule | None, shift: Shift, project: Project) -> None:
        """Show another calendar, worked in such shifts, with the dates and the delivery of a project's order."""
        self.found, self.shift, self.start = found, shift, project.pour.start
        self.start_date, self.deadline = project.order.start_date, project.order.days
        self._fit()
        self.update()

    def set_zoom(self, zoom: float) -> None:
        """Show the days wider or narrower."""
        self.zoom = zoom
        self._fit()
        self.update()

    def rows(self) -> list[tuple[str, int]]:
        """Return what the lines are: ("hands", 0), ("mold", 3) ..."""
        if self.found is None:
            return []
        molds = sorted({s.mold for s in self.found.stints if s.mold is not None and s.what == "cast"})
        return [("hands", k) for k in range(self.found.operators)] + [("mold", m) for m in molds]

    def _days(self) -> int:
        return max(self.found.days if self.found else 1, self.deadline or 1)

    def _fit(self) -> None:
        self.setMinimumHeight(int(_HEAD + _ROW * max(1, len(self.rows())) + 34))
        self.setMinimumWidth(int(_NAMES + self._days() * 120 * self.zoom + 10))

    def _day_px(self) -> float:
        return (self.width() - _NAMES - 10.0) / self._days()

    def x_of(self, minute: float) -> float:
        """Return where a minute is on the screen."""
        day, rest = divmod(minute, DAY_MIN)
        if rest <= self.shift.bench_min:
            share = rest / self.shift.bench_min * (1.0 - _NIGHT)
        else:
            share = 1.0 - _NIGHT + _NIGHT * (rest - self.shift.bench_min) / (DAY_MIN - self.shift.bench_min)
        return _NAMES + self._day_px() * (day + share)

    def _stints_of(self, kind: str, index: int) -> list[Stint]:
        if self.found is None:
            return []
        if kind == "hands":
            return [s for s in self.found.stints if s.operator == index]
        return [
            s for s in self.found.stints if s.mold == index and s.what in ("cast", "cure", "demold", "make", "wait")
        ]

    def paint(self, painter: QPainter, look: Look) -> bool:
        if self.found is None:
            return False
        rows = self.rows()
        bottom = _HEAD + _ROW * len(rows)
        self._paint_days(painter, look, bottom)
        for k, (kind, index) in enumerate(rows):
            top = _HEAD + _ROW * k
            words = tr("Hands {n}", n=index + 1) if kind == "hands" else tr("Mold {n}", n=index + 1)
            painter.setPen(QColor(look.text))
            flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
            painter.drawText(QRectF(8, top, _NAMES - 10, _ROW), flags, words)
            for stint in self._stints_of(kind, index):
                left, right = self.x_of(stint.start_min), self.x_of(stint.end_min)
                _paint_stint(painter, look, QRectF(left, top + 4, max(1.2, right - left), _ROW - 8), stint.what)
        _paint_legend(painter, look, bottom + 14.0)
        return True

    def _paint_days(self, painter: QPainter, look: Look, bottom: float) -> None:
        widest = max(
            painter.fontMetrics().horizontalAdvance(self._day_name(day)) for day in range(min(7, self._days()))
        )
        every = max(1, math.ceil((widest + 8) / max(1.0, self._day_px())))
        for day in range(self._days()):
            left, right = self.x_of(day * DAY_MIN), self.x_of(day * DAY_MIN + self.shift.bench_min)
            idle = QRectF(right, _HEAD - 6, self._day_px() * _NIGHT, bottom - _HEAD + 6)
            if not self.shift.is_open(day):
                idle.setLeft(left)
            painter.fillRect(idle, QColor(look.window))
            painter.setPen(QPen(QColor(look.grid), 1.0))
            painter.drawLine(QPointF(left, _HEAD - 6), QPointF(left, bottom))
            if day % every == 0:
                painter.setPen(QColor(look.quiet))
                painter.drawText(QPointF(left + 3, _HEAD - 12), self._day_name(day))
        if self.deadline is not None:
            x = self.x_of(self.deadline * DAY_MIN - 0.01)
            painter.setPen(QPen(QColor(look.alarm), 2.0, Qt.PenStyle.DashLine))
            painter.drawLine(QPointF(x, 18), QPointF(x, bottom))
            painter.setPen(QColor(look.alarm))
            words = tr("delivery")
            painter.drawText(QPointF(x - painter.fontMetrics().horizontalAdvance(words) - 5, 18), words)

    def _day_name(self, day: int) -> str:
        """``Day 3``, or ``Wed 2 Dec`` once the order has a first day."""
        if self.start_date is None:
            return tr("Day {n}", n=day + 1)
        date = day_date(self.start_date, day)
        return f"{tr(WEEKDAYS[date.weekday()])} {date.day} {tr(MONTHS[date.month - 1])}"

    def stint_at(self, point: QPointF) -> Stint | None:
        """Return what is under a place on the screen."""
        rows = self.rows()
        k = int((point.y() - _HEAD) // _ROW)
        if not 0 <= k < len(rows):
            return None
        return next((s for s in self._stints_of(*rows[k])
                     if self.x_of(s.start_min) - 1 <= point.x() <= self.x_of(s.end_min) + 1), None)  # fmt: skip

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip:
            assert isinstance(event, QHelpEvent)
            stint = self.stint_at(QPointF(event.pos()))
            if stint is None:
                QToolTip.hideText()
            else:
                begins, ends = (clock_text(m, self.start, self.start_date) for m in (stint.start_min, stint.end_min))
                QToolTip.showText(event.globalPos(), f"{stint_words(stint)}\n{begins} - {ends}", self)
            return True
        return super().event(event)


def _paint_stint(painter: QPainter, look: Look, box: QRectF, what: str) -> None:
    """One stretch; each kind has its own fill and pattern, so that colour alone tells nothing."""
    fills = {
        "make": (look.side, Qt.BrushStyle.SolidPattern, look.side),
        "cast": (look.accent, Qt.BrushStyle.SolidPattern, look.accent),
        "demold": (look.accent, Qt.BrushStyle.BDiagPattern, look.accent),
        "trim": (look.quiet, Qt.BrushStyle.Dense6Pattern, look.line),
        "finish": (look.quiet, Qt.BrushStyle.DiagCrossPattern, look.quiet),
        "cure": (look.cavity, Qt.BrushStyle.SolidPattern, look.cavity),
        "wait": (look.line, Qt.BrushStyle.HorPattern, look.line),
    }
    colour, pattern, border = fills[what]
    painter.setBrush(QBrush(QColor(colour), pattern))
    painter.setPen(QPen(QColor(border), 0.8))
    if box.width() < 3.0:
        painter.fillRect(box, QColor(colour))
    else:
        painter.drawRect(box)


def _paint_legend(painter: QPainter, look: Look, top: float) -> None:
    x = _NAMES
    for what, words in LEGEND:
        _paint_stint(painter, look, QRectF(x, top, 18, 12), what)
        painter.setPen(QColor(look.quiet))
        painter.drawText(QPointF(x + 24, top + 11), tr(words))
        x += 34 + painter.fontMetrics().horizontalAdvance(tr(words)) + 10
