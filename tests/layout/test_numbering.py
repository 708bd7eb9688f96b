"""The serpentine is checked against hand-numbered layouts and as a property of any layout."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout import edits
from layout.errors import BadValueError, UnknownNameError
from layout.geometry import Disc
from layout.model import Box, CavityId, Master, MasterId, Project, RectBox
from layout.numbering import numbers, pour_order, rows, serpentine

PIN = Master(MasterId("pin"), "pin", "disc:18x5", Disc(9.0), 5.0, 1.27, 254.5)


def _project(places: list[tuple[float, float]]) -> Project:
    empty = Project("t", Box(RectBox(300.0, 300.0)), (PIN,))
    return edits.add_cavities(empty, [(PIN.id, x, y, 0.0) for x, y in places])[0]


def _ids(*ids: int) -> tuple[CavityId, ...]:
    return tuple(CavityId(f"c{i}") for i in ids)


def test_that_a_grid_is_numbered_like_a_snake_from_the_lower_left() -> None:
    grid = _project([(20.0 + 25.0 * i, 20.0 + 25.0 * j) for j in range(3) for i in range(3)])
    assert pour_order(grid) == _ids(1, 2, 3, 6, 5, 4, 7, 8, 9)
    assert numbers(grid)[CavityId("c6")] == 4


def test_that_staggered_rows_stay_rows() -> None:
    pitch = 24.35
    places = [
        (20 + i * pitch + (j % 2) * pitch / 2, 20 + j * pitch * math.sqrt(3) / 2) for j in range(4) for i in range(5)
    ]
    assert [len(row) for row in rows(_project(places))] == [5, 5, 5, 5]


def test_that_rows_laid_by_hand_may_waver_by_a_third_of_a_part() -> None:
    places = [(20.0, 23.0), (50.0, 20.0), (80.0, 26.0), (21.0, 51.0), (49.0, 47.0), (80.0, 53.0)]
    assert pour_order(_project(places)) == _ids(1, 2, 3, 6, 5, 4)


def test_that_the_users_order_leads_and_the_rest_follows_the_snake() -> None:
    grid = _project([(20.0 + 25.0 * i, 20.0 + 25.0 * j) for j in range(2) for i in range(2)])
    ordered = edits.set_pour_order(grid, _ids(4, 1))
    assert pour_order(ordered) == _ids(4, 1, 2, 3)
    assert pour_order(edits.remove_cavities(ordered, _ids(4))) == _ids(1, 2, 3)
    assert pour_order(edits.set_pour_order(ordered, ())) == serpentine(grid)


def test_that_an_order_naming_a_stranger_or_one_twice_is_refused() -> None:
    grid = _project([(20.0, 20.0), (50.0, 20.0)])
    with pytest.raises(UnknownNameError):
        edits.set_pour_order(grid, _ids(9))
    with pytest.raises(BadValueError, match="c1 is named twice"):
        edits.set_pour_order(grid, _ids(1, 2, 1))


@given(st.lists(st.tuples(st.floats(0, 300), st.floats(0, 300)), max_size=30))
def test_that_every_cavity_has_one_number_and_rows_rise(places: list[tuple[float, float]]) -> None:
    project = _project(places)
    assert sorted(numbers(project).values()) == list(range(1, len(places) + 1))
    assert set(pour_order(project)) == {c.id for c in project.cavities}
    y = {c.id: c.y_mm for c in project.cavities}
    lowest = [min(y[i] for i in row) for row in rows(project)]
    assert lowest == sorted(lowest)


@pytest.mark.parametrize(("higher_mm", "rows_there"), [(8.9, 1), (9.1, 2)])
def test_that_a_part_more_than_half_its_height_over_the_lowest_begins_a_row(higher_mm: float, rows_there: int) -> None:
    # pins of 18 mm; common practice, no source: rows laid by hand waver by less than half a part
    assert len(rows(_project([(20.0, 20.0), (60.0, 20.0 + higher_mm)]))) == rows_there
