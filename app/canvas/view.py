"""The canvas: turns events into points in mm with y up, and nothing else. Zoom, pan, rulers, grid."""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPen, QTransform
from PySide6.QtWidgets import QGraphicsView, QWidget

from app.canvas.desk import Desk, Hands
from app.canvas.hand import Hand
from app.canvas.rulers import Ruler, ruler_steps
from app.words import tr
from layout.regions import placed_keep_out

if TYPE_CHECKING:
    from PySide6.QtCore import QEvent, QRect
    from PySide6.QtGui import (
        QContextMenuEvent,
        QDragEnterEvent,
        QDragMoveEvent,
        QDropEvent,
        QFocusEvent,
        QKeyEvent,
        QMouseEvent,
        QResizeEvent,
        QShowEvent,
        QWheelEvent,
    )

    from app.canvas.scene import Scene
    from layout.geometry import XY

LEAST_ZOOM, MOST_ZOOM = 0.05, 400.0
"""Pixels per mm."""

_ZOOM_STEP = 1.25
PROJECT = ".manymold"


@cache
def _arrows() -> dict[Qt.Key, tuple[int, int]]:
    """The way each arrow key points; not made before the first key, as Qt's names of keys take a while to load."""
    return {
        Qt.Key.Key_Left: (-1, 0),
        Qt.Key.Key_Right: (1, 0),
        Qt.Key.Key_Up: (0, 1),
        Qt.Key.Key_Down: (0, -1),
    }


