import pytest

from layout.fill.fill import FillOptions, fill
from layout.fill.size_asked import SizeOptions
from layout.fill.size_box import size_box
from layout.fill.turns import allowed_turn
from layout.geometry import centred_outline
from layout.model import Turn
from tests.layout.fill.boxes import master, project, rectangle
from tests.layout.fill.fill_cases import CASES

STAR = master(centred_outline(CASES["star"]["footprint_mm"], "star"), "star")
ALLOWED: dict[Turn, set[float]] = {"90": {0.0, 90.0, 180.0, 270.0}, "180": {0.0, 180.0}, "0": {0.0}}


@pytest.mark.parametrize("turn", ["90", "180", "0"])
def test_that_a_part_that_repeats_itself_is_written_down_at_an_allowed_turn(turn: Turn) -> None:
    mold = project((160, 110), STAR, wall=4.0, edge=5.0, turn=turn)
    filled = fill(mold, FillOptions(rounds=0))
    assert filled.count >= 8
    assert {c.angle_deg for c in filled.project.cavities} <= ALLOWED[turn]
    sized = size_box(mold, 6, SizeOptions(rounds=0))
    assert sized.count == 6
    assert {c.angle_deg for c in sized.project.cavities} <= ALLOWED[turn]


def test_that_a_turn_that_does_not_look_alike_is_not_excused() -> None:
    assert allowed_turn(rectangle(10, 5), 30.0, (0.0, 90.0)) is None
    assert allowed_turn(rectangle(10, 5), 180.0, (0.0,)) == 0.0
    assert allowed_turn(rectangle(10, 5), 33.0, None) == 33.0
