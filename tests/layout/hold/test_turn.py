"""A turn is judged by `checks.check` at every angle it passes, and by angles found with pencil and paper."""

import math
import random
from typing import Any

import pytest

from layout import edits
from layout.checks import check
from layout.geometry import place
from layout.hold import Turning
from layout.hold import turn as turn_module
from layout.model import Box, CavityId, KeepOut, KeepOutId, Project, RectBox, RoundBox, Rules
from layout.regions import edge_distance_mm, placed_cavities
from tests.layout.hold.scenes import ELL, PIN, outline, scene, some

BAR = outline("bar", [(0, 0), (40, 0), (40, 10), (0, 10)])
FIRST = CavityId("c1")


def _project(shape: RectBox | RoundBox, *places: tuple[str, float, float, float], edge: float = 5.0) -> Project:
    masters = (BAR, PIN, ELL)
    empty = Project("p", Box(shape), masters, Rules(6.0, edge))
    by_name = {m.name: m.id for m in masters}
    return edits.add_cavities(empty, [(by_name[n], x, y, a) for n, x, y, a in places])[0]


def test_that_a_bar_turns_until_its_corner_meets_the_edge() -> None:
    """Half the height of a turned 40 x 10 bar is 20 sin a + 5 cos a; the side leaves 15."""
    project = _project(RectBox(200.0, 200.0), ("bar", 100.0, 20.0, 0.0))
    turn = Turning.begin(project, [FIRST]).turn_to(90.0)
    angle = math.radians(turn.by_deg)
    assert turn.held
    assert 20.0 * math.sin(angle) + 5.0 * math.cos(angle) == pytest.approx(15.0, abs=1e-6)
    placed = placed_cavities(edits.turn_cavities(project, [FIRST], turn.by_deg))[FIRST]
    assert 5.0 <= edge_distance_mm(project.box.shape, placed) <= 5.0 + 1e-6


def test_that_a_free_part_turns_all_the_way_and_a_disc_always() -> None:
    free = _project(RectBox(200.0, 200.0), ("bar", 100.0, 100.0, 0.0))
    assert Turning.begin(free, [FIRST]).turn_to(-270.0).by_deg == -270.0
    touching = _project(RectBox(200.0, 200.0), ("pin", 60.0, 60.0, 0.0), ("pin", 78.0, 60.0, 0.0))
    assert Turning.begin(touching, [FIRST]).turn_to(180.0).by_deg == 180.0


def test_that_a_part_is_not_turned_past_a_neighbour_to_a_free_angle_beyond() -> None:
    project = _project(RectBox(200.0, 200.0), ("bar", 100.0, 100.0, 0.0), ("pin", 117.0, 117.0, 0.0))
    turning = Turning.begin(project, [FIRST])
    turn = turning.turn_to(90.0)
    assert turn.held
    assert 0.0 < turn.by_deg < 45.0
    assert not check(turning.project())
    assert not check(edits.turn_cavities(project, [FIRST], 90.0))


def test_that_a_group_turns_about_its_middle_as_one_plate() -> None:
    project = _project(RectBox(200.0, 200.0), ("pin", 80.0, 100.0, 0.0), ("ell", 120.0, 100.0, 0.0))
    ids = [FIRST, CavityId("c2")]
    before = placed_cavities(project)
    middle = edits.middle_of(project, ids)
    turning = Turning.begin(project, ids)
    assert turning.turn_to(90.0).by_deg == 90.0
    after = placed_cavities(turning.project())
    x0, y0, x1, y1 = before[CavityId("c2")].bounds
    assert after[CavityId("c2")].bounds == pytest.approx(
        (
            middle[0] - (y1 - middle[1]),
            middle[1] + (x0 - middle[0]),
            middle[0] - (y0 - middle[1]),
            middle[1] + (x1 - middle[0]),
        )
    )


def test_that_a_keep_out_stops_a_turn_where_it_is_touched() -> None:
    project = _project(RectBox(200.0, 200.0), ("bar", 100.0, 100.0, 0.0))
    project = edits.add_keep_outs(project, [KeepOut(KeepOutId(""), 110.0, 120.0, 40.0, 20.0)])
    turning = Turning.begin(project, [FIRST])
    turn = turning.turn_to(90.0)
    angle = math.radians(turn.by_deg)
    assert 20.0 * math.sin(angle) + 5.0 * math.cos(angle) == pytest.approx(10.0, abs=1e-5)
    assert not check(turning.project())


def test_that_random_turns_stay_legal_and_stop_only_where_a_degree_more_would_not_be() -> None:
    held = 0
    for seed in range(3000, 3026):
        rng = random.Random(seed)
        project = scene(rng)
        ids = some(rng, project)
        turning = Turning.begin(project, ids)
        last = 0.0
        for _ in range(4):
            asked = last + rng.choice([5.0, 30.0, 120.0]) * rng.choice([-1, 1])
            turn = turning.turn_to(asked)
            assert not check(turning.project(), only=ids), seed
            sign = math.copysign(1.0, asked - last)
            # every angle on the way, to a half degree
            for i in range(1, int(abs(turn.by_deg - last) / 0.5)):
                there = edits.turn_together(project, ids, last + sign * 0.5 * i, edits.middle_of(project, ids))
                assert not check(there, only=ids), seed
            last = turn.by_deg
            if turn.held:
                held += 1
                more = edits.turn_together(project, ids, last + sign * 1e-3, edits.middle_of(project, ids))
                assert check(more, only=ids), seed
    assert held > 10


def test_that_a_turn_of_many_looks_at_each_once_as_it_begins(monkeypatch: pytest.MonkeyPatch) -> None:
    places = [("bar", 40.0 + 50.0 * i, 40.0 + 20.0 * j, 0.0) for i in range(10) for j in range(20)]
    project = _project(RectBox(550.0, 460.0), *places)
    looks: list[object] = []
    placed: list[object] = []

    def looked(shape: RectBox, part: turn_module.Placed) -> float:
        looks.append(part)
        return edge_distance_mm(shape, part)

    def put(*there: Any) -> turn_module.Placed:
        placed.append(there)
        return place(*there)

    monkeypatch.setattr(turn_module, "edge_distance_mm", looked)
    monkeypatch.setattr(turn_module, "place", put)
    turn = Turning.begin(project, [c.id for c in project.cavities]).turn_to(15.0)
    assert turn.held
    assert len(looks) < 200 + 150
    # where they stand as it begins is known
    assert len(placed) == len(looks) - 200
