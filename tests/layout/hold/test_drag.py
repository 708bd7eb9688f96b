"""A drag is judged by `checks.check` and by plain sampling, neither of which the hold uses.

Thousands of random drags: at every resting place, and all along the way to it, the layout is legal; no small legal
movement comes closer to the pointer; what holds the part is at the wall to a millionth of a mm.
"""

import itertools
import math
import random
from collections.abc import Callable

import numpy as np
import pytest

from layout import edits
from layout.checks import check
from layout.geometry import as_polygon, distance_mm
from layout.hold import Hold
from layout.hold import situation as situation_module
from layout.model import Box, CavityId, KeepOut, KeepOutId, Master, OutlineBox, Project, RectBox, RoundBox, Rules
from layout.regions import edge_distance_mm, inner_polygon, placed_cavities, placed_keep_out
from layout.tolerances import CLEARANCE_TOL_MM
from tests.layout.hold.scenes import CHANNEL, ELL, HEX, MASTERS, PIN, STAR, outline, packed, scene, some

SEEDS = range(120)
DRAGS = 10
DIRECTIONS = 16
SMALL_MM = 1e-3


def _wander(rng: random.Random, at: tuple[float, float]) -> tuple[float, float]:
    step = rng.choice([1.0, 5.0, 20.0, 60.0])
    return at[0] + rng.uniform(-step, step), at[1] + rng.uniform(-step, step)


def _legal(project: Project, ids: list[CavityId], dx: float, dy: float) -> bool:
    return not check(edits.move_cavities(project, ids, dx, dy), only=ids)


def _rule_mm(project: Project, kind: str) -> float:
    return {"cavity": project.rules.wall_mm, "keep-out": 0.0, "side": project.rules.edge_mm}[kind]


@pytest.mark.parametrize("first", range(SEEDS.start, SEEDS.stop, 40))
def test_that_thousands_of_random_drags_stay_legal_rest_at_the_wall_and_never_stick(first: int) -> None:
    drags = held = 0
    for seed in range(first, first + 40):
        more, still = _drag_about(random.Random(seed), scene, seed)
        drags, held = drags + more, held + still
    assert drags >= 380
    assert held > drags / 4


def test_that_drags_in_layouts_packed_at_the_least_wall_are_as_free_and_as_legal() -> None:
    held = sum(_drag_about(random.Random(seed), packed, seed)[1] for seed in range(5000, 5024))
    assert held > 50


def _drag_about(rng: random.Random, make: Callable[[random.Random], Project], seed: int) -> tuple[int, int]:
    """Drag some cavities of a layout about; return how many moves there were and how many were held."""
    project = make(rng)
    ids = some(rng, project)
    hold = Hold.begin(project, ids)
    pointer, held = (0.0, 0.0), 0
    for _ in range(DRAGS):
        pointer = _wander(rng, pointer)
        move = hold.move_to(*pointer)
        assert _legal(project, ids, move.dx_mm, move.dy_mm), (seed, pointer)
        left = math.hypot(pointer[0] - move.dx_mm, pointer[1] - move.dy_mm)
        assert move.held == (left > 0.0)
        if left < 1e-6:
            continue
        held += 1
        assert move.touching, (seed, pointer)
        for touch in move.touching:
            # a cavity wedged in a place that just fits can't have the hair more on every side
            assert touch.distance_mm >= _rule_mm(project, touch.kind) - CLEARANCE_TOL_MM / 2.0, (seed, touch)
        if len(move.touching) == 1:
            assert move.touching[0].distance_mm >= _rule_mm(project, move.touching[0].kind) - 1e-9
        for i in range(DIRECTIONS):
            angle = 2 * math.pi * i / DIRECTIONS
            x, y = move.dx_mm + SMALL_MM * math.cos(angle), move.dy_mm + SMALL_MM * math.sin(angle)
            if left - math.hypot(pointer[0] - x, pointer[1] - y) > SMALL_MM / 100.0:
                assert not _legal(project, ids, x, y), (seed, pointer, angle)
    return DRAGS, held


