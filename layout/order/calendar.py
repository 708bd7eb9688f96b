"""When hands are free: shifts, appointments, and the earliest time at which a piece of work fits."""

import math
from bisect import bisect_right
from dataclasses import dataclass
from typing import Final

from layout.errors import BadValueError

DAY_MIN: Final = 1440.0
FIT_TOL_MIN: Final = 1e-6
"""Work that passes the end of a shift by no more than this still fits: sums of minutes round, by up to 1e-8 min where a
calendar runs over a hundred years."""


@dataclass(frozen=True, slots=True)
class Shift:
    """The working day, every day alike; minute 0 is its start on the first day.

    Parameters
    ----------
    bench_min : float
        Minutes of a day in which hands are at the molds, from the start of the shift. What is left of the shift goes to
        everything else: fetching, sweeping, telephone.
    """

    bench_min: float

    def day_of(self, minute: float) -> int:
        """Return the day of a minute, from 0."""
        return math.floor(minute / DAY_MIN + FIT_TOL_MIN)

    def earliest(self, minute: float, hands_min: float) -> float:
        """Return the first minute from this one on at which so much work can be done within one shift.

        Raises
        ------
        BadValueError
            If it is longer than a shift.
        """
        if hands_min > self.bench_min + FIT_TOL_MIN:
            raise BadValueError(
                "--hours",
                f"a piece of work of {hands_min:.0f} min does not fit in the {self.bench_min:.0f} min of a shift that"
                " hands are at the molds",
                "give longer shifts or fewer cavities",
            )
        start_of_day = self.day_of(minute) * DAY_MIN
        if minute + hands_min <= start_of_day + self.bench_min + FIT_TOL_MIN:
            return minute
        return start_of_day + DAY_MIN


def shift_of(hours: float, availability: float) -> Shift:
    """Return the shift of so many crew hours a day.

    Parameters
    ----------
    hours : float
        Above 0, at most 24.
    availability : float
        Share of them in which hands are at the molds, above 0, at most 1.

    Raises
    ------
    BadValueError
        If one lies outside.
    """
    if not 0.0 < hours <= 24.0:
        raise BadValueError("--hours", f"{hours!r} h is no shift", "give more than 0 and at most 24")
    if not 0.0 < availability <= 1.0:
        raise BadValueError("--availability", f"{availability!r} is no share", "give more than 0 and at most 1")
    return Shift(60.0 * hours * availability)


@dataclass(slots=True)
class Calendar:
    """One pair of hands: what it is booked for, and until when it is busy with the rest.

    Parameters
    ----------
    shift : Shift
    booked : list of (start_min, end_min)
        Appointments, in order, not overlapping.
    free_from : float
        No other work starts before this.
    """

    shift: Shift
    booked: list[tuple[float, float]]
    free_from: float = 0.0

    def earliest(self, ready_min: float, hands_min: float) -> float:
        """Return when work that is ready at a minute can start: in one shift, clear of all appointments."""
        start = self.shift.earliest(max(ready_min, self.free_from), hands_min)
        while True:
            clash = self._clash(start, hands_min)
            if clash is None:
                return start
            start = self.shift.earliest(clash, hands_min)

    def _clash(self, start: float, hands_min: float) -> float | None:
        at = bisect_right(self.booked, (start, math.inf))
        if at and self.booked[at - 1][1] > start + FIT_TOL_MIN:
            return self.booked[at - 1][1]
        if at < len(self.booked) and self.booked[at][0] < start + hands_min - FIT_TOL_MIN:
            return self.booked[at][1]
        return None
