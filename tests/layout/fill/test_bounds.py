import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from layout import edits
from layout.checks import check, is_legal
from layout.fill.bounds import inradius_mm, upper_bound, upper_bound_mixed
from layout.fill.bounds_rectangles import rectangle_bound
from layout.fill.hexagons import least_hexagon_mm2
from layout.geometry import Disc, Outline, centred_outline
from layout.model import Cavity, CavityId, KeepOut, KeepOutId, OutlineBox, RectBox, RoundBox
from tests.layout.fill.boxes import disc, master, project, rectangle, table


def regular(n: int, radius: float = 10.0) -> Outline:
    angles = np.arange(n) * 2 * math.pi / n
    return centred_outline(np.column_stack((radius * np.cos(angles), radius * np.sin(angles))), "test")


@pytest.mark.parametrize("wall", [0.0, 3.0])
def test_that_no_published_packing_of_circles_in_a_square_passes_the_bound(wall: float) -> None:
    # Specht, the best known packings of equal circles in a square
    for row in table("circles_in_square.csv"):
        part = disc(10.0)
        side = (2 * 10.0 + wall) / (2 * float(row["radius_unit_square"])) - wall
        assert upper_bound(project((side, side), part, wall=wall), part) >= int(row["n"])


@pytest.mark.parametrize("wall", [0.0, 3.0])
def test_that_no_published_packing_of_circles_in_a_circle_passes_the_bound(wall: float) -> None:
    # Specht, the best known packings of equal circles in a circle; with a wall, of discs half the wall larger
    for row in table("circles_in_circle.csv"):
        part = disc(10.0)
        box = RoundBox(2 * (10.0 + wall / 2) * float(row["ratio_R_over_r"]) - wall)
        assert upper_bound(project(box, part, wall=wall), part) >= int(row["n"])


@pytest.mark.parametrize("wall", [10.0, 40.0])
def test_that_two_discs_a_thick_wall_apart_are_within_the_bound_of_a_round_box(wall: float) -> None:
    # on one diameter, each at the side
    part = disc(1.0)
    assert upper_bound(project(RoundBox(4.0 + wall), part, wall=wall), part) >= 2


def test_that_no_published_packing_of_squares_passes_the_bound() -> None:
    # Friedman, Packing unit squares in squares; truncated values get the next digit
    for row in table("squares_in_square.csv"):
        side = float(row["side_decimal"]) + (1e-3 if "+" in row["side"][-1] else 2e-9)
        part = master(rectangle(10, 10))
        assert upper_bound(project((10 * side, 10 * side), part), part) >= int(row["n"])


def test_that_the_bound_of_rectangles_is_met_or_passed_by_at_most_one_in_the_published_cases() -> None:
    exact = 0
    for row in table("identical_rectangles.csv"):
        x, y, a, b, best = (int(row[k]) for k in ("X", "Y", "a", "b", "optimum"))
        part = master(rectangle(a, b))
        bound = upper_bound(project((x, y), part, turn="90"), part)
        assert best <= bound <= best + 1
        assert bound <= x * y // (a * b)
        exact += bound == best
    assert exact >= 13


@pytest.mark.parametrize("row", table("plane_densities.csv"), ids=lambda r: r["shape"])
def test_that_the_hexagon_round_a_regular_polygon_is_no_larger_than_its_cell_in_the_densest_packing(
    row: dict[str, str],
) -> None:
    if not row["shape"].startswith("regular"):
        pytest.skip("not a polygon")
    n = int(row["shape"].split()[1].split("-")[0])
    part = regular(n)
    cell = Polygon(part.points).area / float(row["density"])
    assert least_hexagon_mm2(part, 0.0) <= cell * (1 + 1e-8)
    if "all packings" in row["status"].lower() or "tiles" in row["status"]:
        # where the packing is the best of all and centrally symmetric the cell is the hexagon, to the grid's step
        slack = 0.01 if n % 2 == 0 else 0.2
        assert least_hexagon_mm2(part, 0.0) >= cell * (1 - slack)


