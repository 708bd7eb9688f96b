"""The shop, hand by hand: who does what to which mold when, from the first pour to the last part.

The rules, all of them:

- The making of molds comes first: a chain of jobs for the first operator, each with hands, then a wait (cure). These
  are appointments; everything else keeps clear of them. A job too long for one shift goes on next day.
- Each operator tends a fixed number of molds at most and keeps them: mold j goes to operator j modulo the number of
  operators at work. A worn mold is replaced by the next that is ready.
- A mold goes round: cast (hands), cure (no hands, overnight too), demold (hands). Cast and demold are each done in one
  go within a shift. A free operator takes what is ready: first the part that has waited longest in its mold, else the
  mold of the lowest number that can be cast.
- Trimming fills whatever hands are left over, and may be cut anywhere. Finishing follows when all is trimmed.
- A larger crew may leave hands idle, where more hands would only get in each other's way: the quickest number is taken.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from layout.errors import BadValueError
from layout.order.calendar import DAY_MIN, FIT_TOL_MIN, Calendar, Shift

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
    """

    stints: tuple[Stint, ...]
    finish_min: float
    hands_min: float
    operators: int

    @property
    def days(self) -> int:
        """Calendar days, the first and the last counted."""
        return max(1, math.ceil((self.finish_min - 1e-6) / DAY_MIN))


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


def schedule(casts: int, rounds: Round, shop: Shop, jobs: Sequence[Job] = (), finish: Sequence[Job] = ()) -> Schedule:
    """Return the quickest calendar over all numbers of operators up to the crew.

    Parameters
    ----------
    casts : int
        Fillings of a mold that the order takes.
    rounds : Round
    shop : Shop
    jobs : sequence of Job
        Making of the molds, in order. A mold that no job makes is ready from the start.
    finish : sequence of Job
        After the trimming, in order, each by all hands at work.

    Raises
    ------
    BadValueError
        If the molds do not last for the casts, or a cast or a demolding does not fit in a shift.

    Notes
    -----
    With layout and molds fixed, more casts never take less time: until the last cast starts nothing differs, and after
    it only one more cast and demolding compete for the same hands. A larger crew never takes more: the smaller crew's
    calendar is among those compared.
    """
    if casts > shop.molds * shop.mold_life:
        raise BadValueError(
            "molds",
            f"{shop.molds} molds of {shop.mold_life} casts each do not last for {casts} casts",
            "make more molds",
        )
    best: Schedule | None = None
    for operators in range(1, max(1, min(shop.crew, shop.molds)) + 1):
        found = _run(casts, rounds, shop, jobs, finish, operators)
        if best is None or found.finish_min < best.finish_min - FIT_TOL_MIN:
            best = found
    assert best is not None
    return best


def book(jobs: Sequence[Job], shift: Shift, from_min: float = 0.0) -> tuple[list[Stint], float]:
    """Return the appointments of a chain of jobs from a minute on, and when its last wait is over."""
    stints: list[Stint] = []
    now = from_min
    for job in jobs:
        for start, end in _pieces(now, job.hands_min, shift):
            stints.append(Stint("make", start, end, 0, job.ready_mold, name=job.name))
            now = end
        if job.wait_min > 0.0:
            stints.append(Stint("wait", now, now + job.wait_min, None, job.ready_mold, name=job.name))
            now += job.wait_min
    return stints, now


def _pieces(now: float, hands_min: float, shift: Shift) -> list[tuple[float, float]]:
    if hands_min <= 0.0:
        return []
    if hands_min <= shift.bench_min + FIT_TOL_MIN:
        start = shift.earliest(now, hands_min)
        return [(start, start + hands_min)]
    pieces = []
    left = hands_min
    while left > FIT_TOL_MIN:
        start = shift.earliest(now, min(left, FIT_TOL_MIN))
        room = shift.day_of(start) * DAY_MIN + shift.bench_min - start
        if room <= FIT_TOL_MIN:
            now = (shift.day_of(start) + 1) * DAY_MIN
            continue
        done = min(left, room)
        pieces.append((start, start + done))
        left -= done
        now = start + done
    return pieces


def _run(casts: int, rounds: Round, shop: Shop, jobs: Sequence[Job], finish: Sequence[Job], operators: int) -> Schedule:
    stints, _ = book(jobs, shop.shift)
    made: dict[int | None, float] = {s.mold: s.end_min for s in stints if s.mold is not None}
    booked = [(s.start_min, s.end_min) for s in stints if s.operator == 0]
    crew = [_Operator(Calendar(shop.shift, booked if i == 0 else [])) for i in range(operators)]
    shelf = _deal(crew, shop, made)
    left = casts
    while True:
        choice = _next(crew, rounds, left)
        if choice is None:
            break
        who, place, start = choice
        if place.filled:
            _demold(stints, who, crew[who], place, start, rounds, shop, shelf, made)
        else:
            _cast(stints, who, crew[who], place, start, rounds, shop, casts - left)
            left -= 1
    _trim(stints, rounds, shop, operators)
    done = max((s.end_min for s in stints if s.operator is not None), default=0.0)
    end = _finish(stints, finish, shop.shift, operators, done)
    stints.sort(key=lambda s: (s.start_min, s.end_min, -1 if s.operator is None else s.operator))
    hands = math.fsum(s.end_min - s.start_min for s in stints if s.operator is not None)
    return Schedule(tuple(stints), end, hands, operators)


