"""Coat, filler, unequal heights, gear, the log: each against a sum by hand."""

import math
from dataclasses import replace

import pytest

from layout.advice import advice
from layout.advice.mold import bulge_bound_mm
from layout.box.bulge import bulge_mm
from layout.errors import BadValueError
from layout.geometry import Disc
from layout.materials import parse_mix
from layout.model import Box, Cavity, LogEntry, Master, PourSettings, Project, RectBox, SmallMold
from layout.pour.batches import Cap, split
from layout.pour.coat import detail_coat
from layout.pour.learned import learned_correction
from layout.pour.leftover import fills, leftover_ml
from layout.pour.logbook import logged_pour, predicted_g
from layout.pour.measured import measured_undercut, measured_volume_ml
from layout.pour.remedies import remedies
from layout.pour.resin import resin_pour
from layout.pour.savings import filler_room_ml, savings
from layout.pour.silicone import silicone_pour
from layout.pour.timeline import WEIGH_MIN, minutes_of_day, silicone_timeline
from layout.pour.today import with_empty
from layout.volumes import volumes
from tests.worked_example import BACK_MM2, PART_ML, grid_of_48


def _discs(*heights: float) -> Project:
    masters = tuple(
        Master(f"m{i}", f"m{i}", "disc", Disc(10.0), h, math.pi * 100 * h / 1000, math.pi * 100)
        for i, h in enumerate(heights)
    )
    cavities = tuple(Cavity(f"c{i}", f"m{i}", 20.0 + 27.0 * i, 20.0) for i in range(len(heights)))
    return Project("discs", Box(RectBox(27.0 * len(heights) + 13.0, 40.0)), masters, cavities=cavities)


def test_that_a_detail_coat_takes_the_place_of_fill_silicone():
    project = _discs(10.0)
    coated = replace(project, pour=PourSettings(coat_mm=0.5))
    coat = detail_coat(coated)
    assert coat is not None
    # base 40 x 40 less the disc, and the disc's top and side: 1600 + pi 20 10 mm2
    assert coat.area_mm2 == pytest.approx(1600 + math.pi * 20 * 10)
    assert coat.volume_ml == pytest.approx(coat.area_mm2 * 0.5 / 1000)
    plain, found = silicone_pour(project), silicone_pour(coated)
    assert found.batching.total_ml == pytest.approx(plain.batching.total_ml - 1.05 * coat.volume_ml)
    assert found.total_a_g > found.dose.a_g
    first = silicone_timeline(coated).clocks[0]
    assert first.row == "coat"
    # 22.28 cm2 at 60 cm2 a minute; it waits two pot lives of 7 minutes: common practice, no source
    assert coat.brush_min == pytest.approx(22.283 / 60, abs=1e-4)
    assert coat.wait_min == pytest.approx(14.0)
    assert coat.time_share == pytest.approx((2 + 22.283 / 60) / 7, abs=1e-4)
    # from contact: mixed, brushed, waited, the next cup weighed
    later = silicone_timeline(coated).clocks[1].contact_min - first.contact_min
    assert later == pytest.approx(2 + coat.brush_min + 14 + WEIGH_MIN)


def test_that_old_silicone_is_taken_off_and_its_room_is_told():
    one = _discs(10.0)
    one = replace(one, box=replace(one.box, shape=RectBox(100.0, 100.0)))
    project = replace(
        one, cavities=(replace(one.cavities[0], x_mm=50.0, y_mm=50.0),), rules=replace(one.rules, floor_mm=30.0)
    )
    # cover 6.35: over the disc 30 - 12.7 high; in the ground 40 - 12.7 high, box less 6.35, disc grown by 6.35
    inside = (100 - 12.7) ** 2
    over = math.pi * 100 * (30 - 12.7)
    ground = (inside - math.pi * 16.35**2) * (40 - 12.7)
    assert filler_room_ml(project) == pytest.approx(0.5 * (over + ground) / 1000, rel=0.003)
    some = replace(project, pour=PourSettings(filler_ml=2.0))
    difference = silicone_pour(project).batching.total_ml - silicone_pour(some).batching.total_ml
    assert difference == pytest.approx(1.05 * 2.0)
    assert "filler" not in {f.kind for f in advice(some)}
    much = replace(project, pour=PourSettings(filler_ml=150.0))
    assert "filler" in {f.kind for f in advice(much)}


