"""Round values to what a hand sets: whole millimetres, fractions of an inch, steps of fifteen degrees."""

from typing import Final, Literal

from layout.units import MM_PER_INCH, Units

NudgeSize = Literal["fine", "plain", "coarse"]

_NUDGE_MM: Final = {"fine": 0.1, "plain": 1.0, "coarse": 10.0}
_NUDGE_IN: Final = {"fine": 1 / 64, "plain": 1 / 32, "coarse": 1 / 4}


def nudge_mm(units: Units, size: NudgeSize = "plain") -> float:
    """Return how far an arrow key moves: 1 mm or 1/32 in; finer 0.1 mm or 1/64 in; coarser 10 mm or 1/4 in.

    Examples
    --------
    >>> nudge_mm(Units()), nudge_mm(Units("in")), nudge_mm(Units(), "coarse")
    (1.0, 0.79375, 10.0)
    """
    return _NUDGE_IN[size] * MM_PER_INCH if units.length == "in" else _NUDGE_MM[size]


def snapped(value_mm: float, step_mm: float) -> float:
    """Return a length rounded to a multiple of a step; unchanged for a step of 0.

    Examples
    --------
    >>> snapped(12.3, 0.5), snapped(12.3, 0.0)
    (12.5, 12.3)
    """
    return round(value_mm / step_mm) * step_mm if step_mm > 0.0 else value_mm


def snapped_angle(angle_deg: float, step_deg: float = 15.0) -> float:
    """Return an angle rounded to a multiple of a step, from 0 to below 360.

    Examples
    --------
    >>> snapped_angle(52.0), snapped_angle(-7.0), snapped_angle(-8.0)
    (45.0, 0.0, 345.0)
    """
    return snapped(angle_deg, step_deg) % 360.0
