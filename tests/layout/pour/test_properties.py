"""What must hold for every pour: parts add up, batches lose nothing, more of one is never less of another."""

import math
from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.model import FAST_PLATINUM, FAST_URETHANE, Mix, PourSettings, RectBox, SmallMold
from layout.numbering import pour_order
from layout.pour.batches import MOST_BATCHES, Cap, split
from layout.pour.leftover import best_choice
from layout.pour.mixing import b_per_a_by_volume, b_per_a_by_weight, dose, mixed_g_per_ml
from layout.pour.resin import cycles_of_a_kit, resin_dose, resin_pour
from layout.pour.silicone import kits, silicone_pour
from layout.pour.time import largest_batch_ml, pot_life_min
from layout.pour.timeline import resin_timeline, silicone_timeline
from layout.pour.vacuum import absolute_mbar, barometer_mbar, bubble_radius_mm, expansion, gauge_inhg
from layout.volumes import volumes
from tests.worked_example import grid_of_48

E1 = grid_of_48()

densities = st.floats(0.5, 3.0)
parts = st.floats(0.1, 100.0)
mixes = st.builds(
    lambda a, b, ra, rb, by: replace(
        FAST_PLATINUM, a_g_per_ml=a, b_g_per_ml=b, ratio_a=ra, ratio_b=rb, ratio_by=by, kit_a_g=450.0, kit_b_g=450.0
    ),
    densities, densities, parts, parts, st.sampled_from("vw"),
)  # fmt: skip


@given(mixes, st.floats(0.0, 1e5))
def test_that_parts_add_up_by_weight_and_by_volume(mix: Mix, volume):
    found = dose(mix, volume)
    assert found.a_g + found.b_g == pytest.approx(found.mass_g, rel=1e-12)
    assert found.a_ml + found.b_ml == pytest.approx(volume, rel=1e-12)
    if volume > 0:
        given_ratio = found.b_ml / found.a_ml if mix.ratio_by == "v" else found.b_g / found.a_g
        assert given_ratio == pytest.approx(mix.ratio_b / mix.ratio_a, rel=1e-12)


@given(mixes)
def test_that_a_ratio_turned_to_weight_and_back_is_the_same(mix: Mix):
    by_weight = replace(mix, ratio_a=1.0, ratio_b=b_per_a_by_weight(mix), ratio_by="w")
    by_volume = replace(mix, ratio_a=1.0, ratio_b=b_per_a_by_volume(mix), ratio_by="v")
    assert b_per_a_by_volume(by_weight) == pytest.approx(b_per_a_by_volume(mix), rel=1e-12)
    assert b_per_a_by_weight(by_volume) == pytest.approx(b_per_a_by_weight(mix), rel=1e-12)
    low, high = sorted((mix.a_g_per_ml, mix.b_g_per_ml))
    assert low * (1 - 1e-12) <= mixed_g_per_ml(mix) <= high * (1 + 1e-12)


@given(st.floats(1.0, 1e5), st.floats(0.0, 50.0), st.lists(st.floats(1.0, 1e4), max_size=3))
def test_that_splitting_loses_nothing_meets_every_limit_and_is_the_least(poured, film, most):
    caps = tuple(Cap(str(i), m) for i, m in enumerate(most))
    found = split(poured, film, caps)
    if found.count is None:
        assert min(most) <= film or found.total_ml / (min(most) - film) > MOST_BATCHES - 1
        return
    assert found.count * found.per_batch_ml == pytest.approx(found.total_ml, rel=1e-12)
    assert found.total_ml == pytest.approx(poured + found.count * film, rel=1e-12)
    for m in most:
        assert found.per_batch_ml <= m * (1 + 1e-9)
    if found.count > 1:
        fewer = found.count - 1
        assert (poured + fewer * film) / fewer > min(most) * (1 - 1e-9)


@given(mixes, st.floats(0.0, 5000.0), st.floats(0.0, 5000.0), st.floats(0.0, 900.0), st.floats(0.0, 900.0))
def test_that_kits_are_enough_and_one_fewer_is_not(mix: Mix, a_g, b_g, shelf_a, shelf_b):
    found = kits(replace(mix, left_a_g=shelf_a, left_b_g=shelf_b), a_g, b_g)
    assert found is not None
    assert found.left_a_g == pytest.approx(shelf_a + 450 * found.count - a_g, abs=1e-6)
    assert min(found.left_a_g, found.left_b_g) > -1e-5
    if found.count:
        assert min(found.left_a_g, found.left_b_g) < 450.0 + 1e-6
    mixed = dose(mix, found.usable_ml)
    assert mixed.a_g <= found.left_a_g + 1e-5
    assert mixed.b_g <= found.left_b_g + 1e-5


