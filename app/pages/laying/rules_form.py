"""The box and the rules of the layout: inner size, least wall, edge, floor, turns."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QWidget

from app.fields import AmountField, length_field, length_field_text
from app.words import tr
from layout import edits
from layout.model import OutlineBox, Project, RectBox, RoundBox, Rules, Turn

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.canvas.desk import Desk

_TURNS: tuple[tuple[Turn, str], ...] = (
    ("free", "Any angle"),
    ("90", "Quarter turns"),
    ("180", "Half turn"),
    ("0", "Never"),
)


_LEAST_BOX_MM = 1.0
_ODD_BOX_MM = 1000.0
"""A longer box is asked about: it looks like a slip of the unit or of the point. Common practice, no source."""


class RulesForm(QWidget):
    """Edits the box's inner size and the rules."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._form = QFormLayout(self)
        self._form.setContentsMargins(0, 0, 0, 0)
        self._form.setVerticalSpacing(4)
        self._shape = QComboBox()
        self._shape.addItems([tr("Rectangular"), tr("Round")])
        self._shape.activated.connect(self._change_shape)
        self._add(tr("Box"), self._shape)
        self.length_field = self._field(
            tr("Inner length"), self._resize, tr("Inside of the box, from left to right"), _LEAST_BOX_MM
        )
        self.width_field = self._field(
            tr("Inner width"), self._resize, tr("Inside of the box, from front to back"), _LEAST_BOX_MM
        )
        self.diameter_field = self._field(
            tr("Inner diameter"), self._resize, tr("Inside of the round box"), _LEAST_BOX_MM
        )
        self.wall_field = self._field(tr("Least wall"), self._rules, tr("Least silicone between two cavities"))
        self.edge_field = self._field(tr("Least edge"), self._rules, tr("Least silicone between a cavity and the side"))
        self.floor_field = self._field(tr("Floor"), self._rules, tr("Silicone over the tallest master"))
        self._turn = QComboBox()
        self._turn.addItems([tr(text) for _, text in _TURNS])
        self._turn.activated.connect(self._rules)
        self._turn.setToolTip(tr("How masters may be turned when the box is filled"))
        self._add(tr("May turn"), self._turn)
        desk.store.changed.connect(self.show_project)
        self.show_project(desk.project)

    def _add(self, label: str, widget: QWidget) -> None:
        buddy = QLabel(label)
        buddy.setBuddy(widget)
        widget.setAccessibleName(label)
        self._form.addRow(buddy, widget)

    def _field(self, label: str, then: Callable[..., None], tip: str, least_mm: float = 0.0) -> AmountField:
        field = length_field(label, lambda: self._desk.project.units, least_mm)
        field.set_tip(tip)
        field.committed.connect(then)
        self._add(label, field)
        return field

    def show_project(self, project: Project) -> None:
        """Show the project's box and rules."""
        shape, rules = project.box.shape, project.rules
        is_round, is_drawn = isinstance(shape, RoundBox), isinstance(shape, OutlineBox)
        self._show_shapes(is_drawn)
        self._shape.setCurrentIndex(2 if is_drawn else int(is_round))
        for field in (self.length_field, self.width_field):
            self._form.setRowVisible(field, isinstance(shape, RectBox))
        self._form.setRowVisible(self.diameter_field, is_round)
        if isinstance(shape, RectBox):
            self._set(self.length_field, shape.length_mm)
            self._set(self.width_field, shape.width_mm)
        elif isinstance(shape, RoundBox):
            self._set(self.diameter_field, shape.diameter_mm)
        self._set(self.wall_field, rules.wall_mm)
        self._set(self.edge_field, rules.edge_mm)
        self._set(self.floor_field, rules.floor_mm)
        self._turn.setCurrentIndex([t for t, _ in _TURNS].index(rules.turn))

    def _show_shapes(self, is_drawn: bool) -> None:
        if is_drawn and self._shape.count() == 2:
            self._shape.addItem(tr("From a drawing"))
        elif not is_drawn and self._shape.count() == 3:
            self._shape.removeItem(2)

    def _set(self, field: AmountField, mm: float) -> None:
        asks = mm > _ODD_BOX_MM and field in (self.length_field, self.width_field, self.diameter_field)
        field.set_value(mm)
        if not field.is_wrong:
            size = length_field_text(mm, self._desk.project.units)
            field.advise(tr("{size}: is the box really that large?", size=size) if asks else "")
        if not field.hasFocus() and not field.is_wrong:
            field.refresh()

    def _change_shape(self, index: int) -> None:
        from layout.regions import inner_size_mm

        box = self._desk.project.box
        length, width = inner_size_mm(box.shape)
        if index == 0 and not isinstance(box.shape, RectBox):
            rect = replace(box, shape=RectBox(length, width))
            self._desk.do(tr("Make the box rectangular"), lambda p: edits.set_box(p, rect))
        elif index == 1 and not isinstance(box.shape, RoundBox):
            tube = replace(box, shape=RoundBox(min(length, width)))
            self._desk.do(tr("Make the box round"), lambda p: edits.set_box(p, tube))

    def _resize(self, *_value: object) -> None:
        box = self._desk.project.box
        if isinstance(box.shape, RoundBox):
            shape: RectBox | RoundBox = RoundBox(self.diameter_field.value or _LEAST_BOX_MM)
        else:
            shape = RectBox(self.length_field.value or _LEAST_BOX_MM, self.width_field.value or _LEAST_BOX_MM)
        self._desk.do(tr("Resize the box"), lambda p: edits.set_box(p, replace(box, shape=shape)))

    def _rules(self, *_value: object) -> None:
        old = self._desk.project.rules
        rules: Rules = replace(
            old,
            wall_mm=self.wall_field.value if self.wall_field.value is not None else old.wall_mm,
            edge_mm=self.edge_field.value if self.edge_field.value is not None else old.edge_mm,
            floor_mm=self.floor_field.value if self.floor_field.value is not None else old.floor_mm,
            turn=_TURNS[self._turn.currentIndex()][0],
        )
        self._desk.do(tr("Change the rules"), lambda p: edits.set_rules(p, rules))
