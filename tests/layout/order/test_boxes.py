"""A real, legal box for every count of cavities."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.checks import clearances, is_legal
from layout.errors import BadValueError
from layout.geometry import Disc, centred_outline
from layout.model import Box, Master, MasterId, Project, RectBox
from layout.order.boxes import cut_down, first_of, largest_size_mm, quick_boxes
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