@settings(max_examples=40)
@given(
    st.floats(0.0, 30.0), st.floats(0.0, 30.0), st.floats(0.0, 60.0), st.floats(0.0, 5.0),
    st.one_of(st.none(), st.floats(500.0, 9000.0)), st.booleans(),
)  # fmt: skip
def test_that_box_is_net_and_masters_and_more_of_anything_is_never_less(floor, waste, film, level, container, degas):
    project = replace(
        E1,
        rules=replace(E1.rules, floor_mm=floor),
        pour=PourSettings(waste_pct=waste, cup_film_ml=film, level_deg=level, container_ml=container, degas=degas),
    )
    found = silicone_pour(project)
    assert found.volumes.net_ml + found.volumes.masters_ml == pytest.approx(found.volumes.box_ml, rel=1e-12)
    assert found.dose.a_g + found.dose.b_g == pytest.approx(found.dose.mass_g, rel=1e-12)
    for changed in (
        replace(project, rules=replace(project.rules, floor_mm=floor + 1.0)),
        replace(project, pour=replace(project.pour, waste_pct=waste + 1.0)),
        replace(project, pour=replace(project.pour, cup_film_ml=film + 1.0)),
        replace(project, pour=replace(project.pour, level_deg=level + 0.1)),
    ):
        more = silicone_pour(changed)
        if found.batching.count is not None and more.batching.count is not None:
            assert more.batching.count >= found.batching.count
            assert more.batching.total_ml > found.batching.total_ml
    emptier = replace(project, cavities=project.cavities[:-1])
    assert volumes(emptier).net_ml > volumes(project).net_ml


@given(st.floats(5.0, 40.0), st.floats(0.1, 5.0), st.floats(1.0, 5000.0))
def test_that_warmth_and_mass_shorten_the_pot_life(celsius, more, mass):
    assert pot_life_min(FAST_URETHANE, celsius + more, mass) < pot_life_min(FAST_URETHANE, celsius, mass)
    assert pot_life_min(FAST_URETHANE, celsius, mass + 1.0) <= pot_life_min(FAST_URETHANE, celsius, mass)
    ten = pot_life_min(FAST_URETHANE, celsius + 10.0, mass)
    assert pot_life_min(FAST_URETHANE, celsius, mass) == pytest.approx(2 * ten, rel=1e-12)


@given(st.floats(1.0, 60.0), st.floats(0.0, 5.0), st.floats(0.0, 5.0), st.floats(0.5, 10.0))
def test_that_the_largest_batch_is_poured_exactly_in_its_share(pot, mix, degas, rate):
    largest = largest_batch_ml(pot, mix, degas, rate)
    if largest > 0:
        assert mix + degas + largest / rate / 60 == pytest.approx(0.75 * pot, rel=1e-12)
    else:
        assert mix + degas >= 0.75 * pot * (1 - 1e-12)


@settings(max_examples=40)
@given(st.floats(10.0, 35.0), st.floats(0.0, 5.0), st.booleans(), st.integers(1, 48), st.floats(0.0, 1.0))
def test_that_batches_of_resin_follow_the_pouring_order_and_each_fits(celsius, pigment, as_b, count, overfill):
    project = replace(
        E1,
        cavities=E1.cavities[:count],
        pour=PourSettings(temperature_c=celsius, pigment_pct=pigment, pigment_counts_as_b=as_b, overfill_mm=overfill),
    )
    found = resin_pour(project)
    if not found.batches:
        assert found.cavities_per_batch == 0
        return
    assert tuple(i for b in found.batches for i in b.cavities) == pour_order(project)
    for batch in found.batches:
        assert batch.time_share <= 0.75 * (1 + 1e-8)
        parts_g = batch.dose.a_g + batch.dose.b_g + batch.dose.pigment_g
        assert parts_g == pytest.approx(batch.dose.mass_g, rel=1e-12)
    assert math.fsum(b.dose.mass_g for b in found.batches) == pytest.approx(found.dose.mass_g, rel=1e-9)
    if found.cavities_per_batch is not None and found.cavities_per_batch >= count:
        assert len(found.batches) == 1


