import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.box.panels import make_parts
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


def test_that_a_slanted_inner_corner_is_refused_with_a_reason() -> None:
    ring = [(0, 0), (100, 0), (100, 80), (50, 30), (0, 80)]
    with pytest.raises(LayoutError, match="inner corners"):
        make_parts(_project(ring))


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
