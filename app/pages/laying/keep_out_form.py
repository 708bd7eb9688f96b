"""The selected keep-out: what it is for, where it is and how large, to be typed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QHBoxLayout, QLabel, QWidget

from app.fields import AmountField, length_field
from app.words import tr
from layout import edits

if TYPE_CHECKING:
    from app.canvas.desk import Desk
    from layout.model import KeepOut

_PURPOSES = ("finger room", "pry slot", "label")


class KeepOutForm(QWidget):
    """Edits the one keep-out that is selected; hidden without one."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.setVerticalSpacing(4)
        self.purpose = QComboBox()
        self.purpose.setEditable(True)
        self.purpose.addItems([tr(p) for p in _PURPOSES])
        self.purpose.setAccessibleName(tr("What the keep-out is for"))
        self.purpose.activated.connect(self._change)
        editor = self.purpose.lineEdit()
        if editor is not None:
            editor.editingFinished.connect(self._change)
        self.round = QCheckBox(tr("Round"))
        self.round.clicked.connect(self._change)
        self._title = self._label(tr("Keep-out for"), self.purpose)
        form.addRow(self._title, self.purpose)
        self.middle_x, self.middle_y = self._field(tr("X of its middle")), self._field(tr("Y of its middle"))
        self.length, self.across = self._field(tr("Its length"), 0.01), self._field(tr("Its width"), 0.01)
        for text, pair in ((tr("Middle"), (self.middle_x, self.middle_y)), (tr("Size"), (self.length, self.across))):
            row = QHBoxLayout()
            for field in pair:
                row.addWidget(field)
            form.addRow(self._label(text, pair[0]), row)
        form.addRow(self.round)
        desk.selection.changed.connect(self._forget)
        desk.selection.changed.connect(self._show)
        desk.store.changed.connect(self._show)
        self._show()

    def _forget(self) -> None:
        """What was refused was meant for what was selected then."""
        for field in (self.middle_x, self.middle_y, self.length, self.across):
            field.forget()

    def _label(self, text: str, buddy: QWidget) -> QLabel:
        label = QLabel(text)
        label.setBuddy(buddy)
        return label

    def _field(self, name: str, least_mm: float | None = None) -> AmountField:
        field = length_field(name, lambda: self._desk.project.units, least_mm)
        field.committed.connect(self._change)
        return field

    def _chosen(self) -> KeepOut | None:
        ids = self._desk.selection.keep_outs
        if len(ids) != 1 or self._desk.selection.cavities:
            return None
        return next((k for k in self._desk.project.keep_outs if k.id == ids[0]), None)

    def _show(self, *_changed: object) -> None:
        area = self._chosen()
        self.setVisible(area is not None)
        if area is None:
            return
        # what its findings call it
        self._title.setText(tr("Keep-out {id} for", id=area.id))
        self.purpose.setEditText(area.purpose)
        self.round.setChecked(area.round)
        self.across.setEnabled(not area.round)
        pairs = (
            (self.middle_x, area.x_mm), (self.middle_y, area.y_mm), (self.length, area.length_mm),
            (self.across, area.length_mm if area.round else area.width_mm),
        )  # fmt: skip
        for field, value in pairs:
            field.set_value(value)
            field.refresh()

    def _change(self, *_value: object) -> None:
        area = self._chosen()
        fields = (self.middle_x, self.middle_y, self.length, self.across)
        values = [f.value for f in fields]
        if area is None or None in values:
            return
        x, y, length, width = (float(v) for v in values if v is not None)
        is_round = self.round.isChecked()
        changed = replace(
            area, x_mm=x, y_mm=y, length_mm=length, width_mm=length if is_round else width, round=is_round,
            purpose=self.purpose.currentText().strip()[:60],
        )  # fmt: skip
        self._desk.do(tr("Change a keep-out"), lambda p: edits.change_keep_out(p, changed))
