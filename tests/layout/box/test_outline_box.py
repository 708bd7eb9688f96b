import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate

from layout.box.panels import make_parts
from layout.box.shapes import points_of
from layout.errors import LayoutError
from layout.model import Box, OutlineBox, Project, Rules
from layout.volumes import side_height_mm
from tests.layout.box.test_closing import Space, _corners


def _project(points, height=30.0, **box):
    rules = Rules(floor_mm=height * 0.75, freeboard_mm=height * 0.25)
    return Project("outline", Box(OutlineBox(tuple(points)), **box), (), rules)


def _assert_closes(project: Project) -> None:
    parts = make_parts(project)
    t, height = project.box.thickness_mm, side_height_mm(project)
    inside = shapely.Polygon(project.box.shape.points)  # type: ignore[union-attr]
    _, _, x1, y1 = inside.bounds
    space = Space(parts.solids, (x1, y1, height))
    x, y, z = np.meshgrid(*space.middles, indexing="ij")
    in_plan = shapely.contains_xy(inside, x.ravel(), y.ravel()).reshape(x.shape)
    inner = in_plan & (z > 0) & (z < height)
    assert space.count.max() == 1, "two panels fill the same place"
    assert not (space.count[inner] > 0).any(), "a panel stands in the inside"
    # the band a thickness wide round the inside, with its corners: full of side from the base up
    around = inside.buffer(t, join_style="mitre", mitre_limit=10.0)
    band = shapely.contains_xy(around, x.ravel(), y.ravel()).reshape(x.shape) & ~in_plan & (z > 0) & (z < height)
    assert (space.count[band] == 1).all(), "a gap in the sides"
    below = shapely.contains_xy(around, x.ravel(), y.ravel()).reshape(x.shape) & (z < 0) & (z > -t)
    assert (space.count[below] == 1).all(), "a gap in the base"
    assert not (space.count[~(inner | band | below)] > 0).any(), "a panel sticks out"
    corners = np.vstack([_corners(s) for s in parts.solids])
    assert np.ptp(corners, axis=0) == pytest.approx(parts.outside_mm, abs=1e-9)


side = st.floats(30.0, 200.0)


@settings(max_examples=25, deadline=None)
@given(side, side, side, side, st.floats(1.0, 9.0), st.sampled_from(["under", "inside"]))
def test_that_an_l_shaped_box_closes_exactly(a: float, b: float, c: float, d: float, t: float, base: str) -> None:
    _assert_closes(
        _project([(0, 0), (a + b, 0), (a + b, c), (a, c), (a, c + d), (0, c + d)], thickness_mm=t, base=base)
    )


@settings(max_examples=25, deadline=None)
@given(side, side, side, st.floats(25.0, 100.0), st.floats(1.0, 9.0))
def test_that_a_u_shaped_box_closes_exactly(a: float, b: float, c: float, d: float, t: float) -> None:
    w = a + b + c
    ring = [(0, 0), (w, 0), (w, d + 40), (a + b, d + 40), (a + b, 40), (a, 40), (a, d + 40), (0, d + 40)]
    _assert_closes(_project(ring, thickness_mm=t))


def test_that_a_slot_narrower_than_two_sheets_is_refused() -> None:
    ring = [(0, 0), (100, 0), (100, 60), (56, 60), (56, 20), (50, 20), (50, 60), (0, 60)]
    with pytest.raises(LayoutError, match="no room"):
        make_parts(_project(ring, thickness_mm=4.0))


def test_that_a_hexagonal_box_gets_a_strip_as_long_as_its_inside() -> None:
    r = 60.0
    ring = [(r + r * math.cos(math.radians(a)), r + r * math.sin(math.radians(a))) for a in range(0, 360, 60)]
    low = min(y for _, y in ring)
    parts = make_parts(_project([(x, y - low) for x, y in ring], thickness_mm=5.0))
    base, strip = parts.panels
    # closed form: a hexagon's side is its radius; the base reaches t / cos(30 deg) past each corner
    assert strip.length_mm == pytest.approx(6 * r)
    assert base.length_mm == pytest.approx(2 * (r + 5.0 / math.cos(math.radians(30.0))))
    assert len(strip.half) == 5
    for k, flat in enumerate(strip.folded):
        follower = strip.folded[(k + 1) % 6]
        end = flat.pose.at(0.0, 0.0, 0.0)
        start = follower.pose.at(r, 0.0, 0.0)
        assert math.dist(end, start) == pytest.approx(0.0, abs=1e-9)


GRID_MM = 1e-6


def _plans(solids) -> list[shapely.Polygon]:
    return [shapely.Polygon(solid.plan()) for solid in solids]


