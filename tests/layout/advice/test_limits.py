"""Each row of the table of limits, on both sides of each of its thresholds. Limits: common practice, no source."""

import re
from dataclasses import replace

import pytest

from layout import edits
from layout.advice import advice, deadline_finding, layout_advice
from layout.advice.mold import undercut_refused_from
from layout.errors import BadValueError, UnknownNameError
from layout.limits import TABLE, changed_limit, limit
from layout.materials import parse_mix
from layout.model import LogEntry, OutlineBox, PourSettings, RectBox, Severity
from layout.pour.silicone import silicone_pour
from layout.units import Units
from tests.worked_example import grid_of_48

WARN, REFUSE, INFO = Severity.WARN, Severity.REFUSE, Severity.INFO


def _said(project, kind, today=""):
    found = [f for f in advice(project, today) if f.kind == kind]
    assert len(found) <= 1 or kind == "bulge"
    return found[0] if found else None


def _severity(project, kind, today=""):
    found = _said(project, kind, today)
    return found.severity if found else None


@pytest.fixture(scope="module")
def e1():
    return grid_of_48()


def _poured(project, **settings):
    return replace(project, pour=PourSettings(**settings))


def test_that_every_piece_of_advice_is_a_whole_sentence_with_a_remedy(e1):
    project = _poured(e1, temperature_c=36.0, degas=True, absolute_mbar=80.0, container_ml=700.0, humidity_pct=80.0)
    found = advice(project)
    assert found
    for finding in found:
        assert finding.detail[0].isupper() or finding.detail[0].isdigit() or ":" in finding.detail
        assert finding.detail.endswith(".")
        assert "  " not in finding.detail
        assert "nan" not in finding.detail
    assert [f.severity for f in found] == sorted((f.severity for f in found), key=[REFUSE, WARN, INFO].index)


def test_that_an_empty_box_is_given_no_advice(e1):
    (said,) = advice(replace(e1, cavities=()))
    assert (said.kind, said.severity) == ("no_cavities", WARN)


@pytest.mark.parametrize(
    ("celsius", "cold", "warm"),
    [(14.9, REFUSE, None), (15.0, WARN, None), (19.9, WARN, None), (20.0, None, None), (26.0, None, None),
     (26.1, None, WARN), (35.0, None, WARN), (35.1, None, REFUSE)],
)  # fmt: skip
def test_that_parts_must_be_at_room_temperature(e1, celsius, cold, warm):
    project = _poured(e1, temperature_c=celsius)
    assert (_severity(project, "cold_parts"), _severity(project, "warm_parts")) == (cold, warm)


@pytest.mark.parametrize(("mbar", "severity"), [(30.0, None), (35.0, None), (36.0, WARN), (60.0, WARN), (61.0, REFUSE)])
def test_that_a_weak_vacuum_is_worse_than_none(e1, mbar, severity):
    assert _severity(_poured(e1, degas=True, absolute_mbar=mbar), "vacuum") == severity
    assert _severity(_poured(e1, degas=False, absolute_mbar=mbar), "vacuum") is None


def test_that_a_gauge_is_read_with_the_altitude(e1):
    # at 1609 m the barometer is 834 mbar = 24.6 inHg (standard atmosphere): a gauge can never show 29
    said = _said(_poured(e1, degas=True, altitude_m=1609.0), "vacuum")
    assert said.severity == INFO
    assert "23.6 inHg" in said.detail
    assert "never pass 24.6" in said.detail


@pytest.mark.parametrize(
    ("percent", "severity"), [(None, None), (50.0, None), (51.0, WARN), (65.0, WARN), (66.0, REFUSE)]
)
def test_that_urethane_foams_in_damp_weather(e1, percent, severity):
    assert _severity(_poured(e1, humidity_pct=percent), "humidity") == severity
    epoxy = replace(_poured(e1, humidity_pct=percent), resin=parse_mix("slow epoxy", "", "resin"))
    assert _severity(epoxy, "humidity") is None


