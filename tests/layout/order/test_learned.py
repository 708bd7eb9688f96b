"""What the batch log teaches, and that defaults stand until it does."""

from dataclasses import replace

import pytest

from layout.advice import advice
from layout.batch_log import bad_cavities, good_share, log_doubts, mold_life, mold_life_of, mold_use, yield_of
from layout.model import CavityId, LogEntry, Project
from layout.order.learned import pot_life_of, with_learned
from layout.pour.time import pot_life_min
from tests.layout.order.bolt_heads import bolt_heads


def _casts(mold: str, count: int, good: int = 0, scrap: int = 0, retired: bool = False) -> list[LogEntry]:
    lines = [LogEntry("2026-03-02", "cast", mold, good=good, scrap=scrap) for _ in range(count)]
    if retired:
        lines[-1] = replace(lines[-1], retired=True)
    return lines


def _project(*entries: LogEntry) -> Project:
    return replace(bolt_heads(2, 2), log=tuple(entries))


def test_that_an_empty_log_leaves_the_defaults_and_says_so() -> None:
    project = _project()
    assert (mold_life_of(project).value, mold_life_of(project).observations) == (40, 0)
    assert (yield_of(project).value, yield_of(project).observations) == (0.97, 0)


def test_that_the_life_is_the_mean_of_worn_molds_with_their_number() -> None:
    project = _project(*_casts("1", 50, retired=True), *_casts("2", 61, retired=True), *_casts("3", 10))
    found = mold_life_of(project)
    assert (found.value, found.observations) == (55, 2)
    assert mold_life(project) == 55
    assert mold_life(replace(project, order=replace(project.order, mold_life=30))) == 30


def test_that_a_mold_still_at_work_counts_once_it_has_passed_the_mean() -> None:
    project = _project(*_casts("1", 20, retired=True), *_casts("2", 40))
    assert (mold_life_of(project).value, mold_life_of(project).observations) == (30, 2)


def test_that_the_yield_is_all_good_parts_over_all_parts() -> None:
    project = _project(*_casts("1", 3, good=45, scrap=5), *_casts("1", 1, good=50))
    assert good_share(project) == pytest.approx(185 / 200)
    assert yield_of(project).observations == 4


def test_that_pot_lives_seen_at_other_temperatures_are_brought_to_the_reference() -> None:
    mix = bolt_heads().resin
    seen = [
        LogEntry("2026-03-02", "cast", "1", temperature_c=c, pot_life_min=pot_life_min(mix, c) * 1.2)
        for c in (18.0, 24.0, 30.0)
    ]
    project = _project(*seen)
    found = pot_life_of(project)
    assert (found.value, found.observations) == (pytest.approx(2.4), 3)
    assert pot_life_min(with_learned(project).resin, 24.0) == pytest.approx(1.2 * pot_life_min(mix, 24.0))


def test_that_of_an_even_number_of_pot_lives_the_mean_of_the_middle_two_is_taken() -> None:
    # at the resin's own reference temperature nothing is converted: 1, 2, 4 and 9 min have the median 3
    at_c = _project().resin.pot_life_at_c
    seen = [LogEntry("2026-01-02", "cast", "1", temperature_c=at_c, pot_life_min=m) for m in (9.0, 2.0, 1.0, 4.0)]
    assert pot_life_of(_project(*seen)).value == pytest.approx(3.0)


def test_that_a_cavity_that_keeps_failing_is_named_with_its_cause_and_its_place() -> None:
    bad = ((CavityId("c3"), "bubble"),)
    lines = [replace(e, bad_cavities=bad) for e in _casts("1", 3)] + _casts("1", 5)
    project = _project(*lines)
    assert [(b.cavity, b.failed, b.casts, b.causes) for b in bad_cavities(project)] == [("c3", 3, 8, ("bubble",))]
    assert any(f.kind == "bad_cavity" and f.cavities == ("c3",) for f in advice(project))
    assert not bad_cavities(_project(*lines[:1], *_casts("1", 20)))


def test_that_a_mold_near_and_past_its_life_is_warned_of() -> None:
    project = _project(*_casts("old", 41), *_casts("older", 33), *_casts("young", 5))
    project = replace(project, order=replace(project.order, mold_life=40))
    assert [(u.mold, u.casts) for u in mold_use(project)] == [("old", 41), ("older", 33), ("young", 5)]
    assert [round(u.share, 3) for u in mold_use(project)] == [1.025, 0.825, 0.125]
    found = {f.detail.split()[1]: f.severity for f in advice(project) if f.kind == "mold_life"}
    assert found == {"old": "refuse", "older": "warn"}


def test_that_one_mold_that_tore_early_is_no_mold_life_and_two_are() -> None:
    torn = [LogEntry("2026-05-04", "cast", "1", good=5, retired=True)]
    project = replace(bolt_heads(3, 2), log=tuple(torn))
    assert mold_life_of(project).value == 40
    assert mold_life_of(project).observations == 0
    assert "too early" in mold_life_of(project).source
    both = replace(project, log=(*torn, LogEntry("2026-05-05", "cast", "2", good=5, retired=True)))
    assert (mold_life_of(both).value, mold_life_of(both).observations) == (1, 2)


def test_that_what_cannot_be_right_in_the_log_is_said_with_its_line() -> None:
    log = (
        LogEntry("2026-05-04", "cast", "1", good=5, scrap=1),
        LogEntry("2025-13-45", "cast", "1", good=90),
        LogEntry("2026-05-04 10:30", "cast", "1", good=4, bad_cavities=((CavityId("c1"), "bubble"),), pot_life_min=0.0),
    )
    said = log_doubts(replace(bolt_heads(3, 2), log=log))
    assert [s.split(":")[0] for s in said] == ["Line 2", "Line 2", "Line 3", "Line 3"]
    assert "6 cavities" in said[0]
    assert "no date" in said[1]
    assert "1 failed cavity" in said[2]
    assert "pot life" in said[3]


@pytest.mark.parametrize(("sound", "named"), [(8, True), (9, False)])
def test_that_a_cavity_is_bad_from_one_failure_in_five_casts_on(sound: int, named: bool) -> None:
    # two of ten are a fifth; common practice, no source
    bad = ((CavityId("c3"), "bubble"),)
    project = _project(*(replace(e, bad_cavities=bad) for e in _casts("1", 2)), *_casts("1", sound))
    assert bool(bad_cavities(project)) == named


def test_that_a_log_of_scrap_alone_leaves_a_yield_that_can_be_planned_with() -> None:
    assert yield_of(_project(*_casts("1", 3, good=0, scrap=4))).value == 0.01
