"""The shop, hand by hand: who does what to which mold when, from the first pour to the last part.

The rules, all of them:

- The making of molds comes first: a chain of jobs for the first operator, each with hands, then a wait (cure). These
  are appointments; everything else keeps clear of them. A job too long for one shift goes on next day.
- Each operator tends a fixed number of molds at most and keeps them. The molds are dealt out in one of three ways,
  `DEALS`, and the quickest stands: who makes molds has less time to cast. A worn mold is replaced by the next.
- A mold goes round: cast (hands), cure (no hands, overnight too), demold (hands). Cast and demold are each done in one
  go within a shift. A free operator takes what is ready: first the part that has waited longest in its mold, else the
  mold of the lowest number that can be cast.
- Trimming fills whatever hands are left over, and may be cut anywhere. Finishing follows when all is trimmed, by all
  hands, cut where a shift ends. On a day off nobody works, and what cures goes on curing.
- A larger crew may leave hands idle, where more hands would only get in each other's way: the quickest number is taken.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from layout.errors import BadValueError
from layout.order.calendar import DAY_MIN, FIT_TOL_MIN, Calendar, Shift, day_of
from layout.order.stints import Job, Round, Schedule, Shop, Stint, pieces
from layout.order.trimming import finish, trim

DEALS: Final = ("in turn", "in turn from the second", "to the last first")
"""How molds are dealt to operators: one each in turn from the first, who makes the molds; the same from the second; or
as many as one tends to the last operator, then to the one before."""


@dataclass(slots=True)
class _Place:
    """Where an operator tends one mold."""

    mold: int | None
    ready_min: float = 0.0
    filled: bool = False
    used: int = 0
    cast: int = -1
    day: int = -1
    today: int = 0


@dataclass(slots=True)
class _Operator:
    hands: Calendar
    places: list[_Place] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Choice:
    """What an operator could do next; the least key of all is done first."""

    key: tuple[float, int, int, float, int]
    place: _Place
    start: float


def schedule(casts: int, rounds: Round, shop: Shop, jobs: Sequence[Job] = (), coats: Sequence[Job] = ()) -> Schedule:
    """Return the quickest calendar over the numbers of operators up to the crew, and the ways to deal molds to them.

    Parameters
    ----------
    casts : int
        Fillings of a mold that the order takes.
    rounds : Round
    shop : Shop
    jobs : sequence of Job
        Making of the molds, in order. A mold that no job makes is ready from the start.
    coats : sequence of Job
        After the trimming, in order, each by all hands at work.

    Raises
    ------
    BadValueError
        If the molds do not last for the casts, or a cast or a demolding does not fit in a shift.

    Notes
    -----
    With layout and molds fixed, more casts never take less time: until the last cast starts nothing differs, and after
    it only one more cast and demolding compete for the same hands. A larger crew never takes more: the smaller crew's
    calendar is among those compared, or, where it has more people than molds, one with more hands to trim.
    """
    if casts > shop.molds * shop.mold_life:
        raise BadValueError(
            "molds",
            f"{shop.molds} molds of {shop.mold_life} casts each do not last for {casts} casts",
            "make more molds",
        )
    best: Schedule | None = None
    # from the most people down: the first is near the quickest as a rule, and what is later is given up on the way
    for operators in sorted({*range(1, min(shop.crew, shop.molds) + 1), shop.crew}, reverse=True):
        for deal in DEALS if operators > 1 else DEALS[:1]:
            limit_min = math.inf if best is None else best.finish_min
            found = _run(casts, rounds, shop, jobs, coats, operators, deal, limit_min)
            if found is not None and (best is None or _is_better(found, best)):
                best = found
    assert best is not None
    return best


def _is_better(found: Schedule, best: Schedule) -> bool:
    """Whether a calendar ends sooner, or as soon with fewer people."""
    if found.finish_min < best.finish_min - FIT_TOL_MIN:
        return True
    return found.finish_min <= best.finish_min + FIT_TOL_MIN and found.operators < best.operators


def book(jobs: Sequence[Job], shift: Shift, from_min: float = 0.0) -> tuple[list[Stint], float]:
    """Return the appointments of a chain of jobs from a minute on, and when its last wait is over."""
    stints: list[Stint] = []
    now = from_min
    for job in jobs:
        for start, end in pieces(now, job.hands_min, shift):
            stints.append(Stint("make", start, end, 0, job.ready_mold, name=job.name))
            now = end
        if job.wait_min > 0.0:
            stints.append(Stint("wait", now, now + job.wait_min, None, job.ready_mold, name=job.name))
            now += job.wait_min
    return stints, now


def _run(
    casts: int, rounds: Round, shop: Shop, jobs: Sequence[Job], coats: Sequence[Job], operators: int, deal: str,
    limit_min: float,
) -> Schedule | None:  # fmt: skip
    """The calendar of so many people; None as soon as it is sure to end after the limit."""
    stints, _ = book(jobs, shop.shift)
    made: dict[int | None, float] = {s.mold: s.end_min for s in stints if s.mold is not None}
    booked = [(s.start_min, s.end_min) for s in stints if s.operator == 0]
    crew = [_Operator(Calendar(shop.shift, booked if i == 0 else [])) for i in range(operators)]
    shelf = _deal(crew, shop, made, deal)
    left = casts
    choices = [_next_of(who, operator, rounds, left) for who, operator in enumerate(crew)]
    while True:
        choice = min((c for c in choices if c is not None), key=lambda c: c.key, default=None)
        if choice is None:
            break
        who, place, start = choice.key[1], choice.place, choice.start
        if start > limit_min + FIT_TOL_MIN:
            return None
        if place.filled:
            _demold(stints, who, crew[who], place, start, rounds, shop, shelf, made)
        else:
            _cast(stints, who, crew[who], place, start, rounds, casts - left)
            left -= 1
        for other in range(operators) if left == 0 else (who,):
            choices[other] = _next_of(other, crew[other], rounds, left)
    trim(stints, rounds, shop, operators)
    done = max((s.end_min for s in stints if s.operator is not None), default=0.0)
    end = finish(stints, coats, shop.shift, operators, done)
    stints.sort(key=lambda s: (s.start_min, s.end_min, -1 if s.operator is None else s.operator))
    hands = math.fsum(s.end_min - s.start_min for s in stints if s.operator is not None)
    return Schedule(tuple(stints), end, hands, operators, deal)


def _deal(crew: list[_Operator], shop: Shop, made: dict[int | None, float], deal: str) -> list[int]:
    in_use = min(shop.molds, len(crew) * shop.molds_per_operator)
    for mold in range(in_use):
        if deal == DEALS[2]:
            who = len(crew) - 1 - mold // shop.molds_per_operator
        else:
            who = (mold + DEALS.index(deal)) % len(crew)
        crew[who].places.append(_Place(mold, made.get(mold, 0.0)))
    return list(range(in_use, shop.molds))


def _next_of(who: int, operator: _Operator, rounds: Round, left: int) -> _Choice | None:
    """What an operator does next, and when; it stands until the operator has done it, or nothing is left to cast."""
    best: _Choice | None = None
    for number, place in enumerate(operator.places):
        if place.mold is None or (not place.filled and left <= 0):
            continue
        start = operator.hands.earliest(place.ready_min, rounds.demold_min if place.filled else rounds.cast_min)
        # at one time: lower operator first, then demolding, the longest wait, the lowest place
        waited = place.ready_min if place.filled else 0.0
        key = (round(start, 6), who, 0 if place.filled else 1, waited, number)
        if best is None or key < best.key:
            best = _Choice(key, place, start)
    return best


def _cast(
    stints: list[Stint],
    who: int,
    operator: _Operator,
    place: _Place,
    start: float,
    rounds: Round,
    cast: int,
) -> None:
    end = start + rounds.cast_min
    stints.append(Stint("cast", start, end, who, place.mold, cast))
    stints.append(Stint("cure", end, end + rounds.cure_min, None, place.mold, cast))
    day = day_of(start)
    place.today = place.today + 1 if place.day == day else 1
    place.day, place.cast, place.used, place.filled = day, cast, place.used + 1, True
    place.ready_min = end + rounds.cure_min
    operator.hands.free_from = end


def _demold(
    stints: list[Stint], who: int, operator: _Operator, place: _Place, start: float, rounds: Round, shop: Shop,
    shelf: list[int], made: dict[int | None, float],
) -> None:  # fmt: skip
    end = start + rounds.demold_min
    stints.append(Stint("demold", start, end, who, place.mold, place.cast))
    operator.hands.free_from = end
    place.filled, place.ready_min = False, end
    if place.used >= shop.mold_life:
        place.mold = shelf.pop(0) if shelf else None
        place.used, place.day, place.today = 0, -1, 0
        place.ready_min = max(end, made.get(place.mold, 0.0))
    elif shop.casts_per_day is not None and place.today >= shop.casts_per_day:
        place.ready_min = max(end, (place.day + 1) * DAY_MIN)