def test_that_silicone_foams_more_in_damp_weather(e1):
    assert _severity(_poured(e1, humidity_pct=70.0, degas=True), "damp_degassing") == WARN
    assert _severity(_poured(e1, humidity_pct=70.0), "damp_degassing") is None


@pytest.mark.parametrize(
    ("headroom", "degas", "severity"),
    [(4.0, True, None), (3.5, True, WARN), (3.0, True, WARN), (2.9, True, REFUSE),
     (4.0, False, None), (3.0, False, WARN), (2.0, False, WARN), (1.5, False, WARN), (1.4, False, REFUSE)],
)  # fmt: skip
def test_that_foam_needs_room_in_the_container(e1, headroom, degas, severity):
    slow = replace(e1, silicone=parse_mix("standard platinum", "", "silicone"))
    batch = silicone_pour(slow).batching.per_batch_ml
    project = _poured(slow, container_ml=batch * headroom, headroom=headroom * 0.999, degas=degas)
    assert _severity(project, "headroom") == severity


@pytest.mark.parametrize(("pot", "severity"), [(8.0, None), (7.9, WARN), (6.37, WARN), (6.35, "batches")])
def test_that_a_pour_must_fit_its_pot_life(e1, pot, severity):
    # 2 min and 665.6 mL at 4 mL/s (20 of the 685.6 stay in the cup) are 4.773 min: 0.6 of 7.956 min, 0.75 of 6.365
    mix = parse_mix(f"a=1.10,b=1.18,ratio=1:1v,pot={pot}@75F", "", "silicone")
    project = replace(e1, silicone=mix)
    if severity == "batches":
        assert _severity(project, "silicone_batches") == WARN
    else:
        assert _severity(project, "silicone_time") == severity


def test_that_a_pour_that_no_number_of_batches_saves_is_refused_with_the_ways_out(e1):
    said = _said(_poured(e1, temperature_c=34.0, degas=True), "silicone_time")
    assert said.severity == REFUSE
    assert "without degassing" not in said.detail
    assert "pot life" in said.detail
    assert said.measured > said.required


def test_that_batches_come_with_what_would_make_one_fit(e1):
    said = _said(_poured(e1, degas=True), "silicone_batches")
    assert "do without degassing" in said.detail
    assert "second pair of hands" in said.detail
    assert "standard platinum" in said.detail


@pytest.mark.parametrize(("hands", "severity"), [(1, REFUSE), (2, WARN)])
def test_that_twice_the_cavities_of_a_batch_ask_for_a_second_pair_of_hands(e1, hands, severity):
    # on a 30 deg C day one batch fills 17 of 48: 2.8
    assert _severity(_poured(e1, temperature_c=30.0, hands=hands), "cavities_per_batch") == severity


def test_that_a_few_more_cavities_than_a_batch_are_split(e1):
    assert _severity(e1, "cavities_per_batch") == WARN
    few = edits.remove_cavities(e1, [c.id for c in e1.cavities[36:]])
    assert _severity(few, "cavities_per_batch") is None


def test_that_resin_too_fast_for_one_cavity_is_refused(e1):
    fast = parse_mix("a=1.1,b=1.1,ratio=1:1v,pot=30s,mix=30s,demold=10", "", "resin")
    assert _severity(replace(e1, resin=fast), "resin_time") == REFUSE


def _with_walls(project, wall, height):
    masters = (replace(project.masters[0], height_mm=height),)
    first, second = project.cavities[:2]
    second = replace(second, x_mm=first.x_mm + 19.05 + wall)
    return replace(project, masters=masters, cavities=(first, second), rules=replace(project.rules, wall_mm=3.2))


@pytest.mark.parametrize(
    ("wall", "severity"), [(6.35, None), (6.35 - 9e-7, None), (6.3, WARN), (3.2, WARN), (3.0, WARN)]
)
def test_that_a_narrow_wall_is_only_warned_of_since_the_rule_is_the_projects_own(e1, wall, severity):
    assert _severity(_with_walls(e1, wall, 9.0), "narrow_web") == severity


