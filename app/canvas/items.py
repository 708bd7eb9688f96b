"""What is drawn on the canvas. Items only paint: they never move themselves and know no rule."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainterPath, QPen, QPolygonF, QTransform
from PySide6.QtWidgets import QGraphicsItem

from app.canvas.paths import coarse_path, finest_mm, footprint_path, number_path, number_place, number_size
from layout.geometry import XY, Disc, Footprint, cos_sin

if TYPE_CHECKING:
    from PySide6.QtGui import QPainter
    from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

    from app.theme import Look

MOST_CACHED_PIXELS = 160.0
"""Larger cavities are few on the screen at once, and quicker painted than kept."""

LEAST_NUMBER_PIXELS = 9.0
"""Smaller numbers are not drawn: they could not be read."""


def _pen(colour: str, pixels: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    pen = QPen(QColor(colour), pixels, style)
    pen.setCosmetic(True)
    return pen


def upright(painter: QPainter) -> None:
    """Undo the canvas's flips, so that text reads as text; a mirrored view turns x as well."""
    matrix = painter.worldTransform()
    painter.scale(-1.0 if matrix.m11() < 0 else 1.0, -1.0 if matrix.m22() < 0 else 1.0)


def _turned_point(point: XY, angle_deg: float) -> QPointF:
    c, s = cos_sin(angle_deg)
    return QPointF(point[0] * c - point[1] * s, point[0] * s + point[1] * c)


class CavityItem(QGraphicsItem):
    """One cavity: selected by a thick dark edge, pinned by a pin, broken by hatching and a dashed edge.

    One that keeps failing, says the batch log, is hatched crosswise.
    """

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._shape: tuple[Footprint, float, tuple[tuple[XY, ...], ...]] = (Disc(1.0), 0.0, ())
        self._path = QPainterPath()
        self._bounds = QRectF()
        self._number = ""
        self._selected = self._pinned = self._broken = self._empty = self._fails = False
        self._size = 1.0
        self._zoom = 1.0
        self._number_at = QPointF()

    def set_shape(
        self, footprint: Footprint, x_mm: float, y_mm: float, angle_deg: float, holes: tuple[tuple[XY, ...], ...] = ()
    ) -> None:
        """Show this footprint here, silicone through its holes."""
        shape = (footprint, angle_deg if holes or not isinstance(footprint, Disc) else 0.0, holes)
        path = footprint_path(*shape)
        if path is not self._path:
            self.prepareGeometryChange()
            self._shape, self._path = shape, path
            bounds = path.boundingRect()
            self._size = min(bounds.width(), bounds.height())
            self._bounds = bounds.adjusted(-1.5, -1.5, 1.5, 1.5)
            self._number_at = _turned_point(number_place(footprint), angle_deg)
            self.fit_cache(self._zoom)
            self.update()
        self.setPos(x_mm, y_mm)

    def number_rect(self, pixels_per_mm: float) -> QRectF | None:
        """Return where the number stands, in the scene; None if it is too small to be read."""
        height = self._number_height(pixels_per_mm)
        if height is None:
            return None
        across, high = number_size(self._number)
        rect = QRectF(0.0, 0.0, across * height, high * height)
        rect.moveCenter(self.pos() + self._number_at)
        return rect

    def _number_height(self, pixels_per_mm: float) -> float | None:
        share = 0.42 if len(self._number) < 3 else 0.34
        height = min(share * self._size, 13.0 / pixels_per_mm)
        return height if height * pixels_per_mm >= LEAST_NUMBER_PIXELS else None

    def set_state(
        self, look: Look, number: str, *, selected: bool, pinned: bool, broken: bool, empty: bool = False,
        fails: bool = False,
    ) -> None:  # fmt: skip
        """Show what is true of it; repaints only if something changed."""
        state = (look, number, selected, pinned, broken, empty, fails)
        if state != (self._look, self._number, self._selected, self._pinned, self._broken, self._empty, self._fails):
            self._look, self._number, self._selected, self._pinned, self._broken, self._empty, self._fails = state
            self.setZValue(2.0 if selected else 1.0)
            self.update()

    def fit_cache(self, pixels_per_mm: float) -> None:
        """Keep a picture of a small cavity: a drag past it need not draw it anew. Of a large one it would be heavy."""
        self._zoom = pixels_per_mm
        small = max(self._bounds.width(), self._bounds.height()) * pixels_per_mm <= MOST_CACHED_PIXELS
        mode = QGraphicsItem.CacheMode.DeviceCoordinateCache if small else QGraphicsItem.CacheMode.NoCache
        if mode != self.cacheMode():
            self.setCacheMode(mode)

    def boundingRect(self) -> QRectF:
        return self._bounds

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        look = self._look
        fill = look.selected if self._selected else look.pinned if self._pinned else look.cavity
        painter.setBrush(Qt.BrushStyle.NoBrush if self._empty else QColor(fill))
        if self._selected:
            painter.setPen(_pen(look.selected_line, 2.5))
        else:
            painter.setPen(_pen(look.cavity_line, 1.3, Qt.PenStyle.DotLine if self._empty else Qt.PenStyle.SolidLine))
        scale = abs(painter.worldTransform().m11())
        path = self._path if isinstance(self._shape[0], Disc) else coarse_path(*self._shape, finest_mm(scale))
        painter.drawPath(path)
        if self._broken or self._fails:
            pattern = Qt.BrushStyle.BDiagPattern if self._broken else Qt.BrushStyle.DiagCrossPattern
            brush = QBrush(QColor(look.alarm), pattern)
            brush.setTransform(QTransform.fromScale(1 / scale, 1 / scale))
            painter.setBrush(brush)
            painter.setPen(_pen(look.alarm, 3.0, Qt.PenStyle.DashLine) if self._broken else _pen(look.alarm, 1.3))
            painter.drawPath(path)
        self._paint_number(painter, scale)

    def _paint_number(self, painter: QPainter, scale: float) -> None:
        height = self._number_height(scale)
        if height is None:
            return
        painter.save()
        painter.translate(self._number_at)
        upright(painter)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(self._look.text))
        painter.scale(height, height)
        painter.drawPath(number_path(self._number))
        if self._pinned:
            painter.setPen(QPen(QColor(self._look.text), 0.16))
            painter.drawLine(QPointF(0.0, -1.3), QPointF(0.0, -0.75))
            painter.drawEllipse(QPointF(0.0, -1.5), 0.28, 0.28)
        painter.restore()


