"""The calendar of an order in words, a line a day."""

from layout.order.calendar import DAY_MIN, Shift, day_of
from layout.order.dates import day_date, day_text
from layout.order.stints import Schedule, Stint
from layout.pour.timeline import minutes_of_day
from layout.units import counted


def clock_text(minute: float, clock: str, start_date: str | None = None) -> str:
    """Return the day and the clock time of a minute of the calendar.

    Parameters
    ----------
    minute : float
        From the start of the first shift.
    clock : str
        When the shift starts, ``HH:MM``.
    start_date : str, optional
        Date of the first day.

    Examples
    --------
    >>> clock_text(0.0, "09:00"), clock_text(1455.0, "09:00"), clock_text(600.0, "18:00")
    ('day 1 09:00', 'day 2 09:15', 'day 2 04:00')
    >>> clock_text(1455.0, "09:00", "2026-11-30")
    'Tue 2026-12-01 09:15'
    """
    day, hour, rest = _clock(minute, clock)
    return f"{day_text(day, start_date)} {hour:02d}:{rest:02d}"


def iso_text(minute: float, clock: str, start_date: str) -> str:
    """Return a minute of the calendar as ISO 8601 writes it.

    Examples
    --------
    >>> iso_text(1455.0, "09:00", "2026-11-30")
    '2026-12-01T09:15'
    """
    day, hour, rest = _clock(minute, clock)
    return f"{day_date(start_date, day).isoformat()}T{hour:02d}:{rest:02d}"


def _clock(minute: float, clock: str) -> tuple[int, int, int]:
    day, rest = divmod(round(minute) + (minutes_of_day(clock) or 0), int(DAY_MIN))
    return day, rest // 60, rest % 60


def day_lines(found: Schedule, clock: str, start_date: str | None, shift: Shift | None = None) -> list[str]:
    """Return what hands do on each day on which they do something; with a shift, also which days are off.

    Parameters
    ----------
    found : Schedule
    clock : str
        When the shift starts, ``HH:MM``.
    start_date : str or None
    shift : Shift, optional
    """
    at_work: dict[int, list[Stint]] = {}
    for stint in found.stints:
        if stint.operator is not None:
            at_work.setdefault(day_of(stint.start_min), []).append(stint)
    lines: list[str] = []
    for day in range(found.days):
        today = at_work.get(day, [])
        name = day_text(day, start_date).capitalize()
        if not today:
            if shift is not None:
                lines.append(f"{name}: {'waiting' if shift.is_open(day) else 'day off'}")
            continue
        casts = sum(s.what == "cast" for s in today)
        parts = list(dict.fromkeys(s.name for s in today if s.name))
        parts += [counted(casts, "cast")] if casts else []
        parts += ["demolding"] if any(s.what == "demold" for s in today) and not casts else []
        parts += ["trimming"] if any(s.what == "trim" for s in today) else []
        last = clock_text(max(s.end_min for s in today), clock).split()[-1]
        lines.append(f"{name}: {', '.join(parts)}; hands free at {last}")
    return lines
