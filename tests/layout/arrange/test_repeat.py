"""Pitches against closed forms (disc, hexagon, bar), and as least ones: a hair less breaks the wall."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import edits
from layout.arrange import least_pitch_mm, repeat_grid, repeat_round, row_pitch_mm
from layout.checks import check, clearances
from layout.errors import BadValueError
from layout.geometry import Disc
from layout.model import Box, CavityId, Master, MasterId, Project, RectBox, Rules
from layout.regions import placed_cavities
from tests.layout.hold.scenes import CHANNEL, ELL, MASTERS, PIN, outline

HEX19 = outline(
    "hex19",
    [
        (19.05 / math.sqrt(3) * math.cos(math.radians(a)), 19.05 / math.sqrt(3) * math.sin(math.radians(a)))
        for a in range(30, 390, 60)
    ],
)
BAR = outline("bar", [(0, 0), (40, 0), (40, 10), (0, 10)])
FIRST = CavityId("c1")


def _one(master: Master, wall: float = 6.35, angle: float = 0.0) -> Project:
    empty = Project("p", Box(RectBox(2000.0, 2000.0)), (master,), Rules(wall, 0.0))
    return edits.add_cavities(empty, [(master.id, 400.0, 400.0, angle)])[0]


def test_that_discs_repeat_at_diameter_and_wall_and_stagger_at_its_honeycomb_height() -> None:
    project = _one(PIN)
    assert least_pitch_mm(project, [FIRST]) == 18.35
    assert row_pitch_mm(project, [FIRST], 18.35, 5, staggered=True) == pytest.approx(18.35 * math.sqrt(3) / 2, abs=2e-9)


def test_that_the_bolt_head_repeats_at_the_pitches_of_the_worked_example() -> None:
    """E1: hex 19.05 across flats, wall 6.35: columns 25.4 apart, staggered rows 22.0 (common practice's example)."""
    project = _one(HEX19)
    assert least_pitch_mm(project, [FIRST]) == pytest.approx(25.4, abs=2e-9)
    assert row_pitch_mm(project, [FIRST], 25.4, 8, staggered=True) == pytest.approx(25.4 * math.sqrt(3) / 2, abs=2e-9)


def test_that_a_grid_counts_right_keeps_the_wall_exactly_and_turns_with_the_part() -> None:
    project, new = repeat_grid(_one(BAR, angle=30.0), [FIRST], 4, 3)
    assert len(new) == 11
    assert not check(project)
    assert clearances(project).least_wall_mm == pytest.approx(6.35, abs=1e-8)
    assert {c.angle_deg for c in project.cavities} == {30.0}


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(MASTERS),
    st.floats(0, 360),
    st.sampled_from([0.0, 0.5, 6.35]),
    st.booleans(),
    st.integers(1, 4),
    st.integers(1, 4),
)
def test_that_every_repeat_keeps_the_wall_and_a_pitch_a_hair_less_does_not(
    master: Master, angle: float, wall: float, staggered: bool, columns: int, rows: int
) -> None:
    single = _one(master, wall, angle)
    project, new = repeat_grid(single, [FIRST], columns, rows, staggered=staggered)
    assert len(new) == columns * rows - 1
    assert not check(project)
    pitch = least_pitch_mm(single, [FIRST])
    closer, _ = repeat_grid(single, [FIRST], 2, 1, pitch_mm=(pitch - 1e-4, None))
    assert check(closer)
    farther, _ = repeat_grid(single, [FIRST], 3, 1, pitch_mm=(pitch * 1.37, None))
    assert not check(farther)


def test_that_a_group_is_repeated_as_one() -> None:
    empty = Project("p", Box(RectBox(2000.0, 2000.0)), (ELL, PIN), Rules(5.0, 0.0))
    pair, ids = edits.add_cavities(empty, [(ELL.id, 100.0, 100.0, 0.0), (PIN.id, 112.0, 112.0, 0.0)])
    project, new = repeat_grid(pair, ids, 3, 2, staggered=True)
    assert len(new) == 10
    assert clearances(project).least_wall_mm == pytest.approx(min(5.0, clearances(pair).least_wall_mm or 0.0), abs=1e-6)


