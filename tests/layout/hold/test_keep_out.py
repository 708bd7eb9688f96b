"""Keep-outs dragged by hand: judged by `checks.check` and the side's distance, neither of which the hold uses."""

import random
from dataclasses import replace

import pytest

from layout import edits
from layout.checks import check
from layout.errors import UnknownNameError
from layout.geometry import as_polygon
from layout.hold import KeepOutHold
from layout.model import Box, KeepOut, KeepOutId, Project, RectBox, Rules
from layout.regions import edge_distance_mm, inner_polygon, placed_keep_out
from layout.tolerances import CLEARANCE_TOL_MM
from tests.layout.hold.scenes import HEX, packed, scene


def with_area(rng: random.Random, project: Project) -> Project | None:
    """The layout with one keep-out where it is legal and in the box; None if no such place is found."""
    project = replace(project, keep_outs=())
    inside = inner_polygon(project.box.shape)
    for _ in range(200):
        area = KeepOut(
            KeepOutId(""), rng.uniform(0, 200), rng.uniform(0, 160), rng.uniform(3, 30), rng.uniform(3, 30),
            rng.random() < 0.5,
        )  # fmt: skip
        grown = edits.add_keep_outs(project, [area])
        if inside.contains(as_polygon(placed_keep_out(area))) and not check(grown):
            return grown
    return None


@pytest.mark.parametrize("make", [scene, packed])
def test_that_random_drags_of_keep_outs_never_enter_a_cavity_nor_leave_the_box(make: object) -> None:
    drags = held = 0
    for seed in range(60):
        rng = random.Random(seed)
        project = with_area(rng, make(rng))  # type: ignore[operator]
        if project is None:
            continue
        hold = KeepOutHold.begin(project, project.keep_outs[0].id)
        x = y = 0.0
        for _ in range(12):
            step = rng.choice([1.0, 10.0, 80.0])
            x, y = x + rng.uniform(-step, step), y + rng.uniform(-step, step)
            moved = hold.move_to(x, y)
            after = hold.project()
            drags, held = drags + 1, held + moved.held
            assert not check(after), (seed, x, y)
            assert edge_distance_mm(project.box.shape, placed_keep_out(after.keep_outs[0])) >= -1e-6, (seed, x, y)
            assert moved.held or (moved.dx_mm, moved.dy_mm) == (x, y)
    assert drags > 300
    assert held > 60


def test_that_a_keep_out_slides_along_a_cavity_and_passes_through_with_the_key_down() -> None:
    project = Project("one", Box(RectBox(120.0, 60.0)), (HEX,), Rules(5.0, 5.0))
    project = edits.add_cavities(project, [(HEX.id, 80.0, 30.0, 0.0)])[0]
    project = edits.add_keep_outs(project, [KeepOut(KeepOutId(""), 20.0, 30.0, 20.0, 20.0)])
    area, cavity = project.keep_outs[0], project.cavities[0]
    hold = KeepOutHold.begin(project, area.id)
    there = hold.pass_to(cavity.x_mm - area.x_mm, cavity.y_mm - area.y_mm)
    assert not there.held
    assert {f.kind for f in check(hold.project())} >= {"in_keep_out"}
    back = hold.move_to(0.0, 0.0)
    assert not [f for f in check(hold.project()) if (f.measured or 0.0) < -CLEARANCE_TOL_MM]
    assert (back.dx_mm, back.dy_mm) == (0.0, 0.0)
    # up against the hexagon's left flat and along it
    slid = hold.move_to(60.0, 8.0)
    assert slid.held
    assert slid.dy_mm == pytest.approx(8.0, abs=1e-6)


def test_that_a_keep_out_that_is_not_there_is_told() -> None:
    with pytest.raises(UnknownNameError):
        KeepOutHold.begin(scene(random.Random(0)), KeepOutId("gone"))
