"""Parts too large for their box, and parts of an odd size; the fits are those of a ruler."""

from dataclasses import replace

import pytest

from layout.errors import BadValueError
from layout.masters import read_master
from layout.masters.sizes import refuse_larger_than_box, size_warning
from layout.model import Box, Project, RectBox, RoundBox, Turn

BOX = RectBox(100.0, 40.0)


@pytest.mark.parametrize(
    ("spec", "shape", "turn", "fits"),
    [
        ("disc:40x5", BOX, "any", True),
        ("disc:40.1x5", BOX, "any", False),
        ("rect:100x40x5", BOX, "0", True),
        ("rect:40x100x5", BOX, "0", False),
        ("rect:40x100x5", BOX, "180", False),
        ("rect:40x100x5", BOX, "90", True),
        # 103 by 4 lies along the diagonal: at 16 degrees it takes 100.1 by 32.2, at 20 degrees 98.2 by 39.0
        ("rect:103x4x5", BOX, "any", True),
        ("rect:103x4x5", BOX, "90", False),
        # the diagonal of the box is 107.7
        ("rect:110x1x5", BOX, "any", False),
        ("disc:40x5", RoundBox(40.0), "any", True),
        ("disc:40.1x5", RoundBox(40.0), "any", False),
        # the corners of 24 by 32 lie on a circle of 40
        ("rect:24x32x5", RoundBox(40.0), "any", True),
        ("rect:24x32.2x5", RoundBox(40.0), "any", False),
    ],
)
def test_that_a_part_is_refused_only_if_it_fits_at_no_turn_it_may_take(
    spec: str, shape: RectBox | RoundBox, turn: Turn, fits: bool
) -> None:
    project = Project("p", Box(shape), (read_master(spec, turn=turn),))
    if fits:
        refuse_larger_than_box(project)
    else:
        with pytest.raises(BadValueError, match="larger than the box"):
            refuse_larger_than_box(project)


@pytest.mark.parametrize(
    ("longest_mm", "said"), [(2.9, True), (3.0, False), (3.1, False), (500.0, False), (501.0, True)]
)
def test_that_a_file_of_an_odd_size_is_asked_for_its_unit(longest_mm: float, said: bool) -> None:
    part = read_master(f"rect:{longest_mm}x1x1")
    assert size_warning(part) is None, "what was typed has its unit"
    assert (size_warning(replace(part, source="part.STL")) is not None) == said


@pytest.mark.parametrize(
    ("spec", "source", "words"),
    [
        ("rect:1.5x1x8", "arrow.dxf", "1.5 mm across"),
        ("rect:0.04x0.04x8", "tiny.dxf", "0.04 mm across"),
        ("disc:20x5000", "", "5000 mm high"),
        ("disc:3/4x1/4", "", "0.75 mm across"),
    ],
)
def test_that_a_part_too_small_or_metres_tall_is_met_with_check_its_unit(spec: str, source: str, words: str) -> None:
    part = read_master(spec)
    said = size_warning(replace(part, source=source or part.source))
    assert said is not None
    assert words in said
    assert "check its unit" in said