@pytest.mark.parametrize("first", range(1000, 1040, 20))
def test_that_the_whole_way_is_legal_and_unbroken(first: int) -> None:
    for seed in range(first, first + 20):
        rng = random.Random(seed)
        project = scene(rng)
        ids = some(rng, project)
        hold = Hold.begin(project, ids)
        pointer = last = (0.0, 0.0)
        for _ in range(6):
            pointer = _wander(rng, pointer)
            move = hold.move_to(*pointer)
            way = np.array(hold.way())
            assert tuple(way[0]) == last
            assert tuple(way[-1]) == (move.dx_mm, move.dy_mm)
            last = (move.dx_mm, move.dy_mm)
            # it comes closer and closer, but for a sidestep of at most 1 mm over a crest
            far = np.hypot(*(way - pointer).T)
            assert far[-1] <= far[0] + 2e-6
            assert (np.diff(far) < 1.0).all()
            for a, b in itertools.pairwise(way):
                for share in np.linspace(0.0, 1.0, 2 + min(12, int(np.hypot(*(b - a)) / 0.4))):
                    assert _legal(project, ids, *(a + share * (b - a))), (seed, pointer)


def _project(
    *places: tuple[Master, float, float, float],
    shape: RectBox | RoundBox | OutlineBox | None = None,
    wall: float = 6.0,
    edge: float = 9.0,
) -> Project:
    masters = tuple({m.id: m for m, *_ in places}.values())
    empty = Project("p", Box(shape or RectBox(300.0, 200.0)), masters, Rules(wall, edge))
    return edits.add_cavities(empty, [(m.id, x, y, a) for m, x, y, a in places])[0]


FIRST = CavityId("c1")


def test_that_a_disc_rests_in_the_corner_of_the_box_at_the_edge() -> None:
    move = Hold.begin(_project((PIN, 60.0, 60.0, 0.0)), [FIRST]).move_to(-500.0, -300.0)
    assert (60.0 + move.dx_mm, 60.0 + move.dy_mm) == pytest.approx((15.0, 15.0), abs=1e-6)
    assert [t.kind for t in move.touching] == ["side"]
    assert 9.0 <= move.touching[0].distance_mm <= 9.0 + 1e-6


def test_that_one_move_crosses_the_longest_box() -> None:
    project = _project((PIN, 60.0, 60.0, 0.0), shape=RectBox(9000.0, 200.0))
    assert Hold.begin(project, [FIRST]).move_to(9900.0, 0.0).dx_mm == pytest.approx(9000.0 - 75.0, abs=1e-6)
    assert Hold.begin(project, [FIRST]).move_to(8000.0, 50.0).held is False


def test_that_a_disc_slides_round_a_disc_to_the_far_side() -> None:
    """Closed form: the nearest place to a pointer over a disc is on the line from its centre, radii and wall away."""
    project = _project((PIN, 60.0, 100.0, 0.0), (PIN, 120.0, 100.0, 0.0))
    hold = Hold.begin(project, [FIRST])
    hold.move_to(55.0, 1.0)
    move = hold.move_to(65.0, 2.0)
    away = math.hypot(5.0, 2.0)
    expected = (60.0 + 18.0 * 5.0 / away, 18.0 * 2.0 / away)
    assert (move.dx_mm, move.dy_mm) == pytest.approx(expected, abs=1e-6)


def test_that_a_disc_dragged_straight_over_another_goes_round_it_and_does_not_stop_on_the_crest() -> None:
    project = _project((PIN, 60.0, 100.0, 0.0), (PIN, 120.0, 100.0, 0.0))
    move = Hold.begin(project, [FIRST]).move_to(120.0, 0.0)
    assert (move.dx_mm, move.dy_mm, move.held) == (120.0, 0.0, False)


def test_that_two_discs_to_both_sides_make_a_rest_at_both_walls() -> None:
    project = _project((PIN, 60.0, 100.0, 0.0), (PIN, 120.0, 110.0, 0.0), (PIN, 120.0, 90.0, 0.0))
    move = Hold.begin(project, [FIRST]).move_to(100.0, 0.3)
    assert move.dx_mm == pytest.approx(60.0 - math.sqrt(18.0**2 - 10.0**2), abs=1e-6)
    assert {t.name for t in move.touching} == {"c2", "c3"}
    assert all(6.0 <= t.distance_mm <= 6.0 + 1e-6 for t in move.touching)


