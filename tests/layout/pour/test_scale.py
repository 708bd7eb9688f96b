"""Readings that a scale can show, and batches that go into the cup and onto the scale."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.advice import advice
from layout.documents.pour_sheet.content import grams, sheet_content
from layout.model import PourSettings, Severity, SmallMold
from layout.pour.mixing import mixed_g_per_ml
from layout.pour.resin import RESIN_HEADROOM, resin_pour
from layout.pour.scale import readings_g
from tests.worked_example import grid_of_48

E1 = grid_of_48()


def _poured(**settings):
    return replace(E1, pour=PourSettings(**settings))


@given(a=st.floats(20, 900), ratio=st.floats(0.1, 10), step=st.sampled_from([0.1, 0.5, 1.0, 2.0, 5.0]))
def test_that_readings_stand_on_the_scale_hold_enough_and_keep_the_ratio(a, ratio, step):
    b = a * ratio
    first, whole = readings_g((a, b), step)
    assert first / step == pytest.approx(round(first / step), abs=1e-6)
    assert whole / step == pytest.approx(round(whole / step), abs=1e-6)
    assert first >= a - 1e-9
    assert whole >= a + b - step / 2 - 1e-6
    # half a step is all that B may be off its ratio
    assert abs((whole - first) - first * ratio) <= step / 2 + 1e-6


@given(n=st.integers(1, 4000), step=st.sampled_from([0.001, 0.01, 0.02, 0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 2.5, 5.0]))
def test_that_a_reading_is_printed_as_the_scale_shows_it(n, step):
    assert float(grams(n * step, step)) == pytest.approx(n * step, abs=1e-9)


def test_that_an_unknown_step_rounds_nothing():
    assert readings_g((44.63, 40.17), None) == (44.63, pytest.approx(84.80))


def test_that_colour_has_a_reading_of_its_own_before_part_b():
    # 3 % of A and B: 24 cavities take 65 g; see resin_dose for the room the paste takes
    content = sheet_content(_poured(pigment_pct=3.0), ())
    names = [name for name, _ in content.resin[0].readings]
    a, coloured, whole = (value for _, value in content.resin[0].readings)
    dose = resin_pour(_poured(pigment_pct=3.0)).batches[0].dose
    assert names == ["A", "+ colour", "+ B"]
    assert coloured - a == pytest.approx(0.03 * (dose.a_g + dose.b_g), rel=1e-9)
    assert whole == pytest.approx(dose.mass_g, rel=1e-12)
    assert f"colour {dose.pigment_g:.2f} g, about {dose.pigment_g / 0.04:.0f} drops" in content.resin[0].note


@pytest.mark.parametrize("settings", [{"container_ml": 30.0}, {"scale_limit_g": 40.0, "container_tare_g": 12.0}])
def test_that_resin_is_split_to_the_cup_and_the_scale_and_says_so(settings):
    project = _poured(**settings)
    pour = resin_pour(project)
    most = 30.0 / RESIN_HEADROOM * mixed_g_per_ml(project.resin) if "container_ml" in settings else 28.0
    assert pour.in_time == 2
    assert len(pour.batches) > 2
    assert max(b.dose.mass_g for b in pour.batches) <= most * (1 + 1e-9)
    assert sum(b.dose.mass_g for b in pour.batches) == pytest.approx(pour.dose.mass_g, rel=1e-12)
    assert [i for b in pour.batches for i in b.cavities] == [i for b in resin_pour(E1).batches for i in b.cavities]
    (said,) = [f for f in advice(project) if f.kind == "resin_cups"]
    assert said.severity == Severity.WARN
    assert f"{len(pour.batches)} batches of resin" in said.detail
    larger = {"container_ml": 500.0} if "container_ml" in settings else {"scale_limit_g": 90.0}
    assert len(resin_pour(_poured(**{**settings, **larger})).batches) == 2


@pytest.mark.parametrize("as_b", [False, True])
def test_that_colour_counts_in_the_cup_and_on_the_scale(as_b):
    """25 % of a paste as dense as 1.1 g/mL in a resin of 1.045 g/mL: the scale and the cup see the paste too."""
    colour = {"pigment_pct": 20.0, "pigment_counts_as_b": as_b}
    for settings in ({"container_ml": 30.0}, {"scale_limit_g": 40.0, "container_tare_g": 12.0}):
        for batch in resin_pour(_poured(**settings, **colour)).batches:
            assert batch.dose.volume_ml * RESIN_HEADROOM <= 30.0 * (1 + 1e-9) or "container_ml" not in settings
            assert batch.dose.mass_g <= 28.0 * (1 + 1e-9) or "scale_limit_g" not in settings


def test_that_a_cup_smaller_than_a_cavity_is_the_cause_and_not_the_resin():
    big = replace(E1, masters=(replace(E1.masters[0], volume_ml=25.0),), pour=PourSettings(container_ml=30.0))
    kinds = {f.kind: f for f in advice(big)}
    assert resin_pour(big).batches == ()
    assert kinds["resin_cups"].severity == Severity.REFUSE
    assert "that leaves 20.9 g for resin. Take a larger container." in kinds["resin_cups"].detail
    assert "resin_time" not in kinds


def test_that_a_kit_emptied_to_the_last_gram_is_warned_of():
    # 377.1 and 404.5 g are poured: a kit of 380 + 412 g leaves 2.9 g of A, under 3 %; one of 450 + 450 g leaves plenty
    assert "kit_tight" in {f.kind for f in advice(grid_of_48(kit=",kit=380+412g"))}
    assert "kit_tight" not in {f.kind for f in advice(E1)}


def test_that_a_time_nobody_typed_is_marked_as_a_guess():
    facts = dict(sheet_content(E1, ()).facts)
    assert facts["Pot life today"].endswith("(assumed)")
    assert facts["Demold after"].endswith("(assumed)")
    typed = grid_of_48(mix="a=1.10,b=1.18,ratio=1:1v,pot=7@75F,demold=60")
    assert "assumed" not in "".join(dict(sheet_content(typed, ()).facts).values())
    (said,) = [f for f in advice(E1) if f.kind == "assumed_numbers"]
    assert said.severity == Severity.WARN


def test_that_a_mix_typed_without_a_name_is_called_by_its_ratio():
    assert dict(sheet_content(E1, ()).facts)["Silicone"] == "silicone 1:1 by volume, as typed"


def test_that_each_small_mold_is_named_with_what_is_left():
    molds = (SmallMold("knob", 40.0), SmallMold("tray", 90.0))
    # 77.1 mL are left of the kit
    facts = dict(sheet_content(_poured(small_molds=molds), ()).facts)
    assert facts["Left-over"] == "77.1 mL, fills knob (40.0 mL); not tray (90.0 mL)"
    facts = dict(sheet_content(_poured(small_molds=molds[1:]), ()).facts)
    assert facts["Left-over"] == "77.1 mL, too little for tray (90.0 mL)"