def _assert_upright_pieces_meet(project: Project, *, open_outside: bool) -> None:
    """Seen from above: no overlap, nothing inside, the inside enclosed without a break, no gap but as stated."""
    parts = make_parts(project)
    t, height = project.box.thickness_mm, side_height_mm(project)
    inside = shapely.Polygon(project.box.shape.points)  # type: ignore[union-attr]
    upright = [s for s in parts.solids if s.pose.up == (0.0, 0.0, 1.0)]
    plans = _plans(upright)
    assert all(plan.is_valid for plan in plans)
    # on a fine grid: the engine is not sure of itself where sides only just touch
    union = shapely.union_all(plans, grid_size=GRID_MM)
    assert union.area == pytest.approx(sum(plan.area for plan in plans), abs=1e-3), "two pieces fill the same place"
    for plan in plans:
        assert shapely.intersection(inside, plan, grid_size=GRID_MM).area == pytest.approx(0.0, abs=1e-3), (
            "a piece stands in the inside"
        )
    for x, y in shapely.get_coordinates(inside.exterior.segmentize(1.0)):
        assert union.distance(shapely.Point(x, y)) <= 1e-5, "a break in the inner face"
    grown = inside.buffer(t, join_style="mitre", mitre_limit=10.0)
    for plan in plans:
        assert shapely.difference(plan, grown, grid_size=GRID_MM).area == pytest.approx(0.0, abs=1e-3), "one sticks out"
    full = shapely.difference(grown, inside, grid_size=GRID_MM)
    gaps = shapely.difference(full, union, grid_size=GRID_MM)
    if open_outside:
        # only the outer grooves at outer corners are open, as wide as stated at most from the inner corner
        corners = shapely.MultiPoint(project.box.shape.points)  # type: ignore[union-attr]
        for gap in shapely.get_parts(gaps):
            assert gap.area < 1e-3 or gap.distance(corners) < 1e-5
        assert parts.widest_gap_mm == t
    else:
        assert gaps.area == pytest.approx(0.0, abs=1e-3), "a gap between two sides"
        assert parts.widest_gap_mm == 0.0
    base = next(p for p in parts.panels if p.name == "base")
    drop = t if project.box.base == "inside" else 0.0
    assert all(s.pose.origin[2] == pytest.approx(-drop) for s in upright)
    for solid in upright:
        ys = [v[1] for v in solid.outline.vertices]
        assert max(ys) - min(ys) == pytest.approx(height + drop)
    x, y, _ = base.poses[0].origin
    placed = translate(shapely.Polygon(points_of(base.outer)), x, y)
    if project.box.base == "under":
        assert shapely.difference(union, placed, grid_size=GRID_MM).area == pytest.approx(0.0, abs=1e-3)
    else:
        assert shapely.symmetric_difference(placed, inside, grid_size=GRID_MM).area == pytest.approx(0.0, abs=1e-3)
    everything = shapely.MultiPolygon([*plans, placed]).bounds
    assert parts.outside_mm[:2] == pytest.approx((everything[2] - everything[0], everything[3] - everything[1]))


def _star(radii: list[float]) -> list[tuple[float, float]]:
    """A ring about a middle point, its corners as far out as told: outer and inner corners at any slant."""
    n = len(radii)
    points = [(r * math.cos(2 * math.pi * k / n), r * math.sin(2 * math.pi * k / n)) for k, r in enumerate(radii)]
    low_x, low_y = min(x for x, _ in points), min(y for _, y in points)
    return [(x - low_x, y - low_y) for x, y in points]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(70.0, 150.0), min_size=4, max_size=9),
    st.floats(1.0, 8.0),
    st.sampled_from(["under", "inside"]),
    st.sampled_from(["acrylic", "foam board"]),
)
def test_that_slanted_corners_close_bevelled_or_as_a_strip(radii, t: float, base: str, sheet: str) -> None:
    project = _project(_star(radii), thickness_mm=t, base=base, sheet=sheet)
    try:
        parts = make_parts(project)
    except LayoutError as error:
        if "room" not in str(error) and "sharp" not in str(error):
            raise
        return
    assert (parts.panels[1].name == "strip") is (sheet == "foam board")
    _assert_upright_pieces_meet(project, open_outside=sheet == "foam board")


ARROW = [(0, 0), (100, 0), (100, 80), (50, 30), (0, 80)]