BAR = outline("bar", [(0, 0), (40, 0), (40, 10), (0, 10)])


@pytest.mark.parametrize("angle", [0.0, 30.0, 77.7])
def test_that_a_bar_is_drawn_through_a_gap_that_just_fits_at_any_angle(angle: float) -> None:
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    # along, across: two bars leave a lane of wall, bar and wall between them
    spots = [(-60.0, 0.0), (0.0, 16.0), (0.0, -16.0)]
    project = _project(
        *((BAR, 150.0 + u * c - v * s, 150.0 + u * s + v * c, angle) for u, v in spots), shape=RectBox(300.0, 300.0)
    )
    hold = Hold.begin(project, [FIRST])
    for along in range(4, 121, 4):
        move = hold.move_to(along * c - 0.7 * s, along * s + 0.7 * c)
        assert _legal(project, [FIRST], move.dx_mm, move.dy_mm)
        in_lane = -60.0 + along > -40.0 and -60.0 + along < 40.0
        if in_lane:
            assert move.dx_mm * c + move.dy_mm * s == pytest.approx(along, abs=1e-5)
            assert min(t.distance_mm for t in move.touching) >= 6.0 - 1e-9


def test_that_a_disc_passes_between_two_discs_that_just_leave_room() -> None:
    project = _project((PIN, 60.0, 100.0, 0.0), (PIN, 120.0, 118.0, 0.0), (PIN, 120.0, 82.0, 0.0))
    hold = Hold.begin(project, [FIRST])
    rest = [hold.move_to(float(dx), 0.0) for dx in range(5, 121, 5)]
    assert rest[-1].dx_mm == 120.0
    assert all(abs(m.dy_mm) < 1e-5 for m in rest)


def test_that_a_lane_too_narrow_by_a_hundredth_is_not_passed() -> None:
    project = _project((PIN, 60.0, 100.0, 0.0), (PIN, 120.0, 117.995, 0.0), (PIN, 120.0, 81.995, 0.0))
    hold = Hold.begin(edits.move_cavities(project, [CavityId("c2")], 0.0, -0.01), [FIRST])
    rest = [hold.move_to(float(dx), -0.01) for dx in range(5, 121, 5)]
    assert all(m.dx_mm < 60.0 for m in rest if m.held)
    assert any(m.held for m in rest)


def test_that_a_bar_slides_between_two_keep_outs_exactly_its_height_apart() -> None:
    project = _project((BAR, 60.0, 100.0, 0.0), shape=RectBox(300.0, 200.0))
    areas = [KeepOut(KeepOutId(""), 150.0, 100.0 + side * 15.0, 60.0, 20.0) for side in (1.0, -1.0)]
    project = edits.add_keep_outs(project, areas)
    hold = Hold.begin(project, [FIRST])
    rests = [hold.move_to(dx, 0.0) for dx in np.arange(5.0, 181.0, 5.0)]
    assert rests[-1].dx_mm == 180.0
    for move in rests:
        assert _legal(project, [FIRST], move.dx_mm, move.dy_mm)


def test_that_sharp_tips_that_may_touch_slide_round_each_other_without_overlapping() -> None:
    needle = outline("needle", [(0, 0), (40, 3), (0, 6)])
    project = _project((needle, 100.0, 100.0, 0.0), (needle, 160.0, 100.5, 180.0), wall=0.0)
    hold = Hold.begin(project, [FIRST])
    held = 0
    for step in range(120):
        angle = step * 0.21
        move = hold.move_to(60.0 + 25.0 * math.cos(angle), 12.0 * math.sin(angle))
        held += move.held
        assert _legal(project, [FIRST], move.dx_mm, move.dy_mm), step
    assert held > 40


