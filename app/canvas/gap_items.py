"""The gaps round the selection, drawn with their length; thin ones thicker, crossed and in the alarm colour."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QGraphicsItem

from app.theme import current_look
from layout.gaps import Gap
from layout.units import Units, measured_length_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

_TICK_PX: Final = 4.0
WORDS_REACH_PX: Final = 90.0
"""Words stand no farther than this from the gap they name."""


def gap_text(gap: Gap, units: Units) -> str:
    """Return the length of a gap as the user reads it."""
    sign = "−" if gap.distance_mm < 0.0 else ""
    return f"{sign}{measured_length_text(abs(gap.distance_mm), units)}"


def _spots(width: float, height: float, level: bool) -> Iterator[tuple[float, float]]:
    """Where words may stand about the middle of a gap, in pixels, the best first: beside its line, then farther off."""
    up, aside = height * 0.5 + 7.0, width * 0.5 + 8.0
    near = [(0.0, -up), (0.0, up), (aside, 0.0), (-aside, 0.0)]
    near = near if level else [*near[2:], *near[:2]]
    near += [(x * aside, y * up) for x in (1.0, -1.0) for y in (-1.0, 1.0)]
    yield from near
    most_x, most_y = WORDS_REACH_PX - width / 2.0, WORDS_REACH_PX - height / 2.0
    for farther in (1.6, 2.2, 2.8):
        for x, y in near:
            if abs(x * farther) < most_x and abs(y * farther) < most_y:
                yield x * farther, y * farther


def _covered(rect: QRectF, other: QRectF) -> float:
    both = rect.intersected(other)
    return both.width() * both.height()


class GapsItem(QGraphicsItem):
    """Paints gaps in mm coordinates of the scene; lines and words keep their size on the screen at every zoom.

    The view may turn y over: words are painted in the view's own pixels.
    """

    def __init__(self) -> None:
        super().__init__()
        self._gaps: tuple[Gap, ...] = ()
        self._units = Units()
        self._px_per_mm = 1.0
        self._numbers: tuple[QRectF, ...] = ()
        self.setZValue(50.0)
        self.setAcceptedMouseButtons(Qt.MouseButton.NoButton)

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """What is shown."""
        return self._gaps

    def show_gaps(
        self, gaps: tuple[Gap, ...], units: Units, px_per_mm: float, numbers: tuple[QRectF, ...] = ()
    ) -> None:
        """Show other gaps; none hides them all.

        Parameters
        ----------
        px_per_mm : float
            The view's zoom, for how far words may reach.
        numbers : tuple of QRectF
            Where numbers of cavities stand nearby, mm: words keep off them.
        """
        if (gaps, units, px_per_mm, numbers) == (self._gaps, self._units, self._px_per_mm, self._numbers):
            return
        self._numbers = numbers
        self.prepareGeometryChange()
        self._gaps, self._units, self._px_per_mm = gaps, units, max(px_per_mm, 1e-6)
        self.update()

    def boundingRect(self) -> QRectF:
        if not self._gaps:
            return QRectF()
        xs = [x for g in self._gaps for x, _ in g.segment]
        ys = [y for g in self._gaps for _, y in g.segment]
        room = WORDS_REACH_PX / self._px_per_mm
        box = QRectF(QPointF(min(xs), min(ys)), QPointF(max(xs), max(ys)))
        return box.adjusted(-room, -room, room, room)

    def paint(self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None) -> None:
        to_px = painter.worldTransform()
        painter.save()
        painter.resetTransform()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        taken = [to_px.mapRect(rect) for rect in self._numbers]
        # thin ones last: on top of the others; their words first: they get the room
        lines = [(g, QLineF(to_px.map(QPointF(*g.segment[0])), to_px.map(QPointF(*g.segment[1])))) for g in self._gaps]
        for gap, line in sorted(lines, key=lambda pair: pair[0].is_thin):
            self._paint_line(painter, gap, line)
        for gap, line in sorted(lines, key=lambda pair: not pair[0].is_thin):
            self._paint_words(painter, gap, line, taken)
        painter.restore()

    def _paint_line(self, painter: QPainter, gap: Gap, line: QLineF) -> None:
        look = current_look()
        pen = QPen(QColor(look.alarm if gap.is_thin else look.text), 3.0 if gap.is_thin else 1.2)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        painter.setPen(pen)
        painter.drawLine(line)
        if line.length() > 0.0:
            across = line.normalVector().unitVector()
            step = QPointF(across.dx(), across.dy()) * _TICK_PX
            for end in (line.p1(), line.p2()):
                painter.drawLine(QLineF(end - step, end + step))
        if gap.is_thin:
            middle = line.center()
            for dx, dy in ((5.0, 5.0), (5.0, -5.0)):
                painter.drawLine(QLineF(middle - QPointF(dx, dy), middle + QPointF(dx, dy)))

    def _paint_words(self, painter: QPainter, gap: Gap, line: QLineF, taken: list[QRectF]) -> None:
        look = current_look()
        font = QFont(painter.font())
        font.setBold(gap.is_thin)
        painter.setFont(font)
        words = gap_text(gap, self._units)
        metrics = QFontMetricsF(font)
        width, height = metrics.horizontalAdvance(words) + 8.0, metrics.height() + 2.0
        middle = line.center()
        level = abs(line.dx()) >= abs(line.dy())
        tried: list[QRectF] = []
        for dx, dy in _spots(width, height, level):
            rect = QRectF(middle.x() + dx - width / 2.0, middle.y() + dy - height / 2.0, width, height)
            if not any(rect.intersects(other) for other in taken):
                break
            tried.append(rect)
        else:
            if not gap.is_thin:
                return
            rect = min(tried, key=lambda r: sum(_covered(r, other) for other in taken))
        taken.append(rect)
        if max(abs(rect.center().x() - middle.x()), abs(rect.center().y() - middle.y())) > 1.2 * height + width / 2.0:
            # farther off: a thin line leads back to the gap
            painter.setPen(QPen(QColor(look.quiet), 0.8))
            painter.drawLine(middle, rect.center())
        ground = QColor(look.panel)
        ground.setAlpha(225)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ground)
        painter.drawRoundedRect(rect, 3.0, 3.0)
        painter.setPen(QColor(look.alarm if gap.is_thin else look.text))
        painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, words)
