"""The calendar against an independent walk through the minutes, against the closed
forms that bound it, and by its rules.
"""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.errors import BadValueError
from layout.order.calendar import DAY_MIN, shift_of
from layout.order.cycle import round_min, rounds_per_day, useful_molds
from layout.order.schedule import DEALS, schedule
from layout.order.stints import Job, Round, Schedule, Shop
from tests.layout.order import shop_by_minutes

_SHOPS = st.fixed_dictionaries(
    {
        "casts": st.integers(1, 25),
        "cast_min": st.integers(1, 12),
        "cure_min": st.integers(1, 90),
        "demold_min": st.integers(1, 8),
        "bench": st.integers(12, 90),
        "crew": st.integers(1, 3),
        "per_operator": st.integers(1, 3),
        "molds": st.integers(1, 6),
        "life": st.integers(1, 12),
        "cap": st.sampled_from([None, None, 1, 2, 4]),
        "off": st.sampled_from([(), (), (5, 6), (0,), (1, 2, 4)]),
        "jobs": st.lists(
            st.tuples(st.integers(0, 120), st.integers(0, 200), st.sampled_from([None, 0, 1, 2])), max_size=4
        ),
    }
)


def _made_once(jobs):
    seen, out = set(), []
    for hands, wait, mold in jobs:
        out.append((hands, wait, None if mold in seen else mold))
        seen.add(mold)
    return out


def _ours(s, casts=None, crew=None, trim=0) -> Schedule:
    casts = s["casts"] if casts is None else casts
    molds = max(s["molds"], math.ceil(casts / s["life"]))
    shift = replace(shift_of(s["bench"] / 60, 1.0), off=frozenset(s["off"]))
    shop = Shop(shift, crew or s["crew"], s["per_operator"], molds, s["life"], s["cap"])
    jobs = [Job(f"job {i}", h, w, m) for i, (h, w, m) in enumerate(_made_once(s["jobs"]))]
    return schedule(casts, Round(s["cast_min"], s["cure_min"], s["demold_min"], trim), shop, jobs)


def _by_minutes(s, operators, trim=0, deal="in turn"):
    molds = max(s["molds"], math.ceil(s["casts"] / s["life"]))
    return shop_by_minutes.run(
        s["casts"], s["cast_min"], s["cure_min"], s["demold_min"], trim, s["bench"], operators, s["per_operator"],
        molds, s["life"], s["cap"], _made_once(s["jobs"]), deal=deal, days_off=s["off"],
    )  # fmt: skip


