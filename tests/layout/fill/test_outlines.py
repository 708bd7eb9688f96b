"""Outlines of fewer corners: they contain the part, cost next to nothing, and keep the same walls."""

import math
from functools import lru_cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Polygon

from layout.checks import check
from layout.fill.fill import FillOptions, fill
from layout.fill.outlines import FREE_SHARE
from layout.fill.parts import MOST_CORNERS, part_of, parts_of
from layout.geometry import Disc, Outline, centred_outline
from tests.bench.fill import project_of
from tests.bench.shapes import SHAPES, more_cases
from tests.layout.fill.boxes import master

WALL = 6.35


def wavy(corners: int) -> list[tuple[float, float]]:
    turns = [2.0 * math.pi * k / corners for k in range(corners)]
    return [((15.0 + math.sin(9 * a)) * math.cos(a), (15.0 + math.sin(9 * a)) * math.sin(a)) for a in turns]


MANY = {"fine oval": SHAPES["fine oval"], "cog": SHAPES["cog"], "wavy": wavy(1200), "crescent": SHAPES["crescent"]}


@lru_cache
def outline(name: str) -> Outline:
    return centred_outline(MANY[name], name)


@pytest.mark.parametrize("wall", [0.0, 3.0, WALL])
@pytest.mark.parametrize("name", MANY)
def test_that_the_coarser_outline_contains_the_part_and_passes_its_closing_by_little(name: str, wall: float) -> None:
    polygon = Polygon(outline(name).points)
    part = part_of(outline(name), wall)
    coarse = Polygon(part.points)
    assert len(part.points) <= MOST_CORNERS
    assert coarse.exterior.is_ccw
    assert shapely.union_all([Polygon(piece) for piece in part.pieces]).symmetric_difference(coarse).area < 1e-6
    assert coarse.buffer(1e-7).contains(polygon)
    grown = polygon.buffer(wall, quad_segs=64)
    closed = Polygon(grown.exterior).buffer(-wall, quad_segs=64).union(polygon)
    beyond = shapely.distance(shapely.points(shapely.get_coordinates(coarse.segmentize(0.2))), closed).max()
    # at a wall of 0 nothing of the cog's 88 corners is free: 16 of them are paid for
    assert beyond < (0.45 if (name, wall) == ("cog", 0.0) else 0.1)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(["cog", "crescent"]), st.floats(0, 360), st.floats(0, 360), st.floats(0, 360))
def test_that_where_two_parts_keep_the_wall_their_outlines_of_fewer_corners_keep_it_too(
    name: str, towards: float, first: float, second: float
) -> None:
    size = float(np.ptp(outline(name).points, axis=0).max())
    few = part_of(outline(name), WALL).points
    assert len(few) <= 66
    step = (math.cos(math.radians(towards)), math.sin(math.radians(towards)))
    before, after = (
        (
            affinity.rotate(Polygon(ring), first, origin=(0, 0)),
            affinity.rotate(Polygon(ring), second, origin=(0, 0)),
        )
        for ring in (outline(name).points, few)
    )
    # as near as the parts themselves may come along this way, from afar
    low, high = 0.0, 3.0 * size
    for _ in range(40):
        middle = (low + high) / 2.0
        near = before[0].distance(affinity.translate(before[1], middle * step[0], middle * step[1])) < WALL
        low, high = (middle, high) if near else (low, middle)
    # the closing is drawn with chords, and a share of the size is let go
    wall = after[0].distance(affinity.translate(after[1], high * step[0], high * step[1]))
    assert WALL - 3.0 * FREE_SHARE * size <= wall <= WALL + 1e-6


def test_that_a_pocket_behind_a_narrow_mouth_is_filled_unless_another_part_fits_into_it() -> None:
    """The mouth of the crescent is 10.3 mm wide: less than two walls."""
    crescent = master(outline("crescent"), "crescent")
    assert len(part_of(outline("crescent"), WALL).pieces) <= 3
    alone = parts_of([crescent], WALL)["crescent"]  # type: ignore[index]
    beside = parts_of([crescent, master(Disc(1.0), "disc")], WALL)["crescent"]  # type: ignore[index]
    assert Polygon(alone.points).area > 1.3 * Polygon(beside.points).area


def test_that_outlines_of_few_corners_are_left_as_they_are() -> None:
    plus = np.asarray(centred_outline(SHAPES["plus"], "plus").points)
    assert np.array_equal(part_of(centred_outline(SHAPES["plus"], "plus"), WALL).points, plus)


def test_that_a_cog_of_many_teeth_is_laid_as_close_as_its_teeth_allow() -> None:
    """53 by rows when its outline was grown by 0.8 mm to have fewer corners; own measurement."""
    (case,) = (c for c in more_cases([60]) if c["name"] == "cog 60")
    result = fill(project_of(case), FillOptions(rounds=0))
    assert result.count >= 56
    assert not check(result.project)
