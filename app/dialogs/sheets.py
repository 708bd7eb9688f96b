"""The user's own sheets: kept on disk, named on the Box page and by command like the program's own."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
)

from app import user_catalogue
from app.fields import TypedField, length_field, length_field_text, number_field
from app.notes import AlarmLabel
from app.words import said, short, tr
from layout.box.cutters import refuse_laser
from layout.errors import LayoutError
from layout.materials import Catalogue, Sheet, built_in, parse_sheet, same_name
from layout.units import parse_size_mm

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from layout.units import Units


class SheetsDialog(QDialog):
    """Lists all sheets; the user's own can be entered, changed and removed.

    Signals
    -------
    kept(str)
        A sheet of this name was kept or removed: lists of sheets are to be filled anew.
    """

    kept = Signal(str)

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Sheets"))
        self._units = units
        self._own = user_catalogue.EMPTY
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Sheets"))
        self.name = TypedField(tr("Name"))
        self.name.setPlaceholderText(tr("twin wall"))
        self.thickness = length_field(tr("Thickness"), lambda: units, 0.1)
        self.stiffness = number_field(tr("Stiffness"), " GPa", 0.001, 500.0)
        self.thickness.setPlaceholderText(tr("measured, like {example}", example=length_field_text(4.7625, units)))
        self.stiffness.setPlaceholderText(tr("unknown, or like 1.1 GPa"))
        self.stiffness.set_tip(tr("How stiff it is in bending; Measure… on the Box page finds it from a strip"))
        self.sold_as = TypedField(tr("Sold as"))
        self.sold_as.setPlaceholderText("20x30in" if units.length == "in" else "600x400")
        self.laser = QCheckBox(tr("A laser may cut it: its maker says so"))
        self.problem = AlarmLabel()
        self._build()
        self._load()
        self._fill("")

    def _build(self) -> None:
        form = QFormLayout()
        for words, field in (
            (tr("Name"), self.name),
            (tr("Thickness"), self.thickness),
            (tr("Stiffness"), self.stiffness),
            (tr("Sold as"), self.sold_as),
            ("", self.laser),
        ):
            form.addRow(words, field)
        middle = QHBoxLayout()
        middle.addWidget(self.list, 1)
        middle.addLayout(form, 2)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.remove = self.buttons.addButton(tr("Remove mine"), QDialogButtonBox.ButtonRole.ActionRole)
        self.keep = self.buttons.addButton(tr("Keep in my catalogue"), QDialogButtonBox.ButtonRole.ApplyRole)
        self.keep.setProperty("main", True)
        note = QLabel(tr("A sheet you know nothing of is taken for one that no laser may cut."))
        note.setWordWrap(True)
        note.setProperty("role", "quiet")
        column = QVBoxLayout(self)
        column.addLayout(middle, 1)
        column.addWidget(note)
        column.addWidget(self.problem)
        column.addWidget(self.buttons)
        self.list.currentItemChanged.connect(lambda now, _before: self._chosen(now))
        self.keep.clicked.connect(lambda: self._keep())
        self.remove.clicked.connect(lambda: self._remove())
        self.buttons.rejected.connect(self.reject)
        self.resize(640, 380)

    def _load(self) -> None:
        try:
            self._own = user_catalogue.users_own()
        except LayoutError as error:
            self.problem.setText(said(error))
            self.keep.setEnabled(False)

    def _is_own(self, name: str) -> bool:
        return any(same_name(s.name, name) for s in self._own.sheets)

    def _fill(self, chosen: str) -> None:
        self.list.clear()
        for sheet in built_in().merged(self._own).sheets:
            own = self._is_own(sheet.name)
            item = QListWidgetItem(tr("{name} (mine)", name=sheet.name) if own else tr(sheet.name))
            item.setData(Qt.ItemDataRole.UserRole, sheet)
            self.list.addItem(item)
            if chosen and same_name(sheet.name, chosen):
                self.list.setCurrentItem(item)
        if not chosen:
            self.remove.setEnabled(False)

    def _chosen(self, item: QListWidgetItem | None) -> None:
        if item is None:
            return
        sheet: Sheet = item.data(Qt.ItemDataRole.UserRole)
        self.name.setText(sheet.name)
        self.thickness.set_value(sheet.thickness_mm)
        self.stiffness.set_value(sheet.e_gpa)
        first = [length_field_text(v, self._units) for size in sheet.stock_mm[:1] for v in size]
        # the unit once, behind both
        self.sold_as.setText(" x ".join(first).replace(f" {self._units.length} x", " x"))
        self.laser.setChecked(not sheet.no_laser)
        self.remove.setEnabled(self._is_own(sheet.name))
        for field in (self.name, self.sold_as):
            field.mark("")
        self.problem.setText("")

    def typed(self) -> Sheet:
        """Return the sheet as the fields say.

        Raises
        ------
        LayoutError
            If one can't be read or makes no sense, or a laser must not cut it.
        """
        name = " ".join(self.name.text().replace(",", " ").replace(":", " ").split())
        thickness = "" if self.thickness.value is None else f"{self.thickness.value!r}mm"
        size = self._size()
        text = f"{name}:{thickness}"
        if self.stiffness.value is not None:
            text += f",e={self.stiffness.value!r}"
        if size:
            text += f",stock={size}"
        sheet = parse_sheet(text, tr("Sheet"))
        known = next((s for s in built_in().sheets if same_name(s.name, name)), None)
        if self.laser.isChecked() and (known is None or not known.no_laser):
            sheet = replace(sheet, no_laser=False, cutters=known.cutters if known else ("knife", "router", "laser"))
        if self.laser.isChecked():
            refuse_laser(sheet.name, "laser", (sheet,), tr("Laser"))
        return sheet

    def _is_right(self) -> bool:
        """Whether every field can be read; what is wrong is said under each."""
        for field in (self.name, self.sold_as):
            field.mark("")
        if not self.name.text().strip():
            self.name.mark(tr("Give the sheet a name."))
        if self.thickness.value is None and not self.thickness.is_wrong:
            self.thickness.mark(tr("Measure the sheet and type its thickness."))
        size = self._size()
        if size:
            try:
                parse_size_mm(size, tr("Sold as"))
            except LayoutError as error:
                self.sold_as.mark(short(error))
        return not any(f.is_wrong for f in (self.name, self.thickness, self.stiffness, self.sold_as))

    def _size(self) -> str:
        """The size it is sold as, with its unit; empty if none was typed."""
        size = self.sold_as.text().strip().replace(",", ".").replace(" ", "")
        return size if not size or size[-1].isalpha() else size + self._units.length

    def _keep(self) -> None:
        if not self._is_right():
            return
        try:
            sheet = self.typed()
            own = self._own.merged(Catalogue((), (), (sheet,)))
            user_catalogue.save(own)
        except LayoutError as error:
            self.problem.setText(short(error))
            return
        self._own = own
        self._fill(sheet.name)
        self.kept.emit(sheet.name)

    def _remove(self) -> None:
        name = self.name.text()
        own = replace(self._own, sheets=tuple(s for s in self._own.sheets if not same_name(s.name, name)))
        try:
            user_catalogue.save(own)
        except LayoutError as error:
            self.problem.setText(said(error))
            return
        self._own = own
        self._fill("")
        self.kept.emit(name)