@settings(max_examples=80, deadline=None)
@given(_SHOPS, st.sampled_from([0, 0, 3]))
def test_that_hours_and_days_are_those_of_a_walk_through_the_minutes(s, trim) -> None:
    trim = 0 if s["crew"] > 1 else trim  # two people share a pile in parts of a minute; the walk knows whole minutes
    molds = max(s["molds"], math.ceil(s["casts"] / s["life"]))
    crews = {*range(1, min(s["crew"], molds) + 1), s["crew"]}
    walks = {(n, deal): _by_minutes(s, n, trim, deal) for n in crews for deal in DEALS}
    ours = _ours(s, trim=trim)
    last = max((x.end_min for x in ours.stints if x.operator is not None), default=0.0)
    assert last == pytest.approx(min(walk[0] for walk in walks.values()), abs=1e-6)
    assert ours.hands_min == pytest.approx(walks[ours.operators, ours.deal][1], abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(_SHOPS)
def test_that_each_stroke_of_hands_is_where_the_walk_has_it(s) -> None:
    s = {**s, "crew": 1}
    log = [(m, w, what, mold) for m, w, what, mold in _by_minutes(s, 1)[2]]
    ours = [(round(x.start_min), x.operator, x.what, x.mold) for x in _ours(s).stints if x.what in ("cast", "demold")]
    assert ours == log


@settings(max_examples=80, deadline=None)
@given(_SHOPS, st.integers(0, 5))
def test_that_nobody_has_two_hands_busy_at_once_and_no_mold_is_in_two_places(s, trim) -> None:
    found = _ours(s, trim=trim)
    for who in range(found.operators):
        spans = sorted((x.start_min, x.end_min) for x in found.stints if x.operator == who)
        assert all(a[1] <= b[0] + 1e-6 for a, b in pairwise(spans))
        assert all(a // DAY_MIN * DAY_MIN + s["bench"] >= b - 1e-6 for a, b in spans)
        assert not any(int(a // DAY_MIN) % 7 in s["off"] for a, _ in spans)
    casting = [x for x in found.stints if x.what in ("cast", "cure", "demold")]
    for mold in {x.mold for x in casting}:
        spans = sorted((x.start_min, x.end_min) for x in casting if x.mold == mold)
        assert all(a[1] <= b[0] + 1e-6 for a, b in pairwise(spans))
    assert sum(x.what == "cast" for x in found.stints) == sum(x.what == "demold" for x in found.stints) == s["casts"]


@settings(max_examples=80, deadline=None)
@given(_SHOPS, st.integers(0, 5), st.integers(1, 4))
def test_that_more_parts_never_take_less_time(s, trim, more) -> None:
    s = {**s, "molds": max(s["molds"], math.ceil((s["casts"] + more) / s["life"]))}
    few, many = _ours(s, trim=trim), _ours(s, casts=s["casts"] + more, trim=trim)
    assert few.finish_min <= many.finish_min + 1e-6
    assert few.hands_min < many.hands_min


@settings(max_examples=80, deadline=None)
@given(_SHOPS, st.integers(0, 5))
def test_that_a_larger_crew_never_takes_longer(s, trim) -> None:
    times = [_ours(s, crew=crew, trim=trim).finish_min for crew in (1, 2, 3, 4)]
    assert all(a >= b - 1e-6 for a, b in pairwise(times))


@settings(max_examples=60, deadline=None)
@given(_SHOPS)
def test_that_the_cycle_formula_bounds_the_calendar_from_below(s) -> None:
    # a mold goes round in no less than cast + cure + demold; hands are never busy more than the shift allows
    found = _ours({**s, "jobs": []})
    round_min = s["cast_min"] + s["cure_min"] + s["demold_min"]
    in_use = min(max(s["molds"], math.ceil(s["casts"] / s["life"])), s["crew"] * s["per_operator"])
    rounds = math.ceil(s["casts"] / in_use)
    assert found.finish_min >= rounds * round_min - 1e-6
    assert found.hands_min == pytest.approx(s["casts"] * (s["cast_min"] + s["demold_min"]))
    assert found.days >= found.hands_min / (s["bench"] * s["crew"]) - 1e-9


def test_that_one_mold_on_an_endless_shift_takes_exactly_the_cycle_formula() -> None:
    shop = Shop(shift_of(24.0, 1.0), 1, 1, 1, 1000)
    found = schedule(60, Round(4.0, 10.0, 3.0), shop)
    assert found.finish_min == pytest.approx(60 * 17.0)


def test_that_the_bolt_heads_go_round_seventeen_times_a_day_at_most() -> None:
    # t_op 7.03, cure 10: T = 17.03 min, 17 rounds in 6 h at 0.85 (worked by hand), one batch, no daily cap
    found = schedule(43, Round(2.5 + 48 * 1.6623 / 60, 10.0, 48 * 4 / 60), Shop(shift_of(6, 0.85), 1, 1, 2, 40))
    first_day = [x for x in found.stints if x.what == "demold" and x.end_min <= DAY_MIN]
    assert 17 <= len(first_day) <= 18
    assert found.hands_min / 60 / 0.85 == pytest.approx(5.9, abs=0.05)


def test_that_a_cast_cures_overnight_and_is_demolded_in_the_morning() -> None:
    found = schedule(1, Round(10.0, 100.0, 5.0), Shop(shift_of(1.0, 1.0), 1, 1, 1, 10))
    demold = next(x for x in found.stints if x.what == "demold")
    assert demold.start_min == DAY_MIN
    assert found.days == 2


def test_that_a_second_pair_of_hands_casts_while_the_first_makes_the_next_mold() -> None:
    # mold 1 is ready from the start, mold 2 takes two hours of the first pair's hands
    jobs = [Job("pour gang mold 2", 120.0, 60.0, 1)]
    found = schedule(20, Round(5.0, 10.0, 2.0), Shop(shift_of(6.0, 1.0), 2, 2, 2, 40), jobs)
    early = [x for x in found.stints if x.what == "cast" and x.start_min < 120.0]
    assert {x.operator for x in early} == {1}
    assert len(early) == 8  # 17 min a round
    alone = schedule(20, Round(5.0, 10.0, 2.0), Shop(shift_of(6.0, 1.0), 1, 2, 2, 40), jobs)
    assert found.finish_min < alone.finish_min - 50.0


@settings(max_examples=60, deadline=None)
@given(_SHOPS, st.integers(0, 5), st.integers(0, 200), st.integers(1, 3))
def test_that_coats_never_make_a_larger_crew_slower(s, trim, hands, coats) -> None:
    molds = max(s["molds"], math.ceil(s["casts"] / s["life"]))
    shift = replace(shift_of(s["bench"] / 60, 1.0), off=frozenset(s["off"]))
    rounds = Round(s["cast_min"], s["cure_min"], s["demold_min"], trim)
    jobs = [Job("coat", hands, 30.0)] * coats
    times = [
        schedule(s["casts"], rounds, Shop(shift, crew, s["per_operator"], molds, s["life"]), (), jobs).finish_min
        for crew in (1, 2, 3, 5)
    ]
    assert all(a >= b - 1e-6 for a, b in pairwise(times))


def test_that_molds_that_wear_out_first_are_refused() -> None:
    with pytest.raises(BadValueError, match="do not last"):
        schedule(41, Round(1, 1, 1), Shop(shift_of(6, 1.0), 1, 1, 1, 40))


def test_that_a_cast_longer_than_a_shift_is_refused() -> None:
    with pytest.raises(BadValueError, match="does not fit"):
        schedule(1, Round(61, 1, 1), Shop(shift_of(1, 1.0), 1, 1, 1, 40))


@settings(max_examples=60, deadline=None)
@given(_SHOPS)
def test_that_no_mold_is_cast_more_often_in_a_day_than_the_cycle_and_one_night_allow(s) -> None:
    found = _ours({**s, "jobs": [], "cap": None})
    one_round = round_min(s["cast_min"] + s["demold_min"], s["cure_min"], 1, 1)
    most = rounds_per_day(s["bench"] / 60, 1.0, one_round)
    days: dict[tuple[int | None, float], int] = {}
    for x in found.stints:
        if x.what == "cast":
            key = x.mold, x.start_min // DAY_MIN
            days[key] = days.get(key, 0) + 1
    # in one shift c whole rounds fit; a last cast may cure overnight
    assert max(days.values()) <= most + 1


def test_that_the_worked_cycle_of_the_bolt_heads_comes_out() -> None:
    # worked by hand: t_op 7.03, cure 10, k 2: T 17.03 min, 17 a day, 1583 good parts a day with two molds
    cycle = round_min(7.03, 10.0, 2, 2)
    assert cycle == pytest.approx(17.03)
    assert useful_molds(7.03, 10.0) == 2
    # of four molds one person tends two: 14.06 min of hands are less than a round
    assert round_min(7.03, 10.0, 4, 2) == pytest.approx(17.03)
    assert round_min(7.03, 10.0, 4, 3) == pytest.approx(21.09)
    assert rounds_per_day(6.0, 0.85, cycle) == 17
    assert rounds_per_day(6.0, 0.85, cycle) * 2 * 48 * 0.97 == pytest.approx(1583, abs=0.5)
    assert rounds_per_day(6.0, 0.85, cycle, most=3) == 3


def test_that_a_calendar_of_decades_comes_to_its_end() -> None:
    # minutes of the year 15 are known to 1e-9 only: a rest of a trim smaller than that must not hold the clock
    jobs = [Job(f"mold {k}", 120.0, 60.0, k) for k in range(900)]
    shop = Shop(shift_of(0.5, 0.85), 5, 2, 900, 1)
    found = schedule(900, Round(2.77, 10.0, 2 * 4 / 60, 2 * 5 / 60), shop, jobs)
    assert found.days > 4000
    assert found.hands_min == pytest.approx(900 * (120 + 2.77 + 8 / 60 + 10 / 60), rel=1e-9)
