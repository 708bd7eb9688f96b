"""Line up, space evenly and mirror, by bounding boxes and by areas shapely measures."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import edits
from layout.arrange import line_up, mirror_layout, nudge_mm, snapped_angle, space_evenly
from layout.errors import BadValueError, UnknownNameError
from layout.geometry import as_polygon
from layout.mirror import mirrored
from layout.model import Box, CavityId, KeepOut, KeepOutId, Project, RectBox
from layout.regions import placed_cavities
from layout.units import Units
from tests.layout.hold.scenes import ELL, HEX, MASTERS, PIN, outline

WEDGE = outline("wedge", [(0, 0), (30, 0), (0, 12)])
PLACES = st.lists(
    st.tuples(st.sampled_from([m.id for m in MASTERS]), st.floats(0, 300), st.floats(0, 300), st.floats(0, 360)),
    min_size=3,
    max_size=8,
)


def _project(places: list[tuple[str, float, float, float]]) -> Project:
    empty = Project("p", Box(RectBox(300.0, 200.0)), (*MASTERS, WEDGE))
    return edits.add_cavities(empty, places)[0]  # type: ignore[arg-type]


def _ids(project: Project) -> list[CavityId]:
    return [c.id for c in project.cavities]


@settings(max_examples=40, deadline=None)
@given(PLACES)
def test_that_lining_up_puts_one_side_of_all_on_one_line_and_moves_nothing_else(
    places: list[tuple[str, float, float, float]],
) -> None:
    project = _project(places)
    before = [p.bounds for p in placed_cavities(project).values()]
    for side, index, extreme in (("left", 0, min), ("bottom", 1, min), ("right", 2, max), ("top", 3, max)):
        after = [p.bounds for p in placed_cavities(line_up(project, _ids(project), side)).values()]  # type: ignore[arg-type]
        line = extreme(b[index] for b in before)
        assert [b[index] for b in after] == pytest.approx([line] * len(after))
        other = 1 - index % 2
        assert [b[other] for b in after] == pytest.approx([b[other] for b in before])


def test_that_middles_come_to_lie_above_each_other() -> None:
    project = line_up(
        _project([(PIN.id, 20, 20, 0), (ELL.id, 90, 80, 0), (HEX.id, 60, 150, 0)]), _ids_of(3), "middle-x"
    )
    assert [c.x_mm for c in project.cavities] == pytest.approx([(14.0 + 105.0) / 2] * 3)


def _ids_of(count: int) -> list[CavityId]:
    return [CavityId(f"c{i + 1}") for i in range(count)]


@settings(max_examples=40, deadline=None)
@given(PLACES, st.sampled_from(["x", "y"]))
def test_that_spacing_evenly_makes_equal_gaps_and_leaves_the_outermost(
    places: list[tuple[str, float, float, float]], axis: str
) -> None:
    project = _project(places)
    after = space_evenly(project, _ids(project), axis)  # type: ignore[arg-type]
    low, high = (0, 2) if axis == "x" else (1, 3)
    was = placed_cavities(project)
    order = sorted(was, key=lambda i: (was[i].bounds[low] + was[i].bounds[high], was[i].bounds[1 - low]))
    now = placed_cavities(after)
    gaps = [now[b].bounds[low] - now[a].bounds[high] for a, b in itertools.pairwise(order)]
    assert gaps == pytest.approx([gaps[0]] * len(gaps), abs=1e-9)
    assert now[order[0]].bounds == was[order[0]].bounds
    assert now[order[-1]].bounds == was[order[-1]].bounds


@pytest.mark.parametrize("axis", ["x", "y"])
def test_that_parts_that_are_their_own_image_stand_exactly_as_the_mirror_shows_them(axis: str) -> None:
    project = _project([(PIN.id, 40, 40, 0), (HEX.id, 90, 60, 11.0), (ELL.id, 150, 100, 45.0)])
    project = edits.add_keep_outs(project, [KeepOut(KeepOutId(""), 30.0, 150.0, 20.0, 10.0)])
    after = mirror_layout(project, axis)  # type: ignore[arg-type]
    if axis == "x":
        shown = [as_polygon(p) for p in placed_cavities(mirrored(project)).values()]
        ours = [as_polygon(p) for p in placed_cavities(after).values()]
        assert [a.symmetric_difference(b).area for a, b in zip(shown[:2], ours[:2], strict=True)] == pytest.approx(
            [0.0, 0.0], abs=1e-6
        )
        assert (after.keep_outs[0].x_mm, after.keep_outs[0].y_mm) == (270.0, 150.0)
    else:
        assert (after.keep_outs[0].x_mm, after.keep_outs[0].y_mm) == (30.0, 50.0)
    back = mirror_layout(after, axis)  # type: ignore[arg-type]
    for a, b in zip(placed_cavities(project).values(), placed_cavities(back).values(), strict=True):
        assert as_polygon(a).symmetric_difference(as_polygon(b)).area == pytest.approx(0.0, abs=1e-6)


def test_that_a_part_without_a_mirror_twin_takes_the_turn_that_covers_most() -> None:
    project = _project([(WEDGE.id, 60.0, 60.0, 0.0)])
    after = mirror_layout(project)
    image = as_polygon(next(iter(placed_cavities(mirrored(project)).values())))
    ours = as_polygon(next(iter(placed_cavities(after).values())))
    other = as_polygon(next(iter(placed_cavities(edits.turn_cavities(after, _ids(after), 180.0)).values())))
    assert image.symmetric_difference(ours).area <= image.symmetric_difference(other).area


def test_that_too_few_or_strangers_are_refused() -> None:
    project = _project([(PIN.id, 40, 40, 0), (PIN.id, 80, 40, 0)])
    with pytest.raises(BadValueError):
        line_up(project, _ids_of(1), "left")
    with pytest.raises(BadValueError):
        space_evenly(project, _ids_of(2), "x")
    with pytest.raises(UnknownNameError):
        line_up(project, [CavityId("c1"), CavityId("c9")], "left")


def test_that_arrow_keys_and_turns_step_as_the_bench_counts() -> None:
    assert nudge_mm(Units("in"), "fine") == 25.4 / 64
    assert [snapped_angle(a) for a in (7.4, 7.6, 359.0, -30.0)] == [0.0, 15.0, 0.0, 330.0]