@given(st.floats(1.0, 1000.0), st.floats(0.0, 10.0))
def test_that_pigment_is_counted_in_the_ratio(volume, percent):
    plain = resin_dose(FAST_URETHANE, volume, PourSettings())
    on_top = resin_dose(FAST_URETHANE, volume, PourSettings(pigment_pct=percent))
    as_b = resin_dose(FAST_URETHANE, volume, PourSettings(pigment_pct=percent, pigment_counts_as_b=True))
    assert on_top.b_g / on_top.a_g == pytest.approx(plain.b_g / plain.a_g, rel=1e-9)
    assert (as_b.b_g + as_b.pigment_g) / as_b.a_g == pytest.approx(plain.b_g / plain.a_g, rel=1e-9)
    assert on_top.pigment_g == pytest.approx((on_top.a_g + on_top.b_g) * percent / 100, rel=1e-9)
    for found in (on_top, as_b):
        room = found.a_g / 1.10 + found.b_g / 0.99 + found.pigment_g / 1.1
        assert room == pytest.approx(volume, rel=1e-9)


def test_that_drops_are_counted_for_a_hundred_grams():
    # 5 drops of 0.04 g for 100 g are 0.2 %: common practice, no source
    by_drops = resin_dose(FAST_URETHANE, 100.0, PourSettings(pigment_drops=5.0))
    assert by_drops == resin_dose(FAST_URETHANE, 100.0, PourSettings(pigment_pct=0.2))


@settings(max_examples=60)
@given(st.lists(st.floats(0.5, 80.0), max_size=7), st.floats(0.0, 150.0))
def test_that_the_left_over_fills_as_much_as_any_choice_of_molds(each, volume):
    molds = tuple(SmallMold(f"m{i}", v) for i, v in enumerate(each))
    chosen = sum(m.volume_ml for m in best_choice(molds, volume))
    assert chosen <= volume + 1e-9
    best = max((sum(c) for n in range(len(each) + 1) for c in combinations(each, n) if sum(c) <= volume), default=0.0)
    assert chosen == pytest.approx(best, abs=1e-6)


def test_that_many_small_molds_are_still_answered():
    molds = tuple(SmallMold(f"m{i}", 1.0 + i) for i in range(40))
    assert sum(m.volume_ml for m in best_choice(molds, 100.0)) == pytest.approx(100.0)


@given(st.floats(-400.0, 5000.0), st.floats(1.0, 600.0))
def test_that_a_gauge_and_the_absolute_pressure_agree(altitude, mbar):
    if mbar < barometer_mbar(altitude):
        assert absolute_mbar(gauge_inhg(mbar, altitude), altitude) == pytest.approx(mbar, rel=1e-9)
    assert expansion(0.1, mbar, altitude) >= 1.0
    assert expansion(0.1, mbar / 2, altitude) >= expansion(0.1, mbar, altitude)


def test_that_foam_rises_as_published():
    # phi 3, 6, 10, 12 % at 29 inHg: 1.9, 2.9, 4.2, 4.8 times; worked example
    at_29 = absolute_mbar(29.0, 0.0)
    assert at_29 == pytest.approx(31.2, abs=0.05)
    for share, times in ((0.03, 1.9), (0.06, 2.9), (0.10, 4.15), (0.12, 4.8)):
        assert expansion(share, at_29) == pytest.approx(times, abs=0.05)


@settings(max_examples=40)
@given(st.integers(1, 2), st.booleans(), st.floats(12.0, 30.0), st.floats(0.0, 1.0), st.floats(400.0, 4000.0))
def test_that_the_clock_runs_forward_and_each_cup_is_empty_in_time(hands, degas, celsius, coat, container):
    pour = PourSettings(
        hands=hands, degas=degas, temperature_c=celsius, coat_mm=coat, container_ml=container, coat_cm2_per_min=500.0
    )
    project = replace(E1, pour=pour)
    times, found = silicone_timeline(project), silicone_pour(project)
    by_row: dict[str, float] = {}
    for step in times.steps:
        assert step.start_min >= by_row.get(step.row, 0.0) - 1e-9
        assert step.end_min >= step.start_min
        by_row[step.row] = step.end_min
    pours = [s for s in times.steps if s.what == "pour"]
    assert all(b.start_min >= a.end_min - 1e-9 for a, b in pairwise(pours))
    assert times.demold_min == pytest.approx(times.done_min + found.demold_min)
    if found.batching.count is not None:
        assert len(pours) == found.batching.count
        for step, clock in zip(pours, [c for c in times.clocks if c.row != "coat"], strict=True):
            assert step.end_min <= clock.empty_by_min + 1e-6


