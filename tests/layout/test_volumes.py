"""Volumes and heights of a mold; a part that sticks out of the box displaces only by what is inside of it."""

import math

import pytest

from layout import edits
from layout.masters import read_master
from layout.model import Box, Project, RectBox, RoundBox
from layout.volumes import freeboard_mm, pour_height_mm, side_height_mm, volumes

DISC, SQUARE = read_master("disc:20x5"), read_master("square:20x5")


@pytest.mark.parametrize(
    ("x_mm", "share"), [(20.0, 1.0), (10.0, 1.0), (5.0, 0.75), (0.0, 0.5), (-10.0, 0.0), (-300.0, 0.0)]
)
def test_that_a_square_across_the_side_displaces_the_share_that_is_inside(x_mm: float, share: float) -> None:
    project, _ = edits.add_cavities(Project("p", Box(RectBox(100, 80)), (SQUARE,)), [(SQUARE.id, x_mm, 40.0, 0.0)])
    found = volumes(project)
    assert found.masters_ml == pytest.approx(share * 20 * 20 * 5 / 1000, rel=1e-9, abs=1e-12)
    assert found.net_ml == pytest.approx(found.box_ml - found.masters_ml, rel=1e-12)


def test_that_in_a_tube_a_disc_counts_by_the_lens_that_is_inside() -> None:
    project = Project("p", Box(RoundBox(100)), (DISC,))
    project, _ = edits.add_cavities(project, [(DISC.id, 100.0, 50.0, 0.0), (DISC.id, 50.0, 50.0, 0.0)])
    # two circles, 50 and 10, their centres 50 apart: the closed form of a lens (plane geometry, textbook)
    big, small, apart = 50.0, 10.0, 50.0
    a = (apart**2 + small**2 - big**2) / (2 * apart * small)
    b = (apart**2 + big**2 - small**2) / (2 * apart * big)
    kite = math.sqrt((small + big - apart) * (apart + small - big) * (apart - small + big) * (apart + small + big))
    lens = small**2 * math.acos(a) + big**2 * math.acos(b) - 0.5 * kite
    each = math.pi * 100.0 * 5 / 1000
    assert volumes(project).masters_ml == pytest.approx(each * (1.0 + lens / (math.pi * 100.0)), rel=2e-3)


@pytest.mark.parametrize(
    ("height_mm", "pour_mm", "freeboard"), [(9.35, 18.875, 9.525), (85.725, 95.25, 9.525), (100.475, 110.0, 11.0)]
)
def test_that_the_side_stands_above_the_line_by_three_eighths_of_an_inch_or_a_tenth_of_the_pour(
    height_mm: float, pour_mm: float, freeboard: float
) -> None:
    # common practice, no source: the larger of 9.525 mm and a tenth of the pour height; the floor is 9.525 mm
    part = read_master(f"disc:20x{height_mm}")
    project, _ = edits.add_cavities(Project("p", Box(RectBox(100, 80)), (part,)), [(part.id, 50.0, 40.0, 0.0)])
    assert pour_height_mm(project) == pytest.approx(pour_mm)
    assert freeboard_mm(project) == pytest.approx(freeboard)
    assert side_height_mm(project) == pytest.approx(pour_mm + freeboard)