class AreaItem(QGraphicsItem):
    """A keep-out: grey hatching and its purpose; selected by a thick edge."""

    def __init__(self, look: Look, number: str) -> None:
        super().__init__()
        self._look, self._id, self._name = look, number, ""
        self._rect = QRectF()
        self._round = self._selected = False

    def set_area(self, look: Look, rect: QRectF, is_round: bool, name: str, selected: bool) -> None:
        """Show it."""
        self.prepareGeometryChange()
        self._look, self._rect, self._round, self._name, self._selected = look, rect, is_round, name, selected
        self.update()

    def boundingRect(self) -> QRectF:
        return self._rect.adjusted(-2, -2, 2, 2)

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        look = self._look
        scale = abs(painter.worldTransform().m11())
        brush = QBrush(QColor(look.keep_out), Qt.BrushStyle.Dense6Pattern)
        brush.setTransform(QTransform.fromScale(1 / scale, 1 / scale))
        painter.setBrush(brush)
        painter.setPen(_pen(look.selected_line if self._selected else look.keep_out, 2.5 if self._selected else 1.3))
        painter.drawEllipse(self._rect) if self._round else painter.drawRect(self._rect)
        # what its findings call it, with its purpose where there is room for both
        label = next((words for words in (f"{self._id} {self._name}", self._id) if self._share(words, scale)), None)
        if label is None:
            return
        font = QFont()
        font.setPointSizeF(font.pointSizeF() * self._share(label, scale))
        metrics = QFontMetricsF(font)
        painter.save()
        painter.translate(self._rect.center())
        upright(painter)
        painter.scale(1 / scale, 1 / scale)
        painter.setFont(font)
        box = metrics.boundingRect(label).adjusted(-3, -1, 3, 1)
        box.moveCenter(QPointF(0, 0))
        painter.setBackground(QColor(look.silicone))
        painter.eraseRect(box)
        painter.setPen(QColor(look.text))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, label)
        painter.restore()

    def _share(self, words: str, scale: float) -> float:
        """How large words may be, of the plain size; 0 where they would be too small to be read."""
        metrics = QFontMetricsF(QFont())
        room = self._rect.width() * scale - 6
        share = min(1.0, room / max(metrics.horizontalAdvance(words) + 6, 1.0))
        high = share * metrics.height()
        return share if LEAST_NUMBER_PIXELS * 1.25 <= high <= self._rect.height() * scale else 0.0


