"""The least wall of a layout against every pair measured one by one."""

import math
from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import edits
from layout.checks import clearances, least_wall_mm
from layout.geometry import PlacedDisc, depth_mm, distance_mm
from layout.model import Box, Project, RectBox
from layout.regions import placed_cavities
from tests.layout.hold.scenes import MASTERS

PLACES = st.lists(
    st.tuples(
        st.sampled_from([m.id for m in MASTERS]),
        st.floats(0, 600),
        st.floats(0, 600),
        st.sampled_from([0.0, 33.0, 90.0]),
    ),
    min_size=2,
    max_size=9,
)


@settings(deadline=None, max_examples=60)
@given(PLACES)
def test_that_it_is_the_least_of_all_pairs(places: list) -> None:  # type: ignore[type-arg]
    project, _ = edits.add_cavities(Project("p", Box(RectBox(600.0, 600.0)), MASTERS), places)
    placed = list(placed_cavities(project).values())
    distances = [distance_mm(a, b) for a, b in combinations(placed, 2)]
    least = clearances(project).least_wall_mm
    if min(distances) > 0.0:
        assert least == pytest.approx(min(distances), abs=1e-9)
    else:
        deepest = max(depth_mm(a, b)[0] for a, b in combinations(placed, 2) if distance_mm(a, b) <= 0.0)
        assert least == pytest.approx(-deepest if deepest > 1e-6 else 0.0, abs=1e-9)


def test_that_far_apart_near_and_alone_are_measured() -> None:
    assert least_wall_mm([PlacedDisc(0.0, 0.0, 5.0)]) is None
    assert least_wall_mm([PlacedDisc(0.0, 0.0, 5.0), PlacedDisc(9000.0, 0.0, 5.0)]) == 8990.0
    discs = [PlacedDisc(0.0, 0.0, 5.0), PlacedDisc(16.0, 0.0, 5.0), PlacedDisc(0.0, 15.995, 5.0)]
    assert least_wall_mm(discs) == pytest.approx(5.995, abs=1e-12)


def test_that_two_discs_whose_polygons_are_nearer_hide_no_thinner_wall() -> None:
    # discs of 10 mm stand out of their circle by 0.0095 mm towards 2.5 degrees: their polygons are 4.981 mm apart,
    # they themselves 5.000; two others, straight beside each other, are 4.99 apart
    x, y = 25.0 * math.cos(math.radians(2.5)), 25.0 * math.sin(math.radians(2.5))
    slanted = [PlacedDisc(0.0, 0.0, 10.0), PlacedDisc(x, y, 10.0)]
    assert shapely.distance(slanted[0].polygon, slanted[1].polygon) < 4.985
    assert least_wall_mm(slanted) == pytest.approx(5.0, abs=1e-9)
    straight = [PlacedDisc(0.0, 200.0, 10.0), PlacedDisc(24.99, 200.0, 10.0)]
    assert least_wall_mm([*slanted, *straight]) == pytest.approx(4.99, abs=1e-9)
