"""Pictures of the Pour page: the pour on the clock, to scale, and the layout with its batches."""

from __future__ import annotations

import math
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.theme import Look, current_look
from app.words import tr
from layout.documents.picture import label_spot
from layout.documents.pour_sheet.plan import TINTS
from layout.geometry import Placed, PlacedDisc
from layout.mirror import mirrored
from layout.model import CavityId, Project, RoundBox
from layout.numbering import numbers
from layout.pour.timeline import Step, Timeline, clock_text
from layout.regions import inner_polygon, inner_size_mm, placed_cavity

DARK_TINTS: Final = ("#2b333a", "#1f4f73", "#6b4a1a", "#4d545b", "#54406b", "#5d5a22")
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
        self._start = "09:00"
        self._name = name
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        return QSize(700, 170)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 110)

    def show_times(self, times: Timeline, start: str) -> None:
        """Show another pour."""
        self._times, self._start = times, start
        said = [
            tr("{row}: mix {at}, empty by {by}", row=c.row, at=clock_text(start, c.contact_min),
               by=clock_text(start, c.empty_by_min))
            for c in times.clocks
        ]  # fmt: skip
        said.append(tr("demold {at}", at=clock_text(start, math.ceil(times.demold_min))))
        self.setAccessibleDescription("; ".join(said))
        self.setToolTip("\n".join(said[-12:]))
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


class _Clock:
    """One painting of a timeline."""

    def __init__(self, painter: QPainter, look: Look, times: Timeline, start: str, area: QRectF) -> None:
        self.painter, self.look, self.times, self.start = painter, look, times, start
        self.metrics = QFontMetricsF(painter.font())
        self.foot = self.metrics.height() + 8
        names = max(self.metrics.horizontalAdvance(c.row) for c in times.clocks)
        self.demold = tr("demold {at}", at=clock_text(start, math.ceil(times.demold_min)))
        right = self.metrics.horizontalAdvance(self.demold) + 26
        self.area = area.adjusted(names + 12, 2, -right, -self.foot)
        self.names_left = area.left()
        self.last = max([c.sets_min for c in times.clocks] + [times.done_min]) * 1.02

    def x(self, minutes: float) -> float:
        return self.area.left() + minutes / self.last * self.area.width()

    def paint(self, rows: list[str]) -> None:
        shown = rows if len(rows) <= MOST_ROWS else [*rows[: MOST_ROWS - 1], rows[-1]]
        self._axis()
        step = self.area.height() / len(shown)
        tall = min(26.0, step * 0.78)
        for index, row in enumerate(shown):
            middle = self.area.top() + (index + 0.5) * step
            self._row(row, QRectF(self.area.left(), middle - tall / 2.0, self.area.width(), tall))
        self._cure()

    def _axis(self) -> None:
        room = self.metrics.horizontalAdvance("00:00") + 16
        tick = next((t for t in _NICE_MIN if self.x(t) - self.x(0) >= room), _NICE_MIN[-1])
        base = self.area.bottom()
        quiet = QPen(QColor(self.look.line), 1)
        for k in range(math.floor(self.last / tick) + 1):
            x = self.x(k * tick)
            self.painter.setPen(quiet)
            self.painter.drawLine(QPointF(x, self.area.top()), QPointF(x, base))
            self.painter.setPen(QColor(self.look.quiet))
            words = clock_text(self.start, k * tick)[:5] if tick >= 1.0 else clock_text(self.start, k * tick)[3:]
            self.painter.drawText(QPointF(x - self.metrics.horizontalAdvance(words) / 2, base + self.foot - 6), words)
        self.painter.setPen(QPen(QColor(self.look.quiet), 1))
        self.painter.drawLine(QPointF(self.area.left(), base), QPointF(self.area.right(), base))

    def _row(self, row: str, bar: QRectF) -> None:
        self.painter.setPen(QColor(self.look.text))
        names = QRectF(self.names_left, bar.top(), self.area.left() - self.names_left - 8, bar.height())
        self.painter.drawText(names, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, row)
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

    def _cure(self) -> None:
        """The cure is far longer than the pour: a broken line, and the time it ends."""
        y = self.area.bottom() - self.metrics.height() * 0.6
        left = self.area.right() + 4
        self.painter.setPen(QPen(QColor(self.look.text), 2))
        self.painter.drawLine(QPointF(left, y), QPointF(left + 5, y))
        self.painter.drawLine(QPointF(left + 7, y - 5), QPointF(left + 4, y + 5))
        self.painter.drawLine(QPointF(left + 11, y - 5), QPointF(left + 8, y + 5))
        self.painter.drawText(QPointF(left + 16, y + self.metrics.ascent() / 2 - 1), self.demold)


