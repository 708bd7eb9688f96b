"""A new master: a simple solid with live sizes and its picture, or a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QInputDialog,
    QLabel,
    QMessageBox,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from app.fields import AmountField, length_field, typed_length_mm
from app.pages.laying.shelf import picture_of
from app.pages.laying.solids import KINDS, SolidText
from app.theme import current_look
from app.words import said, tr
from layout import edits
from layout.errors import LayoutError
from layout.masters import read_master
from layout.units import length_text, volume_text

if TYPE_CHECKING:
    from app.canvas.desk import Desk
    from app.settings import Settings
    from layout.model import Master

_DRAWINGS = (".dxf", ".svg")


class AddMaster(QDialog):
    """Asks for a simple solid."""

    def __init__(self, desk: Desk, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("Add a master"))
        self._desk, self._settings = desk, settings
        self.kind = QComboBox()
        self.kind.addItems([tr(k.name) for k in KINDS])
        self.kind.setAccessibleName(tr("Shape"))
        self.corners = QSpinBox()
        self.corners.setRange(3, 60)
        self.corners.setValue(5)
        self.corners.setAccessibleName(tr("Corners"))
        self.sizes: list[AmountField] = []
        self._form = QFormLayout()
        self._picture, self._facts = QLabel(), QLabel()
        self._picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._facts.setWordWrap(True)
        self._buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.add = QPushButton(tr("Add to the shelf"))
        self.add.setProperty("main", True)
        self.add.setDefault(True)
        self._buttons.addButton(self.add, QDialogButtonBox.ButtonRole.AcceptRole)
        from_file = QPushButton(tr("From a file…"))
        self._buttons.addButton(from_file, QDialogButtonBox.ButtonRole.ActionRole)
        column = QVBoxLayout(self)
        column.addLayout(self._form)
        column.addWidget(self._picture)
        column.addWidget(self._facts)
        column.addWidget(self._buttons)
        self.setMinimumWidth(360)
        self.kind.activated.connect(self._build)
        self.corners.valueChanged.connect(self._show)
        self._buttons.accepted.connect(self._accept)
        self._buttons.rejected.connect(self.reject)
        from_file.clicked.connect(self._from_file)
        last = settings.remembered("master kind")
        self.kind.setCurrentIndex(int(last) if last.isdigit() and int(last) < len(KINDS) else 0)
        self._build()

    def _build(self, *_index: object) -> None:
        for widget in (self.kind, self.corners):
            widget.setParent(None)
        while self._form.rowCount():
            self._form.removeRow(0)
        kind = KINDS[self.kind.currentIndex()]
        self.sizes = []
        self._row(tr("Shape"), self.kind)
        if kind.corners:
            self._row(tr("Corners"), self.corners)
        for name, start in zip(kind.sizes, kind.start, strict=True):
            field = length_field(tr(name), lambda: self._desk.project.units, 0.0)
            field.set_value(start)
            field.committed.connect(self._show)
            field.textEdited.connect(self._typing)
            self.sizes.append(field)
            self._row(tr(name), field)
        self._show()

    def _row(self, label: str, widget: QWidget) -> None:
        buddy = QLabel(label)
        buddy.setBuddy(widget)
        self._form.addRow(buddy, widget)
        widget.setVisible(True)

    def _typing(self, _text: str) -> None:
        """Show the solid while it is typed, as far as it can be read."""
        self._show()

    def master(self) -> Master:
        """Return the solid that the fields describe; raises what is wrong with them."""
        units = self._desk.project.units
        sizes = tuple(f"{typed_length_mm(f.text(), f.accessibleName(), units, 0.0):.12g}" for f in self.sizes)
        solid = SolidText(KINDS[self.kind.currentIndex()], sizes, self.corners.value())
        taken = {m.id for m in self._desk.project.masters}
        return read_master(solid.source(), name=tr(solid.kind.name), taken_ids=taken)

    def _show(self, *_value: object) -> None:
        try:
            master = self.master()
        except LayoutError as error:
            self._facts.setText(f"▲ {said(error.problem)}; {said(error.remedy)}")
            self.add.setEnabled(False)
            return
        units = self._desk.project.units
        self.add.setEnabled(True)
        self._picture.setPixmap(picture_of(master, current_look(), self.devicePixelRatioF(), 96))
        self._facts.setText(
            tr(
                "{height} high, {volume}",
                height=length_text(master.height_mm, units),
                volume=volume_text(master.volume_ml, units),
            )
        )

    def _accept(self) -> None:
        try:
            master = self.master()
        except LayoutError as error:
            self._facts.setText(f"▲ {said(error.problem)}; {said(error.remedy)}")
            return
        self._settings.remember("master kind", str(self.kind.currentIndex()))
        put_on_shelf(self._desk, master)
        self.accept()

    def _from_file(self) -> None:
        if ask_file(self, self._desk, self._settings):
            self.accept()


def put_on_shelf(desk: Desk, master: Master) -> None:
    """Add a master and choose it."""
    if desk.do(tr("Add a master"), lambda p: edits.add_master(p, master)):
        desk.choose_master(desk.project.masters[-1].id)


def ask_file(parent: QWidget, desk: Desk, settings: Settings) -> bool:
    """Ask for a file and add it as a master; return whether one was added."""
    name, _ = QFileDialog.getOpenFileName(
        parent,
        tr("Add a master from a file"),
        str(settings.last_folder),
        tr("Outlines and solids (*.dxf *.svg *.stl *.obj *.3mf);;All files (*)"),
    )
    if not name:
        return False
    settings.last_folder = Path(name).parent
    return add_file(parent, desk, name)


def add_file(parent: QWidget, desk: Desk, name: str) -> bool:
    """Add a file as a master, asking for the height of an outline; return whether one was added."""
    height: float | None = None
    if name.lower().endswith(_DRAWINGS):
        height = _ask_height(parent, desk, Path(name).name)
        if height is None:
            return False
    try:
        master = read_master(name, height_mm=height, taken_ids={m.id for m in desk.project.masters})
    except LayoutError as error:
        _tell(parent, said(error))
        return False
    put_on_shelf(desk, master)
    from layout.masters.sizes import size_warning

    warning = size_warning(master)
    if warning:
        desk.told.emit(warning)
    return True


def _ask_height(parent: QWidget, desk: Desk, name: str) -> float | None:
    text, ok = QInputDialog.getText(
        parent, tr("Height of the part"), tr("{file} is an outline. How high is the part?", file=name)
    )
    if not ok:
        return None
    try:
        return typed_length_mm(text, tr("Height"), desk.project.units, 0.01)
    except LayoutError as error:
        _tell(parent, said(error))
        return None


def _tell(parent: QWidget, sentence: str) -> None:
    box = QMessageBox(QMessageBox.Icon.Warning, tr("Add a master"), sentence, QMessageBox.StandardButton.Ok, parent)
    box.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.open()
