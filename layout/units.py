"""Typed quantities to mm, mL, g, minutes and deg C, and back to what a person reads.

Factors are exact by definition (international yard and pound, 1959; US gallon of 231 in3): see tests/data/units.csv.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from layout.errors import BadValueError
from layout.tolerances import LONGEST_LENGTH_MM

if TYPE_CHECKING:
    from fractions import Fraction

MM_PER_INCH: Final = 25.4
ML_PER_IN3: Final = 16.387064
ML_PER_US_FL_OZ: Final = 29.5735295625
ML_PER_US_GALLON: Final = 3785.411784
G_PER_LB: Final = 453.59237
G_PER_OZ: Final = 28.349523125
MBAR_PER_INHG: Final = 33.86389
N_PER_MM_PER_PLI: Final = 0.175126835

GRAVITY_M_PER_S2: Final = 9.80665
"""Standard gravity, exact by definition (third general conference on weights and measures, 1901)."""

_BELOW_FRACTION_IN: Final = 1e-7
_ABOVE_FRACTION_IN: Final = 2e-5
"""A length this little under or over a fraction of an inch is written as the fraction; half a micrometre over."""

WARMEST_BARE_C: Final = 45.0
"""A temperature above this without a letter is rather deg F: it must say which."""

_MM: Final = {"": 1.0, "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, '"': MM_PER_INCH, "ft": 304.8}
_ML: Final = {
    "": 1.0, "ml": 1.0, "cl": 10.0, "l": 1000.0, "cm3": 1.0, "in3": ML_PER_IN3, "floz": ML_PER_US_FL_OZ,
    "gal": ML_PER_US_GALLON, "qt": ML_PER_US_GALLON / 4, "pt": ML_PER_US_GALLON / 8, "oz": ML_PER_US_FL_OZ,
}  # fmt: skip
_G: Final = {"": 1.0, "g": 1.0, "kg": 1000.0, "lb": G_PER_LB, "oz": G_PER_OZ}
_MIN: Final[dict[str, float | str]] = {"": 1.0, "min": 1.0, "s": "1/60", "h": 60.0, "d": 1440.0}

_QUANTITY: Final = re.compile(
    r"^\s*(?P<sign>[-+]?)(?P<number>\d+-\d+/\d+|\d+\s+\d+/\d+|\d+/\d+|\d*\.?\d+(?:[eE][-+]?\d{1,3})?|\d+\.)\s*(?P<unit>[A-Za-z\"]*3?)\s*$",
    re.ASCII,
)

LengthUnit = Literal["mm", "in"]


@dataclass(frozen=True, slots=True)
class Units:
    """What lengths are shown in.

    Parameters
    ----------
    length : {"mm", "in"}
        The unit of lengths; the other amounts follow it (mL and g are shown beside in3 and lb).
    denominator : int
        The finest fraction of an inch shown: 64 shows 3/64 in. 0 shows decimals.
    """

    length: LengthUnit = "mm"
    denominator: int = 32


MILLIMETRES: Final = Units()
"""What lengths are shown in where nobody chose."""


def _number(text: str) -> "Fraction":
    from fractions import Fraction

    whole, _, rest = text.replace(" ", "-").partition("-") if "/" in text else (text, "", "")
    return int(whole) + Fraction(rest) if rest else Fraction(text)


def _quantity(text: str, where: str, factors: Mapping[str, float | str], example: str) -> float:
    from fractions import Fraction

    match = _QUANTITY.match(text)
    unit = match["unit"].lower() if match else ""
    if not match or unit not in factors:
        raise BadValueError(where, f"{text!r} is not readable", f"write it like {example}")
    try:
        # in fractions, so that 3/4in is 19.05 to the last digit
        value = float(_number(match["number"]) * Fraction(str(factors[unit])))
    except (ZeroDivisionError, OverflowError, ValueError):
        value = math.nan
    if not math.isfinite(value):
        raise BadValueError(where, f"{text!r} is not a number", f"write it like {example}")
    return -value if match["sign"] == "-" else value


def parse_length_mm(text: str, where: str, *, least_mm: float | None = None, units: Units = MILLIMETRES) -> float:
    """Return a typed length in mm.

    Parameters
    ----------
    text : str
        ``6.35``, ``6.35mm``, ``1/4in``, ``0.25in``, ``1-1/2in``, ``2.5cm``. A bare number is mm.
    where : str
        The option or field, for the error.
    least_mm : float, optional
        The least value that makes sense; 0 for a wall. None accepts negative coordinates.
    units : Units
        What errors give lengths in; a bare number is mm all the same.

    Raises
    ------
    BadValueError
        If it can't be read, is not finite, is below ``least_mm`` or longer than `LONGEST_LENGTH_MM`.

    Examples
    --------
    >>> parse_length_mm("1-1/2in", "--box")
    38.1
    >>> parse_length_mm("1/4in", "--wall")
    6.35
    """
    value = _quantity(text, where, _MM, "6.35mm, 1/4in or 1-1/2in")
    if least_mm is not None and value < least_mm:
        raise BadValueError(where, f"{text!r} is too small", f"give at least {plain_text(least_mm)} mm")
    if abs(value) > LONGEST_LENGTH_MM:
        metres = f"{LONGEST_LENGTH_MM / 1000:g} m"
        longest = metres if units.length == "mm" else f"{LONGEST_LENGTH_MM / 304.8:.1f} ft ({metres})"
        raise BadValueError(where, f"{text!r} is longer than {longest}", "check the unit")
    return value


def parse_volume_ml(text: str, where: str) -> float:
    """Return a typed volume in mL (``20ml``, ``2.5l``, ``38in3``, ``16oz``, ``16 fl oz``, ``1qt``); bare: mL.

    An ounce is the US fluid ounce of mixing cups.

    Raises
    ------
    BadValueError
        If it can't be read, is negative or not finite.
    """
    value = _quantity(re.sub(r"fl\.?\s*oz\.?$", "floz", text.strip().lower()), where, _ML, "20ml, 2.5l, 16oz or 1qt")
    if value < 0:
        raise BadValueError(where, f"{text!r} is negative", "give a volume of 0 or more")
    return value


def parse_mass_g(text: str, where: str) -> float:
    """Return a typed mass in g (``450g``, ``1kg``, ``2lb``); a bare number is g.

    Raises
    ------
    BadValueError
        If it can't be read, is negative or not finite.
    """
    value = _quantity(text, where, _G, "450g or 2lb")
    if value < 0:
        raise BadValueError(where, f"{text!r} is negative", "give a mass of 0 or more")
    return value


def parse_minutes(text: str, where: str) -> float:
    """Return a typed time in minutes (``7``, ``90s``, ``16h``); a bare number is minutes.

    Raises
    ------
    BadValueError
        If it can't be read, is negative or not finite.
    """
    value = _quantity(text, where, _MIN, "7min, 90s or 16h")
    if value < 0:
        raise BadValueError(where, f"{text!r} is negative", "give a time of 0 or more")
    return value


def parse_temperature_c(text: str, where: str) -> float:
    """Return a typed temperature in deg C (``24``, ``30C``, ``86F``); a bare number is deg C, as long as a room has it.

    Raises
    ------
    BadValueError
        If it can't be read, is not finite, lies outside -60 to 400 deg C, or is a bare number above `WARMEST_BARE_C`,
        which may be meant in deg F.

    Examples
    --------
    >>> parse_temperature_c("86F", "--temperature")
    30.0
    """
    unit = text.strip()[-1:].lower()
    body = text.strip()[:-1] if unit in {"c", "f"} else text
    degrees = _quantity(body, where, {"": 1.0}, "24C or 75F")
    if unit not in {"c", "f"} and degrees > WARMEST_BARE_C:
        raise BadValueError(where, f"is {text.strip()} Fahrenheit or Celsius", f"write {degrees:g}F or {degrees:g}C")
    celsius = (degrees - 32.0) * 5.0 / 9.0 if unit == "f" else degrees
    if not -60.0 <= celsius <= 400.0:
        raise BadValueError(where, f"{text!r} is no room temperature", "write it like 24C or 75F")
    return celsius


def parse_number(text: str, where: str, *, least: float | None = None, most: float | None = None) -> float:
    """Return a typed plain number.

    Raises
    ------
    BadValueError
        If it can't be read, is not finite, or lies outside ``least`` to ``most``.
    """
    value = _quantity(text, where, {"": 1.0}, "5 or 2.5")
    if least is not None and value < least:
        raise BadValueError(where, f"{text!r} is too small", f"give at least {plain_text(least)}")
    if most is not None and value > most:
        raise BadValueError(where, f"{text!r} is too large", f"give at most {plain_text(most)}")
    return value


def parse_size_mm(text: str, where: str) -> tuple[float, float]:
    """Return a typed ``LxW`` in mm, both above 0 (``200x150``, ``20x30in`` reads the last unit for both).

    Raises
    ------
    BadValueError
        If it is not two lengths above 0.

    Examples
    --------
    >>> parse_size_mm("20x30in", "--stock")
    (508.0, 762.0)
    """
    parts = re.split(r"[xX×]", text)
    if len(parts) != 2:
        raise BadValueError(where, f"{text!r} is not a size", "write it like 200x150 or 8inx6in")
    unit = re.search(r"[A-Za-z\"]*\s*$", parts[1])
    if unit and not re.search(r"[A-Za-z\"]\s*$", parts[0]):
        parts[0] += unit.group().strip()
    length, width = (parse_length_mm(part, where) for part in parts)
    if length <= 0 or width <= 0:
        raise BadValueError(where, f"{text!r} has a side that is not above 0", "give two lengths above 0")
    return length, width


def inch_fraction(value_in: float, denominator: int) -> str:
    """Return inches as a whole and a fraction, rounded to ``1/denominator``: ``1-1/2``, ``3/32``, ``0``.

    Examples
    --------
    >>> inch_fraction(8.5, 32), inch_fraction(0.09375, 32), inch_fraction(-0.25, 16)
    ('8-1/2', '3/32', '-1/4')
    """
    from fractions import Fraction

    ticks = round(abs(value_in) * denominator)
    sign = "-" if value_in < 0 and ticks else ""
    whole, rest = divmod(ticks, denominator)
    part = Fraction(rest, denominator)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole}-{part}" if whole else f"{sign}{part}"


def length_text(value_mm: float, units: Units, *, decimals: int = 2) -> str:
    """Return a length as the user reads it, with its unit: ``6.35 mm`` or ``1/4 in``.

    Examples
    --------
    >>> length_text(6.35, Units()), length_text(6.35, Units("in")), length_text(6.5, Units("in", 0))
    ('6.35 mm', '1/4 in', '0.256 in')
    """
    if units.length == "mm":
        return f"{value_mm:.{decimals}f} mm"
    inches = value_mm / MM_PER_INCH
    if not units.denominator:
        return f"{inches:.{decimals + 1}f} in"
    return f"{inch_fraction(inches, units.denominator)} in"


def measured_length_text(value_mm: float, units: Units) -> str:
    """Return a measured length without rounding it to a fraction: a fraction where it is one, else decimals.

    A fraction that is only near would round a thin wall up to its rule.

    Examples
    --------
    >>> measured_length_text(6.35, Units("in")), measured_length_text(6.4, Units("in"))
    ('1/4 in', '0.252 in')
    >>> measured_length_text(6.35, Units()), measured_length_text(6.0, Units())
    ('6.35 mm', '6 mm')
    """
    if units.length == "mm":
        words = f"{value_mm:.3f}".rstrip("0").rstrip(".")
        return f"{'0' if words == '-0' else words} mm"
    inches = value_mm / MM_PER_INCH
    if units.denominator:
        # never a fraction larger than the length: a wall under its rule must not read like the rule
        over = abs(inches) - round(abs(inches) * units.denominator) / units.denominator
        if -_BELOW_FRACTION_IN <= over < _ABOVE_FRACTION_IN:
            return f"{inch_fraction(inches, units.denominator)} in"
    # half a thousandth is what a caliper in inches tells; what is thinner than that would read as nothing
    return f"{inches:.{3 if abs(inches) >= 0.001 else 5}f} in"


def fine_length_text(value_mm: float, units: Units) -> str:
    """Return a length too small for fractions, such as a bulge or a kerf: ``0.45 mm`` or ``0.018 in``.

    Examples
    --------
    >>> fine_length_text(0.45, Units()), fine_length_text(0.45, Units("in")), fine_length_text(0.0, Units("in"))
    ('0.45 mm', '0.018 in', '0 in')
    """
    words = f"{value_mm:.2f}" if units.length == "mm" else f"{value_mm / MM_PER_INCH:.3f}"
    return f"{words if float(words) else '0'} {units.length}"


def size_text(length_mm: float, width_mm: float, units: Units) -> str:
    """Return a length and a width as the user reads them: ``508 x 762 mm`` or ``20 x 30 in``.

    Examples
    --------
    >>> size_text(508.0, 762.0, Units()), size_text(508.0, 762.0, Units("in"))
    ('508 x 762 mm', '20 x 30 in')
    """
    if units.length == "mm":
        first, second = (f"{v:.2f}".rstrip("0").rstrip(".") for v in (length_mm, width_mm))
        return f"{first} x {second} mm"
    first = length_text(length_mm, units).removesuffix(" in")
    return f"{first} x {length_text(width_mm, units)}"


def volume_text(value_ml: float, units: Units) -> str:
    """Return a volume as the user reads it: ``685.6 mL``, or with inches ``685.6 mL (41.84 in³)``."""
    if units.length == "mm":
        return f"{value_ml:.1f} mL"
    return f"{value_ml:.1f} mL ({value_ml / ML_PER_IN3:.2f} in³)"


def mass_text(value_g: float, units: Units) -> str:
    """Return a mass as the scale shows it: grams always, with pounds beside them for inch users."""
    if units.length == "mm":
        return f"{value_g:.1f} g"
    return f"{value_g:.1f} g ({value_g / G_PER_LB:.2f} lb)"


def temperature_text(value_c: float, units: Units) -> str:
    """Return a temperature as the user reads it: ``24 °C``, or with inches ``75 °F (24 °C)``."""
    if units.length == "mm":
        return f"{value_c:.0f} °C"
    return f"{value_c * 9 / 5 + 32:.0f} °F ({value_c:.0f} °C)"


def enough_minutes_text(value_min: float) -> str:
    """Return a time that is enough, rounded up to what a data sheet gives: ``11 min``, ``4.5 min``, ``2 h 10 min``.

    Examples
    --------
    >>> enough_minutes_text(10.4), enough_minutes_text(4.41), enough_minutes_text(15.0)
    ('11 min', '4.5 min', '15 min')
    """
    step = 0.5 if value_min < 10.0 else 1.0 if value_min < 90.0 else 10.0
    return minutes_text(math.ceil(value_min / step - 1e-9) * step)


def minutes_text(value_min: float) -> str:
    """Return a time as a person says it: ``45 s``, ``7 min``, ``1 h 30 min``, ``2 d 3 h``."""
    seconds = round(value_min * 60)
    if seconds < 90:
        return f"{seconds} s"
    minutes = round(value_min)
    if minutes < 90 and abs(value_min - minutes) < 0.05:
        return f"{minutes} min"
    if minutes < 10:
        return f"{value_min:.1f} min"
    if minutes < 90:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    days, hours = divmod(round(value_min / 60), 24)
    return f"{days} d {hours} h" if hours else f"{days} d"


def plain_text(value: float, figures: int = 6) -> str:
    """Return a number with no more figures than told behind the point, all before it, and never as a power of ten.

    Examples
    --------
    >>> plain_text(4e4, 3), plain_text(0.00001234, 2), plain_text(2.50), plain_text(1e9)
    ('40000', '0.000012', '2.5', '1000000000')
    """
    if value == 0.0 or not math.isfinite(value):
        return f"{value:g}"
    decimals = figures - 1 - math.floor(math.log10(abs(value)))
    text = f"{value:.{max(0, decimals)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def counted(number: int, word: str) -> str:
    """Return a number and its noun.

    Examples
    --------
    >>> counted(1, "cast"), counted(3, "batch"), counted(2, "cavity"), counted(5, "day")
    ('1 cast', '3 batches', '2 cavities', '5 days')
    """
    if number == 1:
        return f"1 {word}"
    if word.endswith("y") and not word.endswith("ay"):
        return f"{number} {word[:-1]}ies"
    return f"{number} {word}{'es' if word.endswith(('ch', 'x')) else 's'}"
