"""Temperatures as a window in millimetres or in inches types and shows them: in °C or in °F."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from app.fields import plain_number
from app.words import tr
from layout.errors import BadValueError
from layout.pour.settings import BOUNDS
from layout.units import parse_temperature_c

if TYPE_CHECKING:
    from layout.units import Units

_OTHER: Final = {"C": "F", "F": "C"}


def temperature_field_text(value_c: float, units: Units) -> str:
    """Return a temperature as a field shows it.

    Examples
    --------
    >>> from layout.units import Units
    >>> temperature_field_text(24.0, Units()), temperature_field_text(24.0, Units("in"))
    ('24 °C', '75.2 °F')
    """
    if units.length == "in":
        return f"{plain_number(value_c * 9.0 / 5.0 + 32.0, 1)} °F"
    return f"{plain_number(value_c, 1)} °C"


def typed_temperature_c(text: str, units: Units) -> float:
    """Read a typed temperature; a bare number is in the scale of the window.

    Raises
    ------
    BadValueError
        If it can't be read, or no bench has it; then with the other scale, if it makes sense in that.
    """
    name = tr("Temperature")
    bare = "".join(text.split()).replace(",", ".").replace("−", "-").replace("°", "")
    if not bare[-1:].isalpha():
        bare += "F" if units.length == "in" else "C"
    number, scale = bare[:-1], bare[-1].upper()
    _, least, most, _ = BOUNDS["temperature_c"]
    try:
        value = parse_temperature_c(bare, name)
    except BadValueError:
        if scale not in _OTHER or not _is_number(number):
            raise BadValueError(name, f"{text.strip()!r} is not readable", "write it like 24C or 75F") from None
        value = float(number)  # far outside: which side is all that counts
    if least <= value <= most:
        return value
    limits = f"{temperature_field_text(least, units)} to {temperature_field_text(most, units)}"
    problem = f"{number} °{scale} is too cold" if value < least else f"{number} °{scale} is too warm"
    if _makes_sense(number, _OTHER[scale], name):
        raise BadValueError(name, problem, f"did you mean {number} °{_OTHER[scale]}? Give {limits}")
    raise BadValueError(name, problem, f"give {limits}")


def _is_number(text: str) -> bool:
    try:
        return abs(float(text)) < 1e9
    except ValueError:
        return False


def _makes_sense(number: str, scale: str, name: str) -> bool:
    _, least, most, _ = BOUNDS["temperature_c"]
    try:
        return least <= parse_temperature_c(number + scale, name) <= most
    except BadValueError:
        return False
