"""Fields for typed amounts: read by `layout.units` as the command line reads them, wrong ones told in place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLineEdit

from app.words import said
from layout.errors import LayoutError
from layout.units import Units, inch_fraction, parse_length_mm, parse_number

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtGui import QKeyEvent
    from PySide6.QtWidgets import QWidget


class AmountField(QLineEdit):
    """A field that holds one amount.

    Parameters
    ----------
    name : str
        What screen readers say and errors name.
    parse : callable
        Typed text to the amount; raises a LayoutError.
    show : callable
        The amount to text.

    Signals
    -------
    committed(float)
        The user typed another amount and it can be read.
    """

    committed = Signal(float)

    def __init__(
        self, name: str, parse: Callable[[str], float], show: Callable[[float], str], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._name, self._parse, self._show = name, parse, show
        self._value: float | None = None
        self._tip = ""
        self.setAccessibleName(name)
        self.editingFinished.connect(self._commit)

    @property
    def value(self) -> float | None:
        return self._value

    def set_value(self, value: float | None) -> None:
        """Show an amount; None shows an empty field. What is being typed is not disturbed by the same amount."""
        if value is not None and value == self._value and not self.is_wrong:
            return
        self._value = value
        self.setText("" if value is None else self._show(value))
        self._mark("")

    def refresh(self) -> None:
        """Show the amount again, in other units."""
        self.setText("" if self._value is None else self._show(self._value))

    @property
    def is_wrong(self) -> bool:
        return self.property("wrong") is True

    def set_tip(self, tip: str) -> None:
        """Set the tool tip shown while nothing is wrong."""
        self._tip = tip
        if not self.is_wrong:
            self.setToolTip(tip)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.isModified():
            self.refresh()
            self._mark("")
            return
        super().keyPressEvent(event)

    def _commit(self) -> None:
        if not self.isModified():
            return
        self.setModified(False)
        if self._value is not None and self.text() == self._show(self._value):
            self._mark("")
            return
        try:
            value = self._parse(self.text())
        except LayoutError as error:
            self._mark(f"{said(error.problem)}; {said(error.remedy)}")
            return
        self._mark("")
        self._value = value
        self.setText(self._show(value))
        self.committed.emit(value)

    def _mark(self, problem: str) -> None:
        changed = bool(problem) != self.is_wrong
        self.setProperty("wrong", bool(problem))
        self.setToolTip(problem or self._tip)
        self.setAccessibleDescription(problem)
        if not changed:
            return
        self.style().unpolish(self)
        self.style().polish(self)


def plain_number(value: float, decimals: int = 3) -> str:
    """Return a number without needless zeros.

    Examples
    --------
    >>> plain_number(6.35), plain_number(6.0), plain_number(-0.0)
    ('6.35', '6', '0')
    """
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def length_field_text(value_mm: float, units: Units) -> str:
    """Return a length as a field shows it: exact enough to be read back.

    Examples
    --------
    >>> length_field_text(6.35, Units()), length_field_text(6.35, Units("in")), length_field_text(6.4, Units("in"))
    ('6.35 mm', '1/4 in', '0.25197 in')
    """
    if units.length == "mm":
        return f"{plain_number(value_mm)} mm"
    inches = value_mm / 25.4
    if units.denominator and abs(inches * units.denominator - round(inches * units.denominator)) < 1e-6:
        return f"{inch_fraction(inches, units.denominator)} in"
    return f"{plain_number(inches, 5)} in"


def typed_length_mm(text: str, name: str, units: Units, least_mm: float | None = None) -> float:
    """Read a typed length; a bare number is in the user's unit and a decimal comma is a point."""
    cleaned = text.strip().replace(",", ".").replace("−", "-")
    if cleaned and not cleaned[-1].isalpha() and cleaned[-1] != '"':
        cleaned += units.length
    return parse_length_mm(cleaned, name, least_mm=least_mm)


def length_field(name: str, units: Callable[[], Units], least_mm: float | None = None) -> AmountField:
    """Return a field for a length in the unit that ``units()`` says at that moment."""
    return AmountField(
        name, lambda text: typed_length_mm(text, name, units(), least_mm), lambda mm: length_field_text(mm, units())
    )


def number_field(
    name: str, suffix: str = "", least: float | None = None, most: float | None = None, decimals: int = 3
) -> AmountField:
    """Return a field for a plain number with a suffix such as ``°`` or ``%``."""

    def parse(text: str) -> float:
        cleaned = text.strip().removesuffix(suffix.strip()).strip().replace(",", ".").replace("−", "-")
        return parse_number(cleaned, name, least=least, most=most)

    return AmountField(name, parse, lambda value: plain_number(value, decimals) + suffix)