class CanvasView(QGraphicsView):
    """Shows a scene whose y points up.

    Signals
    -------
    pointed(float or None, float or None)
        Where the pointer is, mm.
    zoomed()
    menu_asked(QPoint)
    dropped(object, float, float)
        Mime data dropped at a place, mm.
    """

    pointed = Signal(object, object)
    zoomed = Signal()
    menu_asked = Signal(QPoint)
    dropped = Signal(object, float, float)

    def __init__(self, desk: Desk, scene: Scene, parent: QWidget | None = None) -> None:
        super().__init__(scene, parent)
        self.desk, self.hand, self._drawing = desk, Hand(desk), scene
        self._zoom, self._mirrored, self._fits = 1.0, False, True
        self._fitted = QRectF()
        self.show_grid = True
        self._pan_from: QPoint | None = None
        self._space = False
        self._units = desk.project.units
        # made here: of one that Qt makes, Python would first ask every class of widget whether it is one
        self._ground = QWidget()
        self.setViewport(self._ground)
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.MinimalViewportUpdate)
        self.setOptimizationFlag(QGraphicsView.OptimizationFlag.DontAdjustForAntialiasing, False)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setResizeAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setMouseTracking(True)
        self.setAcceptDrops(True)
        self.setAccessibleName(tr("The mold"))
        self._across = Ruler(self, True, lambda: desk.project.units)
        self._up = Ruler(self, False, lambda: desk.project.units)
        self.setViewportMargins(self._up.thickness(), self._across.thickness(), 0, 0)
        desk.tool_changed.connect(self._show_tool)
        desk.store.changed.connect(self._project_changed)
        for bar in (self.horizontalScrollBar(), self.verticalScrollBar()):
            bar.valueChanged.connect(self._refresh_rulers)
        self._set_zoom(1.0)

    @property
    def mm_per_pixel(self) -> float:
        return 1.0 / self._zoom

    @property
    def mirrored(self) -> bool:
        """Whether the finished mold is shown from its open face."""
        return self._mirrored

    def set_mirrored(self, mirrored: bool) -> None:
        """Show the mirror image, or the layout as it is glued; the middle stays."""
        if mirrored != self._mirrored:
            middle = self.mm_at(QPointF(self.viewport().rect().center()))
            self._mirrored = mirrored
            self._set_zoom(self._zoom)
            box = self._drawing.box_rect
            # what was in the middle is in the middle of the other view as well
            self.centerOn(2 * box.center().x() - middle[0] if self._fits else middle[0], middle[1])
            self.viewport().update()

    def set_grid(self, shown: bool) -> None:
        """Show or hide the grid."""
        self.show_grid = shown
        self.viewport().update()

    def mm_at(self, pixel: QPointF) -> XY:
        """Return the place under a pixel of the viewport."""
        inverse, _ = self.viewportTransform().inverted()
        point = inverse.map(pixel)
        return point.x(), point.y()

    def pixel_at(self, point: XY) -> QPointF:
        """Return the pixel of the viewport over a place."""
        return self.viewportTransform().map(QPointF(*point))

    # zoom

    @property
    def can_zoom_in(self) -> bool:
        return self._zoom < MOST_ZOOM * 0.999

    @property
    def can_zoom_out(self) -> bool:
        return self._zoom > LEAST_ZOOM * 1.001

    @property
    def zoom_percent(self) -> float:
        """100 at true size, as far as the screen tells its own."""
        return 100.0 * self._zoom / self._true_zoom()

    def _true_zoom(self) -> float:
        return max(float(self.physicalDpiX()), 1.0) / 25.4

    def _set_zoom(self, zoom: float) -> None:
        self._zoom = min(max(zoom, LEAST_ZOOM), MOST_ZOOM)
        flip = -1.0 if self._mirrored else 1.0
        self.setTransform(QTransform.fromScale(flip * self._zoom, -self._zoom))
        self._drawing.set_scale(self.mm_per_pixel)
        self._refresh_rulers()
        self.zoomed.emit()

    def zoom_by(self, factor: float, about: QPointF | None = None) -> None:
        """Zoom about a pixel, by default the middle: what is under it stays there."""
        pixel = QPointF(self.viewport().rect().center()) if about is None else about
        place = self.mm_at(pixel)
        self._fits = False
        self._set_zoom(self._zoom * factor)
        moved = self.pixel_at(place) - pixel
        self._scroll_by(moved.x(), moved.y())

    def zoom_in(self) -> None:
        self.zoom_by(_ZOOM_STEP)

    def zoom_out(self) -> None:
        self.zoom_by(1.0 / _ZOOM_STEP)

    def zoom_true(self) -> None:
        """Show it as large as it is."""
        self.zoom_by(self._true_zoom() / self._zoom)

    def zoom_fit(self) -> None:
        """Show the whole box, and go on doing so when the window changes."""
        self._fitted = QRectF(self._drawing.box_rect)
        self._show_rect(self._fitted)
        self._fits = True

    def zoom_to(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """Show a part of the mold with some room round it."""
        room = max(x1 - x0, y1 - y0, 10.0) * 0.35
        self._fits = False
        self._show_rect(QRectF(x0 - room, y0 - room, x1 - x0 + 2 * room, y1 - y0 + 2 * room))

    def _show_rect(self, rect: QRectF) -> None:
        size = self.viewport().size()
        self._set_zoom(min(max(size.width(), 20) / rect.width(), max(size.height(), 20) / rect.height()))
        self.centerOn(rect.center())
        self._refresh_rulers()

    def show_place(self, x_mm: float, y_mm: float) -> None:
        """Bring a place into the middle."""
        self._fits = False
        self.centerOn(x_mm, y_mm)

    def _scroll_by(self, dx: float, dy: float) -> None:
        for bar, d in ((self.horizontalScrollBar(), dx), (self.verticalScrollBar(), dy)):
            bar.setValue(bar.value() + round(d))

    # events

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        left, top = self._up.thickness(), self._across.thickness()
        frame = self.frameWidth()
        self._across.setGeometry(frame + left, frame, self.viewport().width(), top)
        self._up.setGeometry(frame, frame + top, left, self.viewport().height())
        if self._fits:
            self.zoom_fit()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._fits:
            self.zoom_fit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self._fits = False
            turn = event.angleDelta()
            self._scroll_by(-(turn.x() or turn.y()), 0)
            return
        self.zoom_by(2.0 ** (event.angleDelta().y() / 480.0), event.position())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.MiddleButton or (
            event.button() == Qt.MouseButton.LeftButton and self._space
        ):
            self._pan_from = event.position().toPoint()
            self.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
        elif event.button() == Qt.MouseButton.LeftButton:
            self.hand.press(self.mm_at(event.position()), _hands(event), self.mm_per_pixel)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pan_from is not None:
            at = event.position().toPoint()
            self._fits = False
            self._scroll_by(self._pan_from.x() - at.x(), self._pan_from.y() - at.y())
            self._pan_from = at
            return
        point = self.mm_at(event.position())
        self.hand.move(point, _hands(event), self.mm_per_pixel)
        self._point_at(point)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._pan_from is not None:
            self._pan_from = None
            self._show_tool(self.desk.tool)
        elif event.button() == Qt.MouseButton.LeftButton:
            self.hand.release(self.mm_at(event.position()), _hands(event))

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        point = self.mm_at(QPointF(event.pos()))
        cavity = self.desk.cavity_at(point)
        if event.reason() == type(event).Reason.Mouse and cavity and cavity not in self.desk.selection:
            self.desk.selection.set([cavity])
        self.menu_asked.emit(event.globalPos())

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self._across.show_pointer(None)
        self._up.show_pointer(None)
        self.pointed.emit(None, None)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._space = False
        super().focusOutEvent(event)

    def _point_at(self, point: XY) -> None:
        self._across.show_pointer(point[0])
        self._up.show_pointer(point[1])
        self.pointed.emit(*point)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, mods = Qt.Key(event.key()), event.modifiers()
        if key in _arrows():
            dx, dy = _arrows()[key]
            self.hand.nudge(
                -dx if self._mirrored else dx, dy,
                coarse=bool(mods & Qt.KeyboardModifier.ShiftModifier),
                fine=bool(mods & Qt.KeyboardModifier.ControlModifier),
            )  # fmt: skip
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.desk.tool == "keep_out":
                self.hand.put_keep_out()
            else:
                self.hand.pick_up()
        elif key == Qt.Key.Key_Escape:
            if not self.hand.cancel():
                self.desk.selection.clear()
        elif key == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = True
            self.viewport().setCursor(Qt.CursorShape.OpenHandCursor)
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = False
            self._show_tool(self.desk.tool)
        super().keyReleaseEvent(event)

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab goes from cavity to cavity in pouring order, then to keep-outs; past the last it leaves the canvas."""
        desk, selection = self.desk, self.desk.selection
        cavities = tuple(desk.numbers())
        order = [str(i) for i in (*cavities, *(area.id for area in desk.project.keep_outs))]
        current = (*selection.cavities, *selection.keep_outs)
        if not order or self.hand.is_busy:
            return super().focusNextPrevChild(forward)
        index = order.index(current[-1]) if current and current[-1] in order else (-1 if forward else len(order))
        index += 1 if forward else -1
        if not 0 <= index < len(order):
            return super().focusNextPrevChild(forward)
        if index < len(cavities):
            selection.set([cavities[index]])
            bounds = desk.bounds_of((cavities[index],))
        else:
            area = desk.project.keep_outs[index - len(cavities)]
            selection.set((), [area.id])
            bounds = placed_keep_out(area).bounds
        if bounds:
            self.ensureVisible(QRectF(bounds[0], bounds[1], bounds[2] - bounds[0], bounds[3] - bounds[1]))
        return True

    # dropping

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        # a project is the window's to open
        if any(url.toLocalFile().endswith(PROJECT) for url in event.mimeData().urls()):
            event.ignore()
        else:
            event.acceptProposedAction()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        event.acceptProposedAction()
        self.dropped.emit(event.mimeData(), *self.mm_at(event.position()))

    # drawing

    def drawBackground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        painter.setBackground(QColor(self._drawing.look.canvas))
        painter.eraseRect(rect)

    def drawForeground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        if not self.show_grid:
            return
        step, _ = ruler_steps(self.desk.project.units, self.mm_per_pixel)
        colour = QColor(self._drawing.look.side)
        colour.setAlpha(38)
        pen = QPen(colour, 0)
        painter.setPen(pen)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        left, right, top, bottom = rect.left(), rect.right(), rect.top(), rect.bottom()
        painter.drawLines(
            [
                *(
                    QLineF(i * step, top, i * step, bottom)
                    for i in range(math.ceil(left / step), int(right // step) + 1)
                ),
                *(
                    QLineF(left, i * step, right, i * step)
                    for i in range(math.ceil(top / step), int(bottom // step) + 1)
                ),
            ]
        )

    def _show_tool(self, tool: str) -> None:
        self.viewport().setCursor(Qt.CursorShape.CrossCursor if tool else Qt.CursorShape.ArrowCursor)

    def _project_changed(self, _project: object) -> None:
        if self.desk.project.units != self._units:
            # the grid has another step, all over the view
            self._units = self.desk.project.units
            self.viewport().update()
        if self._fits and self._drawing.box_rect != self._fitted:
            self.zoom_fit()
        self._refresh_rulers()

    def _refresh_rulers(self, *_changed: object) -> None:
        self._across.update()
        self._up.update()


def _hands(event: QMouseEvent) -> Hands:
    mods = event.modifiers()
    return Hands(bool(mods & Qt.KeyboardModifier.ShiftModifier), bool(mods & Qt.KeyboardModifier.ControlModifier))
