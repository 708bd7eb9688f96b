"""Finds what can't be read in a window: text cut, widgets one over another, tiny letters, words over words."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QModelIndex, QPoint, QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPaintDevice, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractSpinBox,
    QComboBox,
    QDialog,
    QLabel,
    QLineEdit,
    QListView,
    QTabBar,
    QTableView,
    QWidget,
)

SMALLEST_PX = 9.0
"""Letters below this height of the font are not read at arm's length. Common practice, no source."""


def faults(window: QWidget) -> list[str]:
    """Return what is wrong with the widgets as they stand."""
    return [*cut_texts(window), *squeezed(window), *overlapping(window)]


def _seen(window: QWidget) -> list[QWidget]:
    """The visible widgets of a window, without those of dialogs that stand over it."""
    return [w for w in window.findChildren(QWidget) if w.isVisible() and w.window() is window and w.width() > 0]


def cut_texts(window: QWidget) -> list[str]:
    """Return the texts that do not fit where they stand."""
    cut = []
    for widget in _seen(window):
        for text, room, needed in _texts(widget):
            if room + 1 < needed:
                cut.append(f"{type(widget).__name__}: {text!r} has {room:.0f} of {needed:.0f}")
    return cut


def _texts(widget: QWidget) -> Iterator[tuple[str, float, float]]:
    """Each text of a widget, the room there is for it and the room it needs, in pixels."""
    metrics = widget.fontMetrics()
    if isinstance(widget, QLabel):
        text = widget.text()
        if not text or "<" in text:
            return
        if not widget.wordWrap():
            widest = max(metrics.horizontalAdvance(line.replace("&", "")) for line in text.splitlines())
            yield text, widget.contentsRect().width(), widest
            yield text, widget.height(), metrics.height() * len(text.splitlines()) - 3
        else:
            yield f"{text} (in height)", widget.height(), min(widget.heightForWidth(widget.width()), 10_000) - 2
            yield from ((word, widget.width(), metrics.horizontalAdvance(word)) for word in text.split())
    elif isinstance(widget, QComboBox):
        yield widget.currentText(), widget.width(), metrics.horizontalAdvance(widget.currentText()) + 24
    elif isinstance(widget, QAbstractButton):
        lines = widget.text().replace("&", "").splitlines() or [""]
        needed = max(metrics.horizontalAdvance(line) for line in lines)
        yield widget.text(), widget.width(), min(widget.sizeHint().width(), needed + 8) if needed else 0
    elif isinstance(widget, QLineEdit):
        # a hint that is too long ends in dots and stands whole in the tool tip
        hint = "" if widget.placeholderText() in widget.toolTip() else widget.placeholderText()
        text = widget.text() or hint
        yield text, widget.width() - 14, metrics.horizontalAdvance(text)
    elif isinstance(widget, QTabBar):
        for index in range(widget.count()):
            text = widget.tabText(index)
            yield text, widget.tabRect(index).width() - 8, metrics.horizontalAdvance(text.replace("&", ""))
    elif isinstance(widget, QTableView):
        yield from _cells(widget)
    elif isinstance(widget, QListView):
        yield from _rows(widget)


def _cells(table: QTableView) -> Iterator[tuple[str, float, float]]:
    model, header = table.model(), table.horizontalHeader()
    if model is None:
        return
    for column in range(model.columnCount(QModelIndex())):
        if table.isColumnHidden(column):
            continue
        if header.isVisible():
            title = str(model.headerData(column, Qt.Orientation.Horizontal) or "")
            needed = max((header.fontMetrics().horizontalAdvance(line) for line in title.splitlines()), default=0)
            yield f"heading {title}", header.sectionSize(column), needed
        for row in range(model.rowCount(QModelIndex())):
            index = model.index(row, column)
            if table.indexWidget(index) is None:
                text = str(index.data() or "")
                if text and text == index.data(Qt.ItemDataRole.ToolTipRole):
                    continue
                yield f"cell {text}", table.columnWidth(column), table.fontMetrics().horizontalAdvance(text)
    if table.viewport().width() < header.length() and not table.horizontalScrollBar().isVisible():
        yield "the table", table.viewport().width(), header.length()


def _rows(view: QListView) -> Iterator[tuple[str, float, float]]:
    model = view.model()
    if model is None:
        return
    for row in range(model.rowCount(QModelIndex())):
        index = model.index(row, 0)
        text, rect = str(index.data() or ""), view.visualRect(index)
        if rect.isEmpty() or not view.viewport().rect().intersects(rect):
            continue
        lines = [text] if view.wordWrap() else text.splitlines()
        widest = max((view.fontMetrics().horizontalAdvance(line) for line in lines), default=0)
        if not view.wordWrap() and not view.horizontalScrollBar().isVisible():
            yield f"row {text}", view.viewport().width(), widest
        tick = view.fontMetrics().height() if index.data(Qt.ItemDataRole.CheckStateRole) is not None else 0
        yield f"row {text} (in height)", rect.height(), max(tick, view.fontMetrics().height() * text.count("\n"))


