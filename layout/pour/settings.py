"""What the bench's settings may be: beyond is a slip of the pen, refused at the field."""

import math
from dataclasses import replace
from typing import Any, Final

from layout.errors import BadValueError
from layout.model import PourSettings, Project
from layout.pour.timeline import minutes_of_day
from layout.units import plain_text

BOUNDS: Final[dict[str, tuple[str, float, float, str]]] = {
    "temperature_c": ("the temperature", 0.0, 60.0, "deg C"),
    "level_deg": ("the bench's slope", 0.0, 10.0, "degrees"),
    "waste_pct": ("the waste", 0.0, 100.0, "per cent"),
    "cup_film_ml": ("the film in a cup", 0.0, 1000.0, "mL"),
    "container_ml": ("the container", 10.0, 1e6, "mL"),
    "degas_min": ("the time to degas", 0.0, 240.0, "min"),
    "pour_ml_per_s": ("the pouring rate", 0.05, 1000.0, "mL/s"),
    "scale_limit_g": ("what the scale weighs", 1.0, 1e6, "g"),
    "container_tare_g": ("the empty container", 0.0, 1e5, "g"),
    "scale_step_g": ("the scale's step", 0.001, 100.0, "g"),
    "overfill_mm": ("the overfill", 0.0, 20.0, "mm"),
    "overfill_ml": ("the overfill", 0.0, 1000.0, "mL"),
    "resin_waste_pct": ("the loss of resin", 0.0, 100.0, "per cent"),
    "headroom": ("container over batch", 1.0, 20.0, "times"),
    "hands": ("the people pouring", 1.0, 20.0, ""),
    "altitude_m": ("the altitude", -450.0, 6000.0, "m"),
    "absolute_mbar": ("the absolute pressure", 0.1, 1100.0, "mbar"),
    "air_share": ("the share of air", 0.0, 0.5, ""),
    "humidity_pct": ("the humidity", 0.0, 100.0, "per cent"),
    "container_diameter_mm": ("the container's diameter", 1.0, 5000.0, "mm"),
    "container_height_mm": ("the container's height", 1.0, 5000.0, "mm"),
    "chamber_diameter_mm": ("the chamber's diameter", 1.0, 5000.0, "mm"),
    "chamber_height_mm": ("the chamber's height", 1.0, 5000.0, "mm"),
    "pressure_pot_diameter_mm": ("the pressure pot's diameter", 1.0, 5000.0, "mm"),
    "pressure_pot_height_mm": ("the pressure pot's height", 1.0, 5000.0, "mm"),
    "pigment_pct": ("the pigment", 0.0, 20.0, "per cent"),
    "pigment_drops": ("the pigment", 0.0, 500.0, "drops"),
    "drop_g": ("the weight of a drop", 0.001, 1.0, "g"),
    "filler_ml": ("the old silicone", 0.0, 1e6, "mL"),
    "filler_cover_mm": ("the cover of the filler", 0.0, 100.0, "mm"),
    "coat_mm": ("the detail coat", 0.0, 10.0, "mm"),
    "coat_cm2_per_min": ("the speed of brushing", 1.0, 10_000.0, "cm2/min"),
    "coat_wait_min": ("the wait after the coat", 0.0, 10_000.0, "min"),
    "correction": ("the correction", 0.5, 2.0, ""),
}
"""Field: words, least, most, unit."""


def with_settings(project: Project, where: str, **changes: Any) -> Project:
    """Return the project with some of its pour settings changed.

    Parameters
    ----------
    project : Project
    where : str
        The option or field, for the error.
    **changes
        Fields of `PourSettings`.

    Raises
    ------
    BadValueError
        If a value is not finite or lies outside its bounds, or the start is no clock time.
    """
    settings: PourSettings = replace(project.pour, **changes)
    for name in changes:
        _check(settings, name, where)
    return replace(project, pour=settings)


def _check(settings: PourSettings, name: str, where: str) -> None:
    value = getattr(settings, name)
    if name == "start":
        if minutes_of_day(value) is None:
            raise BadValueError(where, f"{value!r} is no time of day", "write it like 09:30")
        return
    if name == "small_molds":
        for mold in value:
            if not math.isfinite(mold.volume_ml) or not 0.0 < mold.volume_ml <= 1e6:
                raise BadValueError(where, f"small mold {mold.name!r} holds nothing", "give its volume in mL")
        return
    if name not in BOUNDS or value is None:
        return
    words, least, most, unit = BOUNDS[name]
    if not math.isfinite(value) or not least <= value <= most:
        raise BadValueError(where, f"{words} can't be {plain_text(value)} {unit}".rstrip(), _remedy(name, value))


def _remedy(name: str, value: float) -> str:
    """What to type instead: another unit where that was most likely meant, else the bounds."""
    _, least, most, unit = BOUNDS[name]
    if name == "container_ml" and 0.0 < value < least:
        return f"for litres type {plain_text(value)}l, for fluid ounces {plain_text(value)}oz"
    if name == "temperature_c" and most < value < 120.0:
        return f"for degrees Fahrenheit type {value:g}F"
    return f"give {plain_text(least)} to {plain_text(most)} {unit}".rstrip()
