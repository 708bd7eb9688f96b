"""Fields for typed amounts: read by `layout.units` as the command line reads them, wrong ones told under the field."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QLineEdit

from app.notes import FieldNote
from app.words import said, tr
from layout.errors import BadValueError, LayoutError
from layout.units import Units, measured_length_text, parse_length_mm, parse_number

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget


class TypedField(QLineEdit):
    """A line that is typed into; what is wrong with it stands in a sentence under it."""

    def __init__(self, name: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tip = ""
        self._note: FieldNote | None = None
        self.setAccessibleName(name)

    @property
    def is_wrong(self) -> bool:
        return self.property("wrong") is True

    @property
    def note(self) -> str:
        """What stands under the field."""
        return self._note.text() if self._note is not None else ""

    def set_tip(self, tip: str) -> None:
        """Set the tool tip shown while nothing is wrong."""
        self._tip = tip
        if not self.is_wrong:
            self.setToolTip(tip)

    def mark(self, problem: str) -> None:
        """Say under the field what is wrong with what was typed; an empty text takes it back."""
        self.frame(wrong=bool(problem))
        self.setToolTip(problem or self._tip)
        self._say(f"▲ {problem}" if problem else "")

    def frame(self, *, wrong: bool) -> None:
        """Frame the field as wrong, for a form that says elsewhere why."""
        if wrong != self.is_wrong:
            self.setProperty("wrong", wrong)
            self.style().unpolish(self)
            self.style().polish(self)

    def advise(self, sentence: str) -> None:
        """Say something under the field of an amount that is taken all the same."""
        self._say(f"▲ {sentence}" if sentence else "")

    def _say(self, sentence: str) -> None:
        self.setAccessibleDescription(sentence.removeprefix("▲ "))
        if sentence and (self._note is None or not _is_alive(self._note)):
            self._note = FieldNote(self)
        if self._note is not None and _is_alive(self._note):
            self._note.say(sentence)

    def event(self, event: QEvent) -> bool:
        # with nothing half typed there is nothing of the line's own to take back: undo is the window's
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride and not self.isModified():
            undo, redo = QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo
            if event.matches(undo) or event.matches(redo):
                event.ignore()
                return False
        return super().event(event)


def _is_alive(note: FieldNote) -> bool:
    """Whether a form that was built anew has not thrown the note away."""
    from shiboken6 import isValid

    return isValid(note)


def _is_same(a: float | None, b: float | None) -> bool:
    """Whether two amounts are the same; not a number stands for none in some fields."""
    return a == b or (a is not None and b is not None and math.isnan(a) and math.isnan(b))


class AmountField(TypedField):
    """A field that holds one amount.

    Parameters
    ----------
    name : str
        What screen readers say and errors name.
    parse : callable
        Typed text to the amount; raises a LayoutError.
    show : callable
        The amount to text.
    as_typed : callable, optional
        Typed text that can be read to the text that stays in the field, as long as the amount is that.

    Signals
    -------
    committed(float)
        The user typed another amount and it can be read.
    """

    committed = Signal(float)

    def __init__(
        self,
        name: str,
        parse: Callable[[str], float],
        show: Callable[[float], str],
        parent: QWidget | None = None,
        as_typed: Callable[[str], str] | None = None,
    ) -> None:
        super().__init__(name, parent)
        self._name, self._parse, self._show, self._as_typed = name, parse, show, as_typed
        self._value: float | None = None
        self._typed: tuple[float, str, str] | None = None
        self._before: tuple[str, float | None, tuple[float, str, str] | None] = ("", None, None)
        self.keeps = True
        """Whether an amount stays in force when another can't be read, which is then said."""
        self.tells = True
        """Whether the field says what is wrong with it; else its form does, and the field is framed alone."""
        self.editingFinished.connect(self._commit)

    @property
    def value(self) -> float | None:
        return self._value

    @property
    def is_changed(self) -> bool:
        """Whether something else stands in the field than its amount: half typed, or refused."""
        return self.text() != self._text()

    def set_value(self, value: float | None) -> None:
        """Show an amount; None shows an empty field.

        What is being typed is not disturbed by the same amount, nor is what was refused: it stays to be mended.
        """
        if _is_same(value, self._value) and (value is not None or self.is_wrong):
            return
        self._value = value
        self._show_value()
        self.mark("")

    def refresh(self) -> None:
        """Show the amount again, in other units."""
        if not self.is_wrong:
            self._show_value()

    def forget(self) -> None:
        """Let go of what was refused: the field stands for something else from now on."""
        if self.is_wrong:
            self._show_value()
            self.mark("")

    def refuse(self, problem: str) -> None:
        """Take back what was committed last: it can be read, but not be."""
        typed, self._value, self._typed = self._before
        self.setText(typed)
        self._refuse(problem)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and (self.isModified() or self.is_wrong):
            self._show_value()
            self.mark("")
            return
        super().keyPressEvent(event)

    def _show_value(self) -> None:
        self.setText(self._text())

    def _text(self) -> str:
        """The amount as it was typed, else as the program writes it."""
        value = self._value
        if value is None:
            return ""
        shown = self._show(value)
        if self._typed is not None and math.isclose(self._typed[0], value) and self._typed[2] == shown:
            return self._typed[1]
        return shown

    def _commit(self) -> None:
        if not self.isModified():
            return
        self.setModified(False)
        typed = self.text()
        if self._value is not None and typed in (self._show(self._value), self._text()):
            self.mark("")
            return
        try:
            value = self._parse(typed)
        except LayoutError as error:
            # what was typed, not what was read of it
            problem = said(error.problem).replace(repr("".join(typed.split())), repr(typed.strip()))
            self._refuse(f"{problem}; {said(error.remedy)}.")
            return
        self.mark("")
        self._before = (typed, self._value, self._typed)
        self._value = value
        if self._as_typed is not None:
            self._typed = (value, self._as_typed(typed), self._show(value))
        self._show_value()
        self.committed.emit(value)

    def _refuse(self, problem: str) -> None:
        problem = problem[:1].upper() + problem[1:]
        if not self.tells:
            self.frame(wrong=True)
            return
        still = self._text() if self.keeps else ""
        self.mark(f"{problem} {tr('It is still {value}.', value=still)}" if still else problem)


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


