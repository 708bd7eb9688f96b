"""Edits that turn several cavities about one point."""

import pytest

from layout import edits
from layout.checks import clearances
from layout.errors import BadValueError
from layout.geometry import Disc
from layout.model import Box, CavityId, Master, MasterId, Project, RectBox

PIN = Master(MasterId("pin"), "pin", "disc:12x5", Disc(6.0), 5.0, 0.57, 113.1)
PAIR = edits.add_cavities(
    Project("p", Box(RectBox(200.0, 100.0)), (PIN,)), [(PIN.id, 40.0, 50.0, 10.0), (PIN.id, 80.0, 50.0, 350.0)]
)[0]
IDS = [c.id for c in PAIR.cavities]


def test_that_quarter_turns_about_the_middle_are_exact_and_keep_the_walls() -> None:
    turned = edits.turn_together(PAIR, IDS, 90.0, edits.middle_of(PAIR, IDS))
    assert [(c.x_mm, c.y_mm, c.angle_deg) for c in turned.cavities] == [(60.0, 30.0, 100.0), (60.0, 70.0, 80.0)]
    assert clearances(turned).least_wall_mm == clearances(PAIR).least_wall_mm
    assert edits.turn_together(PAIR, IDS, 0.0, (1.0, 2.0)) is PAIR


def test_that_a_single_cavity_turns_about_itself_and_none_is_refused() -> None:
    assert edits.middle_of(PAIR, [CavityId("c2")]) == (80.0, 50.0)
    with pytest.raises(BadValueError):
        edits.middle_of(PAIR, [])
