import math
from dataclasses import replace

import numpy as np
import pytest

from layout import edits
from layout.checks import clearances, is_legal
from layout.errors import BadValueError
from layout.fill.fill import FillOptions, fill
from layout.fill.size_asked import SizeOptions, SizeResult, shares, with_wanted
from layout.fill.size_box import size_box
from layout.geometry import Disc, centred_outline
from layout.model import KeepOut, KeepOutId, MasterId, OutlineBox, Project, RectBox, RoundBox
from layout.regions import inner_size_mm
from layout.volumes import volumes
from tests.bench.size import losses, project_with
from tests.layout.fill.boxes import disc, master, project, rectangle

ROWS_ALONE = SizeOptions(rounds=0)
HEXAGON = master(
    centred_outline([(11 * math.cos(math.radians(60 * k + 30)), 11 * math.sin(math.radians(60 * k + 30)))
                     for k in range(6)], "test")
)  # fmt: skip
TRIANGLE = master(centred_outline([(0, 0), (24, 0), (12, 20)], "test"))


@pytest.mark.parametrize(
    ("part", "cavities", "rounds"), [("disc", 6, 3), ("hexagon", 13, 3), ("star", 5, 5), ("tee", 5, 4)]
)
def test_that_no_box_of_a_five_millimetre_grid_is_better(part: str, cavities: int, rounds: int) -> None:
    # python -m tests.bench.size does the same for more parts and numbers, and for longer
    found = size_box(project_with(part), cavities, SizeOptions(rounds=rounds))
    assert found.count == cavities == len(found.project.cavities)
    assert is_legal(found.project)
    assert found.silicone_ml == pytest.approx(volumes(found.project).net_ml)
    options = FillOptions(rounds=3, most=cavities)
    lost, tried = losses(found, cavities, 6, lambda empty: fill(empty, options).count)
    assert tried >= 1
    assert not lost


def test_that_the_worked_example_of_48_hexagons_takes_less_than_its_eight_by_six_box() -> None:
    # 48 hexagons of 19.05 across flats in rows of 8 and 6 take 215.9 x 182.7823 mm, worked by hand
    points = [(math.cos(math.radians(60 * k + 30)), math.sin(math.radians(60 * k + 30))) for k in range(6)]
    radius = 19.05 / math.sqrt(3)
    part = master(centred_outline([(radius * x, radius * y) for x, y in points], "test"))
    found = size_box(project((100, 100), part, wall=6.35, edge=9.525), 48, ROWS_ALONE)
    shape = found.project.box.shape
    assert isinstance(shape, RectBox)
    assert found.count == 48
    assert shape.length_mm * shape.width_mm < 0.88 * 215.9 * 182.7823


@pytest.mark.parametrize("part", [HEXAGON, disc(10.0), master(rectangle(30, 12))])
def test_that_one_cavity_takes_its_own_size_and_the_edges(part: object) -> None:
    mold = project((300, 300), part, wall=5.0, edge=8.0, turn="0")  # type: ignore[arg-type]
    found = size_box(mold, 1, ROWS_ALONE)
    assert clearances(found.project).least_edge_mm == pytest.approx(8.0, abs=2e-4)
    shape = found.project.box.shape
    assert isinstance(shape, RectBox)
    footprint = mold.masters[0].footprint
    if isinstance(footprint, Disc):
        assert (shape.length_mm, shape.width_mm) == pytest.approx((36.0, 36.0), abs=2e-4)
    else:
        xs, ys = zip(*footprint.points, strict=True)
        size = (max(xs) - min(xs) + 16, max(ys) - min(ys) + 16)
        assert (shape.length_mm, shape.width_mm) == pytest.approx(size, abs=2e-4)


def test_that_the_limits_and_the_proportion_are_kept() -> None:
    mold = project((100, 100), HEXAGON, wall=5.0, edge=6.0)
    free = size_box(mold, 20, ROWS_ALONE)
    narrow = size_box(mold, 20, SizeOptions(max_width_mm=70.0, rounds=0))
    shape = narrow.project.box.shape
    assert isinstance(shape, RectBox)
    assert narrow.count == 20
    assert shape.width_mm <= 70.0
    assert free.silicone_ml <= narrow.silicone_ml
    shaped = size_box(mold, 20, SizeOptions(proportion=(3.0, 2.0), rounds=0))
    shape = shaped.project.box.shape
    assert isinstance(shape, RectBox)
    assert shape.length_mm / shape.width_mm == pytest.approx(1.5, abs=1e-5)
    assert shaped.count == 20
    assert is_legal(shaped.project)


def test_that_a_number_that_does_not_fit_the_limits_fills_the_largest_box() -> None:
    mold = project((100, 100), HEXAGON, wall=5.0, edge=6.0)
    found = size_box(mold, 50, SizeOptions(max_length_mm=90.0, max_width_mm=80.0, rounds=0))
    assert 6 <= found.count < 50
    assert found.project.box.shape == RectBox(90.0, 80.0)