def test_that_the_hexagon_round_a_disc_and_round_a_grown_square_is_right() -> None:
    assert least_hexagon_mm2(Disc(10.0), 2.0) == pytest.approx(2 * math.sqrt(3) * 121)
    grown = least_hexagon_mm2(rectangle(20, 20), 6.0)
    assert 20 * 20 + 4 * 20 * 3 + math.pi * 9 < grown <= 26 * 26


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=5, max_size=9),
    st.lists(st.floats(0.2, 1.6), min_size=6, max_size=6),
    st.floats(0, 6.28),
    st.floats(0, 8),
)
def test_that_no_circumscribed_hexagon_is_smaller_than_the_least_one(
    points: list[tuple[float, float]], gaps: list[float], start: float, wall: float
) -> None:
    hull = shapely.MultiPoint(points).convex_hull
    if hull.geom_type != "Polygon" or hull.area < 1.0:
        return
    xy = np.asarray(hull.exterior.coords)[:-1]
    angles = start + np.cumsum(gaps) / sum(gaps) * 2 * math.pi
    if np.diff(np.append(angles, angles[0] + 2 * math.pi)).max() >= 3.1:
        return
    normals = np.column_stack((np.cos(angles), np.sin(angles)))
    supports = (xy @ normals.T).max(axis=0) + wall / 2
    corners = [np.linalg.solve(normals[[i, (i + 1) % 6]], supports[[i, (i + 1) % 6]]) for i in range(6)]
    around = shapely.MultiPoint(corners).convex_hull.area
    assert least_hexagon_mm2(centred_outline(xy, "test"), wall) <= around * (1 + 1e-9)


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_that_no_random_legal_layout_passes_the_bound(data: st.DataObject) -> None:
    """Parts put in one by one wherever they are legal, in boxes just a few parts wide, tight walls, any turn."""
    rng = np.random.default_rng(data.draw(st.integers(0, 2**32 - 1)))
    wall = float(rng.choice([0.0, 0.5, 3.0]))
    edge = float(rng.choice([0.0, 1.0, 4.0]))
    turn = data.draw(st.sampled_from(["free", "90", "180", "0"]))
    kind = data.draw(st.sampled_from(["disc", "rectangle", "triangle", "angle"]))
    footprints = {
        "disc": Disc(5.0),
        "rectangle": rectangle(10, float(rng.choice([4, 6, 10]))),
        "triangle": centred_outline([(0, 0), (10, 0), (4, 9)], "test"),
        "angle": centred_outline([(0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10)], "test"),
    }
    size = rng.uniform(9, 34, 2) + 2 * edge
    shapes = (
        RectBox(*size),
        RoundBox(float(size[0])),
        OutlineBox(((0, 0), (size[0], 0), (size[0], size[1] / 2), (size[0] / 2, size[1] / 2), (size[0] / 2, size[1]),
                    (0, size[1]))),
    )  # fmt: skip
    part = master(footprints[kind])
    mold = project(shapes[int(rng.integers(3))], part, wall=wall, edge=edge, turn=turn)
    if rng.random() < 0.5:
        area = KeepOut(KeepOutId(""), *rng.uniform(0, 20, 2), *rng.uniform(1, 12, 2), round=bool(rng.random() < 0.5))
        mold = edits.add_keep_outs(mold, [area])
    layout = mold
    angles = {"free": (0, 360), "90": (0, 90, 180, 270), "180": (0, 180), "0": (0,)}[turn]
    snap = rng.random() < 0.5
    for _ in range(40):
        x, y = rng.uniform(0, size)
        if snap:
            x, y = np.round(2 * np.array([x, y])) / 2
        angle = float(rng.uniform(0, 360)) if turn == "free" and not snap else float(rng.choice(angles))
        grown, new = edits.add_cavities(layout, [(part.id, float(x), float(y), angle)])
        if not check(grown, only=new):
            layout = grown
    assert is_legal(layout)
    assert upper_bound(mold, part) >= len(layout.cavities)
    ids = [c.id for c in layout.cavities if rng.random() < 0.5]
    pinned = edits.pin_cavities(layout, ids, True)
    assert upper_bound(pinned, part) >= len(layout.cavities)
    assert upper_bound_mixed(pinned, (part, disc(5.0))) >= len(layout.cavities)


@pytest.mark.parametrize("wall", [0.0, 5.0])
@pytest.mark.parametrize("count", [(1, 1), (2, 1), (3, 2), (7, 5)])
@pytest.mark.parametrize("footprint", [rectangle(10, 10), rectangle(12, 4), Disc(6.0)])
def test_that_a_full_grid_that_fits_exactly_is_within_the_bound(
    footprint: Outline | Disc, count: tuple[int, int], wall: float
) -> None:
    a, b = (12.0, 12.0) if isinstance(footprint, Disc) else np.ptp(np.asarray(footprint.points), axis=0)
    size = count[0] * (a + wall) - wall + 8 - 1e-6, count[1] * (b + wall) - wall + 8 - 1e-6
    part = master(footprint)
    for turn in ("free", "90", "180", "0"):
        mold = project(size, part, wall=wall, edge=4.0, turn=turn)
        bound = upper_bound(mold, part)
        assert count[0] * count[1] <= bound
    if wall == 0.0 and not isinstance(footprint, Disc):
        assert bound == count[0] * count[1]


