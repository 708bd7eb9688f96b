"""Outlines as Qt paths: footprints in mm, drawn no finer than shows, and the numbers that stand on them."""

from __future__ import annotations

import math
from functools import lru_cache

from PySide6.QtCore import QPointF
from PySide6.QtGui import QFont, QFontMetricsF, QPainterPath, QPolygonF, QTransform

from layout.geometry import XY, Disc, Footprint, cos_sin


@lru_cache(maxsize=4096)
def footprint_path(footprint: Footprint, angle_deg: float, holes: tuple[tuple[XY, ...], ...] = ()) -> QPainterPath:
    """Return a footprint about its origin with its through holes, turned, in mm; inside and outside by odd and even."""
    if angle_deg:
        # a layout of a thousand angles has each of them drawn from one list of corners
        c, s = cos_sin(angle_deg)
        return QTransform(c, s, -s, c, 0.0, 0.0).map(footprint_path(footprint, 0.0, holes))
    path = QPainterPath()
    if isinstance(footprint, Disc):
        path.addEllipse(QPointF(0, 0), footprint.radius_mm, footprint.radius_mm)
    else:
        _add_ring(path, footprint.points)
    for hole in holes:
        _add_ring(path, hole)
    return path


@lru_cache(maxsize=64)
def coarse_ring(points: tuple[XY, ...], within_mm: float) -> tuple[XY, ...]:
    """Return an outline with no more corners than show where it is drawn this fine."""
    import shapely

    coarse = shapely.LinearRing(points).simplify(within_mm, preserve_topology=True)
    ring = tuple((x, y) for x, y in coarse.coords[:-1])
    return ring if len(ring) < len(points) else points


@lru_cache(maxsize=4096)
def coarse_path(
    footprint: Footprint, angle_deg: float, holes: tuple[tuple[XY, ...], ...], within_mm: float
) -> QPainterPath:
    """Return `footprint_path` with no more corners than show."""
    if isinstance(footprint, Disc):
        return footprint_path(footprint, angle_deg, holes)
    if angle_deg:
        c, s = cos_sin(angle_deg)
        return QTransform(c, s, -s, c, 0.0, 0.0).map(coarse_path(footprint, 0.0, holes, within_mm))
    path = QPainterPath()
    for ring in (footprint.points, *holes):
        _add_ring(path, coarse_ring(ring, within_mm))
    return path


def finest_mm(pixels_per_mm: float) -> float:
    """How fine an outline is drawn: a power of two of at most a fifth of a pixel, so that a zoom changes it seldom."""
    return float(2.0 ** math.floor(math.log2(0.2 / pixels_per_mm)))


def _add_ring(path: QPainterPath, points: tuple[XY, ...]) -> None:
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
    path.closeSubpath()


@lru_cache(maxsize=2048)
def number_path(text: str) -> QPainterPath:
    """Return a number as an outline one unit high, about its own middle, y down."""
    font = QFont()
    font.setPixelSize(100)
    font.setBold(True)
    path = QPainterPath()
    path.addText(0, 0, font, text)
    bounds = path.boundingRect()
    height = max(QFontMetricsF(font).capHeight(), 1.0)
    move = QTransform.fromTranslate(-bounds.center().x(), -bounds.center().y())
    return (move * QTransform.fromScale(1 / height, 1 / height)).map(path)


@lru_cache(maxsize=2048)
def number_size(text: str) -> tuple[float, float]:
    """Return how wide and high `number_path` is."""
    bounds = number_path(text).boundingRect()
    return bounds.width(), bounds.height()


@lru_cache(maxsize=512)
def number_place(footprint: Footprint) -> XY:
    """Return where a number stands on a part at 0 degrees: its middle if that is well inside, else its widest place."""
    if isinstance(footprint, Disc):
        return 0.0, 0.0
    import shapely

    part = shapely.Polygon(footprint.points)
    middle = shapely.Point(0.0, 0.0)
    widest = shapely.maximum_inscribed_circle(part, tolerance=0.02 * math.sqrt(part.area))
    room = part.exterior.distance(middle) if part.covers(middle) else 0.0
    if room >= 0.7 * widest.length:
        return 0.0, 0.0
    x, y = widest.coords[0]
    return float(x), float(y)
