"""Sections against closed forms: chords, spherical caps, and the pour's own heights."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout import edits
from layout.errors import BadValueError
from layout.geometry import Disc
from layout.masters import read_master
from layout.model import Box, Master, MasterId, OutlineBox, Project, RectBox, RoundBox, Rules
from layout.section import middle_line, section
from layout.volumes import pour_height_mm, side_height_mm
from tests.layout.hold.scenes import CHANNEL

BUTTON = Master(MasterId("button"), "button", "disc:20x5+dome:16x3", Disc(10.0), 8.0, 1.9, 314.2)
RING = Master(MasterId("ring"), "ring", "ring:30x18x6", Disc(15.0), 6.0, 2.7, 452.4)


def _project(shape: RectBox | RoundBox | OutlineBox, *places: tuple[Master, float, float]) -> Project:
    masters = tuple({m.id: m for m, _, _ in places}.values())
    empty = Project("p", Box(shape), masters, Rules(floor_mm=10.0, freeboard_mm=12.0))
    return edits.add_cavities(empty, [(m.id, x, y, 0.0) for m, x, y in places])[0]


def test_that_the_heights_are_those_of_the_pour() -> None:
    project = _project(RectBox(120.0, 80.0), (BUTTON, 40.0, 40.0), (RING, 90.0, 40.0))
    cut = section(project, middle_line(project))
    assert (cut.tallest_mm, cut.floor_mm, cut.pour_height_mm) == (8.0, 10.0, pour_height_mm(project))
    assert (cut.freeboard_mm, cut.side_height_mm) == (12.0, side_height_mm(project))
    assert cut.inside == ((0.0, 120.0),)
    assert cut.length_mm == 120.0


def test_that_a_button_shows_its_flat_and_its_dome_where_it_is_cut() -> None:
    """Cap of base radius 8 and rise 3: ball radius (64 + 9) / 6, in the middle 3 high, at 5 aside less."""
    project = _project(RectBox(120.0, 80.0), (BUTTON, 40.0, 40.0))
    middle = section(project, middle_line(project)).cuts[0]
    assert (middle.start_mm, middle.end_mm) == pytest.approx((30.0, 50.0))
    assert middle.height_mm == pytest.approx(8.0)
    assert middle.profile[1] == pytest.approx((30.0, 5.0))
    aside = section(project, ((0.0, 45.0), (120.0, 45.0))).cuts[0]
    assert aside.end_mm - aside.start_mm == pytest.approx(2 * math.sqrt(100.0 - 25.0))
    ball = (64.0 + 9.0) / 6.0
    assert aside.height_mm == pytest.approx(5.0 + math.sqrt(ball**2 - 25.0) - (ball - 3.0))


def test_that_a_dome_typed_in_capitals_is_drawn_like_any_other() -> None:
    def profile(spec: str) -> tuple[tuple[float, float], ...]:
        master = read_master(spec, name="part")
        empty = Project("p", Box(RectBox(100.0, 100.0)), (master,))
        project, _ = edits.add_cavities(empty, [(master.id, 50.0, 50.0, 0.0)])
        return section(project, ((0.0, 51.0), (100.0, 52.0))).cuts[0].profile

    assert profile("POLY5:22X6 + DOME:10X2") == profile("poly5:22x6+dome:10x2")


@pytest.mark.parametrize("angle", [0.0, 90.0, 200.0])
def test_that_a_dome_on_a_pentagon_peaks_over_the_centre_of_its_corners(angle: float) -> None:
    """Corners on a circle of radius 11, one up, reach from -11 cos 36 to 11: their centre is below the middle."""
    master = read_master("poly5:22x6+dome:10x2")
    empty = Project("p", Box(RectBox(100.0, 100.0)), (master,))
    project, _ = edits.add_cavities(empty, [(master.id, 50.0, 50.0, angle)])
    low = 11.0 * (1.0 - math.cos(math.radians(36.0))) / 2.0
    turn = math.radians(angle)
    x, y = 50.0 + low * math.sin(turn), 50.0 - low * math.cos(turn)
    cut = section(project, ((x, y), (x + 1.0, y + 0.3))).cuts[0]
    assert cut.height_mm == pytest.approx(master.height_mm, abs=1e-3)
    assert master.height_mm == 8.0


def test_that_a_ring_shows_its_hole() -> None:
    project = _project(RectBox(120.0, 80.0), (RING, 60.0, 40.0))
    cuts = section(project, middle_line(project)).cuts
    assert [(c.start_mm, c.end_mm) for c in cuts] == [pytest.approx((45.0, 51.0)), pytest.approx((69.0, 75.0))]
    assert len(section(project, ((0.0, 50.0), (9.0, 50.0))).cuts) == 1


def test_that_a_channel_is_cut_in_two_legs_and_a_slanted_line_reaches_from_side_to_side() -> None:
    project = _project(RectBox(120.0, 120.0), (CHANNEL, 60.0, 60.0))
    assert len(section(project, ((0.0, 65.0), (1.0, 65.0))).cuts) == 2
    slanted = section(project, ((50.0, 50.0), (60.0, 60.0)))
    assert slanted.line == (pytest.approx((0.0, 0.0)), pytest.approx((120.0, 120.0)))
    assert slanted.length_mm == pytest.approx(120.0 * math.sqrt(2))


def test_that_a_box_with_a_bay_is_entered_twice() -> None:
    bay = OutlineBox(
        ((0.0, 0.0), (120.0, 0.0), (120.0, 80.0), (80.0, 80.0), (80.0, 40.0), (40.0, 40.0), (40.0, 80.0), (0.0, 80.0))
    )
    project = Project("p", Box(bay))
    assert section(project, ((0.0, 60.0), (120.0, 60.0))).inside == ((0.0, 40.0), (80.0, 120.0))


@given(st.floats(-49.0, 49.0), st.floats(0.0, math.pi))
def test_that_a_round_box_is_cut_by_its_chord(aside: float, angle: float) -> None:
    project = Project("p", Box(RoundBox(100.0)))
    way, square = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
    at = (50.0 + square[0] * aside, 50.0 + square[1] * aside)
    cut = section(project, (at, (at[0] + way[0], at[1] + way[1])))
    assert cut.length_mm == pytest.approx(2 * math.sqrt(2500.0 - aside**2))


@pytest.mark.parametrize("line", [((5.0, 5.0), (5.0, 5.0)), ((0.0, 500.0), (10.0, 500.0))])
def test_that_a_line_of_no_length_or_beside_the_box_is_refused(
    line: tuple[tuple[float, float], tuple[float, float]],
) -> None:
    with pytest.raises(BadValueError):
        section(_project(RectBox(120.0, 80.0), (BUTTON, 40.0, 40.0)), line)


def test_that_a_plate_is_not_cut_where_the_line_crosses_its_hole() -> None:
    square = ((-4.0, -3.0), (4.0, -3.0), (4.0, 3.0), (-4.0, 3.0))
    plate = Master(
        MasterId("p"), "p", "p.dxf", read_master("rect:30x20x5").footprint, 5.0, 2.76, 552.0, holes=(square,)
    )
    project = _project(RectBox(80.0, 60.0), (plate, 40.0, 30.0))
    through = section(project, ((0.0, 31.0), (80.0, 31.0)))
    assert [(c.start_mm, c.end_mm) for c in through.cuts] == [pytest.approx((25.0, 36.0)), pytest.approx((44.0, 55.0))]
    beside = section(project, ((0.0, 34.0), (80.0, 34.0)))
    assert [(c.start_mm, c.end_mm) for c in beside.cuts] == [pytest.approx((25.0, 55.0))]
    turned = edits.turn_cavities(project, [c.id for c in project.cavities], 90.0)
    cuts = section(turned, middle_line(turned, "x")).cuts
    assert [(c.start_mm, c.end_mm) for c in cuts] == [pytest.approx((30.0, 37.0)), pytest.approx((43.0, 50.0))]
