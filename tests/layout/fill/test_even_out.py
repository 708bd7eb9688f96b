import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import edits
from layout.checks import clearances, is_legal
from layout.errors import BadValueError
from layout.fill.even_features import body_of, pair_features
from layout.fill.even_out import EvenResult, even_out
from layout.fill.fill import FillOptions, fill
from layout.geometry import centred_outline
from layout.model import KeepOut, KeepOutId, Master, MasterId, OutlineBox, Project, RoundBox
from tests.layout.fill.boxes import disc, master, project, rectangle, table


def laid(mold: Project, part: Master, *places: tuple[float, float, float]) -> Project:
    return edits.add_cavities(mold, [(part.id, *place) for place in places])[0]


def test_that_two_discs_go_to_opposite_corners() -> None:
    part = disc(5.0)
    mold = laid(project((50, 40), part, wall=2.0, edge=3.0), part, (20, 20, 0), (33, 20, 0))
    result = even_out(mold)
    assert result.before_mm == pytest.approx(3.0)
    # centres may lie 34 by 24 apart
    assert result.after_mm == pytest.approx(math.hypot(34, 24) - 10, abs=1e-4)
    assert clearances(result.project).least_wall_mm == pytest.approx(result.after_mm)


@pytest.mark.parametrize("n", [5, 9, 11])
def test_that_discs_spread_to_the_published_best_distance(n: int) -> None:
    # Specht, the best known packings of equal circles in a square: spread points are packed circles
    (row,) = (r for r in table("circles_in_square.csv") if r["n"] == str(n))
    radius = float(row["radius_unit_square"])
    part = disc(5.0)
    side = 100.0
    # the best least distance of n points in a square of side s is s * 2 r / (1 - 2 r)
    best = side * 2 * radius / (1 - 2 * radius) - 10.0
    mold = fill(project((110, 110), part, wall=0.95 * best), FillOptions(rounds=10, most=n)).project
    assert len(mold.cavities) == n
    result = even_out(mold)
    assert result.after_mm is not None
    assert result.after_mm <= best + 1e-3
    assert result.after_mm >= 0.985 * best


def test_that_bars_in_a_row_get_equal_gaps_and_keep_their_turn() -> None:
    part = master(rectangle(20, 8))
    mold = project((80, 8 + 6), part, wall=1.0, edge=3.0, turn="0")
    mold = laid(mold, part, (13, 7, 0), (34.5, 7, 0), (57, 7, 0))
    result = even_out(mold)
    assert result.after_mm == pytest.approx((74 - 60) / 2, abs=1e-4)
    assert {c.angle_deg for c in result.project.cavities} == {0.0}
    assert [c.id for c in result.project.cavities] == [c.id for c in mold.cavities]


def test_that_all_walls_share_the_room_that_the_least_one_leaves() -> None:
    # three rows of six: the rows can be no farther apart than 8 mm, the columns may
    part = master(rectangle(40, 30))
    mold = project((6 * 40 + 5 * 14 + 20, 3 * 30 + 2 * 8 + 20), part, wall=6.0, edge=10.0, turn="0")
    corner = [(30 + 46.5 * i + 3 * (j % 2), 25 + 36.2 * j, 0.0) for j in range(3) for i in range(6)]
    result = even_out(laid(mold, part, *corner))
    assert result.after_mm == pytest.approx(8.0, abs=1e-3)
    x = np.array([c.x_mm for c in result.project.cavities]).reshape(3, 6)
    y = np.array([c.y_mm for c in result.project.cavities]).reshape(3, 6)
    # equal gaps along each direction, and rows and columns in line
    assert np.diff(x, axis=1) == pytest.approx(np.full((3, 5), 54.0), abs=0.2)
    assert np.diff(y, axis=0) == pytest.approx(np.full((2, 6), 38.0), abs=1e-3)
    assert np.ptp(x, axis=0).max() < 0.2
    assert is_legal(result.project)


def test_that_a_stop_keeps_what_the_sharing_of_the_room_has_reached() -> None:
    part = master(rectangle(40, 30))
    mold = project((6 * 40 + 5 * 14 + 20, 3 * 30 + 2 * 8 + 20), part, wall=6.0, edge=10.0, turn="0")
    corner = [(30 + 46.5 * i + 3 * (j % 2), 25 + 36.2 * j, 0.0) for j in range(3) for i in range(6)]
    told: list[EvenResult] = []
    even_out(laid(mold, part, *corner), told.append)
    least = [round(result.after_mm or 0.0, 3) for result in told]
    assert least == sorted(least)
    assert all(is_legal(result.project) for result in told)
    # the least wall is there first; what comes after shares the room, step by step
    rows = [np.array([c.x_mm for c in result.project.cavities]).reshape(3, 6) for result in told]
    uneven = [float(np.ptp(np.diff(x, axis=1))) for x in rows]
    at_most = [u for u, wall in zip(uneven, least, strict=True) if wall == least[-1]]
    assert len(at_most) > 2
    assert at_most[-1] < at_most[0]


