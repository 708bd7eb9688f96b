"""What is said to bring an order in by its date: each claim is planned again here, and the last part by hand."""

from dataclasses import replace

import pytest

from layout.model import Project
from layout.order.limits import plan_findings
from layout.order.plan import compared, option_of
from layout.order.sooner import changes_that_help, crew_that_is_enough, parts_in_time, together, what_would_speed_up
from tests.layout.order.bolt_heads import bolt_heads


def _order(project: Project, **changes: object) -> Project:
    return replace(project, order=replace(project.order, **changes))


@pytest.mark.parametrize("days", [2, 3])
def test_that_each_change_brings_the_days_it_says_and_less_of_it_does_not_meet_the_date(days: int) -> None:
    late = option_of(_order(bolt_heads(4, 2), parts=700, days=days, mold_life=100))
    changes = changes_that_help(late)
    assert changes
    for change in changes:
        again = option_of(replace(late.project, order=change.order))
        assert (again.calendar_days, again.in_time) == (change.days, change.in_time)
        assert again.calendar_days < late.calendar_days
        if change.in_time and change.order.crew > late.project.order.crew + 1:
            fewer = replace(change.order, crew=change.order.crew - 1)
            assert not option_of(replace(late.project, order=fewer)).in_time


def test_that_all_changes_together_bring_more_than_each_alone() -> None:
    late = option_of(_order(bolt_heads(4, 2), parts=3000, days=1))
    changes = changes_that_help(late)
    all_of_them = together(late, changes)
    assert all_of_them is not None
    assert all_of_them.days < min(c.days for c in changes)
    assert "all of these together" in what_would_speed_up(late)


def test_that_the_last_part_in_time_is_the_last() -> None:
    late = option_of(_order(bolt_heads(4, 2), parts=1500, days=4, mold_life=100))
    assert not late.in_time
    parts = parts_in_time(late)
    assert 0 < parts < 1500
    assert option_of(_order(late.project, parts=parts)).in_time
    assert not option_of(_order(late.project, parts=parts + 1)).in_time
    assert f"{parts} parts can be ready by the date" in what_would_speed_up(late)


def test_that_masters_for_every_position_hold_nothing_up_and_bring_the_days_that_were_said() -> None:
    late = option_of(_order(bolt_heads(4, 2), parts=400, days=1))
    said = next(c for c in changes_that_help(late) if "masters in hand" in c.what)
    assert said.what == "8 masters in hand"
    there = option_of(_order(late.project, masters_in_hand=8))
    assert there.calendar_days == said.days
    assert next(s for s in there.steps if s.id == "copies").left_out


def test_that_people_who_bring_nothing_are_told() -> None:
    crowd = option_of(_order(bolt_heads(4, 2), parts=20, crew=3))
    assert crew_that_is_enough(crowd) == 1
    said = [f for f in plan_findings(compared([crowd])) if f.kind == "idle_crew"]
    assert said[0].detail.startswith("1 person has it ready on the same day as 3")
    alone = option_of(_order(crowd.project, crew=1))
    assert alone.calendar_days == crowd.calendar_days
    assert not [f for f in plan_findings(compared([alone])) if f.kind == "idle_crew"]
