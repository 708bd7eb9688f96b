"""The layout with its numbers and its batches of resin, as glued and as the open mold shows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QPainter,
    QPainterPath,
    QPen,
    QPolygonF,
    QTransform,
)
from PySide6.QtWidgets import QWidget

from app.aside import is_heavy
from app.pages.drawn import Drawn
from app.theme import Look
from app.words import tr
from layout.documents.picture import label_spot
from layout.documents.pour_sheet.plan import TINTS
from layout.geometry import PlacedDisc
from layout.mirror import mirrored
from layout.model import CavityId, Project, RoundBox
from layout.numbering import numbers
from layout.regions import inner_polygon, inner_size_mm, placed_cavity, placed_holes, placed_keep_out

DARK_TINTS: Final = ("#2b333a", "#1f4f73", "#6b4a1a", "#4d545b", "#5d5a22", "#54406b")
LEAST_PIXELS: Final = 8.5


@dataclass(frozen=True, slots=True)
class _Spot:
    """One cavity in box coordinates, with room for its number."""

    id: CavityId
    path: QPainterPath
    x_mm: float
    y_mm: float
    room_mm: float


@dataclass(frozen=True, slots=True)
class _View:
    """One of the two views, worked out once for a layout."""

    length_mm: float
    width_mm: float
    inside: QPainterPath
    spots: tuple[_Spot, ...]
    keep_outs: tuple[QPainterPath, ...] = ()


def _view(project: Project) -> _View:
    inside = QPainterPath()
    if isinstance(project.box.shape, RoundBox):
        diameter = project.box.shape.diameter_mm
        inside.addEllipse(QRectF(0, 0, diameter, diameter))
    else:
        ring = inner_polygon(project.box.shape).exterior.coords
        inside.addPolygon(QPolygonF([QPointF(x, y) for x, y in ring]))
    spots = []
    for cavity in project.cavities:
        placed = placed_cavity(project, cavity)
        path = QPainterPath()
        if isinstance(placed, PlacedDisc):
            path.addEllipse(QPointF(placed.x_mm, placed.y_mm), placed.radius_mm, placed.radius_mm)
        else:
            path.addPolygon(QPolygonF([QPointF(p[0], p[1]) for p in placed.exterior.coords]))
        for hole in placed_holes(project, cavity):
            path.addPolygon(QPolygonF([QPointF(p[0], p[1]) for p in hole.exterior.coords]))
        (x, y), room = label_spot(placed)
        spots.append(_Spot(cavity.id, path, x, y, room))
    return _View(*inner_size_mm(project.box.shape), inside, tuple(spots), tuple(_keep_outs(project)))


def _keep_outs(project: Project) -> list[QPainterPath]:
    paths = []
    for area in project.keep_outs:
        placed, path = placed_keep_out(area), QPainterPath()
        if isinstance(placed, PlacedDisc):
            path.addEllipse(QPointF(placed.x_mm, placed.y_mm), placed.radius_mm, placed.radius_mm)
        else:
            path.addPolygon(QPolygonF([QPointF(p[0], p[1]) for p in placed.exterior.coords]))
        paths.append(path)
    return paths


@dataclass(frozen=True, slots=True)
class PlanViews:
    """Both views of a layout and the numbers on them."""

    number: dict[CavityId, int]
    views: tuple[_View, _View]


def plan_views(project: Project) -> PlanViews:
    """Work out the views of a layout; touches no widget."""
    return PlanViews(numbers(project), (_view(project), _view(mirrored(project))))


class PlanView(Drawn):
    """Shows which batch of resin fills which cavity; a chosen finding marks its cavities."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Batches on the layout"), parent)
        self._project: Project | None = None
        self._views: tuple[_View, ...] = ()
        self._number: dict[CavityId, int] = {}
        self._batch_of: dict[CavityId, int] = {}
        self.marked: tuple[CavityId, ...] = ()

    def sizeHint(self) -> QSize:
        return QSize(460, 220)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 120)

    def ground(self, look: Look) -> str:
        return look.window

    def shows(self, project: Project) -> bool:
        """Whether the layout shown is that of this project."""
        before = self._project
        return before is not None and (
            before.cavities,
            before.keep_outs,
            before.masters,
            before.box.shape,
            before.pour_order,
        ) == (
            project.cavities,
            project.keep_outs,
            project.masters,
            project.box.shape,
            project.pour_order,
        )

    def show_project(
        self, project: Project, batch_of: dict[CavityId, int], worked_out: PlanViews | None = None
    ) -> None:
        """Show another layout, worked out before or now, or other batches; the same are not worked out again."""
        same = self.shows(project)
        if same and batch_of == self._batch_of:
            return
        self._project, self._batch_of = project, batch_of
        if not same:
            found = plan_views(project) if worked_out is None else worked_out
            self._number, self._views = found.number, found.views
        count = len(set(batch_of.values()))
        self.setAccessibleDescription(
            tr("{cavities} cavities, {batches} batches of resin", cavities=len(batch_of), batches=count)
        )
        self.draw_anew(large=is_heavy(project))

    def mark(self, ids: tuple[CavityId, ...]) -> None:
        """Show which cavities a finding is about."""
        if ids != self.marked:
            self.marked = ids
            self.draw_anew(large=self._project is not None and is_heavy(self._project))

    def paint(self, painter: QPainter, size: QSizeF, look: Look) -> bool:
        metrics = QFontMetricsF(painter.font())
        key = metrics.height() + 6 if len(set(self._batch_of.values())) > 1 else 0.0
        half = (size.width() - 12) / 2.0
        names = (tr("as the masters are glued"), tr("the mold from its open face"))
        for index, (words, view) in enumerate(zip(names, self._views, strict=False)):
            area = QRectF(index * (half + 12), 0, half, size.height() - key)
            painter.setPen(QColor(look.quiet))
            said = metrics.elidedText(words, Qt.TextElideMode.ElideRight, half)
            painter.drawText(area, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop, said)
            self._paint_view(painter, look, view, area.adjusted(3, metrics.height() + 4, -3, -4))
        if key:
            self._paint_key(painter, look, size.height() - key, size.width())
        return True

    def _paint_view(self, painter: QPainter, look: Look, view: _View, room: QRectF) -> None:
        scale = min(room.width() / view.length_mm, room.height() / view.width_mm)
        if scale <= 0.0:
            return
        left = room.center().x() - view.length_mm * scale / 2.0
        onto = QTransform(scale, 0, 0, -scale, left, room.top() + view.width_mm * scale)
        painter.setPen(QPen(QColor(look.side), 2))
        painter.setBrush(QColor(look.silicone))
        painter.drawPath(onto.map(view.inside))
        painter.setPen(QPen(QColor(look.quiet), 1))
        painter.setBrush(QBrush(QColor(look.quiet), Qt.BrushStyle.BDiagPattern))
        for path in view.keep_outs:
            painter.drawPath(onto.map(path))
        tints = DARK_TINTS if look.dark else TINTS
        for spot in view.spots:
            batch, marked = self._batch_of.get(spot.id), spot.id in self.marked
            style = Qt.PenStyle.SolidLine if batch else Qt.PenStyle.DashLine
            painter.setPen(QPen(QColor(look.alarm if marked else look.cavity_line), 3 if marked else 1, style))
            painter.setBrush(QColor(tints[(batch - 1) % len(tints)]) if batch else Qt.BrushStyle.NoBrush)
            painter.drawPath(onto.map(spot.path))
        painter.setPen(QColor(look.text))
        plain = QFont(painter.font())
        for spot in view.spots:
            words = str(self._number[spot.id])
            pixels = min(15.0, 1.25 * spot.room_mm * scale, 2.7 * spot.room_mm * scale / len(words))
            if pixels >= LEAST_PIXELS:
                font = QFont(plain)
                font.setPixelSize(round(pixels))
                painter.setFont(font)
                at = onto.map(QPointF(spot.x_mm, spot.y_mm))
                painter.drawText(QRectF(at.x() - 30, at.y() - 15, 60, 30), Qt.AlignmentFlag.AlignCenter, words)
        painter.setFont(plain)

    def _paint_key(self, painter: QPainter, look: Look, top: float, width: float) -> None:
        metrics = QFontMetricsF(painter.font())
        tints = DARK_TINTS if look.dark else TINTS
        x = 4.0
        batches = sorted(set(self._batch_of.values()))
        for batch in batches:
            count = sum(1 for b in self._batch_of.values() if b == batch)
            words = tr("batch {n}: {count}", n=batch, count=count)
            wide = metrics.horizontalAdvance(words) + 36
            painter.setPen(QColor(look.text))
            if x + wide > width - 30:
                painter.drawText(QPointF(x, top + metrics.ascent() + 3), f"... {batches[-1]}")
                return
            painter.drawText(QPointF(x + 21, top + metrics.ascent() + 3), words)
            painter.setPen(QPen(QColor(look.cavity_line), 1))
            painter.setBrush(QColor(tints[(batch - 1) % len(tints)]))
            painter.drawRect(QRectF(x, top + 4, 16, metrics.height() - 4))
            x += wide