@pytest.mark.parametrize(("height", "severity"), [(25.3, None), (25.5, WARN), (28.9, WARN), (29.1, REFUSE)])
def test_that_a_tall_wall_falls_over(e1, height, severity):
    # H_max(6.35 mm, 20A) = 25.4 mm; a wall of 0.8 w_flop is one for H / 0.8^0.6 = 29.0 mm
    twenty = parse_mix("a=1.10,b=1.18,ratio=1:1v,shore=20", "", "silicone")
    said = _said(replace(_with_walls(e1, 6.35, height), silicone=twenty), "tall_web")
    assert (said.severity if said else None) == severity
    if said:
        assert said.measured == pytest.approx(6.35)
        assert said.required > 6.35
        assert said.segment is not None


def test_that_the_lower_of_two_cavities_decides_how_tall_their_wall_is(e1):
    low = e1.masters[0]
    tall = replace(low, id="tall", height_mm=60.0)
    first, second = e1.cavities[:2]
    project = replace(e1, masters=(low, tall), cavities=(first, replace(second, master="tall")))
    assert _severity(project, "tall_web") is None


@pytest.mark.parametrize(
    ("floor", "kind", "severity"),
    [(3.1, "thin_floor", REFUSE), (3.2, "thin_floor", WARN), (6.3, "thin_floor", WARN), (6.35, "thin_floor", None),
     (12.7, "thick_floor", None), (12.8, "thick_floor", INFO)],
)  # fmt: skip
def test_that_a_floor_is_neither_thin_nor_thick(e1, floor, kind, severity):
    assert _severity(replace(e1, rules=replace(e1.rules, floor_mm=floor)), kind) == severity


def test_that_a_bench_out_of_level_asks_for_a_thicker_floor(e1):
    # 216 mm at 0.5 deg are 1.9 mm: worked example; the floor must be 3 mm more
    project = _poured(e1, level_deg=0.5)
    assert _severity(project, "thin_floor") is None
    said = _said(replace(_poured(e1, level_deg=1.0), rules=replace(e1.rules, floor_mm=6.5)), "thin_floor")
    assert said.severity == REFUSE
    assert said.required == pytest.approx(3.77 + 3.0, abs=0.01)


@pytest.mark.parametrize(
    ("shore", "strain", "severity"),
    [(30, 0.10, INFO), (30, 0.11, WARN), (30, 0.30, WARN), (30, 0.31, REFUSE), (40, 0.31, REFUSE),
     (15, 0.60, WARN), (15, 0.61, REFUSE), (10, 0.61, REFUSE), (22.5, 0.45, WARN), (22.5, 0.46, REFUSE),
     (20, 0.0, None)],
)  # fmt: skip
def test_that_an_undercut_is_judged_by_the_hardness(e1, shore, strain, severity):
    mix = parse_mix(f"a=1.10,b=1.18,ratio=1:1v,shore={shore}", "", "silicone")
    project = replace(e1, silicone=mix, masters=(replace(e1.masters[0], undercut=strain),))
    assert _severity(project, "undercut") == severity


def test_that_the_undercut_refused_falls_on_a_straight_line(e1):
    mix = parse_mix("a=1.10,b=1.18,ratio=1:1v,shore=20", "", "silicone")
    assert undercut_refused_from(replace(e1, silicone=mix)) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("second", "severity"), [(1.0, None), (1.019, None), (1.03, WARN), (1.06, REFUSE), (0.97, WARN)]
)
def test_that_two_ways_to_measure_a_volume_must_agree(e1, second, severity):
    master = replace(e1.masters[0], second_volume_ml=e1.masters[0].volume_ml * second)
    assert _severity(replace(e1, masters=(master,)), "two_volumes") == severity


