"""Money: worked examples, the closed forms where they exist, and what the limits say."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from layout.model import Project
from layout.order.chain import chain
from layout.order.cost import cost_of_parts, money_of, rigid_pays_from
from layout.order.limits import curve_steps, order_limits, plan_findings
from layout.order.needs import Needs, needs
from layout.order.plan import compared, option_of
from layout.order.routes import routes
from layout.order.stints import Round
from tests.layout.order.bolt_heads import bolt_heads


def _order(project: Project, **changes: object) -> Project:
    return replace(project, order=replace(project.order, **changes))


def test_that_the_worked_break_even_of_a_tray_comes_out() -> None:
    # worked by hand at 25 an hour: a tray of 985 g at 15 a kg, two hours and its box; each further mold saves 1.25 h
    tray = 0.985 * 15 + 2 * 25 + 4
    assert rigid_pays_from(tray, 1.25 * 25 + 4) == pytest.approx(1.95, abs=0.005)
    assert rigid_pays_from(70.0, 0.0) is None


@pytest.mark.parametrize("more", [{}, {"repeat": (("gang_mold", 3),)}, {"skip": ("rigid_master",)}])
def test_that_the_money_is_the_same_whether_each_mold_has_a_job_or_not(more: dict[str, object]) -> None:
    project = _order(bolt_heads(3, 2), **more)
    needed = needs(project)
    whole, sums = (chain(project, needed, 400, 11, each_mold=each) for each in (True, False))
    assert money_of(project, needed, whole, 400, 11) == money_of(project, needed, sums, 400, 11)
    poured = next(s for s in whole if s.id == "more_molds").jobs
    assert [j.ready_mold for j in poured if j.ready_mold is not None] == list(range(1, 11))
    assert [replace(s, jobs=()) for s in whole] == [replace(s, jobs=()) for s in sums]


def _linear(cavities: int, grams_each: float) -> Needs:
    return Needs(
        cavities, 0.0, grams_each * cavities, 0.0, 1, 60.0, 0.0, 0.0, 1, 10**6, 0.0, Round(4.0, 10.0, 0.0), 0.0
    )


def test_that_the_cost_of_the_chain_is_least_where_the_lot_size_formula_says_in_its_smooth_limit() -> None:
    # smooth: one mold for ever, one batch, nothing per part, silicone in proportion to the cavities, masters in hand
    project = _order(
        bolt_heads(2, 2), mold_life=10**9, availability=1.0, trim_s=0.0, spare_masters=0, masters_in_hand=10**6,
        prepare_min=4.0, yield_share=0.97,
    )  # fmt: skip
    parts, grams = 200_000, 2000.0
    each = grams / 1000 * (project.silicone.price_per_kg or 0.0)
    # the lot-size form: N = sqrt(w P t_b / (y c_c)); by hand 28.3 for 1000 parts, 3 min and 1.61 a cavity
    best = math.sqrt(25 / 60 * parts * 4.0 / (0.97 * each))
    assert 50 < best < 120
    costs = {n: cost_of_parts(project, _linear(n, grams), parts).total for n in range(2, 300)}
    found = min(costs, key=lambda n: costs[n])
    assert found == pytest.approx(best, rel=0.03)
    # what is left is the box, the original, and the smooth minimum 2 sqrt(w P t_b c_c / y)
    smooth = 2 * math.sqrt(25 / 60 * parts * 4.0 * each / 0.97)
    assert costs[found] - 4.0 - (30 + 120) * 25 / 60 == pytest.approx(smooth, rel=0.001)


def test_that_the_curves_of_the_routes_cross_where_the_routes_say() -> None:
    project = _order(bolt_heads(4, 2), parts=400, mold_life=30)
    found = routes(project)
    assert found.gang_from is not None
    single, gang, rigid = (dict(c.points) for c in found.curves)
    above = [p for p in single if p >= found.gang_from + 50]
    assert all(gang[p] < single[p] for p in above)
    assert all(single[p] <= gang[p] for p in single if p < min(found.gang_from, 8))
    if found.rigid_from is not None and found.rigid_from in rigid:
        assert rigid[found.rigid_from] < gang[found.rigid_from]
    assert found.cheapest in ("single", "gang", "rigid")


def test_that_the_rigid_master_mold_pays_from_about_the_molds_of_the_closed_form() -> None:
    # 1.95 further molds by hand with a tray of 985 g; here each further mold saves 75 min and its box
    project = _order(bolt_heads(), parts=2000, mold_life=10, availability=1.0)
    found = routes(project)
    assert found.rigid_from_molds == pytest.approx(1.95, abs=0.01)
    assert found.rigid_from is not None
    molds = math.ceil(math.ceil(found.rigid_from / (48 * 0.97)) / 10)
    assert molds - 1 == math.ceil(found.rigid_from_molds)


def test_that_the_limits_name_what_binds_and_what_would_loosen_it() -> None:
    project = _order(bolt_heads(), parts=2000, days=3)
    found = compared([option_of(project)])
    limits = {x.kind: x for x in order_limits(found)}
    assert limits["pot_life"].binds
    assert limits["pot_life"].allowed == 36
    assert limits["mold_life"].binds
    assert "52 cavities" in limits["mold_life"].loosen
    assert limits["single_mold"].binds
    assert limits["deadline"].binds
    assert "masters in hand" in limits["deadline"].loosen
    assert [x.binds for x in order_limits(found)] == sorted((x.binds for x in order_limits(found)), reverse=True)
    assert next(f for f in plan_findings(found) if f.kind == "deadline").severity == "refuse"


def test_that_what_is_said_to_speed_up_does_speed_up() -> None:
    project = _order(bolt_heads(), parts=2000, days=3)
    option = option_of(project)
    freed = option_of(_order(project, masters_in_hand=option.masters))
    assert freed.calendar_days < option.calendar_days


def test_that_the_steps_of_the_curves_are_explained_where_they_are() -> None:
    options = tuple(option_of(_order(bolt_heads(c, 6), parts=2000)) for c in (5, 6, 7, 8))
    said = {s.cavities: s.text for s in curve_steps(options)}
    assert "2 batches of resin" in said[42]
    assert all(before.needs.resin_batches == after.needs.resin_batches or after.cavities in said
               for before, after in pairwise(options))  # fmt: skip


def test_that_needs_of_more_cavities_are_never_less() -> None:
    few, many = needs(bolt_heads(3, 2)), needs(bolt_heads(4, 2))
    assert few.silicone_g < many.silicone_g
    assert few.hands_min < many.hands_min


def test_that_only_what_stands_in_the_way_of_one_batch_is_named() -> None:
    project = bolt_heads()
    weak = replace(project, pour=replace(project.pour, degas=False, scale_limit_g=400.0))
    said = next(x for x in order_limits(compared([option_of(weak)])) if x.kind == "silicone_batches")
    assert said.binds
    assert "a scale that carries" in said.loosen.lower()
    assert "degassing" not in said.loosen
    assert "container" not in said.loosen
