"""Calendar dates of an order: typed by the user, never the machine's."""

import datetime
import re
from typing import Final

from layout.errors import BadValueError

WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
"""From 1, a Monday, as ISO 8601 numbers them."""

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def date_of(text: str, where: str = "--start") -> datetime.date:
    """Return a typed date.

    Raises
    ------
    BadValueError
        If it is not a date like ``2026-11-30``.
    """
    try:
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text.strip()):
            raise ValueError(text)
        return datetime.date.fromisoformat(text.strip())
    except ValueError as error:
        raise BadValueError(where, f"{text!r} is no date", "write year-month-day, like 2026-11-30") from error


def day_date(start_date: str, day: int) -> datetime.date:
    """Return the date of a day, from 0.

    Raises
    ------
    BadValueError
        If the calendar ends before it.
    """
    try:
        return date_of(start_date) + datetime.timedelta(days=day)
    except OverflowError as error:
        raise BadValueError("--start", f"day {day + 1} lies after the year 9999", "start earlier") from error


def date_text(day: datetime.date) -> str:
    """Return a date with its weekday.

    Examples
    --------
    >>> date_text(date_of("2026-11-30"))
    'Mon 2026-11-30'
    """
    return f"{WEEKDAYS[day.weekday()]} {day.isoformat()}"


def day_text(day: int, start_date: str | None) -> str:
    """Return a day, from 0, as a person reads it.

    Examples
    --------
    >>> day_text(2, None), day_text(2, "2026-11-30")
    ('day 3', 'Wed 2026-12-02')
    """
    return f"day {day + 1}" if start_date is None else date_text(day_date(start_date, day))


def days_between(start_date: str, by: str) -> int:
    """Return the calendar days from a start to a date, both counted.

    Raises
    ------
    BadValueError
        If one is no date, or the second lies before the first.

    Examples
    --------
    >>> days_between("2026-11-30", "2026-12-04")
    5
    """
    days = (date_of(by, "--by") - date_of(start_date)).days + 1
    if days < 1:
        raise BadValueError("--by", f"{by} lies before the start on {start_date}", "give a later date")
    return days


def parse_workdays(text: str, where: str = "--workdays") -> tuple[int, ...]:
    """Return typed working days as ISO weekdays, 1 a Monday.

    Raises
    ------
    BadValueError
        If a weekday is not readable.

    Examples
    --------
    >>> parse_workdays("Mon-Fri"), parse_workdays("tue,thu-Sat"), parse_workdays("all")
    ((1, 2, 3, 4, 5), (2, 4, 5, 6), (1, 2, 3, 4, 5, 6, 7))
    """
    if text.strip().lower() == "all":
        return tuple(range(1, 8))
    found: set[int] = set()
    for piece in text.split(","):
        ends = [WEEKDAYS.index(end) + 1 if end in WEEKDAYS else 0
                for end in (e.strip().capitalize()[:3] for e in piece.split("-"))]  # fmt: skip
        if len(ends) > 2 or not all(ends) or ends[0] > ends[-1]:
            raise BadValueError(where, f"{text!r} names no weekdays", "write Mon-Fri, Mon-Sat, Mon,Wed,Fri or all")
        found.update(range(ends[0], ends[-1] + 1))
    return tuple(sorted(found))


def workdays_text(workdays: tuple[int, ...]) -> str:
    """Return working days as they are typed.

    Examples
    --------
    >>> workdays_text((1, 2, 3, 4, 5)), workdays_text((2, 4, 5, 6)), workdays_text(tuple(range(1, 8)))
    ('Mon-Fri', 'Tue, Thu-Sat', 'all')
    """
    if len(set(workdays)) == 7:
        return "all"
    runs: list[list[int]] = []
    for day in sorted(set(workdays)):
        if runs and day == runs[-1][-1] + 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    return ", ".join(WEEKDAYS[r[0] - 1] + (f"-{WEEKDAYS[r[-1] - 1]}" if len(r) > 1 else "") for r in runs)


def require_workdays(workdays: tuple[int, ...]) -> None:
    """Raise BadValueError unless there is a working day and each is a weekday from 1 to 7."""
    if not workdays or not all(1 <= day <= 7 for day in workdays):
        raise BadValueError("--workdays", f"{workdays!r} are no working days", "write Mon-Fri, Mon,Wed,Fri or all")