@pytest.mark.parametrize(("length", "severity"), [(290.0, None), (301.0, WARN)])
def test_that_a_large_block_is_warned_of(e1, length, severity):
    box = replace(e1.box, shape=RectBox(length, 182.7823))
    assert _severity(replace(e1, box=box), "block_size") == severity


def test_that_a_heavy_block_is_warned_of(e1):
    box = replace(e1.box, shape=RectBox(299.0, 299.0))
    assert _severity(replace(e1, box=box), "block_mass") is None
    thick = replace(e1, box=box, rules=replace(e1.rules, floor_mm=30.0))
    assert _severity(thick, "block_mass") == WARN


def test_that_a_side_that_bulges_is_warned_of_when_braces_hold_it_and_refused_when_none_can(e1):
    # 75 x 300 mm of foam board bulge 1.4 mm: worked example
    box = replace(e1.box, shape=RectBox(299.0, 182.7823))
    deep = replace(e1, box=box, rules=replace(e1.rules, floor_mm=55.0))
    assert _severity(deep, "bulge") == WARN
    assert "brace it" in _said(deep, "bulge").detail
    assert _severity(e1, "bulge") is None
    outline = OutlineBox(((0, 0), (215.9, 0), (215.9, 182.7823), (0, 182.7823)))
    assert _severity(replace(e1, box=replace(e1.box, shape=outline)), "bulge") is None


@pytest.mark.parametrize(("casts", "severity"), [(31, None), (32, None), (33, WARN), (40, WARN), (41, REFUSE)])
def test_that_a_worn_mold_is_warned_of(e1, casts, severity):
    log = tuple(LogEntry("2026-01-01", "cast", "1", good=48) for _ in range(casts))
    assert _severity(replace(e1, log=log), "mold_life") == severity
    retired = (*log, LogEntry("2026-01-02", "cast", "1", retired=True))
    assert _severity(replace(e1, log=retired), "mold_life") is None


@pytest.mark.parametrize(("slack", "severity"), [(2.0, None), (1.9, WARN), (0.0, WARN), (-0.1, REFUSE)])
def test_that_a_date_leaves_time_for_one_more_mold(e1, slack, severity):
    found = deadline_finding(e1, slack, 2.0)
    assert (found.severity if found else None) == severity


def test_that_an_old_lot_is_named(e1):
    silicone = replace(e1.silicone, opened="2026-01-10", keeps_days=180, lot="S-17")
    project = replace(e1, silicone=silicone)
    assert _severity(project, "old_lot", "2026-07-09") is None
    said = _said(project, "old_lot", "2026-07-10")
    assert said.severity == WARN
    assert "S-17" in said.detail
    assert _severity(project, "old_lot") is None
    # no calendar reaches so far
    for_ever = replace(e1, silicone=replace(silicone, keeps_days=10**9))
    assert _severity(for_ever, "old_lot", "2026-07-10") is None


def test_that_a_coarse_scale_is_named(e1):
    # 1 % of the smaller part; the smallest here is B of a resin batch of 24 cavities, 30.8 g
    assert _severity(_poured(e1, scale_step_g=0.3), "scale_step") is None
    assert _severity(_poured(e1, scale_step_g=0.4), "scale_step") == WARN


def test_that_gear_too_small_is_named_with_its_size(e1):
    said = _said(_poured(e1, pressure_pot_diameter_mm=250.0), "gear_too_small")
    # the circle round 215.9 x 182.78 is 282.9 mm across
    assert said.measured == pytest.approx(282.88, abs=0.01)
    assert said.severity == WARN
    assert _said(_poured(e1, pressure_pot_diameter_mm=283.0), "gear_too_small") is None
    can = {"container_diameter_mm": 180.0, "container_height_mm": 200.0, "chamber_diameter_mm": 240.0}
    assert _said(_poured(e1, degas=True, **can), "gear_too_small") is None
    assert _said(_poured(e1, degas=True, chamber_height_mm=150.0, **can), "gear_too_small").severity == WARN