def test_that_a_part_too_large_for_the_box_has_the_bound_nought() -> None:
    part = master(rectangle(30, 10))
    assert upper_bound(project((29.9, 29.9), part, turn="90"), part) == 0
    assert upper_bound(project((20, 20), part), part) == 0
    # diagonally it goes in
    assert upper_bound(project((29, 29), part), part) >= 1
    assert upper_bound(project((19.9, 40), disc(10.0)), disc(10.0)) == 0


def test_that_one_disc_in_its_own_box_is_proved_to_be_the_most() -> None:
    part = disc(10.0)
    assert upper_bound(project((20, 20), part), part) == 1
    assert upper_bound(project(RoundBox(20), part), part) == 1
    # a triangle of side 2: three discs of 20 with a wall of 5 in a row of length 70
    assert upper_bound(project((70, 20), part, wall=5.0), part) == 3


def test_that_pinned_cavities_of_another_kind_count() -> None:
    small, big = disc(2.0), disc(10.0)
    mold = project((60, 20), small, master(Disc(10.0), "big"))
    mold = edits.pin_cavities(edits.add_cavities(mold, [(small.id, 2.0, 2.0, 0.0)])[0], [CavityId("c1")], True)
    assert upper_bound(mold, master(Disc(10.0), "big")) >= 3
    assert big.footprint != small.footprint
    # in the corner that three discs side by side leave free: (10 - 1.5) sqrt(2) = 12.02 from the middle of the first
    tiny = disc(1.5)
    mold = project((60, 20), tiny, master(Disc(10.0), "big"))
    mold = edits.pin_cavities(edits.add_cavities(mold, [(tiny.id, 1.5, 1.5, 0.0)])[0], [CavityId("c1")], True)
    assert upper_bound(mold, master(Disc(10.0), "big")) == 4


def test_that_what_keep_outs_and_pinned_cavities_cover_lowers_the_bound() -> None:
    # by area, no other bound sees it: (200 - 100) 40 / 10^2, and one pinned of 50 x 50 beside (100^2 - 50^2) / 10^2
    part, block = master(rectangle(10, 10)), master(rectangle(50, 50), "block")
    covered = edits.add_keep_outs(project((200, 40), part), [KeepOut(KeepOutId(""), 150, 20, 100, 40)])
    assert upper_bound(covered, part) == 40
    mold = edits.add_cavities(project((100, 100), part, block), [(block.id, 25.0, 25.0, 0.0)])[0]
    assert upper_bound(edits.pin_cavities(mold, [CavityId("c1")], True), part) == 1 + 75


def test_that_a_keep_out_across_the_box_parts_it_in_two() -> None:
    # centres on two lines 29 long, two on each; five would lie on the whole of 80, and by area
    part = disc(10.0)
    mold = project((100, 20), part)
    assert upper_bound(mold, part) == 5
    assert upper_bound(edits.add_keep_outs(mold, [KeepOut(KeepOutId(""), 50, 10, 2, 20)]), part) == 4


def test_that_a_keep_out_in_the_corner_lowers_the_bound() -> None:
    part = disc(5.0)
    plain = project((200, 40), part)
    covered = edits.add_keep_outs(plain, [KeepOut(KeepOutId(""), 150, 20, 100, 40)])
    assert upper_bound(covered, part) <= 0.6 * upper_bound(plain, part)


def test_that_the_largest_disc_in_a_part_is_not_overstated() -> None:
    assert inradius_mm(rectangle(30, 12)) == pytest.approx(6.0, abs=1e-4)
    assert inradius_mm(rectangle(30, 12)) <= 6.0
    assert inradius_mm(regular(6)) <= 10 * math.cos(math.pi / 6) + 1e-12


@pytest.mark.parametrize(
    ("box", "part", "most"), [((5, 5), (3, 2), 4), ((6, 6), (4, 1), 8), ((10, 10), (4, 1), 24), ((7, 5), (3, 2), 5)]
)
def test_that_rectangles_small_enough_to_think_through_have_the_right_bound(
    box: tuple[int, int], part: tuple[int, int], most: int
) -> None:
    # 6 x 6 and 10 x 10 by 1 x 4: the classic colouring argument leaves four cells bare
    assert rectangle_bound(*box, *part, quarter_turns=True, slack_mm=1e-6) == most


def test_that_sides_in_inches_are_measured_together() -> None:
    assert rectangle_bound(6 * 6.35, 6 * 6.35, 4 * 6.35, 6.35, quarter_turns=True, slack_mm=1e-6) == 8


def test_that_unpinned_cavities_do_not_count() -> None:
    part = disc(10.0)
    mold = project((20, 20), part)
    mold = edits.add_cavities(mold, [(part.id, 10, 10, 0), (part.id, 40, 10, 0)])[0]
    assert isinstance(mold.cavities[0], Cavity)
    assert upper_bound(mold, part) == 1