def test_that_a_channel_takes_a_pin_into_its_mouth_and_holds_it_at_the_bottom() -> None:
    project = _project((PIN, 150.0, 170.0, 0.0), (CHANNEL, 150.0, 60.0, 0.0), wall=6.0)
    move = Hold.begin(project, [FIRST]).move_to(3.0, -200.0)
    # the mouth is 24 wide: exactly wall, disc and wall; its bottom is at 60 - 18 + 8
    assert (150.0 + move.dx_mm, 170.0 + move.dy_mm) == pytest.approx((150.0, 50.0 + 6.0 + 6.0), abs=1e-5)
    assert _legal(project, [FIRST], move.dx_mm, move.dy_mm)


def test_that_a_turned_part_in_a_round_box_rests_with_its_corners_at_the_edge() -> None:
    project = _project((HEX, 95.0, 95.0, 17.0), shape=RoundBox(190.0), edge=5.0)
    move = Hold.begin(project, [FIRST]).move_to(300.0, 40.0)
    placed = placed_cavities(edits.move_cavities(project, [FIRST], move.dx_mm, move.dy_mm))[FIRST]
    assert 5.0 <= edge_distance_mm(project.box.shape, placed) <= 5.0 + 1e-6


def test_that_a_group_keeps_its_shape_and_rests_by_the_first_part_that_meets_the_wall() -> None:
    project = _project((ELL, 60.0, 60.0, 0.0), (STAR, 110.0, 60.0, 0.0), (HEX, 180.0, 70.0, 0.0))
    ids = [FIRST, CavityId("c2")]
    hold = Hold.begin(project, ids)
    move = hold.move_to(80.0, 0.0)
    placed = placed_cavities(hold.project())
    assert {t.cavity for t in move.touching} == {"c2"}
    assert 6.0 <= distance_mm(placed[CavityId("c2")], placed[CavityId("c3")]) <= 6.0 + 1e-6
    assert distance_mm(placed[FIRST], placed[CavityId("c2")]) == pytest.approx(
        distance_mm(*list(placed_cavities(project).values())[:2]), abs=1e-9
    )


def test_that_a_drag_of_nothing_moves_nothing_and_a_layout_exactly_at_the_wall_is_left_alone() -> None:
    project = _project((PIN, 60.0, 60.0, 0.0), (PIN, 78.0, 60.0, 0.0))
    assert Hold.begin(project, []).move_to(3.0, 4.0).touching == ()
    move = Hold.begin(project, [FIRST]).move_to(0.0, 0.0)
    assert (move.dx_mm, move.dy_mm, move.held) == (0.0, 0.0, False)
    assert [t.name for t in move.touching] == ["c2"]


def test_that_the_pass_through_goes_where_the_pointer_is_and_the_next_move_holds_from_there() -> None:
    project = _project((PIN, 60.0, 100.0, 0.0), (BAR, 120.0, 100.0, 90.0))
    hold = Hold.begin(project, [FIRST])
    assert hold.move_to(60.0, 0.0).held
    through = hold.pass_to(55.0, 0.0)
    assert (through.dx_mm, through.held) == (55.0, False)
    assert through.touching[0].distance_mm < 0.0
    assert [(f.kind, f.cavities) for f in hold.findings()] == [("overlap", ("c1", "c2"))]
    assert {f.cavities for f in hold.findings()} == {f.cavities for f in check(hold.project())}
    hold.pass_to(90.0, 0.0)
    back = hold.move_to(60.0, 0.0)
    assert back.dx_mm == pytest.approx(60.0 + 5.0 + 6.0 + 6.0, abs=1e-6)


def test_that_beside_a_broken_rule_the_others_are_met_exactly() -> None:
    """Too near the side as it begins (8 for 9): it slides on as near as it was, and rests at the neighbour."""
    project = _project((PIN, 60.0, 14.0, 0.0), (PIN, 120.0, 14.0, 0.0))
    hold = Hold.begin(project, [FIRST])
    move = hold.move_to(45.0, -3.0)
    placed = placed_cavities(hold.project())
    assert 6.0 <= distance_mm(placed[FIRST], placed[CavityId("c2")]) <= 6.0 + 1e-6
    assert move.dy_mm == pytest.approx(0.0, abs=1e-6)
    assert {t.kind for t in move.touching} == {"cavity", "side"}


