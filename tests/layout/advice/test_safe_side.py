"""What is advised is enough where it is a least, and no more than allowed where it is a most."""

import re

from hypothesis import given
from hypothesis import strategies as st

from layout import edits
from layout.advice import layout_advice
from layout.advice.bench import container_words
from layout.geometry import Disc
from layout.model import Box, KeepOut, KeepOutId, Master, MasterId, Project, RectBox
from layout.pour.silicone import silicone_pour

PIN = Master(MasterId("pin"), "pin", "disc:18x5", Disc(9.0), 5.0, 1.27, 254.5)


def _project(length: float) -> Project:
    project = Project("t", Box(RectBox(length, 100.0)), (PIN,))
    return edits.add_cavities(project, [(PIN.id, 40.0, 40.0, 0.0)])[0]


@given(st.floats(60.0, 900.0))
def test_that_the_container_read_in_words_holds_the_batch(length: float) -> None:
    project = _project(length)
    pour = silicone_pour(project)
    said = re.search(r"at least ([\d.]+) (L|mL)", container_words(project, pour))
    assert said is not None
    read_ml = float(said[1]) * (1000.0 if said[2] == "L" else 1.0)
    assert pour.container_ml - 1e-6 <= read_ml <= pour.container_ml + 10.0


def test_that_a_keep_out_outside_the_box_is_pointed_out_and_one_at_its_rim_is_not() -> None:
    project = edits.add_keep_outs(
        _project(200.0),
        (
            KeepOut(KeepOutId(""), 1016.0, 50.0, 25.4, 25.4),
            KeepOut(KeepOutId(""), 200.0, 50.0, 24.0, 12.0),
            KeepOut(KeepOutId(""), -30.0, 50.0, 20.0, 20.0, round=True),
        ),
    )
    stray = [f for f in layout_advice(project) if f.kind == "stray_keep_out"]
    assert [f.detail.split()[1] for f in stray] == ["k1", "k3"]
