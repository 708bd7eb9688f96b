"""What would bring an order in by its date: more of one thing, found by planning again with it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from layout.errors import BadValueError
from layout.order.plan import Option, option_of
from layout.shop import OrderSettings
from layout.units import counted

MOST_PEOPLE, MOST_HOURS, MOST_SINGLES = 4, 12.0, 6
"""How far people, hours a day and single molds are tried. Common practice, no source."""

MOST_CASTS = 1500
"""Up to so many casts, times the people that share them, every value is tried, above it only the first of each: each is
a calendar of its own for every number of people."""


@dataclass(frozen=True, slots=True)
class Sooner:
    """One change of the order.

    Parameters
    ----------
    what : str
        ``3 people``, ``12 h a day``.
    days : int
        Calendar days with it.
    in_time : bool
    order : OrderSettings
        With the change.
    """

    what: str
    days: int
    in_time: bool
    order: OrderSettings


def changes_that_help(option: Option) -> tuple[Sooner, ...]:
    """Return for people, hours, single molds and masters the least that meets the date, else the most that helps.

    Notes
    -----
    Each is planned with the layout as it is. Of equal days the smaller change stands.
    """
    found = (_least(option, list(trials)) for trials in _trials(option))
    return tuple(s for s in found if s is not None)


def _trials(option: Option) -> Iterator[Iterator[tuple[str, OrderSettings]]]:
    order = option.project.order
    yield ((f"{n} people", replace(order, crew=n)) for n in range(order.crew + 1, order.crew + MOST_PEOPLE))
    hours = (h for h in (order.hours + 1.0, order.hours + 2.0, 10.0, MOST_HOURS) if order.hours < h <= 24.0)
    yield ((f"{h:g} h a day", replace(order, hours=h)) for h in sorted(set(hours)))
    singles = range(order.single_molds + 1, max(MOST_SINGLES, order.single_molds + 1) + 1)
    yield ((f"{n} single molds at a time", replace(order, single_molds=n)) for n in singles)
    if order.masters_in_hand < option.cavities:
        yield iter([(f"{option.cavities} masters in hand", replace(order, masters_in_hand=option.cavities))])


def _is_quick(option: Option) -> bool:
    return option.cycles * min(option.project.order.crew, option.molds) <= MOST_CASTS


def _least(option: Option, trials: list[tuple[str, OrderSettings]]) -> Sooner | None:
    best: Sooner | None = None
    for what, order in trials if _is_quick(option) else trials[:1]:
        made = _days(option, order)
        if made is None or made.calendar_days >= (option.calendar_days if best is None else best.days):
            continue
        best = Sooner(what, made.calendar_days, made.in_time, order)
        if made.in_time:
            break
    return best


def _days(option: Option, order: OrderSettings) -> Option | None:
    try:
        return option_of(replace(option.project, order=order))
    except BadValueError:
        return None


def together(option: Option, changes: tuple[Sooner, ...]) -> Sooner | None:
    """Return all of the changes at once; None where there are fewer than two or it brings nothing more."""
    if len(changes) < 2:
        return None
    mine, order = option.project.order, option.project.order
    for change in changes:
        new = change.order
        order = replace(
            order,
            crew=max(order.crew, new.crew),
            hours=max(order.hours, new.hours),
            single_molds=max(order.single_molds, new.single_molds),
            masters_in_hand=max(order.masters_in_hand, new.masters_in_hand),
        )
    made = _days(option, order)
    if order == mine or made is None or made.calendar_days >= min(c.days for c in changes):
        return None
    return Sooner("all of these together", made.calendar_days, made.in_time, order)


def parts_in_time(option: Option) -> int:
    """Return how many good parts this layout and shop have ready by the date; 0 if none, or if there is no date.

    Notes
    -----
    Halved down to the last part: with layout and shop fixed, more parts never take less time.
    """
    order = option.project.order
    if order.days is None:
        return 0
    low, high = 0, order.parts
    while high - low > 1:
        middle = (low + high) // 2
        made = _days(option, replace(order, parts=middle))
        if made is not None and made.in_time:
            low = middle
        else:
            high = middle
    return order.parts if option.in_time else low


def crew_that_is_enough(option: Option) -> int:
    """Return the least number of people that has the order ready on the same day, all else as it is."""
    order = option.project.order
    if not _is_quick(option):
        return order.crew
    for people in range(1, order.crew):
        made = _days(option, replace(order, crew=people))
        if made is not None and made.calendar_days <= option.calendar_days:
            return people
    return order.crew


def what_would_speed_up(option: Option) -> str:
    """Return what meets the date, or at least brings it nearer, in sentences; each was planned."""
    changes = changes_that_help(option)
    meet = [c for c in changes if c.in_time]
    near = [c for c in changes if not c.in_time]
    said = []
    if option.in_time:
        quicker = [f"{c.what} ({counted(c.days, 'day')})" for c in changes]
        return f"Sooner with {', or '.join(quicker)}." if quicker else ""
    if meet:
        said.append("Met with " + ", or with ".join(f"{c.what} ({counted(c.days, 'day')})" for c in meet) + ".")
    elif near:
        words = [f"{c.what} ({counted(c.days, 'day')})" for c in near]
        all_of_them = together(option, changes)
        if all_of_them is not None:
            words.append(f"{all_of_them.what} ({counted(all_of_them.days, 'day')})")
        nothing_meets = all_of_them is None or not all_of_them.in_time
        said.append(("Nearer, not in time" if nothing_meets else "Nearer") + ": " + ", ".join(words) + ".")
    else:
        said.append("People, longer shifts, more single molds or masters in hand do not bring it nearer.")
    if _is_quick(option):
        parts = parts_in_time(option)
        said.append(f"As it stands, {counted(parts, 'part')} can be ready by the date." if parts else
                    "As it stands, not one part can be ready by the date.")  # fmt: skip
    return " ".join(said)
