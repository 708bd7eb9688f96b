"""The mirror image keeps every wall and exchanges left and right: trade rule, the block is flipped for use."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout import edits
from layout.checks import check, clearances
from layout.geometry import Disc, centred_outline
from layout.mirror import mirrored
from layout.model import Box, KeepOut, KeepOutId, Master, MasterId, OutlineBox, Project, RectBox, RoundBox
from layout.regions import placed_cavities

ELL = Master(
    MasterId("ell"),
    "ell",
    "ell.dxf",
    centred_outline([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)], "ell"),
    8.0,
    4.0,
    500.0,
)
PIN = Master(MasterId("pin"), "pin", "disc:18x5", Disc(9.0), 5.0, 1.27, 254.5)
SHAPES = (
    RectBox(200.0, 150.0),
    RoundBox(180.0),
    OutlineBox(((0.0, 0.0), (200.0, 0.0), (200.0, 80.0), (90.0, 150.0), (0.0, 150.0))),
)
PLACES = st.lists(
    st.tuples(st.sampled_from([ELL.id, PIN.id]), st.floats(0, 200), st.floats(0, 150), st.floats(0, 360)), max_size=8
)


@given(st.sampled_from(SHAPES), PLACES)
def test_that_the_mirror_image_measures_the_same_and_twice_is_the_original(shape: RectBox, places: list) -> None:  # type: ignore[type-arg]
    project, _ = edits.add_cavities(Project("t", Box(shape), (ELL, PIN)), places)
    project = edits.add_keep_outs(project, [KeepOut(KeepOutId(""), 40.0, 30.0, 20.0, 10.0)])
    image = mirrored(project)
    assert [(f.kind, f.cavities) for f in check(image)] == [(f.kind, f.cavities) for f in check(project)]
    ours, theirs = clearances(project), clearances(image)
    assert theirs.least_wall_mm == (None if ours.least_wall_mm is None else pytest.approx(ours.least_wall_mm, abs=1e-6))
    assert theirs.least_edge_mm == (None if ours.least_edge_mm is None else pytest.approx(ours.least_edge_mm, abs=1e-9))
    for before, after in zip(placed_cavities(project).values(), placed_cavities(mirrored(image)).values(), strict=True):
        assert after.bounds == pytest.approx(before.bounds, abs=1e-9)


def test_that_what_lies_left_as_glued_lies_right_in_the_open_mold() -> None:
    project, _ = edits.add_cavities(Project("t", Box(RectBox(200.0, 150.0)), (ELL,)), [(ELL.id, 30.0, 30.0, 0.0)])
    x0, y0, x1, y1 = next(iter(placed_cavities(mirrored(project)).values())).bounds
    assert (x0, y0, x1, y1) == pytest.approx((155.0, 15.0, 185.0, 45.0))
    # the long back of the L stood on the left; seen from the open face it stands on the right
    shown = next(iter(placed_cavities(mirrored(project)).values()))
    assert shown.bounds[2] == pytest.approx(max(x for x, y in shown.exterior.coords if y > 40.0))  # type: ignore[union-attr]
    assert min(x for x, y in shown.exterior.coords if y > 40.0) == pytest.approx(175.0)  # type: ignore[union-attr]
