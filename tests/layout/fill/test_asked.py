"""What a fill is asked for: wanted numbers are met and not passed, left-out masters stay out, the sentence says so."""

from collections import Counter
from dataclasses import replace

import pytest

from layout import edits
from layout.checks import check
from layout.errors import BadValueError
from layout.fill.asked import (
    all_alike,
    asked_sentence,
    fill_as_asked,
    is_met,
    met,
    only,
    outcome_sentence,
    to_place,
    without_surplus,
)
from layout.fill.fill import DEFAULT_ROUNDS, FillOptions, fill
from layout.masters import read_master
from layout.model import Box, Project, RectBox


def shelf(*wanted: int | None) -> Project:
    """A box with as many of these masters on the shelf as there are numbers."""
    specs = (("hex:19.05x6.35", "Bolt head"), ("rect:30x12x8", "Bracket"), ("square:18x5", "Block"))
    project = Project("mixed", Box(RectBox(215.9, 177.8)))
    for (spec, name), number in zip(specs, wanted, strict=False):
        master = read_master(spec, name=name, taken_ids={m.id for m in project.masters})
        project = edits.add_master(project, replace(master, wanted=number))
    return project


def counts(project: Project) -> dict[str, int]:
    names = {m.id: m.name for m in project.masters}
    return dict(Counter(names[c.master] for c in project.cavities))


def test_that_wanted_numbers_are_met_and_not_passed() -> None:
    result = fill_as_asked(shelf(20, 4), FillOptions(rounds=3), no_more=True)
    assert counts(result.project) == {"Bolt head": 20, "Bracket": 4}
    assert result.count == 24
    assert not result.stopped_early
    assert not check(result.project)
    assert outcome_sentence(result.project) == "All that is wanted is in the box: 20 x Bolt head, 4 x Bracket."


@pytest.mark.timeout(60)
def test_that_a_number_out_of_reach_ends_by_itself_where_nothing_says_when_to_stop() -> None:
    # one fits, two can't be ruled out by any bound
    mold = replace(shelf(3), box=Box(RectBox(53.0, 53.0)))
    result = fill_as_asked(mold, FillOptions(), no_more=True)
    assert (result.count, result.stopped_early) == (1, False)
    assert result.upper_bound > 1
    assert result.rounds == DEFAULT_ROUNDS


def test_that_the_box_is_filled_up_once_the_wanted_numbers_are_there() -> None:
    result = fill_as_asked(shelf(6, 2), FillOptions(rounds=1))
    found = counts(result.project)
    assert found["Bolt head"] > 6
    assert found["Bracket"] > 2
    assert outcome_sentence(result.project) == (
        f"All that is wanted is in the box, and more: {found['Bolt head']} x Bolt head, {found['Bracket']} x Bracket."
    )


def test_that_no_more_than_a_number_that_nobody_gave_is_refused() -> None:
    with pytest.raises(BadValueError, match="as many Bracket as fit are wanted; give a number of each master first"):
        fill_as_asked(shelf(6, None), FillOptions(rounds=0), no_more=True)


def test_that_a_single_master_ends_at_its_number() -> None:
    result = fill_as_asked(shelf(7), FillOptions(rounds=1), no_more=True)
    assert counts(result.project) == {"Bolt head": 7}


def test_that_a_master_without_a_number_takes_the_rest() -> None:
    result = fill_as_asked(shelf(None, 4), FillOptions(rounds=2))
    found = counts(result.project)
    assert found["Bracket"] == 4
    assert found["Bolt head"] > 30


def test_that_only_one_master_is_filled_as_if_it_were_alone_and_pins_of_others_stay() -> None:
    both = shelf(None, None)
    bolt, bracket = both.masters
    both, (pinned,) = edits.add_cavities(both, [(bracket.id, 30.0, 20.0, 0.0)])
    both = edits.pin_cavities(both, (pinned,), True)
    both = edits.add_cavities(both, [(bracket.id, 100.0, 100.0, 0.0)])[0]
    asked = only(both, both.master(bolt.id))
    result = fill(asked, FillOptions(rounds=1))
    found = counts(result.project)
    alone = fill(shelf(None), FillOptions(rounds=1))
    assert found["Bracket"] == 1
    assert alone.count - 4 <= found["Bolt head"] <= alone.count
    assert result.count == sum(found.values()) <= result.upper_bound
    assert not check(result.project)


def test_that_a_fill_of_nothing_is_refused_in_a_sentence() -> None:
    with pytest.raises(BadValueError, match="every master is left out"):
        fill_as_asked(shelf(0, 0), FillOptions(rounds=0), no_more=True)


def test_that_numbers_too_large_are_told_as_they_came_out() -> None:
    result = fill_as_asked(shelf(500), FillOptions(rounds=0), no_more=True)
    assert not is_met(result.project)
    assert met(result.project) == result.count
    assert outcome_sentence(result.project) == (f"Not all that is wanted was placed: {result.count} of 500 Bolt head.")


def test_that_pinned_cavities_are_no_surplus() -> None:
    project = shelf(1)
    (bolt,) = project.masters
    project, ids = edits.add_cavities(project, [(bolt.id, 30.0, 30.0, 0.0), (bolt.id, 90.0, 90.0, 0.0)])
    project = edits.pin_cavities(project, (ids[1],), True)
    assert [c.id for c in without_surplus(project).cavities] == [ids[1]]


@pytest.mark.parametrize(
    ("wanted", "sentence"),
    [
        ((None,), ""),
        ((7,), "A fill puts in 7 x Bolt head, then as many more as fit."),
        (
            (40, 8),
            "A fill puts in 40 x Bolt head, 8 x Bracket, then as many more as fit, in the same proportion.",
        ),
        ((None, None), "A fill puts in as many as fit, the same number of each: Bolt head, Bracket."),
        ((40, None), "A fill puts in 40 x Bolt head, then as many Bracket as fit."),
        (
            (40, None, None),
            "A fill puts in 40 x Bolt head, then as many as fit, the same number of each: Bracket, Block.",
        ),
        ((None, 0, 0), "A fill puts in as many Bolt head as fit. Left out: Bracket, Block."),
        ((0, 0), "No master is to be filled with: all are left out."),
    ],
)
def test_that_what_a_fill_will_do_is_said(wanted: tuple[int | None, ...], sentence: str) -> None:
    assert asked_sentence(shelf(*wanted)) == sentence


def test_that_one_only_and_all_alike_undo_each_other() -> None:
    project = shelf(None, None, None)
    one = only(project, project.masters[1])
    assert [m.name for m in to_place(one)] == ["Bracket"]
    assert all_alike(one) == project
