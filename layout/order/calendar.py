"""When hands are free: shifts, appointments, and the earliest time at which a piece of work fits."""

import math
from bisect import bisect_right
from dataclasses import dataclass, replace
from typing import Final

from layout.errors import BadValueError
from layout.order.dates import date_of, require_workdays
from layout.shop import OrderSettings

DAY_MIN: Final = 1440.0
FIT_TOL_MIN: Final = 1e-6
"""Work that passes the end of a shift by no more than this still fits: sums of minutes round, by up to 1e-8 min where a
calendar runs over a hundred years."""


def day_of(minute: float) -> int:
    """Return the day of a minute, from 0; one that rounding left just short of a day belongs to it.

    Examples
    --------
    >>> day_of(1439.9), day_of(1440.0), day_of(1440.0 - 1e-8), day_of(1440.0 - 1e-4)
    (0, 1, 1, 0)
    """
    return math.floor((minute + FIT_TOL_MIN) / DAY_MIN)


@dataclass(frozen=True, slots=True)
class Shift:
    """The working day; minute 0 is its start on the first day.

    Parameters
    ----------
    bench_min : float
        Minutes of a day in which hands are at the molds, from the start of the shift. What is left of the shift goes to
        everything else: fetching, sweeping, telephone.
    first_weekday : int
        Weekday of the first day, from 0, a Monday; of no account where no weekday is off.
    off : frozenset of int
        Weekdays on which nobody works.
    closed : frozenset of int
        Further days, from 0, on which nobody works.
    """

    bench_min: float
    first_weekday: int = 0
    off: frozenset[int] = frozenset()
    closed: frozenset[int] = frozenset()

    def is_open(self, day: int) -> bool:
        """Return whether anybody works on a day, from 0."""
        return (self.first_weekday + day) % 7 not in self.off and day not in self.closed

    def next_open(self, day: int) -> int:
        """Return the first day from this one on, on which somebody works."""
        while not self.is_open(day):
            day += 1
        return day

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
        day = day_of(minute)
        if self.is_open(day):
            if minute + hands_min <= day * DAY_MIN + self.bench_min + FIT_TOL_MIN:
                return minute
            day += 1
        return self.next_open(day) * DAY_MIN


def shift_of_order(order: OrderSettings) -> Shift:
    """Return the shift of an order: its hours, and from its start date on the weekdays and days that are off.

    Raises
    ------
    BadValueError
        If hours, availability, a date or the working days make no sense.

    Notes
    -----
    Without a start date no weekday is known: every day is then a working day.
    """
    plain = shift_of(order.hours, order.availability)
    require_workdays(order.workdays)
    if order.start_date is None:
        return plain
    start = date_of(order.start_date)
    off = frozenset(range(7)) - {day - 1 for day in order.workdays}
    closed = frozenset((date_of(day, "--off") - start).days for day in order.closed)
    return replace(plain, first_weekday=start.weekday(), off=off, closed=closed)


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
