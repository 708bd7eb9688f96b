"""The shelf: the masters of the project, each with its picture; drag one into the box, or put it there by a button."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPen, QPixmap
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QListWidgetItem

from app.canvas.items import footprint_path
from app.theme import Look, current_look
from app.words import counted, tr

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QKeyEvent
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
    path = footprint_path(master.footprint, 0.0)
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


class Shelf(QListWidget):
    """Lists the masters; the current one is the desk's chosen master.

    Signals
    -------
    put_asked()
        The chosen master is wanted in the box (double click or Enter).
    remove_asked()
    """

    put_asked = Signal()
    remove_asked = Signal()

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
        desk.master_chosen.connect(lambda: self.show_project(self._desk.project))
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
                item.setIcon(QIcon(picture_of(master, look, self.devicePixelRatioF())))
                item.setData(Qt.ItemDataRole.UserRole, (master, look))
            number = counts.get(master.id, 0)
            item.setText(f"{master.name}\n{counted(number, '{n} in the box', '{n} in the box')}")
            if master.id == self._desk.master:
                self.setCurrentRow(row)
        self._filling = False

    def _choose(self, row: int) -> None:
        masters = self._desk.project.masters
        if not self._filling and 0 <= row < len(masters) and masters[row].id != self._desk.master:
            self._desk.choose_master(masters[row].id)

    def sizeHint(self) -> QSize:
        return QSize(220, 130)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.put_asked.emit()
        elif event.key() == Qt.Key.Key_Delete:
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