def _deal(crew: list[_Operator], shop: Shop, made: dict[int | None, float]) -> list[int]:
    in_use = min(shop.molds, len(crew) * shop.molds_per_operator)
    for mold in range(in_use):
        crew[mold % len(crew)].places.append(_Place(mold, made.get(mold, 0.0)))
    return list(range(in_use, shop.molds))


def _next(crew: list[_Operator], rounds: Round, left: int) -> tuple[int, _Place, float] | None:
    best: tuple[float, int, int, float, int] | None = None
    chosen: _Place | None = None
    for who, operator in enumerate(crew):
        for number, place in enumerate(operator.places):
            if place.mold is None or (not place.filled and left <= 0):
                continue
            hands = rounds.demold_min if place.filled else rounds.cast_min
            start = operator.hands.earliest(place.ready_min, hands)
            # at one time: lower operator first, then demolding, the longest wait, the lowest place
            waited = place.ready_min if place.filled else 0.0
            key = (round(start, 6), who, 0 if place.filled else 1, waited, number)
            if best is None or key < best:
                best, chosen = key, place
    if best is None or chosen is None:
        return None
    ready = crew[best[1]].hands.earliest(chosen.ready_min, rounds.demold_min if chosen.filled else rounds.cast_min)
    return best[1], chosen, ready


def _cast(
    stints: list[Stint],
    who: int,
    operator: _Operator,
    place: _Place,
    start: float,
    rounds: Round,
    shop: Shop,
    cast: int,
) -> None:
    end = start + rounds.cast_min
    stints.append(Stint("cast", start, end, who, place.mold, cast))
    stints.append(Stint("cure", end, end + rounds.cure_min, None, place.mold, cast))
    day = shop.shift.day_of(start)
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


def _trim(stints: list[Stint], rounds: Round, shop: Shop, operators: int) -> None:
    """Fill free hands with trimming: parts of a cast can be trimmed from the end of its demolding on."""
    if rounds.trim_min <= 0.0:
        return
    arrivals = sorted(s.end_min for s in stints if s.what == "demold")
    busy = [
        sorted((s.start_min, s.end_min) for s in stints if s.operator == who and s.end_min > s.start_min)
        for who in range(operators)
    ]
    pile, arrived, now = 0.0, 0, 0.0
    index = [0] * operators
    while arrived < len(arrivals) or pile > FIT_TOL_MIN:
        while arrived < len(arrivals) and arrivals[arrived] <= now + FIT_TOL_MIN:
            pile += rounds.trim_min
            arrived += 1
        if pile <= FIT_TOL_MIN:
            now = arrivals[arrived]
            continue
        start = shop.shift.day_of(now) * DAY_MIN
        if now >= start + shop.shift.bench_min - FIT_TOL_MIN:
            now = start + DAY_MIN
            continue
        until = start + shop.shift.bench_min
        if arrived < len(arrivals):
            until = min(until, arrivals[arrived])
        free, until = _free(busy, index, now, until)
        if not free:
            now = until
            continue
        until = min(until, now + pile / len(free))
        stints.extend(Stint("trim", now, until, who) for who in free)
        pile -= len(free) * (until - now)
        now = until


def _free(busy: list[list[tuple[float, float]]], index: list[int], now: float, until: float) -> tuple[list[int], float]:
    """Return who is free at a minute, and until when that stands."""
    free = []
    for who, spans in enumerate(busy):
        while index[who] < len(spans) and spans[index[who]][1] <= now + FIT_TOL_MIN:
            index[who] += 1
        if index[who] == len(spans) or spans[index[who]][0] > now + FIT_TOL_MIN:
            free.append(who)
            if index[who] < len(spans):
                until = min(until, spans[index[who]][0])
        else:
            until = min(until, spans[index[who]][1])
    return free, until


def _finish(stints: list[Stint], jobs: Sequence[Job], shift: Shift, operators: int, now: float) -> float:
    for job in jobs:
        for start, end in _pieces(now, job.hands_min / operators, shift):
            stints.extend(Stint("finish", start, end, who, name=job.name) for who in range(operators))
            now = end
        if job.wait_min > 0.0:
            stints.append(Stint("wait", now, now + job.wait_min, name=job.name))
            now += job.wait_min
    return now
