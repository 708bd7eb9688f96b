"""The left side of the Box page: how the box is built, from which sheet, cut by what, from which stock."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSizePolicy,
    QWidget,
)

from app.dialogs.stiffness import StiffnessDialog
from app.fields import AmountField, TypedField, length_field
from app.pages.parts import FormColumn
from app.store import Store
from app.user_catalogue import catalogue
from app.words import short, tr
from layout.box.bulge import sheet_stiffness_gpa
from layout.box.cutters import KERF_MM
from layout.box.cutting import GAP_MM
from layout.box.stock import USUAL_STOCK
from layout.errors import LayoutError
from layout.materials import Sheet, built_in, refuse_thickness, same_name
from layout.model import Box, Project, RectBox, RoundBox
from layout.shop import CutSettings
from layout.units import length_text, parse_size_mm

_SIZE_ROLE = Qt.ItemDataRole.UserRole
_LEFT_OVER_ROLE = Qt.ItemDataRole.UserRole + 1


class BoxForm(FormColumn):
    """Shows the box and cut settings of the project and changes them, one undo step each.

    Signals
    -------
    relief_changed(str)
        Another mold number is to be cast in; it belongs to this export, not to the project.
    """

    relief_changed = Signal(str)

    def __init__(self, store: Store, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store = store
        self._showing = False
        self._make_joint_group()
        self._make_sheet_group()
        self._make_cutter_group()
        self._make_stock_group()
        self._column.addStretch(1)
        self.show_project(store.project)

    # the widgets

    def _combo(
        self, form: QFormLayout, words: str, items: list[tuple[str, str]], on: Callable[[str], None]
    ) -> QComboBox:
        combo = QComboBox()
        combo.setAccessibleName(words)
        combo.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        combo.setMinimumContentsLength(12)
        combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for data, text in items:
            combo.addItem(text, data)
        form.addRow(words, combo)
        combo.activated.connect(lambda _index: None if self._showing else on(combo.currentData()))
        return combo

    def _length(self, form: QFormLayout, words: str, on: Callable[[float], None], least_mm: float = 0.0) -> AmountField:
        field = length_field(words, lambda: self._store.project.units, least_mm)
        form.addRow(words, field)
        field.committed.connect(on)
        return field

    def _make_joint_group(self) -> None:
        form = self._joint_form = self._group(tr("Joints"))
        self.joint = self._combo(
            form,
            tr("Joint"),
            [("butt", tr("butt")), ("tab", tr("tabs")),
             ("folded", tr("folded from one piece"))],
            lambda joint: self._set_box(tr("Change the joint"), joint=joint),
        )  # fmt: skip
        self.side = self._combo(
            form,
            tr("Side"),
            [("strip", tr("half-cut strip")), ("tube", tr("bought tube"))],
            lambda side: self._set_box(tr("Change the side"), tube_wall_mm=3.0 if side == "tube" else None),
        )
        self.base = self._combo(
            form,
            tr("Base"),
            [("under", tr("under the sides")), ("inside", tr("between the sides"))],
            lambda base: self._set_box(tr("Change the base"), base=base),
        )
        self.corners = self._combo(
            form,
            tr("Corners"),
            [("lap", tr("long sides lap")), ("pinwheel", tr("each laps the next"))],
            lambda corners: self._set_box(tr("Change the corners"), corners=corners),
        )
        self.tab = self._length(form, tr("Tab width"), lambda mm: self._set_box(tr("Change the tabs"), tab_mm=mm), 0.1)
        self.fit = self._length(form, tr("Play of tabs"), lambda mm: self._set_box(tr("Change the play"), fit_mm=mm))
        self.tube_wall = self._length(
            form, tr("Tube's wall"), lambda mm: self._set_box(tr("Change the tube"), tube_wall_mm=mm), 0.1
        )

    def _make_sheet_group(self) -> None:
        form = self._group(tr("Sheet"))
        names = [sheet.name for sheet in _known_sheets()]
        self.sheet = self._combo(form, tr("Sheet"), [(n, n) for n in names], self._choose_sheet)
        self.sheets = QPushButton(tr("Sheets…"))
        self.sheets.setToolTip(tr("See all sheets; enter those of your own"))
        self.sheets.clicked.connect(self._open_sheets)
        form.addRow("", self.sheets)
        self.thickness = self._length(
            form,
            tr("Measured thickness"),
            self._set_thickness,
            0.1,
        )
        self.thickness.set_tip(tr("Measure the sheet in hand: the name of a size is not its size."))
        row = QWidget()
        line = QHBoxLayout(row)
        line.setContentsMargins(0, 0, 0, 0)
        self.stiffness_label = QLabel()
        self.measure = QPushButton(tr("Measure…"))
        line.addWidget(self.stiffness_label, 1)
        line.addWidget(self.measure)
        row.setToolTip(
            tr("How hard the sheet is to bend: tells how far the sides bulge. Measure… finds it with a strip of it.")
        )
        form.addRow(tr("Stiffness"), row)
        self.measure.clicked.connect(self._ask_stiffness)

    def _make_cutter_group(self) -> None:
        form = self._group(tr("Cutter"))
        self.cutter = self._combo(
            form,
            tr("Cutter"),
            [("knife", tr("knife and pen")), ("laser", tr("laser")), ("router", tr("router"))],
            lambda cutter: self._set_cutting(tr("Change the cutter"), cutter=cutter, kerf_mm=None, gap_mm=None),
        )
        self.kerf = self._length(form, tr("Kerf"), lambda mm: self._set_cutting(tr("Change the kerf"), kerf_mm=mm))
        self.kerf.set_tip(tr("Width the cutter takes away; outlines move out by half of it, holes in."))
        self.relief = QLineEdit()
        self.relief.setAccessibleName(tr("Number to cast in"))
        self.relief.setPlaceholderText(tr("none, or like M-12 2026"))
        self.relief.setToolTip(tr("Mold number or date as raised, mirrored letters on the base."))
        self.relief.editingFinished.connect(lambda: self.relief_changed.emit(self.relief.text().strip()))
        form.addRow(tr("Mold number to cast in"), self.relief)

    def _make_stock_group(self) -> None:
        form = self._group(tr("Sheets you have"))
        self.stock = QListWidget()
        self.stock.setAccessibleName(tr("Sheets you have"))
        # as high as its rows, whatever is said below it
        self.stock.setFixedHeight(190)
        self.stock.itemChanged.connect(self._stock_ticked)
        form.addRow(self.stock)
        self.own_size = TypedField(tr("Another size"))
        self.own_size.setPlaceholderText(tr("another size, like 12x18in"))
        form.addRow(self.own_size)
        row = QWidget()
        line = QHBoxLayout(row)
        line.setContentsMargins(0, 0, 0, 0)
        self.add_sheet = QPushButton(tr("Add sheet"))
        self.add_leftover = QPushButton(tr("Add left-over"))
        self.add_leftover.setToolTip(tr("One piece of this size; left-overs are used first."))
        line.addWidget(self.add_sheet)
        line.addWidget(self.add_leftover)
        form.addRow(row)
        self.gap = self._length(
            form, tr("Gap between pieces"), lambda mm: self._set_cutting(tr("Change the gap"), gap_mm=mm)
        )
        self.margin = self._length(
            form, tr("Margin of the sheet"), lambda mm: self._set_cutting(tr("Change the margin"), margin_mm=mm)
        )
        self.margin.set_tip(tr("From a piece to the edge of the sheet."))
        self.add_sheet.clicked.connect(lambda: self._add_size(leftover=False))
        self.add_leftover.clicked.connect(lambda: self._add_size(leftover=True))

    # the project into the widgets

    def show_project(self, project: Project) -> None:
        """Show another project; nothing is changed by that."""
        self._showing = True
        box, cutting = project.box, project.cutting
        for combo, data in (
            (self.joint, box.joint), (self.base, box.base), (self.corners, box.corners),
            (self.side, "strip" if box.tube_wall_mm is None else "tube"), (self.cutter, cutting.cutter),
        ):  # fmt: skip
            combo.setCurrentIndex(combo.findData(data))
        self._show_sheet(box)
        for field in (self.tab, self.fit, self.tube_wall, self.thickness, self.kerf, self.gap, self.margin):
            field.refresh()
        self.tab.set_value(3.0 * box.thickness_mm if box.tab_mm is None else box.tab_mm)
        self.fit.set_value(box.fit_mm)
        self.tube_wall.set_value(box.tube_wall_mm)
        self.thickness.set_value(box.thickness_mm)
        self.kerf.set_value(KERF_MM[cutting.cutter] if cutting.kerf_mm is None else cutting.kerf_mm)
        self.gap.set_value(GAP_MM[cutting.cutter] if cutting.gap_mm is None else cutting.gap_mm)
        self.margin.set_value(cutting.margin_mm)
        self.kerf.setEnabled(cutting.cutter != "knife")
        self._show_rows(box)
        self._show_stock(project)
        self._show_stiffness(project)
        self._showing = False

    def _show_sheet(self, box: Box) -> None:
        index = next((i for i in range(self.sheet.count()) if same_name(self.sheet.itemData(i), box.sheet)), -1)
        if index < 0:
            self.sheet.addItem(box.sheet, box.sheet)
            index = self.sheet.count() - 1
        self.sheet.setCurrentIndex(index)

    def _show_rows(self, box: Box) -> None:
        rect, round_box = isinstance(box.shape, RectBox), isinstance(box.shape, RoundBox)
        for widget, shown in (
            (self.joint, rect),
            (self.side, round_box),
            (self.base, not rect or box.joint == "butt"),
            (self.corners, rect and box.joint == "butt"),
            (self.tab, rect and box.joint == "tab"),
            (self.fit, rect and box.joint == "tab"),
            (self.tube_wall, round_box and box.tube_wall_mm is not None),
        ):
            self._joint_form.setRowVisible(widget, shown)

    def _show_stock(self, project: Project) -> None:
        self.stock.clear()
        chosen = project.cutting.stock_mm
        sizes = [(s.length_mm, s.width_mm, s.name) for s in USUAL_STOCK]
        known = {(a, b) for a, b, _ in sizes}
        sizes += [
            (a, b, f"{length_text(a, project.units)} x {length_text(b, project.units)}")
            for a, b in chosen
            if (a, b) not in known
        ]
        for length, width, words in sizes:
            self._add_row(words, (length, width), ticked=(length, width) in chosen, leftover=False)
        for length, width in project.cutting.leftover_mm:
            words = tr("left-over {a} x {b}", a=length_text(length, project.units), b=length_text(width, project.units))
            self._add_row(words, (length, width), ticked=True, leftover=True)

    def _add_row(self, words: str, size: tuple[float, float], *, ticked: bool, leftover: bool) -> None:
        item = QListWidgetItem(words)
        item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
        item.setData(_SIZE_ROLE, size)
        item.setData(_LEFT_OVER_ROLE, leftover)
        item.setCheckState(Qt.CheckState.Checked if ticked else Qt.CheckState.Unchecked)
        self.stock.addItem(item)

    def _show_stiffness(self, project: Project) -> None:
        try:
            value = sheet_stiffness_gpa(project)
        except LayoutError:
            self.stiffness_label.setText(tr("not known"))
            return
        kind = tr("typical") if project.box.stiffness_gpa is None else tr("measured")
        self.stiffness_label.setText(f"{value:.3g} GPa, {kind}")

    # the widgets into the project

    def _set_box(self, words: str, **changes: Any) -> None:
        project = self._store.project
        self._store.apply(words, replace(project, box=replace(project.box, **changes)))

    def _set_cutting(self, words: str, **changes: Any) -> None:
        project = self._store.project
        cutting: CutSettings = replace(project.cutting, **changes)
        self._store.apply(words, replace(project, cutting=cutting))

    def _set_thickness(self, thickness_mm: float) -> None:
        project = self._store.project
        sheet = next((s for s in _known_sheets() if same_name(s.name, project.box.sheet)), None)
        if sheet is not None:
            try:
                refuse_thickness(sheet, thickness_mm, tr("Measured thickness"), project.units)
            except LayoutError as error:
                self.thickness.refuse(f"{error.problem}; {error.remedy}.")
                return
        self._set_box(tr("Change the thickness"), thickness_mm=thickness_mm)

    def _choose_sheet(self, name: str) -> None:
        sheet = next((s for s in _known_sheets() if s.name == name), None)
        if sheet is None or same_name(name, self._store.project.box.sheet):
            return
        own = not any(same_name(s.name, name) for s in built_in().sheets)
        stiffness = sheet.e_gpa if own else None
        self._set_box(tr("Change the sheet"), sheet=name, thickness_mm=sheet.thickness_mm, stiffness_gpa=stiffness)

    def _stock_ticked(self, _item: QListWidgetItem) -> None:
        if self._showing:
            return
        rows = [self.stock.item(i) for i in range(self.stock.count())]
        ticked = [r for r in rows if r.checkState() == Qt.CheckState.Checked]
        self._set_cutting(
            tr("Change the sheets"),
            stock_mm=tuple(tuple(r.data(_SIZE_ROLE)) for r in ticked if not r.data(_LEFT_OVER_ROLE)),
            leftover_mm=tuple(tuple(r.data(_SIZE_ROLE)) for r in ticked if r.data(_LEFT_OVER_ROLE)),
        )

    def _add_size(self, *, leftover: bool) -> None:
        text = self.own_size.text().strip().replace(",", ".")
        unit = self._store.project.units.length
        try:
            size = parse_size_mm(text if text[-1:].isalpha() else text + unit, tr("Another size"))
        except LayoutError as error:
            self.own_size.mark(short(error))
            return
        self.own_size.mark("")
        self.own_size.clear()
        cutting = self._store.project.cutting
        if leftover:
            self._set_cutting(tr("Add a left-over piece"), leftover_mm=(*cutting.leftover_mm, size))
        elif size not in cutting.stock_mm:
            self._set_cutting(tr("Add a sheet"), stock_mm=(*cutting.stock_mm, size))
        added = [i for i in range(self.stock.count()) if tuple(self.stock.item(i).data(_SIZE_ROLE)) == size]
        if added:
            self.stock.scrollToItem(self.stock.item(added[-1]))

    def _open_sheets(self) -> None:
        from app.dialogs.sheets import SheetsDialog

        dialog = SheetsDialog(self._store.project.units, self)
        dialog.kept.connect(lambda _name: self._fill_sheets())
        dialog.open()

    def _fill_sheets(self) -> None:
        """List the sheets anew, the user's own among them."""
        self._showing = True
        self.sheet.clear()
        for sheet in _known_sheets():
            self.sheet.addItem(sheet.name, sheet.name)
        self._show_sheet(self._store.project.box)
        self._showing = False

    def _ask_stiffness(self) -> None:
        project = self._store.project
        dialog = StiffnessDialog(project.units, project.box.thickness_mm, self, project.box.sheet)
        dialog.accepted.connect(lambda: self._set_box(tr("Set the stiffness"), stiffness_gpa=dialog.stiffness_gpa))
        dialog.open()


def _known_sheets() -> tuple[Sheet, ...]:
    """Return the program's sheets and the user's; only the program's if the user's file is damaged."""
    try:
        return catalogue().sheets
    except LayoutError:
        return built_in().sheets
