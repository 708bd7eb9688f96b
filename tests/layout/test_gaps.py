"""Gaps against distances written down by hand."""

import pytest

from layout import edits
from layout.gaps import gaps
from layout.geometry import segment_length_mm
from layout.model import Box, CavityId, KeepOut, KeepOutId, Project, RectBox, RoundBox, Rules
from tests.layout.hold.scenes import HEX, PIN, outline

BAR = outline("bar", [(0, 0), (40, 0), (40, 10), (0, 10)])
FIRST = CavityId("c1")


def _project(shape: RectBox | RoundBox, *places: tuple[str, float, float]) -> Project:
    masters = {m.name: m for m in (PIN, BAR, HEX)}
    empty = Project("p", Box(shape), tuple(masters.values()), Rules(6.0, 9.0))
    return edits.add_cavities(empty, [(masters[n].id, x, y, 0.0) for n, x, y in places])[0]


def test_that_each_open_gap_is_told_once_with_its_length_thinnest_first() -> None:
    project = _project(RectBox(200.0, 100.0), ("pin", 50.0, 50.0), ("pin", 67.0, 50.0), ("pin", 90.0, 50.0))
    found = gaps(project, [FIRST])
    assert [(g.kind, g.name, g.distance_mm, g.is_thin) for g in found] == [
        ("cavity", "c2", pytest.approx(5.0), True),
        ("side", "left", pytest.approx(44.0), False),
        ("side", "bottom", pytest.approx(44.0), False),
        ("side", "top", pytest.approx(44.0), False),
    ]
    assert found[0].segment == ((56.0, 50.0), (61.0, 50.0))


def test_that_a_gap_behind_a_neighbour_is_not_told() -> None:
    project = _project(RectBox(200.0, 100.0), ("pin", 50.0, 50.0), ("bar", 50.0, 65.0), ("pin", 50.0, 82.0))
    assert {g.name for g in gaps(project, [FIRST])} == {"c2", "left", "right", "bottom"}


def test_that_a_side_too_near_is_told_though_it_is_behind_something_and_out_of_the_box_is_negative() -> None:
    project = _project(RectBox(200.0, 100.0), ("bar", 15.0, 50.0))
    left = next(g for g in gaps(project, [FIRST]) if g.name == "left")
    assert (left.distance_mm, left.is_thin, left.segment) == (-5.0, True, ((-5.0, 50.0), (0.0, 50.0)))


def test_that_gaps_within_the_selection_are_left_out_and_keep_outs_are_in() -> None:
    project = _project(RectBox(200.0, 100.0), ("pin", 50.0, 50.0), ("pin", 70.0, 50.0))
    project = edits.add_keep_outs(project, [KeepOut(KeepOutId(""), 50.0, 75.0, 10.0, 10.0)])
    found = gaps(project, [FIRST, CavityId("c2")])
    assert not [g for g in found if g.kind == "cavity"]
    keep_out = next(g for g in found if g.kind == "keep-out" and g.cavity == FIRST)
    assert (keep_out.distance_mm, keep_out.required_mm) == (14.0, 0.0)


def test_that_an_overlap_is_told_by_how_deep_it_is_and_across_what() -> None:
    project = _project(RectBox(200.0, 100.0), ("bar", 50.0, 50.0), ("bar", 87.0, 50.0), ("pin", 50.0, 50.0))
    found = {g.name: g for g in gaps(project, [FIRST]) if g.kind == "cavity"}
    assert found["c2"].distance_mm == pytest.approx(-3.0, abs=1e-4)
    assert segment_length_mm(found["c2"].segment) == pytest.approx(3.0, abs=1e-4)
    assert found["c3"].distance_mm == pytest.approx(-10.0, abs=1e-4)
    assert found["c2"].is_thin


def test_that_a_round_box_has_one_side() -> None:
    project = _project(RoundBox(100.0), ("pin", 70.0, 50.0))
    assert [(g.kind, g.distance_mm) for g in gaps(project, [FIRST])] == [("side", pytest.approx(24.0))]


def test_that_of_many_chosen_each_tells_its_thinnest_only() -> None:
    places = [("pin", 20.0 + 19.0 * i, 20.0 + 19.0 * j) for i in range(5) for j in range(4)]
    project = _project(RectBox(200.0, 100.0), *places)
    chosen = [c.id for c in project.cavities][:14]
    assert len(gaps(project, chosen)) == 14


def test_that_a_neighbour_as_far_as_the_part_is_long_is_told_beside_a_nearer_one() -> None:
    # a pin of 12 mm, one 3 mm to its left, one 15 mm to its right: within its own diagonal of 17 mm
    project = _project(RectBox(200.0, 100.0), ("pin", 50.0, 50.0), ("pin", 35.0, 50.0), ("pin", 77.0, 50.0))
    told = {g.name: g.distance_mm for g in gaps(project, [FIRST]) if g.kind == "cavity"}
    assert told == {"c2": pytest.approx(3.0), "c3": pytest.approx(15.0)}
