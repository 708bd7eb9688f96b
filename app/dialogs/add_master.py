"""A new master: a simple solid with live sizes and its picture, or a file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
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
        from_file.setAutoDefault(False)
        last = settings.remembered("master kind")
        self.kind.setCurrentIndex(int(last) if last.isdigit() and int(last) < len(KINDS) else 0)
        self._build()
        # after what was made anew by `_build`: otherwise the button is what has the focus, and Enter adds a part unseen
        self.setTabOrder(self.sizes[-1], self.add)
        cancel = self._buttons.button(QDialogButtonBox.StandardButton.Cancel)
        self.setTabOrder(self.add, from_file)
        self.setTabOrder(from_file, cancel)
        self.sizes[0].setFocus()
        self.sizes[0].selectAll()

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
        for name, start in zip(kind.sizes, kind.start_mm(self._desk.project.units), strict=True):
            field = length_field(tr(name), lambda: self._desk.project.units)
            field.tells = False
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
