"""Plane geometry: polygons on the safe side of circles, exact distances and depths, clean rings."""

import math

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import assume, given
from hypothesis import strategies as st

from layout.errors import BadOutlineError
from layout.geometry import (
    Outline,
    PlacedDisc,
    circle_around,
    circle_inside,
    clean_ring,
    depth_mm,
    distance_mm,
    nearest_segment,
    place,
    segment_length_mm,
    turned,
)
from layout.tolerances import ARC_CHORD_TOL_MM, CLEARANCE_TOL_MM

radii = st.floats(0.005, 5000.0)
coordinates = st.floats(-50.0, 50.0)
discs = st.builds(PlacedDisc, coordinates, coordinates, st.floats(0.5, 20.0))


@st.composite
def polygons(draw: st.DrawFn) -> shapely.Polygon:
    """A star-shaped polygon, concave as a rule."""
    seed, corners = draw(st.integers(0, 2**32 - 1)), draw(st.integers(3, 12))
    rng = np.random.default_rng(seed)
    angles = (np.arange(corners) + rng.uniform(0, 0.9, corners)) * 2 * math.pi / corners
    reach = rng.uniform(2, 20, corners)
    xy = np.column_stack((reach * np.cos(angles), reach * np.sin(angles)))
    return shapely.Polygon(xy + rng.uniform(-40, 40, 2))


placed = discs | polygons()


@given(radii)
def test_that_polygons_lie_outside_and_inside_of_their_circle_within_the_tolerance(radius: float) -> None:
    outer, inner = circle_around(radius), circle_inside(radius)
    middles = (outer + np.roll(outer, 1, axis=0)) / 2
    assert np.hypot(*middles.T).min() >= radius
    assert np.hypot(*outer.T).max() <= radius + ARC_CHORD_TOL_MM + 1e-12 * radius
    assert np.hypot(*inner.T).max() <= radius
    middles = (inner + np.roll(inner, 1, axis=0)) / 2
    assert np.hypot(*middles.T).min() >= radius - ARC_CHORD_TOL_MM - 1e-12 * radius


@given(st.floats(-1e4, 1e4))
def test_that_turning_keeps_lengths_and_quarter_turns_are_exact(angle: float) -> None:
    points = np.array([(3.0, 4.0), (-7.0, 0.5)])
    assert np.hypot(*turned(points, angle).T) == pytest.approx(np.hypot(*points.T), rel=1e-14)
    assert turned([(3.0, 4.0)], 90.0).tolist() == [[-4.0, 3.0]]
    assert turned([(3.0, 4.0)], -270.0).tolist() == [[-4.0, 3.0]]
    assert turned([(3.0, 4.0)], 540.0).tolist() == [[-3.0, -4.0]]


@given(placed, placed)
def test_that_distance_is_the_same_both_ways_and_the_segment_shows_it(
    a: PlacedDisc | shapely.Polygon, b: PlacedDisc | shapely.Polygon
) -> None:
    d = distance_mm(a, b)
    assert distance_mm(b, a) == pytest.approx(d, abs=1e-12)
    assume(d > 1e-3)
    segment = nearest_segment(a, b)
    assert segment_length_mm(segment) == pytest.approx(d, abs=1e-9)
    for end, shape in zip(segment, (a, b), strict=True):
        assert abs(distance_mm(PlacedDisc(*end, 0.0), shape)) < 1e-9


@given(discs, discs)
def test_that_two_discs_are_as_far_apart_as_fine_polygons_of_them(a: PlacedDisc, b: PlacedDisc) -> None:
    fine = [shapely.Point(d.x_mm, d.y_mm).buffer(d.radius_mm, quad_segs=512) for d in (a, b)]
    d = distance_mm(a, b)
    if d > 0:
        assert d == pytest.approx(fine[0].distance(fine[1]), abs=2e-4)
    elif d < -1e-3:
        assert fine[0].intersects(fine[1])
        depth, across = depth_mm(a, b)
        assert depth == pytest.approx(min(-d, 2 * min(a.radius_mm, b.radius_mm)), abs=1e-9)
        assert segment_length_mm(across) == pytest.approx(depth, abs=1e-9)


@given(polygons(), polygons())
def test_that_an_overlap_is_as_deep_as_the_widest_disc_in_it(a: shapely.Polygon, b: shapely.Polygon) -> None:
    common = a.intersection(b)
    assume(common.area > 1e-3)
    depth, across = depth_mm(a, b)
    # a disc of that width fits in the overlap; one of 1 % more fits nowhere
    assert not common.buffer(-0.98 * depth / 2).is_empty
    assert common.buffer(-1.01 * depth / 2).is_empty
    assert segment_length_mm(across) == pytest.approx(depth, rel=1e-6)


def test_that_touching_is_no_overlap() -> None:
    a, b = shapely.box(0, 0, 10, 10), shapely.box(10, 0, 20, 10)
    assert distance_mm(a, b) == 0.0
    assert depth_mm(a, b)[0] <= CLEARANCE_TOL_MM
    assert depth_mm(PlacedDisc(0, 0, 5), PlacedDisc(10, 0, 5))[0] == 0.0


def test_that_a_disc_a_hair_over_a_border_is_no_deeper_than_it_reaches() -> None:
    # the polygon round a disc stands up to 0.01 mm outside of it, towards its corners: that depth is not the disc's
    square = shapely.box(10.0, -20.0, 50.0, 20.0)
    for turned_deg in (0.0, 2.5):
        line = shapely.affinity.rotate(square, turned_deg, origin=(0.0, 0.0))
        across = 9.998 / 10.0
        disc = PlacedDisc(0.0, 0.0, 10.0)
        near = shapely.affinity.scale(line, across, across, origin=(0.0, 0.0))
        assert depth_mm(disc, near)[0] == pytest.approx(0.002, abs=1e-5)


def test_that_a_disc_in_a_polygon_is_deeper_than_its_radius() -> None:
    assert distance_mm(PlacedDisc(5, 5, 2), shapely.box(0, 0, 10, 10)) == -7.0


def test_that_a_placed_outline_turns_about_its_own_origin() -> None:
    shape = place(Outline(((-2.0, -1.0), (2.0, -1.0), (2.0, 1.0), (-2.0, 1.0))), 10.0, 20.0, 90.0)
    assert isinstance(shape, shapely.Polygon)
    assert shape.bounds == (9.0, 18.0, 11.0, 22.0)


def test_that_a_ring_is_cleaned_to_one_run_counter_clockwise() -> None:
    ring = clean_ring([(0, 0), (0, 10), (0, 10 + 1e-8), (10, 10), (10, 0), (0, 0)], "x")
    assert shapely.LinearRing(ring).is_ccw
    assert len(ring) == 4


@pytest.mark.parametrize(
    "points",
    [
        [], [(0, 0)], [(0, 0), (1, 1)], [(0, 0), (1, 1), (2, 2)], [(0, 0), (9, 9), (9, 0), (0, 9)],
        [(0, 0), (math.nan, 1), (2, 0)], [(0, 0), (math.inf, 1), (2, 0)],
    ],
)  # fmt: skip
def test_that_a_ring_without_inside_is_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(BadOutlineError):
        clean_ring(points, "part.dxf")
