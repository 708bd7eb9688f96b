"""The calendar of an order and its purchase list as CSV: UTF-8, a head, decimal points."""

import csv
import io

from layout.order.dates import WEEKDAYS, day_date
from layout.order.day_by_day import clock_text
from layout.order.purchase import Purchase
from layout.order.stints import Schedule, Stint

WORDS = {
    "make": "make a mold",
    "cast": "cast",
    "cure": "cure",
    "demold": "demold",
    "trim": "trim",
    "finish": "finish",
    "wait": "wait",
}


def stint_words(stint: Stint) -> str:
    """Return what a stint is, in words: ``cast 3 in mold 2``."""
    words = stint.name or WORDS[stint.what]
    if stint.cast is not None:
        words += f", cast {stint.cast + 1}"
    if stint.mold is not None and stint.what not in ("make", "wait"):
        words += f", mold {stint.mold + 1}"
    return words


def schedule_csv(found: Schedule, clock: str, start_date: str | None = None) -> bytes:
    """Return the calendar of an order; with a start date every line has its date and weekday."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(
        ["day", "from", "to", "minutes", "hands", "what", "mold", "cast", "start_min", "end_min", "date", "weekday"]
    )
    for stint in found.stints:
        first, last = clock_text(stint.start_min, clock).split(), clock_text(stint.end_min, clock).split()
        date = None if start_date is None else day_date(start_date, int(first[1]) - 1)
        writer.writerow(
            [
                first[1],
                first[2],
                last[2] if last[1] == first[1] else clock_text(stint.end_min, clock, start_date),
                f"{stint.end_min - stint.start_min:.1f}",
                "" if stint.operator is None else stint.operator + 1,
                stint.name or WORDS[stint.what],
                "" if stint.mold is None else stint.mold + 1,
                "" if stint.cast is None else stint.cast + 1,
                f"{stint.start_min:.2f}",
                f"{stint.end_min:.2f}",
                "" if date is None else date.isoformat(),
                "" if date is None else WEEKDAYS[date.weekday()],
            ]
        )
    return stream.getvalue().encode()


def purchase_csv(lines: tuple[Purchase, ...], currency: str) -> bytes:
    """Return the purchase list."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(["material", "for", "amount", "need_g", "a_g", "b_g", "kits", "price", "currency", "to_pay"])
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
                "" if line.to_pay is None else f"{line.to_pay:.2f}",
            ]
        )
    return stream.getvalue().encode()


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}"