def shown_angle_deg(angle_deg: float) -> float:
    """Return an angle from 0 up to 360, where a hair short of a whole turn is none.

    Examples
    --------
    >>> shown_angle_deg(359.99), shown_angle_deg(359.999)
    (359.99, 0.0)
    """
    return angle_deg if round(angle_deg, 2) < 360.0 else 0.0


def angle_text(angle_deg: float) -> str:
    """Return an angle from 0 up to 360 as a person reads it.

    Examples
    --------
    >>> angle_text(90.0), angle_text(359.999), angle_text(12.345)
    ('90°', '0°', '12.35°')
    """
    return f"{plain_number(shown_angle_deg(angle_deg), 2)}°"


def length_field_text(value_mm: float, units: Units) -> str:
    """Return a length as a field shows it: in fractions where it is one, else as fine as it can be measured.

    Examples
    --------
    >>> length_field_text(6.35, Units()), length_field_text(6.35, Units("in")), length_field_text(6.4, Units("in"))
    ('6.35 mm', '1/4 in', '0.252 in')
    """
    return measured_length_text(value_mm, units)


def typed_length_mm(
    text: str, name: str, units: Units, least_mm: float | None = None, most_mm: float | None = None
) -> float:
    """Read a typed length; a bare number is in the user's unit and a decimal comma is a point.

    Raises
    ------
    BadValueError
        If it can't be read or lies outside its limits, which are told in the user's unit.
    """
    cleaned = _with_unit(text, units).replace(",", ".").replace("−", "-")
    value = parse_length_mm(cleaned, name, units=units)
    return within(value, text, name, least_mm, most_mm, lambda mm: length_field_text(mm, units))


def _with_unit(text: str, units: Units) -> str:
    """The text with the user's unit behind a bare number."""
    typed = text.strip()
    return typed if not typed or typed[-1].isalpha() or typed[-1] == '"' else f"{typed} {units.length}"


def within(
    value: float, typed: str, name: str, least: float | None, most: float | None, show: Callable[[float], str]
) -> float:
    """Return an amount within its limits; refuse another by what was typed, with the limits as the field shows them.

    Raises
    ------
    BadValueError
    """
    if least is not None and value < least:
        raise BadValueError(name, f"{typed.strip()!r} is too small", f"give at least {show(least)}")
    if most is not None and value > most:
        raise BadValueError(name, f"{typed.strip()!r} is too large", f"give at most {show(most)}")
    return value


def length_field(
    name: str, units: Callable[[], Units], least_mm: float | None = None, most_mm: float | None = None
) -> AmountField:
    """Return a field for a length in the unit that ``units()`` says at that moment."""
    return AmountField(
        name,
        lambda text: typed_length_mm(text, name, units(), least_mm, most_mm),
        lambda mm: length_field_text(mm, units()),
        as_typed=lambda text: _with_unit(text, units()),
    )


def number_field(
    name: str,
    suffix: str = "",
    least: float | None = None,
    most: float | None = None,
    decimals: int = 3,
    *,
    whole: bool = False,
) -> AmountField:
    """Return a field for a plain number with a suffix such as ``°`` or ``%``; a ``whole`` one takes no parts."""

    def show(value: float) -> str:
        return plain_number(value, 0 if whole else decimals) + suffix

    def parse(text: str) -> float:
        value = bare_number(text, name, suffix)
        if whole:
            refuse_part(value, text, name)
        return within(value, text, name, least, most, show)

    return AmountField(name, parse, show)


def bare_number(text: str, name: str, suffix: str = "") -> float:
    """Read a typed number with or without its suffix; a decimal comma is a point.

    Raises
    ------
    BadValueError
    """
    try:
        return parse_number(text.strip().removesuffix(suffix.strip()).strip().replace(",", ".").replace("−", "-"), name)
    except BadValueError as error:
        # what was typed, not what is left of it
        raise BadValueError(name, f"{text.strip()!r} is not readable", error.remedy) from error


def refuse_part(value: float, typed: str, name: str) -> None:
    """Refuse a number that is not whole, which is never rounded behind the user's back.

    Raises
    ------
    BadValueError
    """
    if value != round(value):
        low, high = math.floor(value), math.ceil(value)
        raise BadValueError(name, f"{typed.strip()!r} is not a whole number", f"give {low} or {high}")
