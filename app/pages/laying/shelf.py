"""The shelf: the masters of the project, each with its picture; drag one into the box, or put it there by a button."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QMimeData, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPainterPath, QPen, QPixmap
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QListWidgetItem

from app.canvas.paths import footprint_path
from app.pages.laying.solids import parse_source
from app.theme import Look, current_look
from app.words import tr
from layout.units import parse_length_mm

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QContextMenuEvent
    from PySide6.QtWidgets import QWidget

    from app.canvas.desk import Desk
    from layout.model import Master, MasterId, Project

MASTER_MIME = "application/x-manymold-master"
_PICTURE = 36


def picture_of(master: Master, look: Look, ratio: float, size: int = _PICTURE) -> QPixmap:
    """Return a small picture of a master's footprint."""
    pixmap = QPixmap(round(size * ratio), round(size * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    # a copy: an older project's ring has no hole but in its name, and the path is shared
    path = QPainterPath(footprint_path(master.footprint, 0.0, master.holes))
    hole = 0.0 if master.holes else _hole_mm(master)
    if hole:
        path.addEllipse(QPointF(0.0, 0.0), hole / 2.0, hole / 2.0)
    bounds = path.boundingRect()
    scale = (size - 6) / max(bounds.width(), bounds.height(), 1e-6)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(QPointF(size / 2, size / 2))
    painter.scale(scale, -scale)
    pen = QPen(QColor(look.cavity_line), 1.5)
    pen.setCosmetic(True)
    painter.setPen(pen)
    painter.setBrush(QColor(look.cavity))
    painter.drawPath(path)
    painter.end()
    return pixmap


def _count_text(number: int, wanted: int | None) -> str:
    if wanted == 0:
        return tr("{n} in the box, left out of fills", n=number)
    if wanted is not None:
        return tr("{n} in the box, {wanted} wanted", n=number, wanted=wanted)
    return tr("{n} in the box", n=number)


def _is_delete(event: QKeyEvent) -> bool:
    return event.key() == Qt.Key.Key_Delete and event.modifiers() == Qt.KeyboardModifier.NoModifier


def _hole_mm(master: Master) -> float:
    """Return how wide the hole of a ring is; 0 for any other master."""
    solid = parse_source(master.source)
    return parse_length_mm(solid.sizes[1], master.name) if solid is not None and solid.kind.word == "ring" else 0.0


class Shelf(QListWidget):
    """Lists the masters; the current one is the desk's chosen master.

    Signals
    -------
    put_asked()
        The chosen master is wanted in the box (double click or Enter).
    remove_asked()
        The chosen master is to be taken off the shelf (Del).
    menu_asked(QPoint)
        A menu for the chosen master is wanted here, on the screen.
    """

    put_asked = Signal()
    remove_asked = Signal()
    menu_asked = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._filling = False
        self.setIconSize(QSize(_PICTURE, _PICTURE))
        self.setDragEnabled(True)
        self.setDragDropMode(QAbstractItemView.DragDropMode.DragOnly)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setAccessibleName(tr("Shelf of masters"))
        self.setToolTip(tr("Drag a master into the box, or press Enter to put one where it fits"))
        self.setWordWrap(True)
        self.currentRowChanged.connect(self._choose)
        self.itemDoubleClicked.connect(lambda _item: self.put_asked.emit())
        desk.store.changed.connect(self.show_project)
        desk.master_chosen.connect(self._show_chosen)
        self.show_project(desk.project)

    def show_project(self, project: Project, look: Look | None = None) -> None:
        """List the project's masters with how many of each are in the box."""
        look = look or current_look()
        self._filling = True
        while self.count() > len(project.masters):
            self.takeItem(self.count() - 1)
        counts: dict[MasterId, int] = {}
        for cavity in project.cavities:
            counts[cavity.master] = counts.get(cavity.master, 0) + 1
        for row, master in enumerate(project.masters):
            if row == self.count():
                self.addItem(QListWidgetItem())
            item = self.item(row)
            known = item.data(Qt.ItemDataRole.UserRole)
            if known is None or known[0] is not master or known[1] is not look:
                item.setData(Qt.ItemDataRole.DecorationRole, picture_of(master, look, self.devicePixelRatioF()))
                item.setData(Qt.ItemDataRole.UserRole, (master, look))
            number = counts.get(master.id, 0)
            item.setText(f"{master.name}\n{_count_text(number, master.wanted)}")
        self._filling = False
        self._show_chosen()

    def _show_chosen(self) -> None:
        """Light the master whose fields are shown."""
        rows = [row for row, m in enumerate(self._desk.project.masters) if m.id == self._desk.master]
        self._filling = True
        if rows and rows[0] < self.count():
            self.setCurrentRow(rows[0])
            self.scrollToItem(self.item(rows[0]))
        self._filling = False

    def _choose(self, row: int) -> None:
        masters = self._desk.project.masters
        if not self._filling and 0 <= row < len(masters) and masters[row].id != self._desk.master:
            self._desk.choose_master(masters[row].id)

    def sizeHint(self) -> QSize:
        return QSize(220, 130)

    def event(self, event: QEvent) -> bool:
        # Del is the window's for what is selected in the box; here it is for what is lit here
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride and _is_delete(event):
            event.accept()
            return True
        return super().event(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        if self._desk.master is not None:
            self.menu_asked.emit(event.globalPos())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.put_asked.emit()
        elif _is_delete(event):
            self.remove_asked.emit()
        else:
            super().keyPressEvent(event)

    def mimeData(self, items: Sequence[QListWidgetItem]) -> QMimeData:
        data = QMimeData()
        if self._desk.master is not None:
            data.setData(MASTER_MIME, str(self._desk.master).encode())
        return data

    def picture_rect(self, row: int) -> QRectF:
        """Return where a row is, for tests that drag."""
        return QRectF(self.visualItemRect(self.item(row)))