def test_that_unequal_masters_show_what_pedestals_and_grouping_save():
    found = savings(_discs(20.0, 5.0, 5.0))
    assert found is not None
    # a pedestal of 15 mm under each of two discs of 20 mm
    assert found.pedestals_ml == pytest.approx(2 * math.pi * 100 * 15 / 1000)
    # two thirds of the box 15 mm lower
    assert found.grouping_ml == pytest.approx(2 / 3 * 94 * 40 * 15 / 1000)
    assert found.groups == ((20.0, 1), (5.0, 2))
    assert savings(_discs(20.0, 19.5)) is None
    # two millimetres are worth a box of their own
    assert savings(_discs(20.0, 18.0)).groups == ((20.0, 1), (18.0, 1))


def test_that_a_box_for_the_low_ones_takes_their_share_of_the_area():
    """A part takes its own area and half a wall round it: discs of 10 and 5 mm at a wall of 6 take 13^2 to 8^2."""
    tall, low = _discs(20.0, 5.0).masters
    low = replace(low, footprint=Disc(5.0))
    project = _discs(20.0, 5.0)
    project = replace(project, masters=(tall, low), rules=replace(project.rules, wall_mm=6.0))
    share = 8.0**2 / (13.0**2 + 8.0**2)
    assert savings(project).grouping_ml == pytest.approx(share * 67 * 40 * 15 / 1000, rel=1e-3)


def test_that_water_weighs_what_the_handbook_says_at_twenty_degrees():
    """0.99821 g/mL at 20 deg C: CRC Handbook of Chemistry and Physics, from memory."""
    assert measured_volume_ml("0.99821g@water", "") == pytest.approx(1.0, abs=2e-5)


def test_that_a_logged_pour_takes_each_part_from_its_own_shelf():
    """The worked example: 377.1 g of A and 404.5 of B of a kit of 450 + 450 leave 72.9 and 45.5."""
    e1 = grid_of_48()
    after = logged_pour(e1, "2026-02-01", predicted_g(e1)).silicone
    assert (after.left_a_g, after.left_b_g) == (pytest.approx(72.9, abs=0.05), pytest.approx(45.5, abs=0.05))


def test_that_a_pour_as_predicted_leaves_the_correction_it_was_made_with():
    e1 = replace(grid_of_48(), pour=PourSettings(correction=1.2))
    assert learned_correction(logged_pour(e1, "2026-02-01", predicted_g(e1))) == pytest.approx(1.2)


def test_that_empty_positions_cost_silicone_and_no_resin():
    e1 = grid_of_48()
    some = replace(e1, cavities=tuple(replace(c, empty=i < 12) for i, c in enumerate(e1.cavities)))
    assert volumes(some).net_ml - volumes(e1).net_ml == pytest.approx(12 * PART_ML)
    found = resin_pour(some)
    assert found.per_cycle_ml == pytest.approx(36 * PART_ML * 1.12)
    assert sum(len(b.cavities) for b in found.batches) == 36
    said = next(f for f in advice(some) if f.kind == "empty_positions")
    assert len(said.cavities) == 12


def test_that_overfill_is_an_allowance_for_each_cavity_not_a_per_cent():
    e1 = grid_of_48()
    found = resin_pour(replace(e1, pour=PourSettings(overfill_mm=0.5, overfill_ml=0.1)))
    assert found.per_cavity_ml == pytest.approx(PART_ML + 0.5 * BACK_MM2 / 1000 + 0.1)


def test_that_the_last_pour_teaches_one_number_and_no_more():
    e1 = grid_of_48()
    logged = replace(
        e1,
        log=(
            LogEntry("2026-02-01", "pour", predicted_g=781.6, used_g=820.7),
            LogEntry("2026-01-01", "pour", predicted_g=781.6, used_g=1000.0),
            LogEntry("2026-03-01", "cast", predicted_g=130.0, used_g=999.0),
        ),
    )
    factor = learned_correction(logged)
    assert factor == pytest.approx(1.05, abs=1e-3)
    assert "learned" in {f.kind for f in advice(logged)}
    taken = replace(logged, pour=PourSettings(correction=factor))
    assert silicone_pour(taken).dose.mass_g == pytest.approx(820.7, abs=0.1)
    assert "learned" not in {f.kind for f in advice(taken)}
    slip = replace(e1, log=(LogEntry("2026-02-01", "pour", predicted_g=781.6, used_g=7816.0),))
    assert learned_correction(slip) is None
    assert learned_correction(e1) is None


def test_that_a_correction_taken_over_asks_for_no_more_with_a_detail_coat_either():
    coated = replace(_discs(10.0), pour=PourSettings(coat_mm=2.0))
    logged = logged_pour(coated, "2026-02-01", 1.2 * predicted_g(coated))
    taken = replace(coated, pour=PourSettings(coat_mm=2.0, correction=learned_correction(logged)))
    assert taken.pour.correction == pytest.approx(1.2)
    assert predicted_g(taken) == pytest.approx(1.2 * predicted_g(coated))