def squeezed(window: QWidget) -> list[str]:
    """Return the fields and buttons lower than a line of text with a little air."""
    found = []
    for widget in _seen(window):
        field = isinstance(widget, QLineEdit | QComboBox | QAbstractSpinBox) or (
            isinstance(widget, QAbstractButton) and bool(widget.text())
        )
        if field and not isinstance(widget.parentWidget(), QAbstractSpinBox | QComboBox):
            least = widget.fontMetrics().height() + (0 if isinstance(widget, QAbstractButton) else 4)
            if widget.height() < min(least, widget.sizeHint().height()):
                found.append(f"{type(widget).__name__} {_name(widget)!r} is {widget.height()} px high")
    return found


def _name(widget: QWidget) -> str:
    return widget.accessibleName() or str(getattr(widget, "text", lambda: "")())


def overlapping(window: QWidget) -> list[str]:
    """Return the siblings in a layout that cover each other."""
    found = []
    seen = [w for w in _seen(window) if not w.isWindow()]
    by_parent: dict[int, list[QWidget]] = {}
    for widget in seen:
        by_parent.setdefault(id(widget.parentWidget()), []).append(widget)
    for siblings in by_parent.values():
        parent = siblings[0].parentWidget()
        if parent is None or parent.layout() is None:
            continue
        managed = [w for w in siblings if parent.layout().indexOf(w) >= 0 or _nested(parent, w)]
        for i, a in enumerate(managed):
            for b in managed[i + 1 :]:
                common = a.geometry().intersected(b.geometry())
                if common.width() > 1 and common.height() > 1:
                    found.append(f"{type(a).__name__} {_name(a)!r} covers {type(b).__name__} {_name(b)!r}")
        inside = parent.rect().adjusted(-1, -1, 1, 1)
        found += [f"{type(w).__name__} {_name(w)!r} is cut by its frame" for w in managed
                  if not inside.contains(w.geometry())]  # fmt: skip
    return found


def _nested(parent: QWidget, widget: QWidget) -> bool:
    """Whether a widget stands in a layout inside its parent's layout."""
    from app.notes import _path

    layout = parent.layout()
    return layout is not None and bool(_path(layout, widget))


@dataclass(frozen=True)
class Painted:
    """One text that a widget painted itself."""

    text: str
    device: int
    rect: QRectF
    height_px: float
    device_size: tuple[float, float]


@contextmanager
def painted_texts() -> Iterator[list[Painted]]:
    """Record what is drawn by our own painting while this lasts, in logical pixels of the device painted on."""
    record: list[Painted] = []
    own = QPainter.drawText

    def note(painter: QPainter, *args: Any) -> object:
        if "printing" not in sys._getframe(1).f_code.co_filename:
            painted = _painted(painter, args)
            if painted is not None:
                record.append(painted)
        return own(painter, *args)

    QPainter.drawText = note  # type: ignore[assignment, method-assign]
    try:
        yield record
    finally:
        QPainter.drawText = own  # type: ignore[method-assign]


def _painted(painter: QPainter, args: tuple[Any, ...]) -> Painted | None:
    text = next((a for a in args if isinstance(a, str)), "")
    if not text.strip():
        return None
    metrics = QFontMetricsF(painter.font())
    place = args[0]
    if isinstance(place, QRectF | QRect):
        flags = args[1] if isinstance(args[1], int) else getattr(args[1], "value", 0)
        rect = metrics.boundingRect(QRectF(place), flags, text)
    elif isinstance(place, QPointF | QPoint):
        rect = metrics.tightBoundingRect(text).translated(QPointF(place))
    else:
        rect = metrics.tightBoundingRect(text).translated(QPointF(args[0], args[1]))
    turned = painter.combinedTransform()
    device: QPaintDevice = painter.device()
    ratio = device.devicePixelRatioF()
    scale = (turned.m21() ** 2 + turned.m22() ** 2) ** 0.5
    shown = turned.mapRect(rect)
    shown = QRectF(shown.x() / ratio, shown.y() / ratio, shown.width() / ratio, shown.height() / ratio)
    size = (device.width(), device.height())
    if isinstance(device, QPixmap):
        size = (device.width() / ratio, device.height() / ratio)
    return Painted(text, id(device), shown, painter.fontInfo().pixelSize() * scale / ratio, size)


def painted_faults(record: list[Painted]) -> list[str]:
    """Return the painted texts that are too small, lie over each other or run out of the picture."""
    found = [f"{p.text!r} is {p.height_px:.1f} px high" for p in record if p.height_px + 0.05 < SMALLEST_PX]
    for i, a in enumerate(record):
        for b in record[i + 1 :]:
            common = a.rect.intersected(b.rect)
            if a.device == b.device and common.width() > 2 and common.height() > 2 and a.rect != b.rect:
                found.append(f"{a.text!r} and {b.text!r} lie over each other")
    return list(dict.fromkeys(found))


def top_dialog(window: QWidget) -> QDialog | None:
    """Return the dialog that stands over a window."""
    return next((d for d in window.findChildren(QDialog) if d.isVisible()), None)