class PlanView(QWidget):
    """The layout with its numbers and batches, as glued and as the open mold shows it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._project: Project | None = None
        self._batch_of: dict[CavityId, int] = {}
        self.marked: tuple[CavityId, ...] = ()
        self.setAccessibleName(tr("Batches on the layout"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        return QSize(460, 220)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 120)

    def show_project(self, project: Project, batch_of: dict[CavityId, int]) -> None:
        """Show another layout."""
        self._project, self._batch_of = project, batch_of
        count = len(set(batch_of.values()))
        self.setAccessibleDescription(
            tr("{cavities} cavities, {batches} batches of resin", cavities=len(batch_of), batches=count)
        )
        self.update()

    def mark(self, ids: tuple[CavityId, ...]) -> None:
        """Show which cavities a finding is about."""
        self.marked = ids
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = current_look()
        if self._project is None:
            return
        metrics = QFontMetricsF(painter.font())
        key = metrics.height() + 6 if len(set(self._batch_of.values())) > 1 else 0.0
        half = (self.width() - 12) / 2.0
        area = QRectF(0, 0, half, self.height() - key)
        number = numbers(self._project)
        for index, (words, project) in enumerate(
            (
                (tr("as the masters are glued"), self._project),
                (tr("the mold from its open face"), mirrored(self._project)),
            )
        ):
            self._half(painter, look, area.translated(index * (half + 12), 0), words, project, number)
        if key:
            self._key(painter, look, self.height() - key)

    def _half(
        self,
        painter: QPainter,
        look: Look,
        area: QRectF,
        words: str,
        project: Project,
        number: dict[CavityId, int],
    ) -> None:
        head = QFontMetricsF(painter.font()).height() + 4
        painter.setPen(QColor(look.quiet))
        painter.drawText(area, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop, words)
        length, width = inner_size_mm(project.box.shape)
        room = area.adjusted(3, head, -3, -4)
        scale = min(room.width() / length, room.height() / width)
        if scale <= 0.0:
            return
        left, top = room.center().x() - length * scale / 2.0, room.top()

        def at(x: float, y: float) -> QPointF:
            return QPointF(left + x * scale, top + (width - y) * scale)

        painter.setPen(QPen(QColor(look.side), 2))
        painter.setBrush(QColor(look.silicone))
        if isinstance(project.box.shape, RoundBox):
            r = project.box.shape.diameter_mm / 2.0
            painter.drawEllipse(at(r, r), r * scale, r * scale)
        else:
            ring = inner_polygon(project.box.shape).exterior.coords[:-1]
            painter.drawPolygon(QPolygonF([at(x, y) for x, y in ring]))
        for cavity in project.cavities:
            placed = placed_cavity(project, cavity)
            self._cavity(painter, look, placed, cavity.id, scale, at)
            self._number(painter, look, placed, number[cavity.id], scale, at)

    def _cavity(
        self, painter: QPainter, look: Look, placed: Placed, cavity: CavityId, scale: float, at: object
    ) -> None:
        batch = self._batch_of.get(cavity)
        tints = DARK_TINTS if look.dark else TINTS
        marked = cavity in self.marked
        style = Qt.PenStyle.SolidLine if batch else Qt.PenStyle.DashLine
        painter.setPen(QPen(QColor(look.alarm if marked else look.cavity_line), 3 if marked else 1, style))
        painter.setBrush(QColor(tints[(batch - 1) % len(tints)]) if batch else Qt.BrushStyle.NoBrush)
        assert callable(at)
        if isinstance(placed, PlacedDisc):
            painter.drawEllipse(at(placed.x_mm, placed.y_mm), placed.radius_mm * scale, placed.radius_mm * scale)
        else:
            painter.drawPolygon(QPolygonF([at(p[0], p[1]) for p in placed.exterior.coords[:-1]]))

    def _number(self, painter: QPainter, look: Look, placed: Placed, number: int, scale: float, at: object) -> None:
        assert callable(at)
        (x, y), room = label_spot(placed)
        pixels = min(15.0, 1.25 * room * scale, 2.7 * room * scale / len(str(number)))
        if pixels < 6.5:
            return
        font = QFont(painter.font())
        font.setPixelSize(max(1, round(pixels)))
        painter.save()
        painter.setFont(font)
        painter.setPen(QColor(look.text))
        centre = at(x, y)
        painter.drawText(QRectF(centre.x() - 30, centre.y() - 15, 60, 30), Qt.AlignmentFlag.AlignCenter, str(number))
        painter.restore()

    def _key(self, painter: QPainter, look: Look, top: float) -> None:
        metrics = QFontMetricsF(painter.font())
        tints = DARK_TINTS if look.dark else TINTS
        x = 4.0
        batches = sorted(set(self._batch_of.values()))
        for batch in batches:
            count = sum(1 for b in self._batch_of.values() if b == batch)
            words = tr("batch {n}: {count}", n=batch, count=count)
            wide = metrics.horizontalAdvance(words) + 36
            if x + wide > self.width() - 30:
                painter.drawText(QPointF(x, top + metrics.ascent() + 3), f"... {batches[-1]}")
                return
            painter.setPen(QPen(QColor(look.cavity_line), 1))
            painter.setBrush(QColor(tints[(batch - 1) % len(tints)]))
            painter.drawRect(QRectF(x, top + 4, 16, metrics.height() - 4))
            painter.setPen(QColor(look.text))
            painter.drawText(QPointF(x + 21, top + metrics.ascent() + 3), words)
            x += wide
