"""Typed moves and turns end where they are asked to if that is legal, and never where it is not."""

import random

import pytest

from layout import edits
from layout.checks import check
from layout.hold import moved_as_far, turned_as_far
from layout.model import Box, Project, RectBox, Rules
from layout.regions import placed_cavities
from tests.layout.hold.scenes import HEX, outline, packed, scene, some

BAR = outline("bar", [(0, 0), (30, 0), (30, 6), (0, 6)])


def lane() -> Project:
    """A bar in a lane too narrow to turn in, but for the half turn."""
    project = Project("lane", Box(RectBox(60.0, 20.0)), (BAR,), Rules(5.0, 5.0))
    return edits.add_cavities(project, [(BAR.id, 30.0, 10.0, 0.0)])[0]


def test_that_a_legal_end_is_reached_though_the_way_there_is_not_free() -> None:
    project, ids = lane(), [lane().cavities[0].id]
    after, turned = turned_as_far(project, ids, 180.0)
    assert not turned.held
    assert after.cavities[0].angle_deg == pytest.approx(180.0)


def test_that_an_end_that_is_not_legal_is_not_reached_and_the_last_legal_angle_is() -> None:
    project, ids = lane(), [lane().cavities[0].id]
    after, turned = turned_as_far(project, ids, 90.0)
    assert turned.held
    assert 0.0 < turned.by_deg < 90.0
    assert not check(after)
    assert check(edits.turn_together(project, ids, turned.by_deg + 1e-3, (30.0, 10.0)))


def test_that_a_typed_place_over_a_neighbour_is_held_at_the_wall() -> None:
    project = Project("two", Box(RectBox(120.0, 60.0)), (HEX,), Rules(5.0, 5.0))
    project = edits.add_cavities(project, [(HEX.id, 25.0, 30.0, 0.0), (HEX.id, 80.0, 30.0, 0.0)])[0]
    first = project.cavities[0].id
    after, moved = moved_as_far(project, [first], 50.0, 0.0)
    assert moved.held
    a, b = placed_cavities(after).values()
    assert 5.0 <= a.distance(b) <= 5.0 + 3e-6  # type: ignore[union-attr, arg-type]
    over, jumped = moved_as_far(project, [first], 80.0, 0.0)
    assert not jumped.held
    assert over.cavities[0].x_mm == 105.0


def test_that_a_typed_coordinate_leaves_the_other_one_alone() -> None:
    project = Project("two", Box(RectBox(120.0, 60.0)), (HEX,), Rules(5.0, 5.0))
    project = edits.add_cavities(project, [(HEX.id, 25.0, 28.0, 0.0), (HEX.id, 60.0, 30.0, 0.0)])[0]
    first = project.cavities[0].id
    after, moved = moved_as_far(project, [first], 900.0, 0.0)
    assert moved.held
    assert after.cavities[0].y_mm == 28.0
    assert after.cavities[0].x_mm > 25.0
    assert not check(after)
    more = edits.move_cavities(after, [first], 1e-5, 0.0)
    assert check(more)


def test_that_random_typed_turns_and_moves_never_break_a_rule() -> None:
    held = 0
    for seed in range(4000, 4070):
        rng = random.Random(seed)
        project = (scene if seed % 2 else packed)(rng)
        if not project.cavities:
            continue
        ids = some(rng, project)
        turned, turn = turned_as_far(project, ids, rng.uniform(-360.0, 360.0))
        moved, move = moved_as_far(project, ids, rng.uniform(-80.0, 80.0), rng.uniform(-80.0, 80.0))
        assert not check(turned, only=ids), seed
        assert not check(moved, only=ids), seed
        held += turn.held + move.held
    assert held > 35
