"""Curves of the Order page, painted by hand: counts of cavities compared, and the routes that cross."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.pages.chart_axes import axis_text, label, nice_steps
from app.theme import Look, current_look
from app.words import tr
from layout.order.limits import CurveStep, curve_steps
from layout.order.plan import Option, Plan
from layout.order.routes import ROUTES, Routes
from layout.shop import OrderSettings

_LEFT, _RIGHT, _TOP, _BOTTOM = 64.0, 16.0, 34.0, 26.0


class Picture(QWidget):
    """A painted picture that says something instead when there is nothing to paint."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.empty_words = ""

    def sizeHint(self) -> QSize:
        return QSize(640, 420)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 220)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = current_look()
        painter.fillRect(self.rect(), QColor(look.field))
        if self.hasFocus():
            painter.setPen(QPen(QColor(look.accent), 2.0))
            painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))
        if not self.paint(painter, look):
            painter.setPen(QColor(look.quiet))
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self.rect().adjusted(20, 20, -20, -20), flags, self.empty_words)
        painter.end()

    def paint(self, painter: QPainter, look: Look) -> bool:
        """Paint and return True, or return False if there is nothing to paint."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class _Quantity:
    name: str
    value: Callable[[Option], float]


CUT_AT = 2.5
"""Curves are drawn up to so many times their least value."""

QUANTITIES = (
    _Quantity("Money", lambda o: o.money.total),
    _Quantity("Crew hours", lambda o: o.crew_hours),
    _Quantity("Calendar days", lambda o: float(o.calendar_days)),
    _Quantity("Silicone, kg", lambda o: o.silicone_g / 1000.0),
)


class CountsView(Picture):
    """Money, hours, days and silicone over the count of cavities; one count is chosen by click or arrow keys.

    Signals
    -------
    chosen(int)
        Another count of cavities.
    """

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Counts of cavities compared"), parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.empty_words = tr("Compare counts to see money, hours, days and silicone for every count of cavities.")
        self.plan: Plan | None = None
        self.steps: tuple[CurveStep, ...] = ()
        self.count: int | None = None

    def sizeHint(self) -> QSize:
        return QSize(640, 470)

    def show_plan(self, plan: Plan | None) -> None:
        """Show another comparison; the chosen count stays if it is still there, else the best."""
        self.plan = plan
        self.steps = curve_steps(plan.options) if plan else ()
        counts = [o.cavities for o in plan.options] if plan else []
        if plan and self.count not in counts:
            self.count = plan.best.cavities
        self.update()

    def choose(self, count: int) -> None:
        """Choose a count of cavities."""
        if self.plan and count != self.count and any(o.cavities == count for o in self.plan.options):
            self.count = count
            self.update()
            self.chosen.emit(count)

    def option(self) -> Option | None:
        """The chosen option."""
        if self.plan is None:
            return None
        return next((o for o in self.plan.options if o.cavities == self.count), None)

    # geometry

    def _x(self, count: float) -> float:
        assert self.plan is not None
        first, last = self.plan.options[0].cavities, self.plan.options[-1].cavities
        span = last - first
        if span == 0:
            # the only count stands in the middle, clear of the names at the left
            return (_LEFT + self.width() - _RIGHT) / 2.0
        return _LEFT + (self.width() - _LEFT - _RIGHT) * (count - first) / span

    def count_at(self, x: float) -> int:
        """The planned count nearest to a place on the screen."""
        assert self.plan is not None
        return min((o.cavities for o in self.plan.options), key=lambda n: abs(self._x(n) - x))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self.plan:
            self.choose(self.count_at(event.position().x()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self.plan and event.buttons() & Qt.MouseButton.LeftButton:
            self.choose(self.count_at(event.position().x()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if self.plan is None or self.count is None:
            super().keyPressEvent(event)
            return
        counts = [o.cavities for o in self.plan.options]
        at = counts.index(self.count)
        moves = {
            Qt.Key.Key_Left: at - 1,
            Qt.Key.Key_Right: at + 1,
            Qt.Key.Key_PageUp: at + 10,
            Qt.Key.Key_PageDown: at - 10,
            Qt.Key.Key_Home: 0,
            Qt.Key.Key_End: len(counts) - 1,
        }
        key = Qt.Key(event.key())
        if key not in moves:
            super().keyPressEvent(event)
            return
        self.choose(counts[min(max(moves[key], 0), len(counts) - 1)])

    # painting

    def paint(self, painter: QPainter, look: Look) -> bool:
        if self.plan is None or not self.plan.options:
            return False
        self._paint_steps(painter, look)
        height = (self.height() - _TOP - _BOTTOM) / len(QUANTITIES)
        for k, quantity in enumerate(QUANTITIES):
            area = QRectF(_LEFT, _TOP + k * height + 18.0, self.width() - _LEFT - _RIGHT, height - 26.0)
            self._paint_quantity(painter, look, quantity, area)
        self._paint_counts(painter, look)
        return True

    def _paint_steps(self, painter: QPainter, look: Look) -> None:
        """Thin lines where something comes in steps, with what it is where there is room."""
        free_from = 0.0
        for step in self.steps:
            x = self._x(step.cavities - 0.5)
            painter.setPen(QPen(QColor(look.line), 1.0, Qt.PenStyle.DotLine))
            painter.drawLine(QPointF(x, _TOP - 6), QPointF(x, self.height() - _BOTTOM))
            words = step.text.partition(": ")[2]
            room = painter.fontMetrics().horizontalAdvance(words) + 8.0
            if x >= free_from and x + room < self.width():
                painter.setPen(QColor(look.quiet))
                painter.drawText(QPointF(x + 3, _TOP - 16), words)
                free_from = x + room

    def _paint_quantity(self, painter: QPainter, look: Look, quantity: _Quantity, area: QRectF) -> None:
        assert self.plan is not None
        options = self.plan.options
        values = [quantity.value(o) for o in options]
        # the steep start of the curves is cut off, so that the steps that matter are seen
        ticks = nice_steps(min(max(values), CUT_AT * max(min(values), 1e-9)), 2)
        top = ticks[-1] or 1.0

        def at(option: Option, value: float) -> QPointF:
            return QPointF(self._x(option.cavities), area.bottom() - area.height() * value / top)

        for tick in ticks:
            y = area.bottom() - area.height() * tick / top
            painter.setPen(QPen(QColor(look.grid), 1.0))
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            painter.setPen(QColor(look.quiet))
            flags = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(QRectF(0, y - 9, _LEFT - 6, 18), flags, axis_text(tick))
        points = [at(o, v) for o, v in zip(options, values, strict=True)]
        painter.setPen(QPen(QColor(look.accent), 2.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.save()
        painter.setClipRect(area.adjusted(-8, -8, 8, 8))
        painter.drawPolyline(QPolygonF(points))
        for option, point in zip(options, points, strict=True):
            painter.setBrush(QColor(look.accent if option.in_time else look.field))
            painter.setPen(QPen(QColor(look.accent), 1.2))
            painter.drawEllipse(point, 2.6, 2.6)
        painter.restore()
        name = tr(quantity.name)
        if quantity.name == "Money":
            name = f"{name}, {options[0].project.order.currency}"
        if max(values) > top:
            # what runs out above is told, so that nothing is missed
            peak = options[values.index(max(values))].cavities
            name = tr("{name} (up to {most} at {n})", name=name, most=f"{max(values):.0f}", n=peak)
        label(painter, look, QPointF(area.left() + 16, area.top() - 6), name, look.text)
        self._paint_marks(painter, look, quantity, at, top)

    def _paint_marks(
        self, painter: QPainter, look: Look, quantity: _Quantity, at: Callable[[Option, float], QPointF], top: float
    ) -> None:
        assert self.plan is not None
        plan, chosen = self.plan, self.option()
        marks = {"Money": (plan.cheapest, tr("cheapest")), "Calendar days": (plan.quickest, tr("quickest")),
                 "Silicone, kg": (plan.least_silicone, tr("least silicone"))}  # fmt: skip
        if quantity.name in marks:
            option, words = marks[quantity.name]
            point = at(option, quantity.value(option))
            painter.setPen(QPen(QColor(look.alarm), 2.0))
            painter.setBrush(QColor(look.field))
            painter.drawPolygon(QPolygonF([point + QPointF(dx, dy) for dx, dy in ((0, -7), (7, 0), (0, 7), (-7, 0))]))
            text = f"{words}: {option.cavities}"
            wide = painter.fontMetrics().horizontalAdvance(text)
            left = point.x() + 11 if point.x() + wide + 14 < self.width() - _RIGHT else point.x() - wide - 11
            if chosen is not None and abs(self._x(chosen.cavities) - left - wide / 2.0) < wide / 2.0 + 9.0:
                # the mark of the chosen count would stand on the words
                left = point.x() - wide - 11
            label(painter, look, QPointF(left, point.y() - 7), text, look.alarm)
        if chosen is not None:
            point = at(chosen, quantity.value(chosen))
            point.setY(max(point.y(), at(chosen, top).y() - 6))
            painter.setPen(QPen(QColor(look.selected_line), 2.0))
            painter.setBrush(QColor(look.selected))
            painter.drawRect(QRectF(point.x() - 5, point.y() - 5, 10, 10))
            if quantity.name == "Crew hours":
                words = tr("chosen: {n}", n=chosen.cavities)
                wide = painter.fontMetrics().horizontalAdvance(words)
                left = point.x() + 11 if point.x() + wide + 14 < self.width() - _RIGHT else point.x() - wide - 11
                label(painter, look, QPointF(left, point.y() - 7), words, look.text)

    def _paint_counts(self, painter: QPainter, look: Look) -> None:
        assert self.plan is not None
        counts = [o.cavities for o in self.plan.options]
        every = max(1, math.ceil(len(counts) / max(1, int((self.width() - _LEFT) / 34))))
        painter.setPen(QColor(look.quiet))
        for count in counts[::every]:
            box = QRectF(self._x(count) - 20, self.height() - _BOTTOM + 4, 40, 18)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, str(count))


_DASHES = {
    "single": Qt.PenStyle.DotLine,
    "gang": Qt.PenStyle.SolidLine,
    "rigid": Qt.PenStyle.DashLine,
}


class RoutesView(Picture):
    """Cost of the three routes over the parts, with the quantities at which they cross."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Single molds, gang molds and rigid master mold compared"), parent)
        self.empty_words = tr("Lay out cavities first.")
        self.routes: Routes | None = None
        self.parts, self.currency = 0, ""

    def show_routes(self, routes: Routes | None, order: OrderSettings) -> None:
        """Show another comparison for an order."""
        self.routes, self.parts, self.currency = routes, order.parts, order.currency
        self.update()

    def paint(self, painter: QPainter, look: Look) -> bool:
        if self.routes is None:
            return False
        area = QRectF(_LEFT, 16, self.width() - _LEFT - 120, self.height() - 16 - 44)
        most_parts = max(p for c in self.routes.curves for p, _ in c.points)
        money = nice_steps(max(m for c in self.routes.curves if c.route != "single" for _, m in c.points) * 1.15)

        def at(parts: float, value: float) -> QPointF:
            return QPointF(
                area.left() + area.width() * parts / most_parts,
                area.bottom() - area.height() * value / money[-1],
            )

        self._paint_axes(painter, look, area, most_parts, money)
        painter.save()
        painter.setClipRect(area.adjusted(0, -2, 110, 2))
        for curve in self.routes.curves:
            colour = QColor(look.alarm if curve.route == "rigid" else look.accent)
            painter.setPen(QPen(colour, 2.2, _DASHES[curve.route]))
            painter.drawPolyline(QPolygonF([at(p, m) for p, m in curve.points]))
        painter.restore()
        self._paint_names(painter, look, area, at, money[-1])
        self._paint_crossings(painter, look, area, at, most_parts)
        return True

    def _paint_axes(self, painter: QPainter, look: Look, area: QRectF, most_parts: int, money: Sequence[float]) -> None:
        for tick in money:
            y = area.bottom() - area.height() * tick / money[-1]
            painter.setPen(QPen(QColor(look.grid), 1.0))
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            painter.setPen(QColor(look.quiet))
            flags = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(QRectF(0, y - 9, _LEFT - 6, 18), flags, axis_text(tick))
        for tick in nice_steps(most_parts):
            if tick <= most_parts:
                x = area.left() + area.width() * tick / most_parts
                box = QRectF(x - 30, area.bottom() + 2, 60, 18)
                painter.drawText(box, Qt.AlignmentFlag.AlignCenter, axis_text(tick))
        painter.drawText(QPointF(area.left(), area.bottom() + 36), tr(
            "good parts; up: {currency} for the whole order with the fewest molds that last, the date left aside",
            currency=self.currency))  # fmt: skip

    def _paint_names(
        self, painter: QPainter, look: Look, area: QRectF, at: Callable[[float, float], QPointF], top: float
    ) -> None:
        assert self.routes is not None
        painter.setPen(QColor(look.text))
        taken: list[float] = []
        ends = sorted(self.routes.curves, key=lambda c: -c.points[-1][1])
        for curve in ends:
            inside = [(p, m) for p, m in curve.points if m <= top]
            end = at(*(inside or curve.points)[-1])
            y = max(end.y(), area.top() + 8)
            while any(abs(y - other) < 16 for other in taken):
                y += 16
            taken.append(y)
            left = min(end.x(), area.right()) + 6
            painter.drawText(QPointF(left, y + 4), tr(ROUTES[curve.route]))

    def _paint_crossings(
        self, painter: QPainter, look: Look, area: QRectF, at: Callable[[float, float], QPointF], most_parts: int
    ) -> None:
        assert self.routes is not None
        marks = [(self.parts, tr("this order"))]
        if self.routes.gang_from is not None:
            marks.append((self.routes.gang_from, tr("gang from {n}", n=self.routes.gang_from)))
        if self.routes.rigid_from is not None:
            marks.append((self.routes.rigid_from, tr("rigid master from {n}", n=self.routes.rigid_from)))
        inside = [(at(parts, 0.0).x(), words) for parts, words in marks if parts <= most_parts]
        painter.setPen(QPen(QColor(look.text), 1.4, Qt.PenStyle.DashDotLine))
        for x, _ in inside:
            painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
        for k, (x, words) in enumerate(inside):
            # at the upper edge, where the curves of the cheaper routes do not run, and over every line
            label(painter, look, QPointF(x + 4, area.top() + 32 + 17 * k), words, look.text)
