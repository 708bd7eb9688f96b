"""Paint a page's marks, all in mm, on any QPainter: PDF, printer, screen."""

import math

from PySide6.QtCore import QByteArray, QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QImage, QPainter, QPen, QPolygonF, QTransform

from layout.documents.page import Area, Line, Mark, Page, Round, Table, Text

_FONT_PIXELS = 1000
"""Fonts are set this large and scaled down: the letters' widths then do not depend on the device."""


def paint_page(painter: QPainter, page: Page, units_per_mm: float) -> None:
    """Paint a page; ``units_per_mm`` of the painter's own units are one mm."""
    painter.save()
    painter.scale(units_per_mm, units_per_mm)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for mark in page.marks:
        _paint(painter, mark)
    painter.restore()


def _paint(painter: QPainter, mark: Mark) -> None:
    if isinstance(mark, Line):
        painter.setPen(_pen(mark.width_mm, mark.colour, mark.dash_mm))
        painter.drawLine(QLineF(QPointF(*mark.start), QPointF(*mark.end)))
    elif isinstance(mark, Area):
        _paint_area(painter, mark)
    elif isinstance(mark, Round):
        painter.setPen(_pen(mark.width_mm, mark.colour, mark.dash_mm))
        painter.setBrush(_brush(mark.fill, mark.hatch, mark.colour))
        painter.drawEllipse(QPointF(*mark.centre), mark.radius_mm, mark.radius_mm)
    elif isinstance(mark, Text):
        _paint_text(painter, mark)
    elif isinstance(mark, Table):
        for part in mark.primitives():
            _paint(painter, part)


def _paint_area(painter: QPainter, area: Area) -> None:
    polygon = QPolygonF([QPointF(x, y) for x, y in area.points])
    painter.setPen(_pen(area.width_mm, area.colour, area.dash_mm))
    if area.closed:
        painter.setBrush(_brush(area.fill, area.hatch, area.colour))
        painter.drawPolygon(polygon)
    else:
        painter.drawPolyline(polygon)


def _pen(width_mm: float, colour: str, dash_mm: tuple[float, ...]) -> QPen:
    if width_mm <= 0.0:
        return QPen(Qt.PenStyle.NoPen)
    pen = QPen(QColor(colour), width_mm)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    if dash_mm:
        pen.setDashPattern([d / width_mm for d in dash_mm])
    return pen


def _brush(fill: str | None, hatch: bool, colour: str) -> QBrush:
    if hatch:
        brush = QBrush(QColor(colour), Qt.BrushStyle.BDiagPattern)
        brush.setTransform(QTransform.fromScale(0.2, 0.2))
        return brush
    return QBrush(QColor(fill)) if fill else QBrush(Qt.BrushStyle.NoBrush)


def page_font(bold: bool) -> QFont:
    """Return the font of printed pages, `_FONT_PIXELS` high."""
    font = QFont("sans-serif")
    font.setStyleHint(QFont.StyleHint.SansSerif)
    font.setPixelSize(_FONT_PIXELS)
    font.setBold(bold)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


def text_lines(text: Text) -> list[str]:
    """Return the lines a text is broken into, at spaces, so that none is wider than ``width_mm``."""
    if text.width_mm is None:
        return text.words.split("\n")
    metrics = QFontMetricsF(page_font(text.bold))
    room = text.width_mm / text.size_mm * _FONT_PIXELS
    lines: list[str] = []
    for paragraph in text.words.split("\n"):
        line = ""
        for word in paragraph.split(" "):
            longer = f"{line} {word}" if line else word
            if line and metrics.horizontalAdvance(longer) > room:
                lines.append(line)
                line = word
            else:
                line = longer
        lines.append(line)
    return lines


def _paint_text(painter: QPainter, text: Text) -> None:
    font = page_font(text.bold)
    metrics = QFontMetricsF(font)
    painter.save()
    painter.translate(QPointF(*text.at))
    painter.rotate(-text.angle_deg)
    scale = text.size_mm / _FONT_PIXELS
    painter.scale(scale, scale)
    painter.setFont(font)
    painter.setPen(QPen(QColor(text.colour)))
    for i, line in enumerate(text_lines(text)):
        width = metrics.horizontalAdvance(line)
        left = {"left": 0.0, "middle": -width / 2.0, "right": -width}[text.align]
        painter.drawText(QPointF(left, i * 1.25 * _FONT_PIXELS), line)
    painter.restore()


def pages_to_pdf(pages: tuple[Page, ...], title: str) -> bytes:
    """Return a PDF of the pages at true size: one unit of the device is 0.01 mm.

    Needs an application (see `ensure_application`).
    """
    from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QSizeF
    from PySide6.QtGui import QPageLayout, QPageSize, QPdfWriter

    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(2540)
    writer.setTitle(title)
    writer.setCreator("Manymold")
    painter = QPainter()
    for index, page in enumerate(pages):
        size = QPageSize(
            QSizeF(page.width_mm, page.height_mm), QPageSize.Unit.Millimeter, "", QPageSize.SizeMatchPolicy.FuzzyMatch
        )
        layout = QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0), QPageLayout.Unit.Millimeter)
        writer.setPageLayout(layout)
        if index == 0:
            painter.begin(writer)
        else:
            writer.newPage()
        paint_page(painter, page, 100.0)
    painter.end()
    buffer.close()
    return bytes(data.data())


def page_to_image(page: Page, pixels_per_mm: float) -> QImage:
    """Return a picture of a page on white paper."""
    image = QImage(
        math.ceil(page.width_mm * pixels_per_mm),
        math.ceil(page.height_mm * pixels_per_mm),
        QImage.Format.Format_RGB32,
    )
    image.fill(QColor("white"))
    painter = QPainter(image)
    paint_page(painter, page, pixels_per_mm)
    painter.end()
    return image


def paint_page_into(painter: QPainter, page: Page, target: QRectF) -> None:
    """Paint a page as large as fits in a rectangle of the painter, paper white."""
    scale = min(target.width() / page.width_mm, target.height() / page.height_mm)
    painter.save()
    painter.translate(
        target.x() + (target.width() - page.width_mm * scale) / 2.0,
        target.y() + (target.height() - page.height_mm * scale) / 2.0,
    )
    painter.fillRect(QRectF(0, 0, page.width_mm * scale, page.height_mm * scale), QColor("white"))
    paint_page(painter, page, scale)
    painter.restore()


def ensure_application() -> None:
    """Start Qt without a screen if no application runs yet: fonts need one."""
    import os

    from PySide6.QtWidgets import QApplication

    # a full application, so that a window may still be opened in this process
    if QApplication.instance() is None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        global _application
        _application = QApplication([])


_application: object | None = None
