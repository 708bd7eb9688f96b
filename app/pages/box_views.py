"""What the Box page paints: the box put together, the sheets with their pieces, the pages of the template."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.printing.paint import paint_page_into
from app.theme import current_look
from app.words import tr
from layout.box.cutting import piece_shapes
from layout.box.job import CutJob
from layout.box.picture import Facet, picture_of
from layout.box.shapes import Layer, Shape, bounds_of_shapes, is_closed, moved, points_of
from layout.box.stock import piece_bounds
from layout.documents.page import Page
from layout.units import length_text

_ROOM = 14.0


class _View(QWidget):
    """A picture that fills its place and says something instead when there is none."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.empty_words = tr("Nothing to show yet.")

    def sizeHint(self) -> QSize:
        return QSize(480, 320)

    def minimumSizeHint(self) -> QSize:
        return QSize(220, 160)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(current_look().canvas))
        if not self.paint(painter):
            painter.setPen(QColor(current_look().quiet))
            painter.drawText(
                self.rect().adjusted(20, 20, -20, -20),
                Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap,
                self.empty_words,
            )
        painter.end()

    def paint(self, painter: QPainter) -> bool:
        """Paint the picture and return True, or return False if there is none."""
        raise NotImplementedError


def _mixed(dark: str, light: str, share: float) -> QColor:
    a, b = QColor(dark), QColor(light)
    return QColor(
        round(a.red() + (b.red() - a.red()) * share),
        round(a.green() + (b.green() - a.green()) * share),
        round(a.blue() + (b.blue() - a.blue()) * share),
    )