@pytest.mark.parametrize("first", range(2000, 2040, 20))
def test_that_rules_broken_at_the_start_are_mended_and_never_made_worse(first: int) -> None:
    """Judged by areas of overlap and distances measured by shapely at every resting place."""
    mended = 0
    for seed in range(first, first + 20):
        rng = random.Random(seed)
        project = scene(rng)
        ids = some(rng, project)[:1]
        project = edits.move_cavities(project, ids, rng.uniform(-25, 25), rng.uniform(-25, 25))
        hold = Hold.begin(project, ids)
        before = _broken(project, ids)
        pointer = (0.0, 0.0)
        for _ in range(8):
            pointer = _wander(rng, pointer)
            hold.move_to(*pointer)
            now = _broken(hold.project(), ids)
            for key, (area, gap) in now.items():
                was_area, was_gap = before.get(key, (0.0, math.inf))
                assert area <= was_area + 1e-4, (seed, key)
                if area == 0.0 and was_area == 0.0:
                    assert gap >= min(was_gap, _rule_mm(project, key[0])) - 2 * CLEARANCE_TOL_MM, (seed, key)
            mended += len(before) > len(now)
            before = now
    assert mended > 0


def _broken(project: Project, ids: list[CavityId]) -> dict[tuple[str, str], tuple[float, float]]:
    """Neighbours too close to the one dragged: area of overlap, and distance."""
    placed = placed_cavities(project)
    mine = placed[ids[0]]
    found: dict[tuple[str, str], tuple[float, float]] = {}
    others = [("cavity", str(i), p, project.rules.wall_mm) for i, p in placed.items() if i not in ids]
    others += [("keep-out", str(k.id), placed_keep_out(k), 0.0) for k in project.keep_outs]
    for kind, name, other, wall in others:
        gap = distance_mm(mine, other)
        if gap < wall - CLEARANCE_TOL_MM:
            area = as_polygon(mine).intersection(as_polygon(other)).area if gap <= 0.0 else 0.0
            found[kind, name] = (float(area), gap)
    edge = edge_distance_mm(project.box.shape, mine)
    if edge < project.rules.edge_mm - CLEARANCE_TOL_MM:
        outside = as_polygon(mine).difference(inner_polygon(project.box.shape)).area
        found["side", ""] = (float(outside), edge)
    return found


def test_that_a_wedged_part_rests_on_the_safe_side_of_the_wall() -> None:
    worst = 0.0
    for seed in range(5000, 5060):
        rng = random.Random(seed)
        project = (scene if seed % 2 else packed)(rng)
        if not project.cavities or project.rules.wall_mm == 0.0:
            continue
        ids = some(rng, project)
        hold = Hold.begin(project, ids)
        x = y = 0.0
        for _ in range(6):
            x, y = _wander(rng, (x, y))
            hold.move_to(x, y)
            placed = placed_cavities(hold.project())
            for cavity_id in ids:
                for other, there in placed.items():
                    near = distance_mm(placed[cavity_id], there) if other not in ids else math.inf
                    worst = max(worst, project.rules.wall_mm - near)
    # a billionth of a mm, in gaps that just fit and have no thicker place
    assert worst <= 1e-9


def test_that_of_many_moved_together_only_those_near_something_are_looked_into(monkeypatch: pytest.MonkeyPatch) -> None:
    places = [(ELL.id, 40.0 + 45.0 * i, 40.0 + 45.0 * j, 0.0) for i in range(6) for j in range(6)]
    project, ids = edits.add_cavities(Project("p", Box(RectBox(400.0, 400.0)), MASTERS, Rules(6.0, 9.0)), places)
    made: list[object] = []
    whole = situation_module.body_of

    def told(placed: situation_module.Placed) -> situation_module.Body:
        made.append(placed)
        return whole(placed)

    monkeypatch.setattr(situation_module, "body_of", told)
    moved = Hold.begin(project, ids).move_to(500.0, 0.0)
    assert moved.held
    assert not made
    # footprints known already are taken as they are
    monkeypatch.setattr(situation_module, "placed_cavities", None)
    known = placed_cavities(project)
    assert Hold.begin(project, ids, known).move_to(500.0, 0.0) == moved
