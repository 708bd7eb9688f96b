"""A new master: a simple solid with live sizes and its picture, or a file."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from app.dialogs.add_file import ask_file, put_on_shelf
from app.fields import AmountField, length_field, length_field_text, typed_length_mm
from app.pages.laying.shelf import picture_of
from app.pages.laying.solids import KINDS, made_solid, odd_size
from app.theme import current_look
from app.words import said, tr
from layout.errors import LayoutError
from layout.masters import read_master
from layout.units import volume_text

if TYPE_CHECKING:
    from app.canvas.desk import Desk
    from app.settings import Settings
    from layout.model import Master


_PICTURE = 96


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
        self._picture.setMinimumHeight(_PICTURE + 4)
        self._facts.setWordWrap(True)
        # room for a sentence, so that it takes none from the picture
        self._facts.setMinimumHeight(4 * self.fontMetrics().lineSpacing())
        self._facts.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._confirmed = False
        self.add = QPushButton(tr("Add to the shelf"))
        self.add.setProperty("main", True)
        self.add.setDefault(True)
        self._from = QPushButton(tr("From a file…"))
        self.cancel = QPushButton(tr("Cancel"))
        # no button box: with fields made anew in front of it, its last button is out of reach of Tab
        buttons = QHBoxLayout()
        buttons.addStretch(1)
        for button in (self.add, self._from, self.cancel):
            buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.addLayout(self._form)
        column.addWidget(self._picture)
        column.addWidget(self._facts)
        column.addLayout(buttons)
        self.setMinimumWidth(360)
        self.kind.activated.connect(self._build)
        self.corners.valueChanged.connect(self._show)
        self.add.clicked.connect(self._accept)
        self.cancel.clicked.connect(self.reject)
        self._from.clicked.connect(self._from_file)
        for button in (self._from, self.cancel):
            button.setAutoDefault(False)
        last = settings.remembered("master kind")
        self.kind.setCurrentIndex(int(last) if last.isdigit() and int(last) < len(KINDS) else 0)
        self._build()
        self.sizes[0].setFocus()
        self.sizes[0].selectAll()

    def _build(self, *_index: object) -> None:
        from_shape = self.kind.hasFocus()
        for widget in (self.kind, self.corners):
            widget.setParent(None)
        while self._form.rowCount():
            self._form.removeRow(0)
        kind = KINDS[self.kind.currentIndex()]
        self.sizes = []
        self._row(tr("Shape"), self.kind)
        if kind.corners:
            self._row(tr("Corners"), self.corners)
        for name, start in zip(kind.sizes, kind.start_mm(self._desk.project.units), strict=True):
            field = length_field(tr(name), lambda: self._desk.project.units)
            field.tells = False
            field.set_value(start)
            field.committed.connect(self._show)
            field.textEdited.connect(self._typing)
            self.sizes.append(field)
            self._row(tr(name), field)
        self._order_tabs(from_shape)
        self._show()

    def _order_tabs(self, from_shape: bool) -> None:
        """Let Tab go down the fields and along the buttons, and leave the focus where the user was."""
        corners = [self.corners] if KINDS[self.kind.currentIndex()].corners else []
        chain = [self.kind, *corners, *self.sizes, self.add, self._from, self.cancel]
        for before, after in pairwise(chain):
            self.setTabOrder(before, after)
        if from_shape:
            self.kind.setFocus()

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
        kind = KINDS[self.kind.currentIndex()]
        solid = made_solid(kind, [self._length(field) for field in self.sizes], units, self.corners.value())
        taken = {m.id for m in self._desk.project.masters}
        return read_master(solid.source(), name=tr(solid.kind.name), taken_ids=taken)

    def _length(self, field: AmountField) -> float:
        """Return what is typed in a field, or what it stands for while nothing is typed."""
        if field.value is not None and not field.is_changed:
            return field.value
        return typed_length_mm(field.text(), field.accessibleName(), self._desk.project.units)

    def _odd(self) -> str:
        """Return the question about sizes that look like a slip."""
        units = self._desk.project.units
        asked = (odd_size(field.accessibleName(), self._length(field), units) for field in self.sizes)
        return " ".join(question for question in asked if question)

    def _show(self, *_value: object) -> None:
        self._confirmed = False
        self.add.setText(tr("Add to the shelf"))
        try:
            master = self.master()
        except LayoutError as error:
            problem = said(error.problem)
            self._facts.setText(f"▲ {problem[:1].upper()}{problem[1:]}; {said(error.remedy)}.")
            self._mark(error.where)
            self.add.setEnabled(False)
            return
        self._mark("")
        units = self._desk.project.units
        self.add.setEnabled(True)
        self._picture.setPixmap(picture_of(master, current_look(), self.devicePixelRatioF(), _PICTURE))
        text = tr(
            "{height} high, {volume}",
            height=length_field_text(master.height_mm, units),
            volume=volume_text(master.volume_ml, units),
        )
        odd = self._odd()
        self._facts.setText(f"{text}\n▲ {odd}" if odd else text)

    def _mark(self, where: str) -> None:
        """Frame the field that is wrong."""
        for field in self.sizes:
            field.frame(wrong=field.accessibleName() == where)

    def _accept(self) -> None:
        try:
            master = self.master()
        except LayoutError:
            self._show()
            return
        if self._odd() and not self._confirmed:
            # the first press asks, the second one is the answer
            self._confirmed = True
            self.add.setText(tr("Yes, add it"))
            return
        self._settings.remember("master kind", str(self.kind.currentIndex()))
        put_on_shelf(self._desk, master)
        self.accept()

    def _from_file(self) -> None:
        dialog = ask_file(self, self._desk, self._settings)
        if dialog is not None:
            dialog.accepted.connect(self.accept)
