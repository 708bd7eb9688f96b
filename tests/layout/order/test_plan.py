"""The plan of an order against worked examples, its own schedule and chain, and by properties."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import edits
from layout.errors import BadValueError
from layout.masters import read_master
from layout.model import FAST_URETHANE, Box, MasterId, OutlineBox, Project, RoundBox
from layout.order.calendar import Shift
from layout.order.chain import chain, shrink_of
from layout.order.cost import money_of
from layout.order.finish import coats
from layout.order.kinds import casts_needed
from layout.order.needs import needs
from layout.order.plan import calendar_of, option_of, plan
from layout.order.purchase import purchases
from layout.order.rigid_master import rigid_master, tray_resin
from layout.order.routes import routes
from layout.order.schedule import book
from layout.order.single_mold import single_mold
from layout.shop import FinishCoat
from layout.volumes import volumes
from tests.layout.order.bolt_heads import bolt_head, bolt_heads

# One batch: a resin slow enough that all 48 cavities are filled before it sets.
ONE_BATCH = replace(FAST_URETHANE, pot_life_min=6.0)


def _order(project: Project, **changes: object) -> Project:
    return replace(project, order=replace(project.order, **changes))


def test_that_a_round_of_the_bolt_heads_takes_the_worked_minutes() -> None:
    # worked by hand: t_op = 2.5 + 48 (1.662 + 4) / 60 = 7.03 min, cure 10 min, 129.9 g of resin (130.5 g at 1.05 g/mL)
    needed = needs(replace(bolt_heads(), resin=ONE_BATCH))
    assert needed.hands_min == pytest.approx(7.03, abs=0.005)
    assert needed.round.cure_min == pytest.approx(10.0)
    assert needed.resin_batches == 1
    assert needed.resin_ml * 1.05 == pytest.approx(130.5, abs=0.05)
    assert needed.silicone_ml == pytest.approx(685.6, abs=0.05)


def test_that_the_fast_resin_needs_a_second_batch_from_the_thirty_seventh_cavity_on() -> None:
    # worked by hand: N_pot 36 at 120 s pot life, 30 s mixing, share 0.75
    assert needs(bolt_heads()).cavities_per_batch == 36
    assert needs(bolt_heads()).resin_batches == 2
    assert needs(bolt_heads(6, 6)).resin_batches == 1


def test_that_two_thousand_parts_take_the_worked_casts_and_molds() -> None:
    # worked by hand: P 2000, y 0.97, L 40: 43 casts, 2 molds; 5.9 h at the molds
    option = option_of(_order(replace(bolt_heads(), resin=ONE_BATCH), parts=2000, trim_s=0.0))
    assert (option.cycles, option.molds, option.masters) == (43, 2, 51)
    casting = next(s for s in option.steps if s.id == "casting")
    assert casting.hands_min / 60 / 0.85 == pytest.approx(5.9, abs=0.05)
    assert casts_needed(2000, 48, 0.97) == 43


@pytest.mark.parametrize(("singles", "minutes"), [(1, 600.0), (2, 300.0), (4, 150.0)])
def test_that_casting_the_masters_takes_the_worked_minutes(singles: int, minutes: float) -> None:
    # worked by hand: ceil(48 / k) max(12.5, 2.5 k)
    project = _order(bolt_heads(), single_molds=singles, spare_masters=0)
    copies = next(s for s in chain(project, needs(project), 1, 1) if s.id == "copies")
    assert book(copies.jobs, Shift(1440.0))[1] == pytest.approx(minutes)


def test_that_single_and_small_gang_mold_take_the_material_and_hands_reckoned_by_hand() -> None:
    # worked by hand: a tube of 35.9 mL, 5 % and 20 mL in the cup, at 1.10 g/mL; six copies of 2.3114 mL, 12 % and
    # 1.045 g/mL; 51 copies from 6/48 of 633.9 mL of silicone with its own cup, in nine fillings of
    # 2.5 min + 6 x (1.2 s + 2.3114 mL at 5 mL/s + 4 s), an hour for its box
    project = _order(bolt_heads(), skip=())
    steps = {s.id: s for s in chain(project, needs(project), 43, 2)}
    tube, copies, small = steps["single_mold"], steps["copies"], steps["intermediate_mold"]
    assert tube.amount == pytest.approx((35.9 * 1.05 + 20.0) * 1.10, abs=0.1)
    assert copies.amount == pytest.approx(6 * 2.3114 * 1.12 * 1.0451, rel=1e-3)
    silicone_g, resin_g = (633.9 * 6 / 48 * 1.05 + 20.0) * 1.10, 51 * 2.3114 * 1.12 * 1.0451
    assert small.amount == pytest.approx(silicone_g + resin_g, rel=1e-3)
    assert small.cost == pytest.approx(silicone_g * 0.036 + resin_g * 0.015, rel=1e-3)
    assert small.hands_min == pytest.approx(60.0 + 9 * (2.5 + 6 * (1.2 + 2.3114 / 5.0 + 4.0) / 60.0), rel=1e-3)
    assert small.wait_min == pytest.approx(60.0 + 9 * 10.0)


def test_that_each_tray_more_takes_its_own_resin_box_hands_and_test_patch() -> None:
    # worked by hand: 985 g at 15 a kg and a box of 4 for each; the silicone's patch of an hour after each cure
    project = _order(bolt_heads(), skip=(), repeat=(("rigid_master", 2),))
    tray = next(s for s in chain(project, needs(project), 43, 2) if s.id == "rigid_master")
    assert tray.cost == pytest.approx(2 * (0.985 * 15.0 + 4.0), abs=0.01)
    assert tray.hands_min == pytest.approx(240.0)
    alone = tray_resin(project).demold_min * 2 ** ((tray_resin(project).pot_life_at_c - 23.888888888888889) / 10.0)
    assert tray.wait_min == pytest.approx(2 * (alone + 60.0))


def test_that_further_gang_molds_without_a_tray_each_take_a_box_and_its_hands() -> None:
    # worked by hand: two more molds and one spare, each 754.2 g at 36 a kg and a box of 4; 120 min and 48 of one minute
    project = _order(bolt_heads(), repeat=(("gang_mold", 2),), box_each_min=1.0)
    more = next(s for s in chain(project, needs(project), 100, 3) if s.id == "more_molds")
    assert more.cost == pytest.approx(3 * (0.7542 * 36.0 + 4.0), abs=0.01)
    assert more.hands_min == pytest.approx(3 * (120.0 + 48 * 1.0))
    money = money_of(project, needs(project), chain(project, needs(project), 100, 3), 100, 3)
    assert money.silicone == pytest.approx(4 * 0.7542 * 36.0, abs=0.01)


def test_that_the_silicone_of_a_mold_weighs_its_volume_with_a_detail_coat_too() -> None:
    # both parts have 1.10 g/mL, so the mix has; 0.5 mm over parts and base is silicone of the mold
    plain = bolt_heads()
    for coat_mm in (0.0, 0.5):
        needed = needs(replace(plain, pour=replace(plain.pour, coat_mm=coat_mm)))
        assert needed.silicone_g == pytest.approx(needed.silicone_ml * 1.10)


def test_that_whole_kits_and_every_box_are_paid_for() -> None:
    # worked by hand: four gang molds of 754.2 g and two single ones of 63.5 g (51 masters, 40 casts each) take 3144 g:
    # 1572 g of A, four kits of 900 g at 36 a kg; without a tray each of the four gang molds has its box, 4 each
    option = option_of(_order(bolt_heads(), parts=4000, repeat=(("gang_mold", 2),)))
    assert option.molds == 3
    silicone, boxes = (next(x for x in purchases(option) if x.what_for == what) for what in ("molds", "mold boxes"))
    assert silicone.kits is not None
    assert silicone.kits.count == 4
    assert silicone.to_pay == pytest.approx(4 * 0.9 * 36.0)
    assert silicone.price == pytest.approx(3.1437 * 36.0, abs=0.1)
    assert boxes.amount.startswith("sheets for 4 boxes")
    assert boxes.price == pytest.approx(16.0)


def test_that_a_coat_on_discs_of_unknown_surface_covers_them_on_all_sides() -> None:
    # worked by hand: a disc of 20 x 10 mm has 4 pi cm2; 100 of them at 10 m2/L take 12.57 mL, 0.314 at 25 a litre
    disc = replace(read_master("disc:20x10"), id=bolt_head().id, surface_mm2=None)
    project = replace(_order(bolt_heads(), coats=(FinishCoat("wax", 10_000.0, price_per_l=25.0),)), masters=(disc,))
    (coat,) = coats(project, 100)
    assert coat.volume_ml == pytest.approx(4 * math.pi)
    assert coat.cost == pytest.approx(4 * math.pi * 0.025)


def test_that_more_masters_than_a_single_mold_lasts_for_take_more_single_molds() -> None:
    # worked by hand: 51 copies at 20 casts a mold are two molds and eleven copies more
    project = _order(bolt_heads(), mold_life=20)
    singles = next(s for s in chain(project, needs(project), 43, 3) if s.id == "single_mold")
    assert singles.count == 3
    assert singles.hands_min == pytest.approx(3 * 30.0)


def test_that_the_single_mold_of_a_bolt_head_takes_the_worked_silicone() -> None:
    # worked by hand: tube of 50.8 mm, 18.875 mm high, less the part: 35.9 mL
    tube = single_mold(bolt_heads(), bolt_head())
    assert tube.diameter_mm == pytest.approx(50.8)
    assert tube.silicone_ml == pytest.approx(35.9, abs=0.05)
    # the silicone stands an edge thick on both sides of a disc of 19.4 mm in a tube of 38.45 mm: the next sold has 50.8
    assert single_mold(bolt_heads(), read_master("disc:19.4x5")).diameter_mm == pytest.approx(50.8)
    assert single_mold(bolt_heads(), read_master("disc:19.0x5")).diameter_mm == pytest.approx(38.1)


_SHOPS = st.fixed_dictionaries(
    {
        "parts": st.integers(1, 600),
        "crew": st.integers(1, 3),
        "hours": st.sampled_from([2.0, 6.0, 8.0]),
        "molds_per_operator": st.integers(1, 3),
        "mold_life": st.integers(5, 50),
        "single_molds": st.integers(1, 3),
        "masters_in_hand": st.sampled_from([0, 0, 5, 40]),
        "skip": st.sampled_from([(), ("rigid_master",), ("intermediate_mold",), ("trimming", "copies")]),
        "casts_per_day": st.sampled_from([None, None, 3]),
        "days": st.sampled_from([None, 3, 8]),
    }
)


@settings(max_examples=60, deadline=None)
@given(_SHOPS)
def test_that_every_minute_and_every_coin_is_found_again_in_the_steps(shop: dict[str, object]) -> None:
    option = option_of(_order(bolt_heads(4, 2), **shop))
    hands = math.fsum(s.hands_min for s in option.steps)
    assert option.crew_hours == pytest.approx(hands / 60 / 0.85)
    material = math.fsum(s.cost for s in option.steps)
    assert option.money.total == pytest.approx(material + option.crew_hours * 25.0)
    assert option.cycles * option.cavities * 0.97 >= int(shop["parts"]) - 1e-6
    assert option.molds * int(shop["mold_life"]) >= option.cycles


@settings(max_examples=40, deadline=None)
@given(_SHOPS, st.integers(1, 200))
def test_that_with_the_molds_fixed_more_parts_never_take_less_time_and_more_crew_never_more(
    shop: dict[str, object], more: int
) -> None:
    project = _order(bolt_heads(4, 2), **shop)
    needed = needs(project)
    few = casts_needed(int(shop["parts"]), 8, 0.97)
    many = casts_needed(int(shop["parts"]) + more, 8, 0.97)
    molds = math.ceil(many / int(shop["mold_life"]))
    first = calendar_of(project, needed, few, molds)
    assert first.finish_min <= calendar_of(project, needed, many, molds).finish_min + 1e-6
    larger = _order(project, crew=int(shop["crew"]) + 1)
    assert calendar_of(larger, needed, few, molds).finish_min <= first.finish_min + 1e-6


def test_that_a_date_is_met_with_the_fewest_molds_that_meet_it() -> None:
    project = _order(bolt_heads(4, 2), parts=700, crew=2, molds_per_operator=3, mold_life=100)
    free = option_of(project)
    assert free.molds == 1
    hurried = option_of(_order(project, days=free.calendar_days - 1))
    assert hurried.in_time
    assert hurried.molds > 1
    fewer = calendar_of(project, hurried.needs, hurried.cycles, hurried.molds - 1)
    assert fewer.days > free.calendar_days - 1


def test_that_a_date_nobody_can_meet_is_said_and_not_hidden() -> None:
    assert not option_of(_order(bolt_heads(4, 2), parts=5000, days=1)).in_time


def test_that_leaving_out_the_copies_takes_their_time_money_and_shrink_out_of_the_chain() -> None:
    whole = option_of(_order(bolt_heads(4, 2), parts=100))
    less = option_of(_order(bolt_heads(4, 2), parts=100, skip=("copies", "intermediate_mold", "rigid_master")))
    assert less.crew_hours < whole.crew_hours
    assert less.money.total < whole.money.total
    assert shrink_of(whole.steps).factor == pytest.approx(0.98805, abs=5e-6)
    assert shrink_of(less.steps).factor == pytest.approx(0.999 * 0.995)


def test_that_a_rigid_master_mold_adds_one_pair_of_shrinks_and_saves_hands_on_each_further_mold() -> None:
    project = _order(bolt_heads(4, 2), parts=2000, mold_life=40)
    without = option_of(project)
    tray = option_of(_order(project, skip=("intermediate_mold",)))
    assert without.molds == tray.molds == 7
    assert shrink_of(tray.steps).factor == pytest.approx(0.98212, abs=5e-6)
    assert tray.crew_hours < without.crew_hours


def test_that_coats_take_their_surface_over_their_coverage_and_their_waits() -> None:
    # 1 m2 a litre is 1000 mm2 a mL; surface of the sample 900 mm2 and its back
    coat = FinishCoat("primer", coverage_mm2_per_ml=10_000.0, coats=2, hands_min=0.1, wait_min=30.0)
    plain = option_of(_order(bolt_heads(4, 2), parts=100))
    coated = option_of(_order(bolt_heads(4, 2), parts=100, coats=(coat,)))
    finish = next(s for s in coated.steps if s.id == "finish")
    back = bolt_head().glued_area_mm2
    assert finish.amount == pytest.approx(2 * 100 * (900.0 + back) / 10_000.0)
    assert coated.finish_min >= plain.finish_min + 2 * (100 * 0.1 + 30.0) - 1e-6


def test_that_the_plan_compares_every_count_and_marks_the_best_of_each() -> None:
    found = plan(_order(bolt_heads(3, 2), parts=300))
    assert [o.cavities for o in found.options] == list(range(1, len(found.options) + 1))
    assert len(found.options) >= 6
    assert found.cheapest.money.total == min(o.money.total for o in found.options)
    assert found.quickest.calendar_days == min(o.calendar_days for o in found.options)
    assert found.least_silicone.silicone_g == min(o.silicone_g for o in found.options)
    assert found.best == found.cheapest


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"parts": 0}, "--parts"),
        ({"hours": 0.0}, "--hours"),
        ({"hours": math.nan}, "--hours"),
        ({"crew": 0}, "--crew"),
        ({"yield_share": 0.0}, "--yield"),
        ({"availability": 1.5}, "--availability"),
        ({"wage_per_hour": -1.0}, "--wage"),
        ({"mold_life": 0}, "--mold-life"),
        ({"days": 0}, "--days"),
        ({"skip": ("casting",)}, "steps"),
        ({"repeat": (("dance", 2),)}, "steps"),
    ],
)
def test_that_an_order_that_makes_no_sense_is_refused_by_name(change: dict[str, object], where: str) -> None:
    with pytest.raises(BadValueError) as caught:
        option_of(_order(bolt_heads(2, 2), **change))
    assert caught.value.where == where


def test_that_a_spare_gang_mold_costs_its_silicone_and_hands_but_casts_nothing() -> None:
    one = option_of(_order(bolt_heads(4, 2), parts=100))
    spare = option_of(_order(bolt_heads(4, 2), parts=100, repeat=(("gang_mold", 2),)))
    assert spare.molds == one.molds == 1
    assert spare.silicone_g == pytest.approx(2 * one.silicone_g)
    assert spare.money.total - one.money.total == pytest.approx(
        one.money.silicone + 4.0 + 2.0 / 0.85 * 25.0
    )  # its box, two hours at the share of the shift
    found = calendar_of(spare.project, spare.needs, spare.cycles, spare.molds)
    assert {s.mold for s in found.stints if s.what == "cast"} == {0}


@pytest.mark.parametrize(
    "shape", [RoundBox(120.0), OutlineBox(((0, 0), (150, 0), (150, 90), (60, 90), (60, 120), (0, 120)))]
)
def test_that_a_round_box_and_a_box_of_any_outline_are_planned_and_get_a_tray(shape: RoundBox | OutlineBox) -> None:
    empty = Project("round", Box(shape), (bolt_head(),))
    project = edits.add_cavities(empty, [(bolt_head().id, 45.0, 45.0, 0.0), (bolt_head().id, 75.0, 45.0, 0.0)])[0]
    option = option_of(_order(project, parts=500))
    assert option.cavities == 2
    assert routes(project).gang_from is not None
    tray = rigid_master(project)
    # the tray's outside less the block and its pad, and the positives
    assert tray.resin_ml > volumes(project).masters_ml
    assert tray.silicone_per_mold_ml == pytest.approx(volumes(project).net_ml)


def test_that_a_mixed_box_is_planned_as_it_is_laid_out() -> None:
    second = replace(bolt_head(), id=MasterId("small"), name="small", volume_ml=1.0)
    base = bolt_heads(3, 2)
    project = replace(base, masters=(*base.masters, second))
    first = project.cavities[0]
    project = edits.change_cavities(project, [first.id], lambda c: replace(c, master=MasterId("small")))
    found = plan(_order(project, parts=100), [])
    assert [o.cavities for o in found.options] == [6]
    assert found.best.needs.resin_ml < option_of(base).needs.resin_ml


def test_that_a_resin_or_a_silicone_that_sets_first_is_refused_by_its_name() -> None:
    quick = replace(FAST_URETHANE, pot_life_min=0.5)
    with pytest.raises(BadValueError, match="before one cavity is filled"):
        option_of(replace(bolt_heads(2, 2), resin=quick))
    project = bolt_heads(2, 2)
    set_first = replace(project, silicone=replace(project.silicone, pot_life_min=1.0))
    with pytest.raises(BadValueError, match="before it sets"):
        option_of(set_first)
