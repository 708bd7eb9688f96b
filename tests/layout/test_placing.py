"""All at once is the same as one by one, to the last bit."""

from hypothesis import given
from hypothesis import strategies as st

from layout import edits
from layout.model import Box, Project, RectBox
from layout.regions import placed_bounds, placed_cavities, placed_cavity
from tests.layout.hold.scenes import MASTERS

PLACES = st.lists(
    st.tuples(
        st.sampled_from([m.id for m in MASTERS]),
        st.floats(-500, 500),
        st.floats(-500, 500),
        st.one_of(st.floats(0, 360), st.sampled_from([0.0, 90.0, 180.0, 270.0])),
    ),
    max_size=12,
)


@given(PLACES)
def test_that_placing_all_cavities_gives_what_placing_each_gives(places: list) -> None:  # type: ignore[type-arg]
    project, new = edits.add_cavities(Project("p", Box(RectBox(100.0, 100.0)), MASTERS), places)
    placed = placed_cavities(project)
    assert tuple(placed) == new
    for cavity in project.cavities:
        one = placed_cavity(project, cavity)
        if hasattr(one, "radius_mm"):
            assert placed[cavity.id] == one
        else:
            assert list(placed[cavity.id].exterior.coords) == list(one.exterior.coords)  # type: ignore[union-attr]


@given(PLACES)
def test_that_bounds_without_polygons_are_those_of_the_polygons_to_the_last_bit(places: list) -> None:  # type: ignore[type-arg]
    project, _ = edits.add_cavities(Project("p", Box(RectBox(100.0, 100.0)), MASTERS), places)
    assert placed_bounds(project) == {i: placed.bounds for i, placed in placed_cavities(project).items()}
