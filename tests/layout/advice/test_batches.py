"""What the advice says of batches: the limit that asks for them, its remedy, nothing that leads round in circles."""

import re
from dataclasses import replace

import pytest

from layout.advice import advice
from layout.advice.saying import at_least_text
from layout.model import PourSettings, Severity
from layout.pour.silicone import silicone_pour
from layout.pour.timeline import silicone_timeline
from layout.units import Units
from tests.worked_example import grid_of_48

E1 = grid_of_48()


def _poured(**settings):
    return replace(E1, pour=PourSettings(**settings))


def _said(project, kind):
    return next((f for f in advice(project) if f.kind == kind), None)


def test_that_batches_made_by_the_container_ask_for_a_larger_container_alone():
    # 685.6 mL x 4 = 2742 mL: more than 2.5 L holds; the pot life would do for one batch
    said = _said(_poured(container_ml=2500.0), "silicone_batches")
    assert said.severity == Severity.WARN
    assert "take a container of at least 2.75 L" in said.detail
    for word in ("slower", "pot life", "cool", "degas", "hands"):
        assert word not in said.detail
    assert silicone_pour(_poured(container_ml=2750.0)).batching.count == 1


def test_that_batches_made_by_the_scale_ask_for_another_scale():
    said = _said(_poured(scale_limit_g=500.0, container_tare_g=60.0), "silicone_batches")
    assert "a scale that carries 842 g" in said.detail  # 781.6 + 60 g, rounded up
    assert "pot life" not in said.detail
    assert silicone_pour(_poured(scale_limit_g=842.0, container_tare_g=60.0)).batching.count == 1


def test_that_every_limit_in_the_way_of_one_batch_is_named():
    said = _said(_poured(container_ml=500.0, degas=True), "silicone_batches")
    assert "a container of at least 2.75 L, and do without degassing" in said.detail


@pytest.mark.parametrize("container_ml", [1.5, 20.0, 60.0, 80.0])
def test_that_a_container_that_pours_nothing_is_said_to_be_the_cause(container_ml):
    project = _poured(container_ml=container_ml)
    assert silicone_pour(project).batching.count is None
    said = _said(project, "small_container")
    assert said.severity == Severity.REFUSE
    assert f"A container of {container_ml:.1f} mL" in said.detail
    assert ("type" in said.detail) == (container_ml <= 20.0)
    assert not {"silicone_time", "headroom"} & {f.kind for f in advice(project)}
    assert "pot life" not in said.detail


def test_that_litres_are_hinted_at_where_they_were_meant():
    assert "If litres were meant, type 1.5l." in _said(_poured(container_ml=1.5), "small_container").detail


def test_that_small_cups_are_stopped_for_their_layers_and_for_what_stays_in_them():
    # 110 mL / 4 = 27.5 mL a cup, 20 of which stay: 89 cups
    project = _poured(container_ml=110.0)
    assert silicone_pour(project).batching.count == 89
    found = {f.kind: f for f in advice(project)}
    # 88 cups after the first, each 2 min to weigh, 2 to mix, 7.5 mL to pour at 240 mL/min; 20 mL stay in each of 89
    assert found["layers"].measured == pytest.approx(88 * (2 + 2 + 665.6 / 89 / 240), abs=0.01)
    assert found["cup_loss"].measured == pytest.approx(89 * 20.0)
    assert found["layers"].severity == Severity.REFUSE
    assert found["cup_loss"].severity == Severity.REFUSE
    for kind in ("layers", "cup_loss"):
        assert "ake a container of at least 2.75 L" in found[kind].detail


def test_that_what_stays_in_the_cups_counts_what_the_log_has_taught():
    # half as much again is used as is predicted: 30 mL stay in a cup, not 20
    project = _poured(container_ml=200.0, correction=1.5)
    count = silicone_pour(project).batching.count
    assert _said(project, "cup_loss").measured == pytest.approx(count * 30.0)


def test_that_a_volume_that_is_enough_is_never_rounded_down():
    # 99 mL are 3.348 US fluid ounces (of 29.5735 mL), 1001 mL 1.058 quarts (of 946.353 mL)
    assert at_least_text(99.0, Units("in")) == "99.0 mL (3.4 fl oz)"
    assert at_least_text(1001.0, Units("in")) == "1.01 L (1.1 qt)"


def test_that_the_age_of_the_first_layer_is_that_of_the_clock():
    project = _poured(container_ml=500.0)
    times = silicone_timeline(project)
    pours = [s for s in times.steps if s.what == "pour"]
    said = _said(project, "layers")
    assert len(pours) == 7
    # six cups after the first, each weighed in 2 min, mixed in 2 and poured at 240 mL/min
    assert pours[-1].end_min - pours[0].end_min == pytest.approx(6 * (2 + 2 + 665.6 / 7 / 240), abs=0.01)
    assert (said is None) == (pours[-1].end_min - pours[0].end_min <= 0.5 * silicone_pour(project).demold_min)


