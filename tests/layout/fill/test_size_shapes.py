import itertools
import math

import pytest

from layout.fill.size_shapes import Shapes
from layout.model import BoxShape, RectBox
from tests.layout.fill.boxes import disc, project


def _shapes(limit: float | None = None) -> Shapes:
    return Shapes(project((100, 100), disc(10.0), wall=6.0, edge=8.0), limit, None, None)


@pytest.mark.parametrize("either_way", [True, False])
def test_that_the_boxes_tried_by_hand_are_the_fullest_of_a_five_millimetre_grid_below_the_best(
    either_way: bool,
) -> None:
    """Against every pair of multiples of 5 mm: for each length the widest box under the best, the largest first."""
    best = 155.0 * 105.0 + 20.0
    tried = [s for s in _shapes().by_hand(lambda: best, either_way) if isinstance(s, RectBox)]
    widest: dict[float, float] = {}
    for a, b in itertools.product(range(5, 400, 5), repeat=2):
        if a * b < best and a <= 8 * b and b <= (a if either_way else 8 * a):
            widest[a] = max(widest.get(a, 0.0), b)
    assert (155.0, 105.0) in widest.items()
    whole = {
        a: b for a, b in widest.items() if math.floor((best - 1e-6) / a / 5.0) * 5.0 == b
    }  # where a turned box is the same, a length whose widest box would be wider than long is left to the turned one
    assert {(s.length_mm, s.width_mm) for s in tried} == set(whole.items())
    areas = [s.length_mm * s.width_mm for s in tried]
    assert areas == sorted(areas, reverse=True)


def test_that_they_follow_the_best_box_and_keep_to_the_largest_size() -> None:
    best = [20_000.0]
    boxes = _shapes(limit=150.0).by_hand(lambda: best[0], True)
    first: BoxShape = next(boxes)
    assert isinstance(first, RectBox)
    assert first.length_mm <= 150.0
    best[0] = 10_000.0
    for later in boxes:
        assert isinstance(later, RectBox)
        assert later.length_mm * later.width_mm < 10_000.0
        assert later.length_mm <= 150.0