def test_that_nothing_asks_for_batches_where_nothing_is_poured():
    assert split(0.0, 20.0, (Cap("container", 625.0),)).because == ""


@pytest.mark.parametrize(
    ("typed", "strain"),
    [("22/20", 0.1), ("22/20mm", 0.1), ("7/8in/3/4in", 1 / 6), ("1-1/8 in / 1 in", 0.125), ("1.1/1in", 0.1),
     ("2.2cm/20mm", 0.1), ("1 1/8/1in", 0.125)],
)  # fmt: skip
def test_that_an_undercut_is_read_in_fractions_of_an_inch_too(typed, strain):
    assert measured_undercut(typed, "--undercut") == pytest.approx(strain)


@pytest.mark.parametrize("typed", ["", "/", "22", "22/", "22//20", "a/b", "20/22", "0/0", "1/2in", "22/20/", "1e999/1"])
def test_that_what_is_no_undercut_is_refused_in_a_sentence(typed):
    with pytest.raises(BadValueError, match="--undercut"):
        measured_undercut(typed, "--undercut")


@pytest.mark.parametrize("clock", ["²:00", "9:²0", "24:00", "9:60", "9", "", "-1:00"])
def test_that_what_is_no_clock_time_is_none(clock):
    assert minutes_of_day(clock) is None


def test_that_a_raised_figure_is_no_position():
    with pytest.raises(BadValueError):
        with_empty(_discs(10.0), "²", "--empty")


def test_that_the_left_over_goes_into_the_small_molds_it_fills():
    e1 = grid_of_48()
    # 45.5 g of B are left and take 42.4 g of A: 87.9 g / 1.14 = 77.1 mL
    assert leftover_ml(e1) == pytest.approx(77.1, abs=0.1)
    molds = (SmallMold("knob", 40.0), SmallMold("key", 30.0), SmallMold("ring", 60.0), SmallMold("tray", 90.0))
    assert set(fills(replace(e1, pour=PourSettings(small_molds=molds)))) == {"knob", "key"}


def test_that_the_remedies_would_really_make_one_batch_fit():
    project = replace(grid_of_48(), pour=PourSettings(degas=True))
    assert silicone_pour(project).batching.count == 4
    ways = remedies(project)
    assert ways.without_degas
    without = replace(project, pour=PourSettings(degas=False))
    assert silicone_pour(without).batching.count == 1
    for silicone in (replace(project.silicone, pot_life_min=ways.pot_life_min * 1.001), ways.slower):
        assert silicone_pour(replace(project, silicone=silicone)).batching.count == 1
    short = replace(project.silicone, pot_life_min=ways.pot_life_min * 0.999)
    assert silicone_pour(replace(project, silicone=short)).batching.count > 1
    long = replace(project, silicone=parse_mix("a=1.1,b=1.18,ratio=1:1v,pot=9", "", "silicone"))
    cooler = remedies(long).cooler_c
    assert cooler is not None
    assert silicone_pour(replace(long, pour=PourSettings(degas=True, temperature_c=cooler - 0.01))).batching.count == 1


@pytest.mark.parametrize("length", [20.0, 60.0, 150.0, 300.0])
def test_that_the_quick_bound_of_the_bulge_is_never_below_the_plate(length):
    e1 = replace(grid_of_48(), box=replace(grid_of_48().box, shape=RectBox(length, 20.0)))
    exact = bulge_mm(length, 28.4, 4.7625, 0.4, 1.14)
    assert exact <= bulge_bound_mm(e1) <= max(12.0 * exact, 0.001)


@pytest.mark.parametrize("exponent", [0.0, 0.1, 0.25])
def test_that_a_mix_that_heats_itself_is_split_by_its_own_mass(exponent):
    e1 = grid_of_48()
    hot = replace(e1, silicone=replace(e1.silicone, mass_exponent=exponent))
    found = silicone_pour(hot)
    assert found.batching.count is not None
    assert found.time_share <= 0.75 * (1 + 1e-9)
    assert found.pot_life_min == pytest.approx(7.0 * (100.0 / max(100.0, found.batch_dose.mass_g)) ** exponent)
    if found.batching.count > 1:
        ways = remedies(hot)
        slower = replace(hot.silicone, pot_life_min=ways.pot_life_min * 1.001)
        assert silicone_pour(replace(hot, silicone=slower)).batching.count == 1