@pytest.mark.parametrize("units", [Units(), Units("in")])
@pytest.mark.parametrize("temperature_c", [20.0, 22.0, 24.0, 27.0, 30.0])
@pytest.mark.parametrize("degas", [False, True])
def test_that_no_temperature_is_advised_that_would_itself_be_warned_of(units, temperature_c, degas):
    project = replace(_poured(temperature_c=temperature_c, degas=degas), units=units)
    for finding in advice(project):
        for words in re.findall(r"cool A and B to (\d+) °([CF])", finding.detail):
            advised = float(words[0]) if words[1] == "C" else (float(words[0]) - 32) * 5 / 9
            assert advised < temperature_c
            cooled = replace(project, pour=replace(project.pour, temperature_c=advised))
            assert _said(cooled, "cold_parts") is None
            assert silicone_pour(cooled).batching.count == 1


@pytest.mark.parametrize("units", [Units(), Units("in")])
def test_that_parts_as_cool_as_advised_make_one_batch_whatever_the_pot_life(units):
    advised = 0
    for pot in (5.5, 6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0):
        slow = replace(E1.silicone, pot_life_min=pot)
        project = replace(_poured(temperature_c=30.0), silicone=slow, units=units)
        said = _said(project, "silicone_batches")
        for value, unit in re.findall(r"cool A and B to (\d+) °([CF])", said.detail if said else ""):
            celsius = float(value) if unit == "C" else (float(value) - 32) * 5 / 9
            assert (
                silicone_pour(replace(project, pour=replace(project.pour, temperature_c=celsius))).batching.count == 1
            )
            advised += 1
    assert advised >= 5


def test_that_old_silicone_is_counted_on_only_as_far_as_it_goes_in():
    some, much = silicone_pour(_poured(filler_ml=200.0)), silicone_pour(_poured(filler_ml=900.0))
    assert some.filler_ml == much.filler_ml < 200.0
    assert some.dose.mass_g == much.dose.mass_g > 700.0
    assert "only so much is counted on" in _said(_poured(filler_ml=200.0), "filler").detail


def test_that_a_bench_out_of_level_takes_a_wedge_of_silicone():
    # a wedge of L tan(2 deg) = 7.54 mm at its deep end over 215.9 x 182.7823 mm: half of 297.5 mL
    level = silicone_pour(_poured(level_deg=2.0)).volumes.level_ml
    assert level == pytest.approx(215.9 * 182.7823 * 215.9 * 0.0349208 / 2.0 / 1000.0, rel=1e-4)
    net = silicone_pour(_poured(level_deg=2.0)).volumes.net_ml
    assert net == pytest.approx(silicone_pour(E1).volumes.net_ml + level, abs=1e-6)


def test_that_a_small_batch_of_resin_is_not_told_to_be_larger_than_can_be_poured():
    # at 35 deg C 15 g of resin are poured before they set
    hot = _said(_poured(temperature_c=35.0), "small_batch").detail
    assert "no more than" in hot
    assert "cast two molds" not in hot
    # 24 cavities from one cup of 36: a second mold would not be filled in time, a small one is
    assert "cast two" not in _said(E1, "small_batch").detail
    assert "mix 85 g and have a small mold ready" in _said(E1, "small_batch").detail
    few = replace(E1, cavities=E1.cavities[:12])
    assert "cast two molds from one cup" in _said(few, "small_batch").detail


def test_that_a_coarse_scale_is_told_what_would_be_fine_enough():
    coarse = _poured(scale_step_g=1.0)
    said = _said(coarse, "scale_step").detail
    # half of 129.9 g at 100:90 is 30.8 g of B, and 1 % of it 0.308 g: scales are sold with steps of 0.2 g
    assert "0.2 g or finer" in said
    assert "cures weakly" not in said
    assert _said(coarse, "small_batch").required == 85.0
    assert _said(_poured(scale_step_g=0.3), "scale_step") is None


def test_that_the_coat_is_split_in_as_many_cups_as_it_takes():
    said = _said(_poured(coat_mm=0.3), "coat_time").detail
    cups = int(re.search(r"in (\d+) cups", said)[1])
    coat = silicone_pour(_poured(coat_mm=0.3)).coat
    brushes = 0.75 * 7.0 - 2.0
    assert (cups - 1) * brushes < coat.brush_min <= cups * brushes


def test_that_a_container_advised_for_degassing_leaves_room_for_the_foam():
    # with a headroom of 1.5 typed: 1.5 times the batch would be stopped for its foam at once
    project = _poured(degas=True, container_ml=700.0, headroom=1.5)
    said = _said(project, "silicone_batches").detail
    assert "a container of at least 2.75 L" in said


def test_that_nobody_is_told_to_bring_the_hands_that_are_there():
    # resin on a hot day; silicone degassed, where the second pair mixes while the first waits for the chamber
    for kind, bench in (("cavities_per_batch", {"temperature_c": 34.0}), ("silicone_batches", {"degas": True})):
        alone, two = (_said(_poured(hands=hands, **bench), kind).detail for hands in (1, 2))
        assert "second pair of hands" in alone
        assert "second pair of hands" not in two


def test_that_no_room_for_old_silicone_is_said_so():
    flat = replace(E1, rules=replace(E1.rules, floor_mm=6.35), pour=PourSettings(filler_ml=50.0, filler_cover_mm=12.0))
    assert silicone_pour(flat).filler_ml == 0.0
    assert "there is no room for it" in _said(flat, "filler").detail