class BoxItem(QGraphicsItem):
    """The box: its sides as thick as they are, the silicone inside, the least edge as a thin dashed line."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._inside = self._outside = self._edge = QPainterPath()

    def set_box(self, look: Look, inside: QPainterPath, outside: QPainterPath, edge: QPainterPath) -> None:
        """Show this box."""
        self.prepareGeometryChange()
        self._look, self._inside, self._outside, self._edge = look, inside, outside, edge
        self.setZValue(-2)
        self.update()

    def boundingRect(self) -> QRectF:
        return self._outside.boundingRect().adjusted(-1, -1, 1, 1)

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        look = self._look
        painter.setPen(_pen(look.side, 1.0))
        painter.setBrush(QColor(look.line))
        painter.drawPath(self._outside)
        painter.setPen(_pen(look.side, 2.0))
        painter.setBrush(QColor(look.silicone))
        painter.drawPath(self._inside)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(_pen(look.quiet, 1.0, Qt.PenStyle.DashLine))
        painter.drawPath(self._edge)


class HandleItem(QGraphicsItem):
    """The turn handle over the selection: a ring with an arrow, as large at every zoom."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.setFlag(QGraphicsItem.GraphicsItemFlag.ItemIgnoresTransformations)
        self.setZValue(6)

    def set_look(self, look: Look) -> None:
        """Wear another look."""
        self._look = look
        self.update()

    def boundingRect(self) -> QRectF:
        return QRectF(-11, -11, 22, 30)

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        look = self._look
        painter.setPen(QPen(QColor(look.selected_line), 1.5))
        painter.drawLine(QPointF(0, 8), QPointF(0, 18))
        painter.setBrush(QColor(look.selected))
        painter.drawEllipse(QPointF(0, 0), 8, 8)
        painter.drawArc(QRectF(-4, -4, 8, 8), 30 * 16, 270 * 16)
        painter.setBrush(QColor(look.selected_line))
        painter.drawPolygon(QPolygonF([QPointF(2, -5), QPointF(6.5, -1.5), QPointF(1.2, -0.2)]))


class LineItem(QGraphicsItem):
    """The line of the section across the box, thick and dash-dotted, with its ends marked."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._a = self._b = QPointF()
        self.setZValue(4)

    def set_line(self, look: Look, a: XY, b: XY) -> None:
        """Show it from a to b."""
        self.prepareGeometryChange()
        self._look, self._a, self._b = look, QPointF(*a), QPointF(*b)
        self.update()

    def boundingRect(self) -> QRectF:
        return QRectF(self._a, self._b).normalized().adjusted(-3, -3, 3, 3)

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        painter.setPen(_pen(self._look.text, 2.5, Qt.PenStyle.DashDotLine))
        painter.drawLine(self._a, self._b)
        painter.setPen(_pen(self._look.text, 6.0))
        for end in (self._a, self._b):
            painter.drawPoint(end)


class RubberItem(QGraphicsItem):
    """The band of a selection, or a keep-out being drawn."""

    def __init__(self, look: Look, a: XY, b: XY, dense: bool) -> None:
        super().__init__()
        self._look, self._dense = look, dense
        self._rect = QRectF(QPointF(*a), QPointF(*b)).normalized()
        self.setZValue(7)

    def boundingRect(self) -> QRectF:
        return self._rect.adjusted(-1, -1, 1, 1)

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        colour = QColor(self._look.keep_out if self._dense else self._look.accent)
        painter.setPen(_pen(colour.name(), 1.5, Qt.PenStyle.DashLine))
        colour.setAlpha(90 if self._dense else 40)
        painter.setBrush(colour)
        painter.drawRect(self._rect)