def test_that_copies_that_would_break_a_rule_are_left_out_and_groups_as_a_whole() -> None:
    empty = Project("p", Box(RectBox(150.0, 120.0)), (ELL, PIN), Rules(5.0, 6.0))
    pair, ids = edits.add_cavities(empty, [(ELL.id, 30.0, 30.0, 0.0), (PIN.id, 38.0, 38.0, 0.0)])
    pair, _ = edits.add_cavities(pair, [(PIN.id, 110.0, 60.0, 0.0)])
    assert not check(pair)
    project, new = repeat_grid(pair, ids, None, None, leave_out=True)
    assert not check(project)
    assert len(new) % 2 == 0
    assert len(new) > 4
    everything, _ = repeat_grid(pair, ids, None, None)
    assert len(everything.cavities) > len(project.cavities)
    assert all(set(f.cavities) - {c.id for c in project.cavities} for f in check(everything))


def test_that_as_many_as_keep_the_wall_stand_round_a_centre() -> None:
    """Neighbours on a circle of radius R are 2 R sin(180/n) apart: discs of 12 with 6 between fit 10 times at R 30."""
    project = _one(PIN, wall=6.0)
    around, new = repeat_round(project, [FIRST], (400.0 - 30.0, 400.0))
    assert len(new) + 1 == math.floor(math.pi / math.asin(18.0 / 60.0)) == 10
    assert not check(around)
    one_more, _ = repeat_round(project, [FIRST], (370.0, 400.0), 11)
    assert check(one_more)


@pytest.mark.parametrize("turning", [True, False])
def test_that_concave_parts_round_a_centre_keep_the_wall(turning: bool) -> None:
    project, new = repeat_round(_one(CHANNEL, 5.0, 20.0), [FIRST], (330.0, 400.0), turning=turning)
    assert len(new) >= 4
    assert not check(project)
    angles = {c.angle_deg for c in project.cavities}
    assert len(angles) == (len(new) + 1 if turning else 1)
    boxes = [p.bounds for p in placed_cavities(project).values()]
    assert len(set(boxes)) == len(boxes)


@pytest.mark.parametrize(("columns", "rows"), [(0, 3), (3, -1), (100, 100)])
def test_that_counts_that_make_no_sense_are_refused(columns: int, rows: int) -> None:
    with pytest.raises(BadValueError):
        repeat_grid(_one(PIN), [FIRST], columns, rows)


def test_that_a_pitch_of_nothing_and_a_centre_under_the_part_are_refused() -> None:
    with pytest.raises(BadValueError):
        repeat_grid(_one(PIN), [FIRST], 2, 2, pitch_mm=(0.0, None))
    with pytest.raises(BadValueError):
        repeat_round(_one(PIN), [FIRST], (400.0, 400.0))


@pytest.mark.parametrize(
    ("pitch", "kept"), [(10.0, [15.0, 35.0, 55.0, 75.0, 95.0]), (7.0, [15.0, 36.0, 57.0, 78.0, 99.0])]
)
def test_that_a_copy_left_out_makes_room_for_the_next(pitch: float, kept: list[float]) -> None:
    """Discs of 12 with a wall of 6 want 18: at 10 every second place keeps it, at 7 every third."""
    pin = Master(MasterId("pin"), "pin", "disc:12x5", Disc(6.0), 5.0, 0.57, 113.1)
    empty = Project("p", Box(RectBox(120.0, 40.0)), (pin,), Rules(6.0, 9.0))
    project, first = edits.add_cavities(empty, [(pin.id, 15.0, 20.0, 0.0)])
    after, new = repeat_grid(project, first, None, 1, pitch_mm=(pitch, None), leave_out=True)
    assert [c.x_mm for c in after.cavities] == kept
    assert len(new) == len(kept) - 1
    assert not check(after)
