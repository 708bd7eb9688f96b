"""One more where it just fits: a gap of exactly its size between others, the sides, keep-outs."""

import pytest

from layout import edits
from layout.checks import is_legal
from layout.fill.fill import FillOptions, fill
from layout.fill.insertion import insertions
from layout.model import KeepOut, KeepOutId, OutlineBox, Project, RoundBox
from tests.layout.fill.boxes import disc, master, project, rectangle
from tests.layout.fill.fill_cases import project_of

BAR = master(rectangle(30.0, 10.0), "bar")
ELL = ((0.0, 0.0), (170.0, 0.0), (170.0, 80.0), (90.0, 80.0), (90.0, 150.0), (0.0, 150.0))


def legal_ones(mold: Project, part: str) -> int:
    places = tuple((c.master, c.x_mm, c.y_mm, c.angle_deg) for c in mold.cavities)
    empty = edits.remove_cavities(mold, [c.id for c in mold.cavities])
    found = insertions(empty, places, mold.master(mold.masters[0].id))
    return sum(is_legal(edits.add_cavities(mold, [place])[0]) for place in found)


def test_that_a_gap_of_exactly_a_part_and_its_walls_is_found() -> None:
    # upright bars at the left and the right, exactly 10 mm and two walls of 5 mm between them
    mold = project((40 + 12, 42), BAR, wall=5.0, edge=6.0)
    sides, _ = edits.add_cavities(mold, [(BAR.id, 11.0, 21.0, 90.0), (BAR.id, 41.0, 21.0, 90.0)])
    assert is_legal(sides)
    assert legal_ones(sides, "bar") >= 1
    nearer = edits.move_cavities(sides, [sides.cavities[1].id], -0.01, 0.0)
    assert legal_ones(nearer, "bar") == 0


def test_that_only_places_beside_keep_outs_are_found() -> None:
    mold = project((60, 30), disc(8.0), wall=5.0, edge=6.0)
    mold = edits.add_keep_outs(mold, [KeepOut(KeepOutId("k"), 15.0, 15.0, 20.0, 30.0)])
    assert legal_ones(mold, "part") >= 1
    full = edits.add_keep_outs(mold, [KeepOut(KeepOutId("l"), 40.0, 15.0, 8.0, 8.0)])
    assert legal_ones(full, "part") == 0


@pytest.mark.parametrize("name", ["angle", "arrow"])
def test_that_a_part_taken_out_of_a_full_box_is_put_back(name: str) -> None:
    found = fill(project_of(name), FillOptions(rounds=0)).project
    lacking = edits.remove_cavities(found, [found.cavities[17].id])
    assert legal_ones(lacking, "part") >= 1


@pytest.mark.parametrize("shape", [RoundBox(170.0), OutlineBox(ELL)], ids=["round", "ell"])
def test_that_a_part_taken_out_of_a_full_round_or_outlined_box_is_put_back(shape: RoundBox | OutlineBox) -> None:
    found = fill(project(shape, BAR, wall=5.0, edge=6.0), FillOptions(rounds=0)).project
    assert len(found.cavities) >= 12
    lacking = edits.remove_cavities(found, [found.cavities[5].id])
    assert legal_ones(lacking, "bar") >= 1
