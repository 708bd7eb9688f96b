"""What a search admits and prefers, where a layout goes in the end, how dense rows are taken for."""

import pytest
from shapely.geometry import Polygon

from layout import edits
from layout.fill.mixed import MixedSearch
from layout.fill.rows import kinds_at, tables_of
from layout.fill.search import Search, Task, in_the_middle
from layout.fill.size_shapes import Shapes
from layout.geometry import Disc, centred_outline
from layout.model import RectBox
from tests.layout.fill.boxes import disc, master, project, rectangle


def test_that_only_a_fuller_legal_layout_is_admitted() -> None:
    part = disc(10.0)
    search = Search(Task(project((100, 100), part, wall=5.0, edge=5.0), part), lambda: False)
    assert not search.offer([(part.id, 50.0, 50.0, 0.0), (part.id, 74.9, 50.0, 0.0)], "too near")
    assert not search.offer([(part.id, 14.9, 50.0, 0.0)], "over the edge")
    assert search.count == 0
    assert search.offer([(part.id, 15.0, 50.0, 0.0), (part.id, 40.0, 50.0, 0.0)], "two")
    assert not search.offer([(part.id, 50.0, 20.0, 0.0), (part.id, 50.0, 80.0, 0.0)], "two others")
    assert (search.count, search.method) == (2, "two")


def test_that_one_more_of_what_is_wanted_is_better_than_any_number_of_others() -> None:
    asked, other = master(Disc(10.0), "asked", wanted=2), master(Disc(10.0), "other")
    mold = project((200, 100), asked, other, wall=5.0, edge=5.0)
    search = MixedSearch(Task(mold, asked), lambda: False, masters=mold.masters)
    assert search.offer([(other.id, 20.0 + 30.0 * k, 50.0, 0.0) for k in range(5)], "five others")
    assert search.offer([(asked.id, 50.0, 50.0, 0.0)], "one asked for")
    assert search.score_of(search.best) == (1, 1)
    assert not search.offer([(other.id, 20.0 + 30.0 * k, 50.0, 0.0) for k in range(5)], "five others")
    # more than wanted counts no more than others do
    assert search.score_of([(asked.id, 0.0, 0.0, 0.0)] * 5) == (2, 5)


@pytest.mark.parametrize(("x", "y"), [(20.0, 15.0), (180.0, 85.0), (20.0, 50.0), (100.0, 85.0)])
def test_that_a_layout_is_put_in_the_middle_from_any_side(x: float, y: float) -> None:
    part = master(rectangle(30.0, 20.0))
    mold = edits.add_cavities(project((200, 100), part, edge=5.0), [(part.id, x, y, 0.0)])[0]
    (cavity,) = in_the_middle(mold).cavities
    assert (cavity.x_mm, cavity.y_mm) == pytest.approx((100.0, 50.0))


def test_that_the_tight_box_round_a_layout_leaves_just_the_edge() -> None:
    part = master(rectangle(30.0, 20.0))
    mold = project((200, 100), part, edge=5.0)
    fitted = Shapes(mold, None, None, None).fitted(edits.add_cavities(mold, [(part.id, 60.0, 70.0, 0.0)])[0])
    assert fitted is not None
    assert fitted.box.shape == RectBox(40.0, 30.0)
    assert (fitted.cavities[0].x_mm, fitted.cavities[0].y_mm) == pytest.approx((20.0, 15.0))


def test_that_rows_of_triangles_in_turn_are_taken_to_cover_the_plane() -> None:
    # any triangle and itself turned by 180 degrees tile: one part for each of its area
    triangle = centred_outline([(0, 0), (24, 0), (12, 20)], "test")
    area = Polygon(triangle.points).area
    kinds = kinds_at(tables_of(triangle, 0.0), 0.0, True)
    assert kinds[0].density * area == pytest.approx(1.0, rel=0.02)
    assert not kinds[0].plain
