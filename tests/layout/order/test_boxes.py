"""A real, legal box for every count of cavities."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import edits
from layout.checks import clearances, is_legal
from layout.errors import BadValueError
from layout.geometry import Disc, centred_outline
from layout.masters import read_master
from layout.model import Box, KeepOut, KeepOutId, Master, MasterId, OutlineBox, Project, RectBox, RoundBox
from layout.order.boxes import cut_down, first_of, largest_size_mm, layout_notes, quick_boxes
from layout.order.round_boxes import round_about, round_areas_mm2
from layout.regions import inner_size_mm
from tests.layout.order.bolt_heads import EDGE_MM, bolt_head, bolt_heads

_L = centred_outline([(0, 0), (40, 0), (40, 12), (12, 12), (12, 30), (0, 30)], "L")


def _project(master: Master, length: float, width: float) -> Project:
    return Project("one kind", Box(RectBox(length, width)), (master,))


@pytest.mark.parametrize("footprint", [bolt_head().footprint, Disc(10.0), _L])
def test_that_every_count_up_to_the_most_has_a_legal_box_within_the_largest(footprint) -> None:
    master = replace(bolt_head(), footprint=footprint)
    boxes = quick_boxes(_project(master, 130.0, 110.0), steps=6)
    assert list(boxes) == list(range(1, len(boxes) + 1))
    for count, boxed in boxes.items():
        assert boxed.count == count == len(boxed.project.cavities)
        assert is_legal(boxed.project)
        length, width = inner_size_mm(boxed.project.box.shape)
        assert length <= 130.0 + 1e-3
        assert width <= 110.0 + 1e-3
        assert boxed.area_mm2 == pytest.approx(length * width)
    areas = [b.area_mm2 for b in boxes.values()]
    assert areas == sorted(areas)


def test_that_the_largest_box_holds_what_the_fill_puts_into_it() -> None:
    # 53 by hand: seven rows of 8 and 7 in turn, 22.0 mm apart; straight rows hold 48
    assert max(quick_boxes(bolt_heads(), steps=3)) == 53


def test_that_a_box_cut_down_stands_exactly_at_the_edge() -> None:
    roomy = replace(bolt_heads(3, 2), box=Box(RectBox(150.0, 120.0)))
    small = cut_down(roomy)
    assert is_legal(small)
    edge = clearances(small).least_edge_mm
    assert edge is not None
    assert edge == pytest.approx(EDGE_MM, abs=1e-6)
    length, width = inner_size_mm(small.box.shape)
    tight = inner_size_mm(bolt_heads(3, 2).box.shape)
    assert (length, width) == pytest.approx(tight, abs=1e-5)


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 12))
def test_that_the_first_of_a_layout_are_its_first_and_stand_as_they_stood(count: int) -> None:
    whole = bolt_heads(4, 3)
    part = first_of(whole, count)
    assert [c.id for c in part.project.cavities] == [c.id for c in whole.cavities[:count]]
    first, kept = whole.cavities[0], part.project.cavities[0]
    for a, b in zip(whole.cavities, part.project.cavities, strict=False):
        assert a.x_mm - first.x_mm == pytest.approx(b.x_mm - kept.x_mm)
        assert a.y_mm - first.y_mm == pytest.approx(b.y_mm - kept.y_mm)
    assert is_legal(part.project)


def test_that_the_order_may_allow_a_larger_box_than_the_projects_own() -> None:
    project = bolt_heads(2, 2)
    larger = replace(project, order=replace(project.order, max_length_mm=200.0))
    assert largest_size_mm(larger)[0] == 200.0
    assert max(quick_boxes(larger, steps=3)) > max(quick_boxes(project, steps=3))


def test_that_a_box_too_small_for_one_cavity_is_refused_by_name() -> None:
    with pytest.raises(BadValueError, match="--max"):
        quick_boxes(_project(replace(bolt_head(), id=MasterId("m")), 30.0, 30.0))


def test_that_a_comparison_can_be_stopped_and_keeps_what_it_has() -> None:
    asked = iter([False, True] + [True] * 100)
    boxes = quick_boxes(bolt_heads(3, 2), should_stop=lambda: next(asked))
    assert max(boxes) == 6


@pytest.mark.parametrize("footprint", [bolt_head().footprint, Disc(10.0), _L])
def test_that_a_round_box_is_compared_in_round_boxes_all_legal_within_the_largest(footprint) -> None:
    master = replace(bolt_head(), footprint=footprint)
    boxes = quick_boxes(Project("round", Box(RoundBox(130.0)), (master,)), steps=5)
    assert list(boxes) == list(range(1, len(boxes) + 1))
    for count, boxed in boxes.items():
        shape = boxed.project.box.shape
        assert isinstance(shape, RoundBox)
        assert boxed.count == count == len(boxed.project.cavities)
        assert is_legal(boxed.project)
        assert shape.diameter_mm <= 130.0 + 1e-3
        assert boxed.area_mm2 == pytest.approx(math.pi * shape.diameter_mm**2 / 4)
    areas = [b.area_mm2 for b in boxes.values()]
    assert areas == sorted(areas)


def test_that_few_discs_in_a_round_box_come_near_the_densest_known() -> None:
    # least circle round n unit discs: 1, 2, 1 + 2/sqrt 3, and 3 for seven (elementary geometry); here discs of
    # radius 10 and half a wall are packed, and the edge is put outside of the part itself
    project = Project("discs", Box(RoundBox(160.0)), (replace(bolt_head(), footprint=Disc(10.0)),))
    boxes = quick_boxes(project)
    half_wall = project.rules.wall_mm / 2
    for count, ratio in {1: 1.0, 2: 2.0, 3: 1 + 2 / math.sqrt(3), 7: 3.0}.items():
        shape = boxes[count].project.box.shape
        assert isinstance(shape, RoundBox)
        least = 2 * (ratio * (10.0 + half_wall) - half_wall + project.rules.edge_mm)
        assert shape.diameter_mm >= least - 1e-4
        assert shape.diameter_mm <= 1.06 * least


def test_that_a_round_box_cut_down_touches_its_parts_at_the_edge() -> None:
    roomy = replace(bolt_heads(2, 2), box=Box(RoundBox(200.0)))
    roomy = edits.change_cavities(
        roomy, [c.id for c in roomy.cavities], lambda c: replace(c, x_mm=c.x_mm + 60, y_mm=c.y_mm + 60)
    )
    small = cut_down(roomy)
    assert is_legal(small)
    assert clearances(small).least_edge_mm == pytest.approx(EDGE_MM, abs=1e-4)


def test_that_the_layout_in_hand_is_cut_down_too_where_it_is_better() -> None:
    # the honeycomb's 53 came from a long fill; one cavity fewer needs no more than it
    project = bolt_heads(3, 2)
    boxes = quick_boxes(project, steps=1)
    length, width = inner_size_mm(project.box.shape)
    assert all(boxes[n].area_mm2 <= length * width + 1e-2 for n in range(1, 7))


def test_that_what_is_left_aside_is_said() -> None:
    plain = bolt_heads(3, 2)
    assert layout_notes(plain) == ()
    kept = replace(plain, keep_outs=(KeepOut(KeepOutId("k"), 5.0, 5.0, 4.0, 4.0),))
    kept = edits.change_cavities(kept, [kept.cavities[0].id], lambda c: replace(c, pinned=True))
    said = " ".join(layout_notes(kept))
    assert "1 keep-out and 1 pinned cavity" in said
    assert "6 cavities stands" in said
    assert "round boxes" in layout_notes(replace(plain, box=Box(RoundBox(90.0))))[0]
    ell = OutlineBox(((0, 0), (150, 0), (150, 90), (60, 90), (60, 120), (0, 120)))
    assert "not in your outline" in layout_notes(replace(plain, box=Box(ell)))[0]


def test_that_a_round_box_leaves_an_edge_round_its_discs() -> None:
    # one disc of 20 mm with an edge of 9.525 mm; two beside each other at the wall reach 23.175 mm from their middle
    disc = read_master("disc:20x5")
    empty = Project("p", Box(RoundBox(200.0)), (disc,))
    project, _ = edits.add_cavities(empty, [(disc.id, 90.0, 100.0, 0.0), (disc.id, 116.35, 100.0, 0.0)])
    one, two = round_areas_mm2(project)
    assert one == pytest.approx(math.pi * (10.0 + 9.525) ** 2)
    assert two == pytest.approx(math.pi * (23.175 + 9.525) ** 2)
    assert inner_size_mm(round_about(project).box.shape)[0] == pytest.approx(2 * (23.175 + 9.525), abs=1e-5)
