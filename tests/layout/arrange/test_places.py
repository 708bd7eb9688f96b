"""A copy's place is legal, as near as a search over the whole box by plain sampling finds one."""

import math
import random

import pytest

from layout import edits
from layout.arrange import duplicate, nearest_place, place_near, repeat_grid
from layout.arrange import places as places_module
from layout.checks import check
from layout.model import Box, CavityId, KeepOut, KeepOutId, Project, RectBox, RoundBox, Rules
from layout.regions import placed_cavities
from tests.layout.hold.scenes import ELL, HEX, MASTERS, PIN, scene

FIRST = CavityId("c1")


def _pin_box(shape: RectBox | RoundBox) -> Project:
    empty = Project("p", Box(shape), MASTERS, Rules(6.0, 9.0))
    return edits.add_cavities(empty, [(PIN.id, 60.0, 60.0, 0.0)])[0]


def test_that_a_duplicate_stands_at_the_wall_from_its_original() -> None:
    project, new = duplicate(_pin_box(RectBox(200.0, 200.0)), [FIRST])
    assert not check(project)
    copy = next(c for c in project.cavities if c.id == new[0])
    assert math.hypot(copy.x_mm - 60.0, copy.y_mm - 60.0) == pytest.approx(18.0, abs=1e-6)


def test_that_a_group_is_duplicated_as_it_stands() -> None:
    pair, ids = edits.add_cavities(_pin_box(RectBox(300.0, 200.0)), [(ELL.id, 100.0, 60.0, 30.0)])
    project, new = duplicate(pair, [FIRST, *ids])
    assert not check(project)
    by_id = {c.id: c for c in project.cavities}
    a, b = by_id[new[0]], by_id[new[1]]
    assert (b.x_mm - a.x_mm, b.y_mm - a.y_mm, b.angle_deg) == pytest.approx((40.0, 0.0, 30.0))


def test_that_a_full_box_leaves_the_copy_beside_its_original_for_all_to_see() -> None:
    full, _ = repeat_grid(edits.move_cavities(_pin_box(RectBox(68.0, 50.0)), [FIRST], -45.0, -45.0), [FIRST], 3, 2)
    assert not check(full)
    project, new = duplicate(full, [FIRST])
    assert nearest_place(project, new) is None
    assert check(project)


def test_that_a_legal_place_is_left_alone() -> None:
    project, new = place_near(_pin_box(RoundBox(200.0)), HEX.id, 120.0, 100.0, 10.0)
    placed = next(c for c in project.cavities if c.id == new)
    assert (placed.x_mm, placed.y_mm, placed.angle_deg) == (120.0, 100.0, 10.0)


def test_that_a_part_dropped_anywhere_finds_a_legal_place_about_as_near_as_any() -> None:
    found = 0
    for seed in range(16):
        rng = random.Random(seed)
        project = scene(rng)
        master = rng.choice(MASTERS)
        x, y = rng.uniform(-20, 220), rng.uniform(-20, 180)
        after, new = place_near(project, master.id, x, y)
        nearest = _sampled(project, master.id, x, y, rng)
        if check(after, only=[new]):
            assert nearest > 1e3, seed
            continue
        found += 1
        there = next(c for c in after.cavities if c.id == new)
        assert math.hypot(there.x_mm - x, there.y_mm - y) <= 1.25 * nearest + 4.0, seed
    assert found > 9


def _sampled(project: Project, master: str, x: float, y: float, rng: random.Random) -> float:
    best = 1e9
    for _ in range(150):
        sx, sy = rng.uniform(0, 200), rng.uniform(0, 160)
        far = math.hypot(sx - x, sy - y)
        if far < best:
            tried, new = edits.add_cavities(project, [(master, sx, sy, 0.0)])  # type: ignore[list-item]
            best = best if check(tried, only=new) else far
    return best


def test_that_a_keep_out_is_no_place() -> None:
    project = edits.add_keep_outs(_pin_box(RectBox(200.0, 200.0)), [KeepOut(KeepOutId(""), 130.0, 130.0, 50.0, 50.0)])
    after, new = place_near(project, PIN.id, 130.0, 129.0)
    assert not check(after)
    placed = placed_cavities(after)[new]
    assert placed.bounds[3] == pytest.approx(105.0, abs=1e-5)


def test_that_no_place_beyond_the_sides_is_looked_at_and_what_stands_is_placed_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    empty = Project("p", Box(RectBox(260.0, 180.0)), MASTERS, Rules(6.0, 9.0))
    places = [(ELL.id, 30.0 + 40.0 * i, 30.0 + 40.0 * j, 0.0) for i in range(4) for j in range(4)]
    project, ids = edits.add_cavities(empty, [*places, (ELL.id, 60.0, 60.0, 20.0)])
    looks: list[tuple[float, float, float, float]] = []
    placed: list[int] = []
    has, all_placed = places_module._Room.has, places_module.placed_cavities

    def looked(room: places_module._Room, group: list[places_module.Placed]) -> bool:
        looks.extend(p.bounds for p in group)
        return has(room, group)

    def put(there: Project) -> dict[CavityId, places_module.Placed]:
        placed.append(len(there.cavities))
        return all_placed(there)

    monkeypatch.setattr(places_module._Room, "has", looked)
    monkeypatch.setattr(places_module, "placed_cavities", put)
    monkeypatch.setattr("layout.hold.situation.placed_cavities", put)
    shift = nearest_place(project, ids[-1:])
    assert shift is not None
    assert not check(edits.move_cavities(project, ids[-1:], *shift), only=ids[-1:])
    assert len(looks) > 1
    sides = [(x0, y0, 260.0 - x1, 180.0 - y1) for x0, y0, x1, y1 in looks[1:]]
    assert min(min(s) for s in sides) >= 9.0 - 1e-5
    assert placed.count(len(project.cavities)) == 1