def test_that_a_round_box_stays_round_and_gets_the_least_tube_for_seven_discs() -> None:
    # seven equal circles in a circle: R = 3 r, proved; here r is radius and half the wall
    part = disc(10.0)
    mold = project(RoundBox(200), part, wall=4.0, edge=6.0)
    found = size_box(mold, 7, SizeOptions(rounds=4))
    shape = found.project.box.shape
    assert isinstance(shape, RoundBox)
    assert found.count == 7
    assert is_legal(found.project)
    least = 2 * (2 * 12.0 + 10.0 + 6.0)
    assert least - 1e-3 <= shape.diameter_mm <= least * 1.03


def test_that_pinned_cavities_and_keep_outs_stay_where_they_are() -> None:
    mold = project((100, 100), HEXAGON, wall=5.0, edge=6.0)
    mold, ids = edits.add_cavities(mold, [(HEXAGON.id, 30.0, 25.0, 10.0)])
    mold = edits.pin_cavities(mold, ids, True)
    mold = edits.add_keep_outs(mold, [KeepOut(KeepOutId(""), 60, 20, 16, 12)])
    # of one proportion: without it the same is done for a dozen of them
    found = size_box(mold, 6, SizeOptions(proportion=(4.0, 3.0), rounds=3))
    assert found.count == 6
    assert is_legal(found.project)
    shape = found.project.box.shape
    assert isinstance(shape, RectBox)
    assert shape.length_mm / shape.width_mm == pytest.approx(4.0 / 3.0, abs=1e-5)
    assert found.project.cavities[0] == mold.cavities[0]
    assert found.project.keep_outs == mold.keep_outs


def test_that_fills_make_the_box_of_rows_smaller_or_leave_it() -> None:
    mold = project((100, 100), disc(9.0), wall=5.0, edge=6.0)
    rows = size_box(mold, 10, ROWS_ALONE)
    better = size_box(mold, 10, SizeOptions(rounds=4))
    assert better.silicone_ml <= rows.silicone_ml
    assert better.project == size_box(mold, 10, SizeOptions(rounds=4)).project


def test_that_progress_is_told_and_a_stop_keeps_the_best() -> None:
    seen: list[float] = []
    mold = project((100, 100), TRIANGLE, wall=5.0, edge=6.0)
    found = size_box(mold, 9, None, lambda r: seen.append(r.silicone_ml), lambda: len(seen) >= 2)
    assert found.stopped_early
    assert seen == sorted(seen, reverse=True)
    assert found.silicone_ml == seen[-1]


@pytest.mark.parametrize(
    ("cavities", "options"),
    [(0, ROWS_ALONE), (401, ROWS_ALONE), (5, SizeOptions(proportion=(0.0, 1.0))), (5, SizeOptions(rounds=-1))],
)
def test_that_nonsense_is_refused(cavities: int, options: SizeOptions) -> None:
    with pytest.raises(BadValueError):
        size_box(project((100, 100), HEXAGON), cavities, options)


def test_that_a_drawn_box_is_scaled_and_keeps_its_proportions() -> None:
    corner = ((0.0, 0.0), (60.0, 0.0), (60.0, 30.0), (30.0, 30.0), (30.0, 60.0), (0.0, 60.0))
    found = size_box(project(OutlineBox(corner), disc(8.0), wall=4.0, edge=5.0), 7, SizeOptions(rounds=8))
    shape = found.project.box.shape
    assert isinstance(shape, OutlineBox)
    assert found.reached
    assert found.count == 7
    assert is_legal(found.project)
    scale = shape.points[1][0] / 60.0
    assert np.array(shape.points) == pytest.approx(scale * np.array(corner))
    # three legs' ends and the corner: no smaller than seven discs and their walls in one line allow
    smaller = OutlineBox(tuple((0.93 * x, 0.93 * y) for x, y in shape.points))
    mold = edits.set_box(found.project, replace(found.project.box, shape=smaller))
    assert fill(mold, FillOptions(rounds=12, most=7)).count < 7
    with pytest.raises(BadValueError, match="keeps its own"):
        size_box(found.project, 7, SizeOptions(proportion=(2.0, 1.0)))


def test_that_a_drawn_box_keeps_to_the_largest_size() -> None:
    triangle = OutlineBox(((0.0, 0.0), (60.0, 0.0), (30.0, 50.0)))
    found = size_box(project(triangle, disc(8.0), wall=4.0, edge=5.0), 50, SizeOptions(max_length_mm=100.0, rounds=0))
    assert not found.reached
    assert inner_size_mm(found.project.box.shape)[0] <= 100.0 + 1e-6
    assert 0 < found.count < 50
    assert is_legal(found.project)


