"""What a calendar is made of: jobs, rounds, the shop, and stretches of time."""

import math
from dataclasses import dataclass
from typing import Literal

from layout.order.calendar import DAY_MIN, FIT_TOL_MIN, Shift, day_of

What = Literal["make", "cast", "demold", "trim", "finish", "wait", "cure"]


@dataclass(frozen=True, slots=True)
class Job:
    """One appointment of the mold maker.

    Parameters
    ----------
    name : str
    hands_min, wait_min : float
        Hands, then a wait before the next job.
    ready_mold : int or None
        The gang mold that is ready after the wait.
    """

    name: str
    hands_min: float
    wait_min: float = 0.0
    ready_mold: int | None = None


@dataclass(frozen=True, slots=True)
class Stint:
    """A stretch of time, minutes from the start of the first shift.

    Parameters
    ----------
    what : What
        ``make``, ``cast``, ``demold``, ``trim``, ``finish`` take hands; ``cure`` and ``wait`` take none.
    operator : int or None
        Whose hands, from 0; None for a wait.
    mold : int or None
        Which gang mold, from 0.
    cast : int or None
        Which cast of the order, from 0.
    """

    what: What
    start_min: float
    end_min: float
    operator: int | None = None
    mold: int | None = None
    cast: int | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Round:
    """What one round of a mold takes, minutes.

    Parameters
    ----------
    cast_min, cure_min, demold_min : float
    trim_min : float
        Hands to trim the parts of one cast.
    """

    cast_min: float
    cure_min: float
    demold_min: float
    trim_min: float = 0.0


@dataclass(frozen=True, slots=True)
class Shop:
    """Hands and molds.

    Parameters
    ----------
    shift : Shift
    crew, molds_per_operator, molds : int
        At least 1 each.
    mold_life : int
        Casts of one mold.
    casts_per_day : int or None
        The most casts of one mold in a day.
    """

    shift: Shift
    crew: int
    molds_per_operator: int
    molds: int
    mold_life: int
    casts_per_day: int | None = None


@dataclass(frozen=True, slots=True)
class Schedule:
    """The whole calendar of an order.

    Parameters
    ----------
    stints : tuple of Stint
        By start; no operator has two at a time.
    finish_min : float
        When the last hand is done, and the last coat dry.
    hands_min : float
        All hands together.
    operators : int
        How many of the crew are at work.
    deal : str
        How the molds were dealt out to them.
    """

    stints: tuple[Stint, ...]
    finish_min: float
    hands_min: float
    operators: int
    deal: str = ""

    @property
    def days(self) -> int:
        """Calendar days, the first and the last counted."""
        return max(1, math.ceil((self.finish_min - FIT_TOL_MIN) / DAY_MIN))


def pieces(now: float, hands_min: float, shift: Shift, *, may_cut: bool = False) -> list[tuple[float, float]]:
    """Return when so many minutes of hands are worked from a minute on: in one go where they fit in a shift.

    Parameters
    ----------
    now, hands_min : float
    shift : Shift
    may_cut : bool
        Begin at once and go on next day, also where the work would fit in one shift.
    """
    if hands_min <= 0.0:
        return []
    if hands_min <= shift.bench_min + FIT_TOL_MIN and not may_cut:
        start = shift.earliest(now, hands_min)
        return [(start, start + hands_min)]
    found = []
    left = hands_min
    while left > FIT_TOL_MIN:
        start = shift.earliest(now, min(left, FIT_TOL_MIN))
        room = day_of(start) * DAY_MIN + shift.bench_min - start
        if room <= FIT_TOL_MIN:
            now = (day_of(start) + 1) * DAY_MIN
            continue
        done = min(left, room)
        found.append((start, start + done))
        left -= done
        now = start + done
    return found
