"""The rows of the Pour page's form: what stands before each field, which setting it holds, how it is typed."""

from __future__ import annotations

from typing import Final

from app.fields import plain_number, within
from app.words import tr
from layout.errors import BadValueError
from layout.pour.settings import BOUNDS
from layout.units import Units, parse_number

Row = tuple[str, str, str]
"""Words, field of the pour settings, suffix; ``"length"`` and ``"altitude"`` are typed in the user's unit."""

M_PER_FT: Final = 0.3048


def bench_rows() -> tuple[Row, ...]:
    """Return the rows of the bench and its gear."""
    return (
        (tr("Container"), "container_ml", " mL"),
        (tr("Film in each cup"), "cup_film_ml", " mL"),
        (tr("Container over batch"), "headroom", ""),
        (tr("Scale weighs up to"), "scale_limit_g", " g"),
        (tr("Scale's step"), "scale_step_g", " g"),
        (tr("Empty container"), "container_tare_g", " g"),
        (tr("Pouring rate"), "pour_ml_per_s", " mL/s"),
        (tr("Time under vacuum"), "degas_min", " min"),
        (tr("Pump reaches, absolute"), "absolute_mbar", " mbar"),
        (tr("Altitude"), "altitude_m", "altitude"),
        (tr("Humidity"), "humidity_pct", " %"),
        (tr("Bench out of level"), "level_deg", "°"),
        (tr("Container, across"), "container_diameter_mm", "length"),
        (tr("Container, tall"), "container_height_mm", "length"),
        (tr("Vacuum chamber, across"), "chamber_diameter_mm", "length"),
        (tr("Vacuum chamber, tall"), "chamber_height_mm", "length"),
        (tr("Pressure pot, across"), "pressure_pot_diameter_mm", "length"),
        (tr("Pressure pot, tall"), "pressure_pot_height_mm", "length"),
    )


def extra_rows() -> tuple[Row, ...]:
    """Return the rows of resin, coat and left-overs."""
    return (
        (tr("Pigment"), "pigment_pct", " %"),
        (tr("Drops for 100 g"), "pigment_drops", ""),
        (tr("Weight of a drop"), "drop_g", " g"),
        (tr("Proud of the rim"), "overfill_mm", "length"),
        (tr("Proud, each cavity"), "overfill_ml", " mL"),
        (tr("Resin lost"), "resin_waste_pct", " %"),
        (tr("Detail coat"), "coat_mm", "length"),
        (tr("Wait after the coat"), "coat_wait_min", " min"),
        (tr("Old silicone"), "filler_ml", " mL"),
        (tr("Its cover"), "filler_cover_mm", "length"),
        (tr("Correction"), "correction", ""),
    )


_HINTS: Final = {
    "container_ml": ("2.5 L", "1 qt"),
    "scale_limit_g": ("2 kg", "5 lb"),
    "scale_step_g": ("0.1 g", "0.1 g"),
    "absolute_mbar": ("30 mbar", "30 mbar"),
    "humidity_pct": ("50 %", "50 %"),
    "container_diameter_mm": ("200 mm", "8 in"),
    "container_height_mm": ("250 mm", "10 in"),
    "chamber_diameter_mm": ("300 mm", "12 in"),
    "chamber_height_mm": ("300 mm", "12 in"),
    "pressure_pot_diameter_mm": ("300 mm", "12 in"),
    "pressure_pot_height_mm": ("300 mm", "12 in"),
    "coat_wait_min": ("14 min", "14 min"),
}
"""How a field that may be empty is typed: in millimetres, in inches."""


def hint(name: str, units: Units) -> str:
    """Return an example for an empty field; empty for a field that always holds an amount."""
    metric, inch = _HINTS.get(name, ("", ""))
    example = inch if units.length == "in" else metric
    return tr("such as {example}", example=example) if example else ""


def typed_number(typed: str, bare: str, words: str, suffix: str) -> float:
    """Read a number whose unit is taken off; what is wrong is told of what was typed, with the unit in the example.

    Raises
    ------
    BadValueError
    """
    try:
        return parse_number(bare, words)
    except BadValueError as error:
        example = f"write it like 5{suffix} or 2.5{suffix}"
        raise BadValueError(words, f"{typed.strip()!r} is not readable", example) from error


def typed_altitude_m(text: str, name: str, units: Units) -> float:
    """Return a typed altitude, m; a bare number is in feet for an inch user.

    Raises
    ------
    BadValueError
        If it can't be read, or there is no such altitude.
    """
    bare = text.strip().lower().replace(",", ".").replace("−", "-").replace(" ", "")
    feet = bare.endswith("ft") or (units.length == "in" and not bare.endswith("m"))
    value = parse_number(bare.removesuffix("ft").removesuffix("m"), name) * (M_PER_FT if feet else 1.0)
    return within(value, text, name, *BOUNDS["altitude_m"][1:3], lambda m: altitude_text(m, units))


def altitude_text(value_m: float, units: Units) -> str:
    """Return an altitude as the user reads it."""
    return f"{plain_number(value_m / M_PER_FT, 0)} ft" if units.length == "in" else f"{plain_number(value_m)} m"
