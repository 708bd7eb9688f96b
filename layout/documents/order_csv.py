"""The calendar of an order and its purchase list as CSV: UTF-8, a head, decimal points."""

import csv
import io

from layout.order.calendar import DAY_MIN
from layout.order.purchase import Purchase
from layout.order.schedule import Schedule, Stint

WORDS = {
    "make": "make a mold",
    "cast": "cast",
    "cure": "cure",
    "demold": "demold",
    "trim": "trim",
    "finish": "finish",
    "wait": "wait",
}


def clock_text(minute: float, start: str) -> str:
    """Return the day and the clock time of a minute of the calendar: ``day 2 09:15``.

    Parameters
    ----------
    minute : float
        From the start of the first shift.
    start : str
        When the shift starts, ``HH:MM``.

    Examples
    --------
    >>> clock_text(0.0, "09:00"), clock_text(1455.0, "09:00"), clock_text(600.0, "18:00")
    ('day 1 09:00', 'day 2 09:15', 'day 2 04:00')
    """
    hours, _, minutes = start.partition(":")
    at = round(minute) + int(hours) * 60 + int(minutes or 0)
    day, rest = divmod(at, int(DAY_MIN))
    return f"day {day + 1} {rest // 60:02d}:{rest % 60:02d}"


def stint_words(stint: Stint) -> str:
    """Return what a stint is, in words: ``cast 3 in mold 2``."""
    words = stint.name or WORDS[stint.what]
    if stint.cast is not None:
        words += f", cast {stint.cast + 1}"
    if stint.mold is not None and stint.what not in ("make", "wait"):
        words += f", mold {stint.mold + 1}"
    return words


def schedule_csv(found: Schedule, start: str) -> bytes:
    """Return the calendar of an order."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(["day", "from", "to", "minutes", "hands", "what", "mold", "cast", "start_min", "end_min"])
    for stint in found.stints:
        begins, ends = clock_text(stint.start_min, start), clock_text(stint.end_min, start)
        writer.writerow(
            [
                begins.split()[1],
                begins.split()[2],
                ends.split()[2] if ends.split()[1] == begins.split()[1] else ends,
                f"{stint.end_min - stint.start_min:.1f}",
                "" if stint.operator is None else stint.operator + 1,
                stint.name or WORDS[stint.what],
                "" if stint.mold is None else stint.mold + 1,
                "" if stint.cast is None else stint.cast + 1,
                f"{stint.start_min:.2f}",
                f"{stint.end_min:.2f}",
            ]
        )
    return stream.getvalue().encode()


def purchase_csv(lines: tuple[Purchase, ...], currency: str) -> bytes:
    """Return the purchase list."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(["material", "for", "amount", "need_g", "a_g", "b_g", "kits", "price", "currency"])
    for line in lines:
        writer.writerow(
            [
                line.name,
                line.what_for,
                line.amount,
                _number(line.need_g),
                _number(line.a_g),
                _number(line.b_g),
                "" if line.kits is None else line.kits.count,
                "" if line.price is None else f"{line.price:.2f}",
                "" if line.price is None else currency,
            ]
        )
    return stream.getvalue().encode()


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}"