@settings(max_examples=40)
@given(st.booleans(), st.floats(1.0, 15.0), st.floats(0.5, 8.0), st.floats(0.5, 6.0), st.floats(1200.0, 4000.0))
def test_that_with_two_pairs_of_hands_no_cup_waits_and_nothing_waits_without_need(degas, vacuum, mix, rate, container):
    """A cup is poured as soon as it is ready; what keeps the next one back is the hands, the chamber or the pouring."""
    silicone = replace(E1.silicone, pot_life_min=60.0, mix_min=mix)
    pour = PourSettings(hands=2, degas=degas, degas_min=vacuum, pour_ml_per_s=rate, container_ml=container)
    steps = silicone_timeline(replace(E1, silicone=silicone, pour=pour)).steps
    cups = [{s.what: s for s in steps if s.row == f"batch {n}"} for n in range(1, 50)]
    cups = [cup for cup in cups if cup]
    for before, cup in pairwise(cups):
        ready = cup["degas" if degas else "mix"].end_min
        assert cup["pour"].start_min == pytest.approx(ready)
        assert cup["mix"].start_min == pytest.approx(cup["weigh"].end_min)
        slack = [cup["weigh"].start_min - before["mix"].end_min, cup["pour"].start_min - before["pour"].end_min]
        if degas:
            slack.append(cup["degas"].start_min - before["degas"].end_min)
        assert min(slack) == pytest.approx(0.0, abs=1e-9)


def test_that_resin_is_mixed_before_it_is_poured():
    found, times = resin_pour(E1), resin_timeline(E1)
    assert len(found.batches) > 1
    each = [FAST_URETHANE.mix_min + batch.fill_min for batch in found.batches]
    assert times.done_min == pytest.approx(math.fsum(each))
    assert times.demold_min == pytest.approx(math.fsum(each) + 10.0)
    for mixing, filling in zip(times.steps[::2], times.steps[1::2], strict=False):
        assert (mixing.what, filling.what) == ("mix", "fill")
        assert mixing.end_min - mixing.start_min == pytest.approx(FAST_URETHANE.mix_min)
        assert filling.start_min == pytest.approx(mixing.end_min)


def test_that_a_second_pair_of_hands_fills_the_mold_sooner():
    one = replace(E1, pour=PourSettings(degas=True))
    two = replace(E1, pour=PourSettings(degas=True, hands=2))
    assert silicone_timeline(two).done_min < silicone_timeline(one).done_min - 4.0


def test_that_a_box_out_of_shape_gives_no_negative_silicone():
    # a layout half made: all 48 parts still lie on one heap, and would displace more than the box holds
    heap = tuple(replace(c, x_mm=15.0, y_mm=15.0) for c in E1.cavities)
    tiny = replace(E1, box=replace(E1.box, shape=RectBox(30.0, 30.0)), cavities=heap)
    found = silicone_pour(tiny)
    assert found.batching.total_ml == 0.0
    assert found.batching.count == 0


@pytest.mark.parametrize(
    ("altitude", "mbar"), [(0, 1013.25), (1000, 898.7), (1609, 834.3), (2000, 795.0), (3000, 701.1)]
)
def test_that_the_barometer_falls_as_the_standard_atmosphere(altitude, mbar):
    # ISO 2533:1975 / ICAO standard atmosphere, table values from memory
    assert barometer_mbar(altitude) == pytest.approx(mbar, rel=2e-4)


@pytest.mark.parametrize(
    ("cp", "depth", "seconds", "rho", "radius"), [(2500, 20, 300, 1.14, 0.26), (100, 10, 60, 1.05, 0.09)]
)
def test_that_only_larger_bubbles_rise_in_time(cp, depth, seconds, rho, radius):
    # Stokes; worked example
    assert bubble_radius_mm(cp, depth, seconds, rho) == pytest.approx(radius, abs=0.005)


def test_that_a_kit_of_resin_gives_whole_cycles():
    pour = resin_pour(E1)
    # 500 g of A at 68.3 g a cycle are 7.3, 450 g of B at 61.5 g are 7.3
    assert cycles_of_a_kit(E1.resin, pour) == 7
    assert cycles_of_a_kit(replace(E1.resin, kit_b_g=61.0), pour) == 0
    assert cycles_of_a_kit(replace(E1.resin, kit_a_g=None), pour) is None
