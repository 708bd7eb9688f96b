"""A mixed box: every kind of part brings its own original, single mold and masters, and its own share of the order."""

from dataclasses import replace

import pytest

from layout import edits
from layout.errors import BadValueError
from layout.model import MasterId, Project
from layout.order.boxes import one_cavity
from layout.order.chain import chain, masters_needed
from layout.order.cost import cost_of_parts
from layout.order.finish import coated_mm2, mean_coated_mm2
from layout.order.kinds import casts_needed, kinds, parse_kind_parts, parts_of_kinds
from layout.order.needs import needs
from layout.order.plan import option_of
from layout.order.routes import routes
from tests.layout.order.bolt_heads import bolt_heads


def _mixed(**changes: object) -> Project:
    base = bolt_heads(3, 2)
    flat = replace(base.masters[0], id=MasterId("flat"), name="flat", volume_ml=1.0, height_mm=5.0, surface_mm2=500.0)
    project = replace(base, masters=(*base.masters, flat), order=replace(base.order, **changes))
    ids = [c.id for c in project.cavities[:2]]
    return edits.change_cavities(project, ids, lambda c: replace(c, master=MasterId("flat")))


def test_that_each_kind_gets_its_original_its_single_mold_its_masters_and_its_spares() -> None:
    project = _mixed()
    steps = {s.id: s for s in chain(project, needs(project), 10, 1)}
    assert [(k.master.name, k.cavities, k.to_cast) for k in kinds(project)] == [("bolt head", 4, 7), ("flat", 2, 5)]
    assert steps["original"].count == 2
    assert steps["original"].hands_min == 60.0
    assert steps["single_mold"].count == 2
    assert steps["copies"].count == masters_needed(project, 6) == 12
    # both single molds are cast in one round: 7 rounds, 12 casts of 2.5 min
    assert len(steps["copies"].jobs) == 7
    assert steps["copies"].hands_min == pytest.approx(12 * 2.5)


def test_that_masters_in_hand_are_counted_off_once() -> None:
    # 4 and 2 positions, 3 spares each: spares are cast only with masters that are lacking
    assert [k.to_cast for k in kinds(_mixed(masters_in_hand=3))] == [4, 5]
    assert [k.to_cast for k in kinds(_mixed(masters_in_hand=5))] == [0, 4]
    assert [k.to_cast for k in kinds(_mixed(masters_in_hand=6))] == [0, 0]
    assert [k.to_cast for k in kinds(_mixed(masters_in_hand=50))] == [0, 0]


def test_that_single_molds_of_a_mixed_box_cost_each_kind_for_its_share() -> None:
    project = _mixed(parts=100)
    shares = parts_of_kinds(project, 100)
    assert [n for _, n in shares] == [67, 33]
    by_hand = 0.0
    for kind, parts in shares:
        alone = one_cavity(project, kind.master)
        by_hand += cost_of_parts(alone, needs(alone), parts).total
    single = next(c for c in routes(project).curves if c.route == "single")
    assert dict(single.points)[100] == pytest.approx(by_hand)


def test_that_the_coated_surface_is_the_mean_over_what_is_laid_out() -> None:
    project = _mixed()
    bolt, flat = (coated_mm2(m) for m in project.masters)
    assert mean_coated_mm2(project) == pytest.approx((4 * bolt + 2 * flat) / 6)
    bare = replace(project, cavities=())
    assert mean_coated_mm2(bare) == pytest.approx((bolt + flat) / 2)


def test_that_an_order_names_its_own_number_of_each_kind() -> None:
    project = _mixed()
    each = parse_kind_parts("Flat=60, bolt head=40", project, "--parts")
    assert dict(each) == {"flat": 60, "bolt-head": 40}
    ordered = replace(project, order=replace(project.order, parts=100, kind_parts=each, yield_share=1.0))
    assert [n for _, n in parts_of_kinds(ordered, 100)] == [40, 60]
    # 60 of the kind that has two cavities
    assert option_of(ordered).cycles == 30
    # another total keeps the proportion
    assert [n for _, n in parts_of_kinds(ordered, 50)] == [20, 30]


@pytest.mark.parametrize(
    "bad", ["flat=60", "flat=60, knob=3", "flat=0, bolt head=1", "flat=1.5, bolt head=1", "flat", ""]
)
def test_that_numbers_of_kinds_that_make_no_sense_are_refused_with_an_example(bad: str) -> None:
    with pytest.raises(BadValueError):
        parse_kind_parts(bad, _mixed(), "--parts")


@pytest.mark.parametrize(
    ("parts", "cavities", "good", "casts"),
    [(2000, 1000, 1.0, 2), (2001, 1000, 1.0, 3), (4656, 48, 0.97, 100), (1, 48, 0.97, 1)],
)
def test_that_one_part_more_than_so_many_casts_give_takes_another(
    parts: int, cavities: int, good: float, casts: int
) -> None:
    # ceil(P / (N y)); 4656 = 100 x 48 x 0.97 exactly, which floating point makes a hair more
    assert casts_needed(parts, cavities, good) == casts
