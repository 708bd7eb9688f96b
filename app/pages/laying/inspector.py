"""The selection as numbers: where it is and how it is turned, to be typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QCheckBox, QGridLayout, QLabel, QWidget

from app.canvas.commands import LayoutCommands
from app.fields import AmountField, length_field, number_field, shown_angle_deg
from app.words import counted, tr
from layout import edits
from layout.tolerances import CLEARANCE_TOL_MM

if TYPE_CHECKING:
    from app.canvas.desk import Desk
    from layout.model import Cavity, Project


class Inspector(QWidget):
    """Fields for the middle and the angle of what is selected."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._commands = LayoutCommands(desk)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(4)
        self._title = QLabel()
        self._title.setProperty("role", "title")
        self._title.setWordWrap(True)
        self.x_field = length_field(tr("X of the middle"), lambda: desk.project.units)
        self.y_field = length_field(tr("Y of the middle"), lambda: desk.project.units)
        self.angle_field = number_field(tr("Turned"), "°", -36000, 36000, 2)
        self.pinned = QCheckBox(tr("&Pinned"))
        self.pinned.setToolTip(tr("A fill leaves it where it is (Ctrl+K)"))
        grid.addWidget(self._title, 0, 0, 1, 4)
        for column, (label, field) in enumerate(((tr("&X"), self.x_field), (tr("&Y"), self.y_field))):
            buddy = QLabel(label)
            buddy.setBuddy(field)
            grid.addWidget(buddy, 1, 2 * column)
            grid.addWidget(field, 1, 2 * column + 1)
        self._turn_label = QLabel(tr("&Turned"))
        self._turn_label.setBuddy(self.angle_field)
        grid.addWidget(self._turn_label, 2, 0)
        grid.addWidget(self.angle_field, 2, 1)
        grid.addWidget(self.pinned, 2, 2, 1, 2)
        self.x_field.set_tip(tr("From the left side of the box"))
        self.y_field.set_tip(tr("From the near side of the box"))
        self.x_field.committed.connect(lambda mm: self._move(self.x_field, mm))
        self.y_field.committed.connect(lambda mm: self._move(self.y_field, mm))
        self.angle_field.committed.connect(self._turn)
        self.pinned.clicked.connect(self._pin)
        desk.selection.changed.connect(self._forget)
        desk.selection.changed.connect(self._show)
        desk.store.changed.connect(self._show)
        self._show()

    def _chosen(self) -> list[Cavity]:
        ids = set(self._desk.selection.cavities)
        return [c for c in self._desk.project.cavities if c.id in ids]

    def _forget(self) -> None:
        """What was refused was meant for what was selected then."""
        for field in (self.x_field, self.y_field, self.angle_field):
            field.forget()

    def _show(self, *_changed: object) -> None:
        chosen = self._chosen()
        if self.parentWidget() is not None:
            self.setVisible(bool(chosen) or not self._desk.selection.keep_outs)
        for widget in (self.x_field, self.y_field, self.angle_field, self.pinned):
            widget.setEnabled(bool(chosen))
        if not chosen:
            self._title.setText(tr("Nothing selected"))
            for field in (self.x_field, self.y_field, self.angle_field):
                field.set_value(None)
            self.pinned.setChecked(False)
            return
        self.show_place(self._desk.project)
        self.pinned.setChecked(all(c.pinned for c in chosen))
        if len(chosen) == 1:
            name = self._desk.project.master(chosen[0].master).name
            number = self._desk.numbers()[chosen[0].id]
            self._title.setText(tr("Cavity {number}, {name}", number=number, name=name))
            self._turn_label.setText(tr("&Turned"))
            self.angle_field.set_tip(tr("Anticlockwise"))
            self.angle_field.set_value(shown_angle_deg(chosen[0].angle_deg))
        else:
            self._title.setText(tr("{n} cavities, by their middle", n=len(chosen)))
            self._turn_label.setText(tr("&Turn by"))
            self.angle_field.set_tip(tr("Turns them together about their middle, anticlockwise"))
            self.angle_field.set_value(None)

    def show_place(self, project: Project) -> None:
        """Show where the selection is in a project, which may be a preview."""
        ids = self._desk.selection.cavities
        if not ids:
            return
        x, y = edits.middle_of(project, ids)
        self.x_field.set_value(x)
        self.y_field.set_value(y)
        for field in (self.x_field, self.y_field):
            field.refresh()
            field.advise("")

    def _move(self, field: AmountField, typed_mm: float) -> None:
        ids = self._desk.selection.cavities
        if not ids or self.x_field.value is None or self.y_field.value is None:
            return
        x, y = edits.middle_of(self._desk.project, ids)
        typed = field.text()
        self._commands.move(self.x_field.value - x, self.y_field.value - y)
        self._show()
        if field.value is not None and abs(field.value - typed_mm) > CLEARANCE_TOL_MM:
            field.advise(
                tr("Held at the wall at {place}, short of {typed}; F4 lets it pass.", place=field.text(), typed=typed)
            )

    def _turn(self, value: float) -> None:
        chosen = self._chosen()
        self._commands.turn(value - chosen[0].angle_deg if len(chosen) == 1 else value)
        self._show()

    def _pin(self, pinned: bool) -> None:
        ids = self._desk.selection.cavities
        pin, unpin = ("Pin cavity", "Pin {n} cavities"), ("Unpin cavity", "Unpin {n} cavities")
        text = counted(len(ids), *(pin if pinned else unpin))
        self._desk.do(text, lambda p: edits.pin_cavities(p, ids, pinned))