def test_that_a_slanted_inner_corner_gets_a_wedge_in_foam_board_and_bevels_in_acrylic() -> None:
    strip = make_parts(_project(ARROW, thickness_mm=4.0))
    assert strip.panels[1].length_mm == pytest.approx(100 + 2 * 80 + 2 * math.hypot(50, 50))
    # at the inner corner the outline turns by 90 degrees: both flats lose t tan 45 on the outer face
    (words,) = (step for step in strip.steps if "wedge" in step)
    assert "8.00 mm wide" in words
    _assert_upright_pieces_meet(_project(ARROW, thickness_mm=4.0), open_outside=True)
    acrylic = make_parts(_project(ARROW, thickness_mm=4.0, sheet="acrylic"))
    side = next(p for p in acrylic.panels if p.name == "side 3")
    # from (100, 80), where it turns by 135 degrees, to the inner corner: long outside by t tan 67.5 at one end only
    assert side.length_mm == pytest.approx(math.hypot(50, 50) + 4.0 * math.tan(math.radians(67.5)))
    assert "67.5 degrees off square, the outer face the longer" in side.remark
    assert "45.0 degrees off square, the inner face the longer" in side.remark


def test_that_a_bevelled_side_cut_square_is_found() -> None:
    # the proof itself must be able to fail
    project = _project(ARROW, thickness_mm=4.0, sheet="acrylic")
    square = [replace(s, bevel_mm=(0.0, 0.0)) for s in make_parts(project).solids if s.pose.up == (0.0, 0.0, 1.0)]
    plans = _plans(square)
    assert shapely.union_all(plans, grid_size=GRID_MM).area < sum(plan.area for plan in plans) - 1.0


def test_that_an_outside_is_never_less_than_the_base() -> None:
    r = 100.0
    ring = [(r + r * math.cos(math.radians(a)), r + r * math.sin(math.radians(a))) for a in range(0, 360, 60)]
    low = min(y for _, y in ring)
    parts = make_parts(_project([(x, y - low) for x, y in ring], thickness_mm=4.7625))
    assert parts.outside_mm[0] == pytest.approx(parts.panels[0].length_mm)


def test_that_a_curve_in_a_stiff_sheet_is_refused_with_what_can_be_had() -> None:
    rounded = shapely.box(0, 0, 100, 60).buffer(-20).buffer(20, quad_segs=64)
    ring = [(float(x), float(y)) for x, y in shapely.geometry.polygon.orient(rounded).exterior.coords[:-1]]
    with pytest.raises(LayoutError, match=r"does not bend.*use foam board"):
        make_parts(_project(ring, sheet="acrylic"))


def test_that_round_ends_are_cut_at_few_lines() -> None:
    slot = shapely.LineString([(30, 30), (120, 30)]).buffer(30, quad_segs=64)
    ring = [(float(x), float(y)) for x, y in shapely.geometry.polygon.orient(slot).exterior.coords[:-1]]
    project = _project(ring)
    strip = make_parts(project).panels[1]
    at = sorted(cut.vertices[0][0] for cut in strip.half)
    assert len(at) <= 44
    assert min(b - a for a, b in pairwise(at)) > 3.0
    inside = shapely.Polygon(ring)
    for solid in strip.folded:
        a, b = solid.plan()[:2]
        assert inside.exterior.distance(shapely.Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) <= 0.11


def test_that_a_rounded_outline_is_cut_at_few_lines() -> None:
    rounded = shapely.box(0, 0, 100, 60).buffer(-20).buffer(20, quad_segs=64)
    x0, y0, _, _ = rounded.bounds
    ring = [(x - x0, y - y0) for x, y in rounded.exterior.coords[:-1]]
    ring = ring if shapely.LinearRing(ring).is_ccw else ring[::-1]
    _, strip = make_parts(_project(ring)).panels
    assert len(strip.half) < 60
    assert strip.length_mm == pytest.approx(2 * (60 + 20) + 2 * math.pi * 20, rel=2e-3)


def test_that_long_sides_of_an_outline_are_braced_too() -> None:
    from layout.box.bulge import side_bulges

    project = _project([(0, 0), (300, 0), (300, 100), (100, 100), (100, 200), (0, 200)], height=80.0)
    sides = {side.name: side for side in side_bulges(project)}
    assert sides["side 1"].length_mm == 300.0
    assert sides["side 1"].braces_mm
    assert not sides["side 2"].braces_mm
    panel = next(p for p in make_parts(project).panels if p.name == "side 1")
    plain = next(p for p in make_parts(project).panels if p.name == "side 2")
    assert len(panel.marks) > len(plain.marks)


def test_that_a_point_on_a_straight_side_makes_no_extra_side() -> None:
    from layout.box.bulge import side_bulges

    ring = [(0, 0), (100, 0), (200, 0), (200, 100), (100, 100), (100, 200), (0, 200)]
    project = _project(ring)
    names = [p.name for p in make_parts(project).panels]
    assert names == ["base", *(f"side {i}" for i in range(1, 7))]
    lengths = {side.name: side.length_mm for side in side_bulges(project)}
    assert lengths["side 1"] == 200.0
    _assert_closes(project)