@pytest.mark.parametrize("shape", [RectBox(100, 100), RoundBox(120)])
def test_that_a_pinned_cavity_and_a_keep_out_leave_a_first_box_quickly_found(shape: RectBox | RoundBox) -> None:
    # a fill that can't succeed takes a hundred times as long as one that can: 13 of them took 14 s
    mold, ids = edits.add_cavities(project(shape, HEXAGON, wall=5.0, edge=6.0), [(HEXAGON.id, 40.0, 45.0, 10.0)])
    mold = edits.add_keep_outs(edits.pin_cavities(mold, ids, True), [KeepOut(KeepOutId(""), 60, 20, 16, 12)])
    told: list[int] = []
    found = size_box(mold, 6, SizeOptions(rounds=0), lambda r: told.append(r.rounds))
    assert found.reached
    assert told[0] <= 4
    assert found.rounds <= 8
    assert is_legal(found.project)


@pytest.mark.parametrize(
    ("part", "cavities", "length_mm", "width_mm"),
    # boxes of the 5 mm grid that a fill of 2 s filled, and the rows of four angles alone had not found
    [("angle", 100, 385.0, 275.0), ("angle", 200, 540.0, 375.0), ("star", 200, 610.0, 300.0)],
)
def test_that_rows_at_every_angle_are_looked_at(part: str, cavities: int, length_mm: float, width_mm: float) -> None:
    # the least of them stand at angles that are less dense without end, but end well at the sides; the first box is it
    told: list[SizeResult] = []
    found = size_box(project_with(part), cavities, None, told.append, lambda: len(told) >= 1)
    shape = found.project.box.shape
    assert isinstance(shape, RectBox)
    assert found.count == cavities
    assert is_legal(found.project)
    assert shape.length_mm * shape.width_mm < length_mm * width_mm


def test_that_a_mixed_box_holds_as_many_of_each_as_wanted_and_shares_the_rest() -> None:
    # a disc takes less than a triangle: a box of eight discs would be smaller, and isn't what was asked for
    parts = (replace(disc(8.0), wanted=3), replace(TRIANGLE, id=MasterId("triangle"), wanted=5))
    mold = replace(project((100, 100), TRIANGLE, wall=5.0, edge=6.0), masters=parts)
    for cavities, counts in ((8, [3, 5]), (16, [6, 10]), (4, [2, 2])):
        found = size_box(mold, cavities, SizeOptions(rounds=1))
        assert [sum(c.master == m.id for c in found.project.cavities) for m in parts] == counts
        assert found.project.masters == parts
        assert found.reached
        assert is_legal(found.project)


def test_that_wanted_numbers_come_first_then_equal_shares() -> None:
    ids = [MasterId(name) for name in ("one", "two", "three", "four")]
    wanted = (2, None, None, 0)
    parts = tuple(replace(disc(8.0), id=i, wanted=n) for i, n in zip(ids, wanted, strict=True))
    mold = replace(project((100, 100), disc(8.0)), masters=parts)
    assert shares(mold, 2) == {ids[0]: 2}
    assert shares(mold, 12) == {ids[0]: 2, ids[1]: 5, ids[2]: 5}
    pinned, new = edits.add_cavities(mold, [(ids[1], 20.0, 20.0, 0.0), (ids[1], 50.0, 20.0, 0.0)])
    pinned = edits.pin_cavities(pinned, new, True)
    assert shares(pinned, 8) == {ids[0]: 2, ids[1]: 3, ids[2]: 3}
    with pytest.raises(BadValueError, match="every master is left out"):
        shares(replace(mold, masters=parts[3:]), 5)


@pytest.mark.parametrize("cavities", [6, 40])
def test_that_no_box_of_the_grid_holds_the_same_mix_with_less(cavities: int) -> None:
    mold = project_with("mixed")
    found = size_box(mold, cavities, SizeOptions(rounds=3))
    mix = shares(mold, cavities)
    options = FillOptions(rounds=1, most=cavities)

    def filled(empty: Project) -> int:
        made = fill(with_wanted(empty, mix), options).project.cavities
        return sum(min(sum(c.master == m for c in made), n) for m, n in mix.items())

    lost, tried = losses(found, cavities, 5, filled)
    assert tried >= 1
    assert not lost


def test_that_a_pinned_cavity_of_a_master_that_is_left_out_counts() -> None:
    out, part = replace(master(rectangle(20.0, 12.0), "out"), wanted=0), disc(9.0)
    mold = project((120, 90), out, part, wall=3.0, edge=3.0)
    mold, ids = edits.add_cavities(mold, [(out.id, 20.0, 20.0, 0.0)])
    mold = edits.pin_cavities(mold, ids, True)
    assert shares(mold, 3) == {out.id: 1, part.id: 2}
    found = size_box(mold, 3, SizeOptions(rounds=0))
    assert found.reached
    assert [c.master for c in found.project.cavities] == [out.id, part.id, part.id]
    assert found.project.masters == mold.masters
    assert is_legal(found.project)
