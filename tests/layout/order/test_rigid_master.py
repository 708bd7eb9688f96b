"""The tray: the worked numbers of the running example, and closed forms."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.advice.mold import mold_advice
from layout.advice.resin import resin_advice
from layout.box.bulge import uplifts
from layout.box.estimates import estimate_lines
from layout.checks import is_legal
from layout.errors import BadValueError
from layout.materials import built_in
from layout.model import FAST_URETHANE, Box, Project, RoundBox
from layout.order.rigid_master import (
    LAYER_MM,
    LEAST_POT_LIFE_MIN,
    lift_g,
    rigid_master,
    steps,
    tray_project,
    tray_resin,
)
from layout.order.tray_checks import tray_findings, tray_time
from layout.pour.resin import resin_pour
from layout.shop import RigidSettings
from layout.volumes import volumes
from layout.wording import message
from tests.layout.order.bolt_heads import bolt_heads


def test_that_the_tray_of_the_bolt_heads_takes_the_worked_resin() -> None:
    # gap 12.7, freeboard 9.525, back 9.525, density 1.1; worked by hand for the 8 x 6 layout
    tray = rigid_master(bolt_heads())
    assert tray.resin_ml == pytest.approx(895.3, abs=0.05)
    assert tray.mass_g == pytest.approx(984.9, abs=0.06)
    assert tray.outer_mm == pytest.approx((241.3, 208.2, 37.9), abs=0.05)
    assert tray.silicone_per_mold_ml == pytest.approx(633.9, abs=0.05)
    assert tray.layers == 4


def test_that_the_tray_without_a_pad_takes_the_worked_resin() -> None:
    assert rigid_master(bolt_heads(), RigidSettings(freeboard_mm=0.0)).resin_ml == pytest.approx(793, abs=0.5)


@given(st.floats(0.0, 10.0), st.floats(3.0, 20.0), st.floats(0.0, 20.0), st.floats(3.0, 20.0))
def test_that_a_leaning_block_matches_the_integral_over_its_height(
    draft: float, gap: float, freeboard: float, back: float
) -> None:
    project = bolt_heads(3, 2)
    tray = rigid_master(project, RigidSettings(gap, back, freeboard, draft))
    height = tray.outer_mm[2] - back
    length, width = tray.block_rim_mm
    n, lean = 2000, math.tan(math.radians(draft))
    slices = ((i + 0.5) * height / n for i in range(n))
    block = math.fsum((length + 2 * lean * z) * (width + 2 * lean * z) for z in slices) * height / n / 1000
    outside = math.prod(tray.outer_mm) / 1000
    assert tray.resin_ml == pytest.approx(outside - block + volumes(project).masters_ml, rel=1e-5)
    assert tray.outer_mm[0] - tray.block_back_mm[0] == pytest.approx(2 * gap)


def test_that_a_round_block_with_draft_is_a_cone_frustum() -> None:
    # textbook: frustum pi h (R2 + R r + r2) / 3
    project = Project("puck", Box(RoundBox(80.0)), bolt_heads().masters)
    tray = rigid_master(project, RigidSettings(draft_deg=3.0))
    h = tray.outer_mm[2] - 9.525
    r, big = 40.0, 40.0 + h * math.tan(math.radians(3.0))
    assert tray.block_ml == pytest.approx(math.pi * h * (big * big + big * r + r * r) / 3000, rel=1e-12)


def test_that_the_tray_is_a_legal_layout_whose_parts_add_up_to_its_box() -> None:
    tray = tray_project(bolt_heads(), RigidSettings(draft_deg=2.0))
    assert is_legal(tray)
    assert volumes(tray).net_ml + volumes(tray).masters_ml == pytest.approx(volumes(tray).box_ml)


def test_that_the_steps_ask_for_the_test_patch_before_the_first_pour() -> None:
    project = bolt_heads()
    said = steps(project, rigid_master(project))
    patch = next(i for i, s in enumerate(said) if s.startswith("Test patch"))
    pour = next(i for i, s in enumerate(said) if "633" in s or "634" in s)
    assert patch < pour
    assert not any("safe" in s.lower() for s in said)


@pytest.mark.parametrize(
    "bad",
    [{"gap_mm": 0.0}, {"back_mm": -1.0}, {"freeboard_mm": math.nan}, {"draft_deg": 45.0}, {"draft_deg": math.nan}],
)
def test_that_a_tray_that_cannot_be_made_is_refused(bad: dict[str, float]) -> None:
    with pytest.raises(BadValueError):
        rigid_master(bolt_heads(2, 2), replace(RigidSettings(), **bad))


def test_that_a_resin_of_two_minutes_is_warned_of_and_cannot_be_poured_in_one() -> None:
    # worked by hand: 895 mL of a 2 min resin gels in the cup; 15 min at that mass is asked for
    project = replace(bolt_heads(), tray_resin=FAST_URETHANE)
    tray = rigid_master(project)
    time = tray_time(project, tray)
    assert time.pot_life_min < 2.0
    # 5 x 179 mL: pot life 2 (100 / 187)^0.2 = 1.76 min, so (0.75 x 1.76 - 0.5) x 240 = 197 mL; 4 x 224 mL: 183 mL
    assert time.batches == 5
    kinds = {f.kind: f.severity for f in tray_findings(project, tray)}
    assert kinds["tray_pot_life"] == "warn"
    assert kinds["tray_time"] == "warn"


def test_that_the_slow_resin_is_poured_in_one_and_the_test_patch_is_always_asked_for() -> None:
    project = bolt_heads()
    tray = rigid_master(project)
    assert tray_time(project, tray).batches == 1
    # 895.3 mL at 4 mL/s are 3.73 min, after the mixing
    assert tray_time(project, tray).needed_min == pytest.approx(tray_resin(project).mix_min + 3.73, abs=0.01)
    assert tray_time(project, tray).pot_life_min == pytest.approx(30 * (100 / tray.mass_g) ** 0.2)
    kinds = {f.kind for f in tray_findings(project, tray, RigidSettings(draft_deg=3.0))}
    assert kinds == {"tray_heat", "tray_caution", "tray_inhibition"}


def test_that_a_drafted_tray_names_its_bevelled_pad_with_both_its_sizes() -> None:
    project = bolt_heads()
    settings = RigidSettings(draft_deg=3.0)
    tray = rigid_master(project, settings)
    lean = math.tan(math.radians(3.0))
    # the block widens over the pour height of 18.875 mm, the pad over its own 9.525 mm
    assert tray.pad_top_mm[0] == pytest.approx(215.9 + 2 * lean * 18.875, abs=0.01)
    assert tray.pad_bottom_mm[0] - tray.pad_top_mm[0] == pytest.approx(2 * lean * 9.525, abs=1e-6)
    assert tray.outer_mm[0] == pytest.approx(tray.pad_bottom_mm[0] + 2 * 12.7)
    lay = steps(project, tray, settings)[2]
    assert "bevelled" in lay
    assert f"{tray.pad_top_mm[0]:.1f} mm x {tray.pad_top_mm[1]:.1f} mm on top" in lay
    assert f"{tray.pad_bottom_mm[0]:.1f} mm x {tray.pad_bottom_mm[1]:.1f} mm at the bottom" in lay
    straight = RigidSettings()
    assert "bevelled" not in " ".join(steps(project, rigid_master(project, straight), straight))


@pytest.mark.parametrize("freeboard", [0.0, 9.525])
def test_that_the_layers_of_a_step_and_of_the_caution_are_the_same_and_add_up(freeboard: float) -> None:
    project = replace(bolt_heads(), order=replace(bolt_heads().order, rigid=RigidSettings(freeboard_mm=freeboard)))
    tray = rigid_master(project)
    said = f"{tray.layers} layers of {tray.layer_mm:.1f} mm"
    assert tray.layers * tray.layer_mm == pytest.approx(tray.outer_mm[2])
    assert tray.layer_mm <= LAYER_MM
    assert any(said in step for step in steps(project, tray))
    assert said in next(f for f in tray_findings(project, tray) if f.kind == "tray_heat").detail


def test_that_the_usual_resin_is_on_the_list_and_has_the_pot_life_a_tray_asks_for() -> None:
    project = bolt_heads()
    resin = tray_resin(project)
    assert resin in built_in().resins
    assert tray_time(project, rigid_master(project)).pot_life_min >= LEAST_POT_LIFE_MIN


def test_that_the_block_floats_by_what_the_resin_weighs_more_than_its_silicone() -> None:
    # by hand: 215.9 x 182.78 x (18.875 + 9.525) less 48 parts is 1009.8 mL of 1.10 g/mL resin pushed away; the mold is
    # 633.9 mL of 1.10 g/mL silicone, the pad weighs nothing
    project = bolt_heads()
    tray = rigid_master(project)
    assert lift_g(project, tray) == pytest.approx((1009.8 - 633.9) * 1.1, abs=1.0)
    box = tray_project(project)
    (up,) = uplifts(box)
    assert up.force_n / 9.80665 * 1000 == pytest.approx(lift_g(project, tray), rel=1e-3)


def test_that_nothing_is_cast_in_the_place_of_the_block() -> None:
    box = tray_project(bolt_heads())
    assert resin_pour(box).per_cycle_ml == 0.0
    assert not any(f.kind == "resin_time" for f in resin_advice(box))


def test_that_a_round_tray_is_called_round() -> None:
    project = replace(bolt_heads(2, 2), box=Box(RoundBox(100.0)))
    said = " ".join(steps(project, rigid_master(project)))
    assert "125.4 mm across, round" in said
    assert " x " not in said


def test_that_what_is_said_of_the_trays_box_speaks_of_resin() -> None:
    box = tray_project(bolt_heads())
    said = " ".join([*estimate_lines(box), *(message(f, box.units) for f in mold_advice(box))])
    assert "silicone" not in said
    assert "before the resin sets" in said
    soft = " ".join(estimate_lines(bolt_heads()))
    assert "before the silicone sets" in soft


def test_that_the_lift_is_the_resin_pushed_away_less_the_silicone() -> None:
    # worked by hand: 215.9 x 182.78 x 28.4 mm less 48 parts of 2.3114 mL, in resin of 1.10 g/mL, over 633.9 mL of
    # silicone of 1.10 g/mL; of 1.60 g/mL it sinks
    project = bolt_heads()
    pushed_ml = 215.9 * 182.7823 * 28.4 / 1000 - 48 * 2.3114
    assert lift_g(project, rigid_master(project)) == pytest.approx((pushed_ml - 633.9) * 1.1, rel=1e-3)
    heavy = replace(project, silicone=replace(project.silicone, a_g_per_ml=1.4, b_g_per_ml=1.4))
    assert lift_g(heavy, rigid_master(heavy)) == pytest.approx(pushed_ml * 1.1 - 633.9 * 1.4, rel=1e-3)
    filled = replace(project, silicone=replace(project.silicone, a_g_per_ml=1.8, b_g_per_ml=1.8))
    assert lift_g(filled, rigid_master(filled)) == 0.0


def test_that_the_strips_of_a_drafted_tray_are_as_thick_as_the_pour_leans() -> None:
    # worked by hand: 18.875 mm of pour at 3 degrees lean by 0.989 mm
    tray = rigid_master(bolt_heads(), RigidSettings(draft_deg=3.0))
    assert tray.strip_mm == pytest.approx(0.9892, abs=5e-5)