def test_that_pigment_above_the_makers_limit_is_warned_of(e1):
    assert _severity(_poured(e1, pigment_pct=3.0), "pigment") is None
    assert _severity(_poured(e1, pigment_pct=3.5), "pigment") == WARN
    assert _severity(_poured(e1, pigment_drops=80.0), "pigment") == WARN


def test_that_thick_silicone_asks_for_degassing_and_thin_one_does_not(e1):
    thick = replace(e1, silicone=parse_mix("firm platinum", "", "silicone"))
    assert _severity(thick, "degas_needed") == WARN
    assert _severity(_with_degas(thick), "degas_needed") is None
    thin = _with_degas(replace(e1, silicone=parse_mix("fast platinum", "", "silicone")))
    assert _severity(thin, "degas_not_needed") == INFO


def _with_degas(project):
    return replace(project, pour=PourSettings(degas=True))


def test_that_ratios_by_weight_and_volume_are_kept_apart(e1):
    said = _said(e1, "ratio")
    assert said.severity == INFO
    assert "107" in said.detail
    assert "7 % off" in said.detail
    same = replace(e1, silicone=parse_mix("fast platinum", "", "silicone"))
    assert _said(same, "ratio") is None


def test_that_a_user_may_set_a_limit_and_it_is_used(e1):
    warm = _poured(e1, temperature_c=30.0)
    own = replace(warm, limits=(changed_limit("warm_parts", 31.0, None),))
    assert _severity(warm, "warm_parts") == WARN
    assert _severity(own, "warm_parts") is None
    assert limit(own, "warm_parts").refuse is None
    assert limit(own, "cold_parts").warn == 20.0


def test_that_limits_that_make_no_sense_are_refused():
    with pytest.raises(UnknownNameError):
        changed_limit("luck", 1.0, 2.0)
    with pytest.raises(BadValueError):
        changed_limit("warm_parts", 35.0, 26.0)
    with pytest.raises(BadValueError):
        changed_limit("cold_parts", 15.0, 20.0)
    with pytest.raises(BadValueError):
        changed_limit("cold_parts", float("nan"), None)
    with pytest.raises(BadValueError, match="0 or more"):
        changed_limit("deadline", 0.0, -1.0)
    with pytest.raises(BadValueError, match="no time at all"):
        changed_limit("silicone_time", 0.0, 0.0)


def test_that_each_limit_warns_before_it_refuses():
    assert len({row.kind for row in TABLE}) == len(TABLE)
    for row in TABLE:
        if row.warn is not None and row.refuse is not None:
            assert (row.refuse > row.warn) == (row.side == "most")


def test_that_advice_on_the_layout_never_refuses(e1):
    twenty = parse_mix("a=1.10,b=1.18,ratio=1:1v,shore=20", "", "silicone")
    tall = replace(_with_walls(e1, 6.35, 40.0), silicone=twenty)
    assert _severity(tall, "tall_web") == REFUSE
    assert {f.severity for f in layout_advice(tall)} <= {WARN, INFO}
    assert "tall_web" in {f.kind for f in layout_advice(tall)}


def test_that_what_is_read_as_enough_is_enough(e1):
    # 9.8 min would round to less than is needed, 19.2 deg C to warmer than is cool enough
    for units in (Units(), Units("in")):
        project = replace(_poured(e1, degas=True), units=units)
        words = _said(project, "silicone_batches").detail
        pot = float(re.search(r"with ([0-9.]+) min of pot life", words)[1])
        slower = replace(project, silicone=replace(project.silicone, pot_life_min=pot))
        assert silicone_pour(slower).batching.count == 1
        shown = re.search(r"cool A and B to (\d+) °([CF])", words)
        if shown:
            celsius = float(shown[1]) if shown[2] == "C" else (float(shown[1]) - 32) * 5 / 9
            cool = replace(project, pour=replace(project.pour, temperature_c=celsius))
            assert silicone_pour(cool).batching.count == 1
