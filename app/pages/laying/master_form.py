"""The chosen master: its name and its sizes, live; what is typed is another solid at once, as one undo step."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QLabel, QLineEdit, QSpinBox, QWidget

from app.fields import AmountField, bare_number, length_field, length_field_text, plain_number, refuse_part, within
from app.pages.laying.solids import KINDS, SolidKind, SolidText, made_solid, odd_size, parse_source
from app.words import said, short, tr
from layout import edits
from layout.errors import LayoutError
from layout.units import parse_length_mm, volume_text

if TYPE_CHECKING:
    from app.canvas.desk import Desk
    from layout.model import Master, Project, Turn

_TURNS: tuple[tuple[Turn | None, str], ...] = (
    (None, "As the box says"),
    ("free", "Any angle"),
    ("90", "Quarter turns"),
    ("180", "Half turn"),
    ("0", "Never"),
)


def _wanted(text: str) -> float:
    """Read a wanted number; nothing typed is NaN."""
    if not text.strip():
        return math.nan
    from layout.masters import MOST_WANTED

    name = tr("How many")
    value = bare_number(text, name)
    refuse_part(value, text, name)
    return within(value, text, name, 0, MOST_WANTED, plain_number)


def _wanted_text(value: float) -> str:
    return "" if math.isnan(value) else plain_number(value)


class MasterForm(QWidget):
    """Edits the desk's chosen master.

    Signals
    -------
    wrong(str)
        Sizes that make no solid, and why.
    """

    wrong = Signal(str)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._shown: Master | None = None
        self._units_shown = desk.project.units
        self._fields: list[AmountField] = []
        self._form = QFormLayout(self)
        self._form.setContentsMargins(0, 0, 0, 0)
        self._form.setVerticalSpacing(4)
        self._name = QLineEdit()
        self._name.setMaxLength(60)
        self._name.editingFinished.connect(self._rename)
        self._kind = QComboBox()
        for kind in KINDS:
            self._kind.addItem(tr(kind.name))
        self._kind.activated.connect(self._change_kind)
        self._corners = QSpinBox()
        self._corners.setRange(3, 60)
        self._corners.valueChanged.connect(self._resize)
        self._dome = QCheckBox(tr("Dome on top"))
        self._dome.clicked.connect(self._toggle_dome)
        self.wanted = AmountField(tr("How many"), _wanted, _wanted_text)
        self.wanted.setPlaceholderText(tr("as many as fit"))
        self.wanted.set_tip(tr("How many a fill puts in; empty: as many as fit; 0: it is left out"))
        self.wanted.committed.connect(self._change_wanted)
        self._turn = QComboBox()
        for _, text in _TURNS:
            self._turn.addItem(tr(text))
        self._turn.activated.connect(self._change_turn)
        self._facts = QLabel()
        self._facts.setProperty("role", "quiet")
        self._facts.setWordWrap(True)
        desk.store.changed.connect(self.show_project)

    def show_project(self, project: Project) -> None:
        """Show the chosen master as the project has it."""
        master = next((m for m in project.masters if m.id == self._desk.master), None)
        if master is self._shown and project.units == self._units_shown:
            return
        if master is None or self._shown is None or master.id != self._shown.id:
            for field in (self.wanted, *self._fields):
                field.forget()
        rebuild = self._needs_other_rows(master) or project.units != self._units_shown
        self._shown, self._units_shown = master, project.units
        if rebuild:
            self._build(master)
        self._fill(master)

    def _needs_other_rows(self, master: Master | None) -> bool:
        if master is None or self._shown is None:
            return True
        old, new = parse_source(self._shown.source), parse_source(master.source)
        if old is None or new is None:
            return old is not new or self._shown.id != master.id
        return (old.kind, old.dome is None) != (new.kind, new.dome is None)

    def _build(self, master: Master | None) -> None:
        while self._form.rowCount():
            row = self._form.takeRow(0)
            for item in (row.labelItem, row.fieldItem):
                widget = item.widget() if item else None
                if widget is not None:
                    widget.setParent(None)
        self._fields = []
        self.setVisible(master is not None)
        if master is None:
            return
        self._add_row(tr("Name"), self._name)
        solid = parse_source(master.source)
        if solid is not None:
            self._add_row(tr("Shape"), self._kind)
            if solid.kind.corners:
                self._add_row(tr("Corners"), self._corners)
            for name in solid.kind.sizes:
                self._add_size(tr(name))
            self._form.addRow(self._dome)
            self._dome.setVisible(True)
            if solid.dome is not None:
                self._add_size(tr("Dome across"))
                self._add_size(tr("Dome rise"))
        self._add_row(tr("How many"), self.wanted)
        self._add_row(tr("May turn"), self._turn)
        self._form.addRow(self._facts)
        self._facts.setVisible(True)

    def _add_row(self, label: str, widget: QWidget) -> None:
        buddy = QLabel(label)
        buddy.setBuddy(widget)
        widget.setAccessibleName(label)
        self._form.addRow(buddy, widget)
        widget.setVisible(True)

    def _add_size(self, label: str) -> None:
        field = length_field(label, lambda: self._desk.project.units, 0.0)
        field.committed.connect(lambda _mm, field=field: self._resize_by(field))
        self._fields.append(field)
        self._add_row(label, field)

    def _fill(self, master: Master | None) -> None:
        if master is None:
            return
        if not self._name.hasFocus():
            self._name.setText(master.name)
        self.wanted.set_value(math.nan if master.wanted is None else float(master.wanted))
        self._turn.setCurrentIndex([t for t, _ in _TURNS].index(master.turn))
        solid = parse_source(master.source)
        if solid is not None:
            self._kind.setCurrentIndex(KINDS.index(solid.kind))
            self._corners.blockSignals(True)
            self._corners.setValue(solid.corners)
            self._corners.blockSignals(False)
            self._dome.setChecked(solid.dome is not None)
            texts = (*solid.sizes, *(solid.dome or ()))
            for field, text in zip(self._fields, texts, strict=False):
                field.set_value(parse_length_mm(text, master.name))
        units = self._desk.project.units
        height, volume = length_field_text(master.height_mm, units), volume_text(master.volume_ml, units)
        if solid is None:
            text = tr("{file}: {height} high, {volume}", file=master.source, height=height, volume=volume)
        else:
            text = tr("{height} high, {volume}", height=height, volume=volume)
        self._facts.setText(text)

    def _typed(self) -> SolidText | None:
        """Return the solid that the fields describe; raises what is wrong with them."""
        solid = parse_source(self._shown.source) if self._shown else None
        if solid is None:
            return None
        values = [field.value if field.value is not None else 0.0 for field in self._fields]
        count = len(solid.kind.sizes)
        dome = values[count : count + 2] if solid.dome is not None else ()
        return made_solid(solid.kind, values[:count], self._desk.project.units, self._corners.value(), dome)

    def _resize(self, *_value: object) -> None:
        try:
            solid = self._typed()
        except LayoutError as error:
            self.wrong.emit(said(error))
            return
        if solid is not None:
            self._become(solid, tr("Resize a master"))

    def _resize_by(self, field: AmountField) -> None:
        """Resize by what was typed in a field; what can't be is told there."""
        typed = field.value
        try:
            solid = self._typed()
            if solid is not None:
                self._become(solid, tr("Resize a master"), ask=False)
        except LayoutError as error:
            field.refuse(short(error))
            return
        if typed is not None and field in self._fields:
            field.advise(odd_size(field.accessibleName(), typed, self._desk.project.units))

    def _change_kind(self, index: int) -> None:
        kind: SolidKind = KINDS[index]
        old = parse_source(self._shown.source) if self._shown else None
        if old is not None and old.kind is not kind:
            sizes = list(kind.start_mm(self._desk.project.units))
            sizes[-1] = parse_length_mm(old.sizes[-1], old.kind.name)
            self._become(SolidText(kind, tuple(f"{s:.12g}" for s in sizes)), tr("Change a master's shape"))

    def _toggle_dome(self, wanted: bool) -> None:
        old = parse_source(self._shown.source) if self._shown else None
        if old is None or self._shown is None:
            return
        if not wanted:
            self._become(replace(old, dome=None), tr("Take a dome off"))
            self._dome.setFocus()
            return
        from layout.geometry import footprint_size_mm

        base = 0.7 * min(footprint_size_mm(self._shown.footprint))
        self._become(replace(old, dome=(f"{base:.6g}", f"{base / 6:.6g}")), tr("Put a dome on"))
        self._dome.setFocus()

    def _become(self, solid: SolidText, text: str, *, ask: bool = True) -> None:
        """Exchange the master for another solid; what can't be is told, or raised unless ``ask``."""
        from layout.masters import read_master

        old = self._shown
        if old is None:
            return
        try:
            made = read_master(solid.source(), name=old.name)
        except LayoutError as error:
            if not ask:
                raise
            self.wrong.emit(said(error))
            self._fill(old)
            return
        # a name nobody chose follows the shape
        old_solid = parse_source(old.source)
        followed = old_solid is not None and old.name in (old_solid.kind.word, tr(old_solid.kind.name))
        name = tr(solid.kind.name) if followed else old.name
        new = replace(made, id=old.id, name=name, turn=old.turn, wanted=old.wanted)
        self._desk.do(text, lambda p: edits.replace_master(p, new))

    def _rename(self) -> None:
        name = self._name.text().strip()
        if self._shown is None or name == self._shown.name:
            return
        if not name:
            self._name.setText(self._shown.name)
            return
        renamed = replace(self._shown, name=name)
        self._desk.do(tr("Rename a master"), lambda p: edits.replace_master(p, renamed))

    def _change_wanted(self, number: float) -> None:
        if self._shown is not None:
            asked = replace(self._shown, wanted=None if math.isnan(number) else round(number))
            self._desk.do(tr("Change how many are wanted"), lambda p: edits.replace_master(p, asked))

    def _change_turn(self, index: int) -> None:
        if self._shown is not None:
            turned = replace(self._shown, turn=_TURNS[index][0])
            self._desk.do(tr("Change how a master may turn"), lambda p: edits.replace_master(p, turned))
