import math
from collections.abc import Callable

import numpy as np
import pytest

from layout import edits
from layout.checks import clearances, is_legal
from layout.fill.bounds import upper_bound
from layout.fill.discs import disc_lattices, disc_rounds, round_part
from layout.fill.search import Search, Task
from layout.geometry import centred_outline
from layout.model import KeepOut, KeepOutId, Master, OutlineBox, Project, RoundBox
from tests.layout.fill.boxes import disc, master, project, rectangle, run, table


def rounds(most: int) -> Callable[[], bool]:
    asked = iter(range(most))
    return lambda: next(asked, None) is None


def filled(mold: Project, part: Master, most_rounds: int, most: int = 1_000_000, seed: int = 0) -> Search:
    search = Search(Task(mold, part, most), rounds(most_rounds), seed)
    run(search, disc_lattices(search), disc_rounds(search))
    assert is_legal(edits.add_cavities(mold, search.best)[0])
    return search


def test_that_the_published_packings_of_up_to_forty_circles_in_a_square_are_found() -> None:
    # Specht, the best known packings of equal circles in a square; parts a thousandth smaller
    missed = []
    for row in table("circles_in_square.csv"):
        n = int(row["n"])
        if n <= 40:
            part = disc(10.0 * 0.999)
            side = 10.0 / float(row["radius_unit_square"])
            if filled(project((side, side), part), part, 3000, n).count < n:
                missed.append(n)
    assert missed == []


def test_that_they_are_found_with_a_wall_and_an_edge_and_to_a_millionth() -> None:
    # the same table; wall and edge are free to choose, for the centres live in a smaller square
    wall, edge = 3.0, 4.0
    for row in table("circles_in_square.csv"):
        n = int(row["n"])
        if n <= 30:
            radius = 1.0 - 1e-6
            part = disc(10.0 * radius)
            apart = 20.0 + wall
            side = apart * (1.0 / (2.0 * float(row["radius_unit_square"])) - 1.0) + 20.0 + 2.0 * edge
            assert filled(project((side, side), part, wall=wall, edge=edge), part, 3000, n).count == n


def test_that_the_published_packings_of_up_to_forty_circles_in_a_circle_are_found() -> None:
    # Specht, the best known packings of equal circles in a circle; parts a thousandth smaller
    missed = []
    for row in table("circles_in_circle.csv"):
        n = int(row["n"])
        if n <= 40:
            part = disc(10.0 * 0.999)
            tube = RoundBox(20.0 * float(row["ratio_R_over_r"]))
            if filled(project(tube, part), part, 3000, n).count < n:
                missed.append(n)
    assert missed == []


def test_that_the_first_layout_needs_no_compiled_code_and_a_stop_is_obeyed_at_once() -> None:
    part = disc(10.0)
    mold = project((200, 150), part, wall=6.35, edge=9.5)
    # twelve questions come before the lattices are through
    assert filled(mold, part, 12).count >= 35


def test_that_the_search_beats_the_best_rows() -> None:
    # 36 discs of 20.02 lie in rows in this box; 37 are possible
    part = disc(10.01206)
    assert filled(project((200, 150), part, wall=6.35, edge=9.5), part, 2000, 37).count == 37


def test_that_the_search_ends_by_itself_when_no_more_can_be_placed() -> None:
    part = disc(10.0)
    mold = project((20, 60), part)
    search = Search(Task(mold, part), lambda: False)
    run(search, disc_lattices(search), disc_rounds(search))
    assert search.count == 3 == upper_bound(mold, part)


def test_that_nothing_is_offered_where_no_disc_has_room() -> None:
    part = disc(10.0)
    assert filled(project((19, 60), part), part, 50).best == ()
    assert filled(project(RoundBox(19), part), part, 50).best == ()


def test_that_a_disc_that_just_fits_is_placed() -> None:
    part = disc(10.0)
    for shape in ((20.0, 20.0), RoundBox(20.0)):
        assert filled(project(shape, part), part, 50).count == 1


def test_that_discs_go_round_keep_outs_and_pinned_cavities_of_any_shape() -> None:
    part, bar = disc(6.0), master(rectangle(30, 10), "bar")
    mold = project((110, 90), part, bar, wall=4.0, edge=5.0)
    mold, ids = edits.add_cavities(mold, [(part.id, 20.0, 20.0, 0.0), (bar.id, 70.0, 40.0, 30.0)])
    mold = edits.pin_cavities(mold, ids, True)
    areas = [KeepOut(KeepOutId(""), 30, 70, 20, 12), KeepOut(KeepOutId(""), 95, 75, 14, 14, round=True)]
    mold = edits.add_keep_outs(mold, areas)
    search = filled(mold, part, 400)
    whole = filled(project((110, 90), part, wall=4.0, edge=5.0), part, 400).count
    assert 18 <= search.count < whole
    assert search.count + 2 <= upper_bound(mold, part)
    assert clearances(edits.add_cavities(mold, search.best)[0]).least_wall_mm == pytest.approx(4.0, abs=1.0)


def test_that_discs_fill_a_box_with_an_inner_corner() -> None:
    part = disc(6.0)
    box = OutlineBox(((0, 0), (120, 0), (120, 50), (50, 50), (50, 110), (0, 110)))
    mold = project(box, part, wall=3.0, edge=4.0)
    # by hand, two rectangles of 7 x 3 and 3 x 4 discs in a square grid
    assert 33 <= filled(mold, part, 400).count <= upper_bound(mold, part)


def test_that_the_same_seed_and_rounds_give_the_same_layout_and_other_seeds_legal_ones() -> None:
    part = disc(9.0)
    mold = project(RoundBox(130), part, wall=4.0, edge=5.0)
    first = filled(mold, part, 150, seed=5)
    assert first.best == filled(mold, part, 150, seed=5).best
    assert filled(mold, part, 150, seed=6).count >= first.count - 1


def test_that_no_more_than_the_most_wanted_are_placed() -> None:
    part = disc(5.0)
    assert filled(project((100, 100), part), part, 100, most=7).count == 7


def test_that_a_polygon_with_many_corners_is_laid_as_its_containing_disc_and_a_square_is_not() -> None:
    angles = np.arange(63) * 2 * math.pi / 63 + 0.3
    part = master(centred_outline(np.column_stack((10 * np.cos(angles), 10 * np.sin(angles))), "test"))
    found = round_part(part.footprint)
    assert found is not None
    assert 10.0 <= found[0] < 10.0001
    mold = project((90, 90), part, wall=5.0, edge=5.0, turn="0")
    assert filled(mold, part, 200).count >= 9
    square = master(rectangle(10, 10))
    assert filled(project((90, 90), square), square, 50).best == ()
