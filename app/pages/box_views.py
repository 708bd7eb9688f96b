"""What the Box page paints: the box put together, the sheets with their pieces, the pages of the template."""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from app.aside import is_heavy
from app.pages.drawn import Drawn
from app.printing.paint import paint_page_into
from app.theme import Look
from app.words import tr
from layout.box.cutting import CutSheet, piece_shapes
from layout.box.job import CutJob
from layout.box.picture import Facet, picture_of
from layout.box.shapes import Layer, Shape, bounds_of_shapes, is_closed, moved, points_of
from layout.box.stock import piece_bounds
from layout.documents.page import Page
from layout.geometry import XY
from layout.units import Units, length_text

_ROOM = 14.0


def _mixed(dark: str, light: str, share: float) -> QColor:
    a, b = QColor(dark), QColor(light)
    return QColor(
        round(a.red() + (b.red() - a.red()) * share),
        round(a.green() + (b.green() - a.green()) * share),
        round(a.blue() + (b.blue() - a.blue()) * share),
    )


class PutTogetherView(Drawn):
    """The box put together, seen from above at an angle."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("The box put together"), parent)
        self._facets: tuple[Facet, ...] = ()

    def show_job(self, job: CutJob | None, facets: tuple[Facet, ...] | None = None) -> None:
        """Show another box, its facets worked out before or now; None for none."""
        self._facets = () if job is None else picture_of(job.project, job.parts) if facets is None else facets
        self.draw_anew(large=job is not None and is_heavy(job.project))

    def paint(self, painter: QPainter, size: QSizeF, look: Look) -> bool:
        if not self._facets:
            return False
        xs = [x for f in self._facets for x, _ in f.points]
        ys = [y for f in self._facets for _, y in f.points]
        wide, high = max(xs) - min(xs), max(ys) - min(ys)
        scale = min((size.width() - 2 * _ROOM) / wide, (size.height() - 2 * _ROOM) / high)
        left = (size.width() - wide * scale) / 2 - min(xs) * scale
        low = (size.height() + high * scale) / 2 + min(ys) * scale
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


@dataclass(frozen=True, slots=True)
class SheetsDrawing:
    """The lines of each sheet, mm, and its size: layer, whether closed, points."""

    lines: tuple[tuple[tuple[Layer, bool, list[XY]], ...], ...]
    sizes: tuple[XY, ...]


def sheets_drawing(job: CutJob) -> SheetsDrawing:
    """Work out what is drawn of a cutting job; touches no widget."""
    lines, sizes = [], []
    for sheet in job.sheets:
        shapes: list[Shape] = [s for piece in sheet.pieces for s in piece_shapes(piece, job.kerf_mm)]
        if sheet.length_mm is None or sheet.width_mm is None:
            x0, y0, x1, y1 = bounds_of_shapes(shapes)
            shapes = [moved(s, -x0, -y0) for s in shapes]
            sizes.append((x1 - x0, y1 - y0))
        else:
            sizes.append((sheet.length_mm, sheet.width_mm))
        lines.append(tuple((s.layer, is_closed(s), points_of(s)) for s in shapes))
    return SheetsDrawing(tuple(lines), tuple(sizes))


def _columns(sizes: tuple[XY, ...], room: QSizeF) -> int:
    w, h = max(s[0] for s in sizes), max(s[1] for s in sizes)
    wanted = math.sqrt(len(sizes) * room.width() * h / max(1.0, room.height() * w))
    return max(1, min(len(sizes), round(wanted)))


def _paint_sheet(
    painter: QPainter, look: Look, numbered: tuple[int, CutSheet],
    drawn: tuple[tuple[tuple[Layer, bool, list[XY]], ...], XY], corner: QPointF, cell_w: float, scale: float,
) -> None:  # fmt: skip
    (_, sheet), (lines, (w, h)) = numbered, drawn
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
    for layer, closed, points in lines:
        painter.setPen(pens[layer])
        polygon = QPolygonF([QPointF(left + x * scale, top + (h - y) * scale) for x, y in points])
        if closed:
            painter.drawPolygon(polygon)
        else:
            painter.drawPolyline(polygon)


def _paint_words(
    painter: QPainter, look: Look, numbered: tuple[int, CutSheet], units: Units, high: float, corner: QPointF,
    cell_w: float,
) -> None:  # fmt: skip
    k, sheet = numbered
    if sheet.length_mm is not None and sheet.width_mm is not None:
        kind = tr("{n}, left-over", n=k + 1) if sheet.leftover else str(k + 1)
        size = " x ".join(length_text(v, units, decimals=0) for v in (sheet.length_mm, sheet.width_mm))
        painter.setPen(QColor(look.quiet))
        below = QRectF(corner.x(), corner.y() + _ROOM + high + 2, cell_w, painter.fontMetrics().height() * 1.3)
        painter.drawText(below, Qt.AlignmentFlag.AlignHCenter, f"{kind}: {size}")


class SheetsView(Drawn):
    """The sheets with the pieces on them, all lines as they are cut."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Panels on the sheets"), parent)
        self._job: CutJob | None = None
        self._drawing = SheetsDrawing((), ())

    def show_job(self, job: CutJob | None, drawing: SheetsDrawing | None = None) -> None:
        """Show another cutting job, its lines worked out before or now; None for none."""
        self._job = job
        if job is not None and drawing is None:
            drawing = sheets_drawing(job)
        self._drawing = drawing or SheetsDrawing((), ())
        self.draw_anew(large=job is not None and is_heavy(job.project))

    def paint(self, painter: QPainter, size: QSizeF, look: Look) -> bool:
        job, (lines, sizes) = self._job, (self._drawing.lines, self._drawing.sizes)
        if job is None or not sizes:
            return False
        columns = _columns(sizes, size)
        rows = math.ceil(len(sizes) / columns)
        cell_w, cell_h = size.width() / columns, size.height() / rows
        foot = 2.2 * painter.fontMetrics().height()
        scale = min(min((cell_w - 2 * _ROOM) / w, (cell_h - 2 * _ROOM - foot) / h) for w, h in sizes)
        for k, sheet in enumerate(job.sheets):
            corner = QPointF(cell_w * (k % columns), cell_h * (k // columns))
            _paint_sheet(painter, look, (k, sheet), (lines[k], sizes[k]), corner, cell_w, scale)
            _paint_words(painter, look, (k, sheet), job.project.units, sizes[k][1] * scale, corner, cell_w)
        return True

    def piece_count(self) -> int:
        """Return how many pieces are shown."""
        return sum(len(s.pieces) for s in self._job.sheets) if self._job else 0

    def bounds_of_piece(self, sheet: int, piece: int) -> tuple[tuple[float, float], tuple[float, float]]:
        """Return where a piece lies on its sheet, mm."""
        assert self._job is not None
        return piece_bounds(self._job.sheets[sheet].pieces[piece], self._job.kerf_mm)


class TemplateView(Drawn):
    """The pages of the template side by side, as they come out of the printer."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Pages of the placement template"), parent)
        self.pages: tuple[Page, ...] = ()

    def show_pages(self, pages: tuple[Page, ...], *, large: bool = False) -> None:
        """Show other pages; ``large``: with many cavities on them."""
        self.pages = pages
        self.draw_anew(large=large)

    def paint(self, painter: QPainter, size: QSizeF, look: Look) -> bool:
        if not self.pages:
            return False
        count, page = len(self.pages), self.pages[0]
        best = max(
            range(1, count + 1),
            key=lambda c: min(size.width() / c / page.width_mm, size.height() / math.ceil(count / c) / page.height_mm),
        )
        rows = math.ceil(count / best)
        cell_w, cell_h = size.width() / best, size.height() / rows
        for k, shown in enumerate(self.pages):
            # rows are numbered from below, as on the base
            target = QRectF(cell_w * (k % best), cell_h * (rows - 1 - k // best), cell_w, cell_h)
            paint_page_into(painter, shown, target.adjusted(6, 6, -6, -6))
        return True