def test_that_what_was_looked_at_together_is_what_shapely_measures_pair_by_pair() -> None:
    part, other = master(SHAPES[2], "angle"), disc(5.0)
    mold = project((200, 200), part, replace(other, id=MasterId("disc")), wall=1.0)
    rng = np.random.default_rng(4)
    for _ in range(14):
        which = "angle" if rng.random() < 0.6 else "disc"
        place = (MasterId(which), *rng.uniform(20, 180, 2).tolist(), float(rng.uniform(0, 360)))
        mold = edits.add_cavities(mold, [place])[0]
    bodies = [body_of(mold, c) for c in mold.cavities]
    pairs = [(i, j) for i in range(14) for j in range(i) if bodies[i].core.distance(bodies[j].core) > 1e-6]
    found = pair_features(bodies, pairs, 60.0)
    for k, (i, j) in enumerate(pairs):
        gap = bodies[i].core.distance(bodies[j].core) - bodies[i].radius_mm - bodies[j].radius_mm
        mine = found.gap[found.pair == k]
        if gap <= 60.0:
            assert mine.min() == pytest.approx(gap, abs=1e-9)
        else:
            assert not len(mine)
    # slopes are what a small move does to the nearest corner's distance
    k = int(found.gap.argmin())
    who, step = int(found.first[k]), 1e-6
    for axis in range(2):
        moved = list(bodies)
        shift = np.eye(2)[axis] * step
        moved[who] = replace(bodies[who], points=bodies[who].points + shift, centre=bodies[who].centre + shift)
        again = pair_features(moved, [pairs[int(found.pair[k])]], 60.0)
        assert (again.gap.min() - found.gap[k]) / step == pytest.approx(found.slope_first[k, axis], abs=1e-4)


def test_that_a_pinned_cavity_stays_and_the_others_share_what_is_left() -> None:
    part = disc(5.0)
    mold = laid(project((100, 16), part, wall=2.0, edge=3.0), part, (20, 8, 0), (35, 8, 0), (50, 8, 0))
    mold = edits.pin_cavities(mold, [mold.cavities[0].id], True)
    result = even_out(mold)
    assert result.project.cavities[0] == mold.cavities[0]
    # from 20 to 92 in two equal steps
    assert result.after_mm == pytest.approx(36 - 10, abs=1e-4)


def test_that_a_turn_is_used_where_any_is_allowed() -> None:
    part = master(rectangle(20, 4))
    places = ((20.0, 14.0, 20.0), (20.0, 26.0, 0.0))
    free = even_out(laid(project((40, 40), part, wall=1.0, edge=2.0), part, *places))
    assert free.after_mm == pytest.approx(32 - 4, abs=0.2)


SHAPES = [
    rectangle(12, 6),
    centred_outline([(0, 0), (14, 0), (5, 11)], "test"),
    centred_outline([(0, 0), (14, 0), (14, 5), (5, 5), (5, 14), (0, 14)], "test"),
]


@settings(max_examples=12, deadline=None)
@given(st.data())
def test_that_the_least_wall_never_gets_thinner_and_all_rules_hold(data: st.DataObject) -> None:
    part = master(data.draw(st.sampled_from(SHAPES))) if data.draw(st.booleans()) else disc(5.0)
    shape = data.draw(
        st.sampled_from(
            [(70.0, 60.0), RoundBox(75), OutlineBox(((0, 0), (80, 0), (80, 40), (40, 40), (40, 70), (0, 70)))]
        )
    )
    mold = project(shape, part, wall=2.0, edge=3.0, turn=data.draw(st.sampled_from(["free", "90", "0"])))
    mold = edits.add_keep_outs(mold, [KeepOut(KeepOutId(""), 30, 20, 8, 6, round=data.draw(st.booleans()))])
    rng = np.random.default_rng(data.draw(st.integers(0, 2**32 - 1)))
    for _ in range(60):
        angle = {"free": float(rng.uniform(0, 360)), "90": 90.0 * int(rng.integers(4)), "0": 0.0}[mold.rules.turn]
        trial = laid(mold, part, (float(rng.uniform(0, 80)), float(rng.uniform(0, 75)), angle))
        mold = trial if is_legal(trial) and len(trial.cavities) <= 6 else mold
    if mold.cavities and rng.random() < 0.5:
        mold = edits.pin_cavities(mold, [mold.cavities[0].id], True)
    result = even_out(mold, most_rounds=25)
    assert is_legal(result.project)
    assert len(result.project.cavities) == len(mold.cavities)
    if len(mold.cavities) > 1:
        assert result.before_mm is not None
        assert result.after_mm is not None
        assert result.after_mm >= result.before_mm
        stronger = edits.set_rules(result.project, replace(mold.rules, wall_mm=result.after_mm))
        assert is_legal(stronger)
        assert clearances(mold).least_wall_mm == pytest.approx(result.before_mm)
    for old, new in zip(mold.cavities, result.project.cavities, strict=True):
        assert (old.id, old.master, old.pinned) == (new.id, new.master, new.pinned)
        assert old == new or not old.pinned


def test_that_nothing_happens_where_there_is_no_wall_and_a_broken_layout_is_refused() -> None:
    part = disc(5.0)
    alone = laid(project((50, 40), part, wall=2.0, edge=3.0), part, (20, 20, 0))
    result = even_out(alone)
    assert (result.project, result.before_mm, result.after_mm) == (alone, None, None)
    with pytest.raises(BadValueError, match="check"):
        even_out(laid(alone, part, (24, 20, 0)))


def test_that_a_stop_is_obeyed() -> None:
    part = disc(5.0)
    mold = laid(project((50, 40), part, wall=2.0, edge=3.0), part, (20, 20, 0), (33, 20, 0))
    result = even_out(mold, should_stop=lambda: True)
    assert result.stopped_early
    assert result.before_mm == pytest.approx(3.0)
    assert result.after_mm is not None
    # what was found before the stop was heard counts
    assert clearances(result.project).least_wall_mm == pytest.approx(result.after_mm)
    assert result.after_mm >= 3.0 - 1e-9