class PutTogetherView(_View):
    """The box put together, seen from above at an angle."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("The box put together"), parent)
        self._facets: tuple[Facet, ...] = ()

    def show_job(self, job: CutJob | None) -> None:
        """Show another box; None for none."""
        self._facets = () if job is None else picture_of(job.project, job.parts)
        self.update()

    def paint(self, painter: QPainter) -> bool:
        if not self._facets:
            return False
        xs = [x for f in self._facets for x, _ in f.points]
        ys = [y for f in self._facets for _, y in f.points]
        wide, high = max(xs) - min(xs), max(ys) - min(ys)
        scale = min((self.width() - 2 * _ROOM) / wide, (self.height() - 2 * _ROOM) / high)
        left = (self.width() - wide * scale) / 2 - min(xs) * scale
        low = (self.height() + high * scale) / 2 + min(ys) * scale
        look = current_look()
        dark, light = (look.panel, "#5c6a76") if look.dark else ("#b9b3a6", "#fffdf8")
        for facet in self._facets:
            polygon = QPolygonF([QPointF(left + x * scale, low - y * scale) for x, y in facet.points])
            if facet.kind == "fill line":
                painter.setPen(QPen(QColor(look.accent), 2.0, Qt.PenStyle.DashLine))
                painter.drawPolyline(polygon)
                continue
            if facet.kind == "edge":
                painter.setPen(QPen(QColor(look.side), 1.0))
                painter.drawPolyline(polygon)
                continue
            if facet.kind == "cavity":
                painter.setPen(QPen(QColor(look.cavity_line), 1.0))
                painter.setBrush(QColor(look.cavity))
            else:
                fill = _mixed(dark, light, facet.shade)
                painter.setPen(QPen(QColor(look.side), 1.0) if facet.border else QPen(fill, 1.0))
                painter.setBrush(fill)
            painter.drawPolygon(polygon)
        return True


class SheetsView(_View):
    """The sheets with the pieces on them, all lines as they are cut."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Panels on the sheets"), parent)
        self._job: CutJob | None = None
        self._shapes: list[list[Shape]] = []
        self._sizes: list[tuple[float, float]] = []

    def show_job(self, job: CutJob | None) -> None:
        """Show another cutting job; None for none."""
        self._job, self._shapes, self._sizes = job, [], []
        for sheet in job.sheets if job else ():
            shapes = [s for piece in sheet.pieces for s in piece_shapes(piece, job.kerf_mm if job else 0.0)]
            x0, y0, x1, y1 = bounds_of_shapes(shapes)
            if sheet.length_mm is None or sheet.width_mm is None:
                shapes = [moved(s, -x0, -y0) for s in shapes]
                self._sizes.append((x1 - x0, y1 - y0))
            else:
                self._sizes.append((sheet.length_mm, sheet.width_mm))
            self._shapes.append(shapes)
        self.update()

    def paint(self, painter: QPainter) -> bool:
        if self._job is None or not self._sizes:
            return False
        columns = self._columns()
        rows = math.ceil(len(self._sizes) / columns)
        cell_w, cell_h = self.width() / columns, self.height() / rows
        foot = 2.2 * painter.fontMetrics().height()
        scale = min(min((cell_w - 2 * _ROOM) / w, (cell_h - 2 * _ROOM - foot) / h) for w, h in self._sizes)
        for k in range(len(self._sizes)):
            self._paint_sheet(painter, k, QPointF(cell_w * (k % columns), cell_h * (k // columns)), cell_w, scale)
        return True

    def _columns(self) -> int:
        count = len(self._sizes)
        w, h = max(s[0] for s in self._sizes), max(s[1] for s in self._sizes)
        wanted = math.sqrt(count * self.width() * h / max(1.0, self.height() * w))
        return max(1, min(count, round(wanted)))

    def _paint_sheet(self, painter: QPainter, k: int, corner: QPointF, cell_w: float, scale: float) -> None:
        assert self._job is not None
        look, (w, h), sheet = current_look(), self._sizes[k], self._job.sheets[k]
        left, top = corner.x() + (cell_w - w * scale) / 2, corner.y() + _ROOM
        if sheet.length_mm is not None:
            painter.setPen(QPen(QColor(look.side), 1.0))
            painter.setBrush(QColor(look.silicone))
            painter.drawRect(QRectF(left, top, w * scale, h * scale))
        pens = {
            Layer.THROUGH: QPen(QColor(look.text), 1.4),
            Layer.HALF: QPen(QColor(look.alarm), 1.0, Qt.PenStyle.DashLine),
            Layer.DRAW: QPen(QColor(look.accent), 0.7),
        }
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for shape in self._shapes[k]:
            painter.setPen(pens[shape.layer])
            polygon = QPolygonF([QPointF(left + x * scale, top + (h - y) * scale) for x, y in points_of(shape)])
            if is_closed(shape):
                painter.drawPolygon(polygon)
            else:
                painter.drawPolyline(polygon)
        if sheet.length_mm is not None and sheet.width_mm is not None:
            units = self._job.project.units
            kind = tr("{n}, left-over", n=k + 1) if sheet.leftover else str(k + 1)
            size = " x ".join(length_text(v, units, decimals=0) for v in (sheet.length_mm, sheet.width_mm))
            words = f"{kind}: {size}"
            painter.setPen(QColor(look.quiet))
            below = QRectF(corner.x(), top + h * scale + 2, cell_w, painter.fontMetrics().height() * 1.3)
            painter.drawText(below, Qt.AlignmentFlag.AlignHCenter, words)

    def piece_count(self) -> int:
        """Return how many pieces are shown."""
        return sum(len(s.pieces) for s in self._job.sheets) if self._job else 0

    def bounds_of_piece(self, sheet: int, piece: int) -> tuple[tuple[float, float], tuple[float, float]]:
        """Return where a piece lies on its sheet, mm."""
        assert self._job is not None
        return piece_bounds(self._job.sheets[sheet].pieces[piece], self._job.kerf_mm)


class TemplateView(_View):
    """The pages of the template side by side, as they come out of the printer."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Pages of the placement template"), parent)
        self.pages: tuple[Page, ...] = ()

    def show_pages(self, pages: tuple[Page, ...]) -> None:
        """Show other pages."""
        self.pages = pages
        self.update()

    def paint(self, painter: QPainter) -> bool:
        if not self.pages:
            return False
        count, page = len(self.pages), self.pages[0]
        best = max(
            range(1, count + 1),
            key=lambda c: min(self.width() / c / page.width_mm, self.height() / math.ceil(count / c) / page.height_mm),
        )
        rows = math.ceil(count / best)
        cell_w, cell_h = self.width() / best, self.height() / rows
        for k, shown in enumerate(self.pages):
            # rows are numbered from below, as on the base
            target = QRectF(cell_w * (k % best), cell_h * (rows - 1 - k // best), cell_w, cell_h)
            paint_page_into(painter, shown, target.adjusted(6, 6, -6, -6))
        return True
