"""How stiff the sheet is, from a strip, a ruler and a known weight: says how, and computes it."""

from __future__ import annotations

from typing import Final

from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QFormLayout, QLabel, QVBoxLayout, QWidget

from app.fields import AmountField, length_field
from app.words import said, short, tr
from layout.box.bend_test import BEND_TEST, in_words, refuse_other_thickness, refuse_unlikely, stiffness_from_strip_gpa
from layout.errors import LayoutError
from layout.units import Units, parse_mass_g

_WIDTH: Final = 520


class StiffnessDialog(QDialog):
    """Asks for the strip's measures and shows the stiffness they give."""

    def __init__(self, units: Units, thickness_mm: float, parent: QWidget | None = None, sheet: str = "") -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Measure the sheet's stiffness"))
        self.stiffness_gpa: float | None = None
        self._sheet, self._thickness_mm, self._units = sheet, thickness_mm, units

        def get_units() -> Units:
            return units

        self.span = length_field(tr("Distance of the rests"), get_units, 0.1)
        self.width_field = length_field(tr("Width of the strip"), get_units, 0.1)
        self.thickness = length_field(tr("Thickness"), get_units, 0.1)
        self.weight = AmountField(
            tr("Weight"), lambda text: parse_mass_g(text.replace(",", "."), tr("Weight")), lambda g: f"{g:g} g"
        )
        self.sag = length_field(tr("Sag under the weight"), get_units, 0.0)
        self.held = QComboBox()
        self.held.addItems([tr("on two rests, weight in the middle"), tr("clamped at one end, weight at the other")])
        self.held.setAccessibleName(tr("How the strip is held"))
        self.result_label = QLabel()
        self.result_label.setWordWrap(True)
        self.result_label.setProperty("role", "title")
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        self._build(thickness_mm)

    def _build(self, thickness_mm: float) -> None:
        column = QVBoxLayout(self)
        steps = QLabel("\n".join(f"{n}. {tr(step)}" for n, step in enumerate(BEND_TEST, start=1)))
        steps.setWordWrap(True)
        column.addWidget(steps)
        form = QFormLayout()
        inches = self._units.length == "in"
        self.span.set_value(304.8 if inches else 300.0)
        self.width_field.set_value(50.8 if inches else 50.0)
        self.thickness.set_value(thickness_mm)
        self.weight.set_value(100.0)
        form.addRow(tr("Held"), self.held)
        self.sag.setPlaceholderText(tr("such as {example}", example="0.12 in" if inches else "3 mm"))
        for words, field in (
            (tr("Distance of the rests"), self.span),
            (tr("Width of the strip"), self.width_field),
            (tr("Thickness"), self.thickness),
            (tr("Weight"), self.weight),
            (tr("Sag under the weight"), self.sag),
        ):
            form.addRow(words, field)
            field.committed.connect(self._compute)
        column.addLayout(form)
        column.addWidget(self.result_label)
        column.addWidget(self.buttons)
        self.held.currentIndexChanged.connect(self._compute)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self._compute()
        # as high as its sentences need at this width, with two lines of result: the fields must not be squeezed
        self.setMinimumWidth(_WIDTH)
        self.setMinimumHeight(column.totalHeightForWidth(_WIDTH) + self.fontMetrics().lineSpacing())

    def _compute(self, *_ignored: object) -> None:
        self.stiffness_gpa = None
        words = tr("Type the sag to see the stiffness.")
        values = [f.value for f in (self.span, self.width_field, self.thickness, self.weight, self.sag)]
        if all(v is not None for v in values):
            span, width, thickness, weight, sag = (v or 0.0 for v in values)
            try:
                found = stiffness_from_strip_gpa(
                    span, width, thickness, weight, sag, cantilever=self.held.currentIndex() == 1
                )
                refuse_other_thickness(self._sheet, thickness, self._thickness_mm, self._units)
                refuse_unlikely(self._sheet, found)
                self.stiffness_gpa = found
                usual = said(in_words(found, self._sheet))
                words = tr("Stiffness: {gpa} GPa{usual}.", gpa=f"{found:.3g}", usual=f", {usual}" if usual else "")
            except LayoutError as error:
                words = short(error)
                words = words[:1].upper() + words[1:]
        self.result_label.setText(words)
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(self.stiffness_gpa is not None)
