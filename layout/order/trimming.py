"""What hands do when no mold needs them: trim what was demolded; and the coats after the last part."""

from collections.abc import Sequence

from layout.order.calendar import DAY_MIN, FIT_TOL_MIN, Shift, day_of
from layout.order.stints import Job, Round, Shop, Stint, pieces


def trim(stints: list[Stint], rounds: Round, shop: Shop, operators: int) -> None:
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
        day = day_of(now)
        start = day * DAY_MIN
        if not shop.shift.is_open(day) or now >= start + shop.shift.bench_min - FIT_TOL_MIN:
            now = shop.shift.next_open(day + 1) * DAY_MIN
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


def finish(stints: list[Stint], jobs: Sequence[Job], shift: Shift, operators: int, now: float) -> float:
    """Add the coats, each by all hands and cut where a shift ends; return when the last is dry."""
    for job in jobs:
        for start, end in pieces(now, job.hands_min / operators, shift, may_cut=True):
            stints.extend(Stint("finish", start, end, who, name=job.name) for who in range(operators))
            now = end
        if job.wait_min > 0.0:
            stints.append(Stint("wait", now, now + job.wait_min, name=job.name))
            now += job.wait_min
    return now
