"""Edits: each changes what it says and shares the rest; ids stay unique; bad input changes nothing."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from layout import edits
from layout.errors import BadValueError, UnknownNameError
from layout.masters import read_master
from layout.model import Box, CavityId, KeepOut, KeepOutId, MasterId, Project, RectBox, Rules
from tests.strategies import projects

GHOST = CavityId("c999")


def bare() -> Project:
    return Project("p", Box(RectBox(200, 150)), (read_master("disc:20x5"), read_master("hex:19.05x6.35")))


@given(projects(), st.floats(-300, 300), st.floats(-300, 300))
def test_that_moving_there_and_back_is_nothing_and_others_are_shared(project: Project, dx: float, dy: float) -> None:
    ids = [c.id for c in project.cavities[::2]]
    moved = edits.move_cavities(project, ids, dx, dy)
    for before, after in zip(project.cavities, moved.cavities, strict=True):
        if before.id in ids:
            assert (after.x_mm, after.y_mm) == (before.x_mm + dx, before.y_mm + dy)
        else:
            assert after is before
    assert moved.masters is project.masters
    back = edits.move_cavities(moved, ids, -dx, -dy)
    for before, after in zip(project.cavities, back.cavities, strict=True):
        assert after.x_mm == pytest.approx(before.x_mm, abs=1e-9)


@given(projects())
def test_that_an_edit_that_changes_nothing_returns_the_same_project(project: Project) -> None:
    ids = [c.id for c in project.cavities]
    assert edits.remove_cavities(project, []) is project
    assert edits.change_cavities(project, ids, lambda c: c) is project
    pinned = [c.id for c in project.cavities if c.pinned]
    assert edits.pin_cavities(project, pinned, True) is project


@given(projects(), st.floats(-1000, 1000))
def test_that_angles_stay_below_a_full_turn(project: Project, by: float) -> None:
    turned = edits.turn_cavities(project, [c.id for c in project.cavities], by)
    for before, after in zip(project.cavities, turned.cavities, strict=True):
        assert 0.0 <= after.angle_deg <= 360.0
        away = (after.angle_deg - before.angle_deg - by) % 360.0
        assert min(away, 360.0 - away) < 1e-9
        assert (after.x_mm, after.y_mm) == (before.x_mm, before.y_mm)


@given(projects())
def test_that_a_removed_master_takes_its_cavities_and_their_places_in_the_order(project: Project) -> None:
    gone = project.masters[0].id
    left = edits.remove_master(project, gone)
    assert gone not in {m.id for m in left.masters}
    assert [c.id for c in left.cavities] == [c.id for c in project.cavities if c.master != gone]
    assert set(left.pour_order) <= {c.id for c in left.cavities}


class Edited(RuleBasedStateMachine):
    """Any run of edits against a plain dictionary."""

    def __init__(self) -> None:
        super().__init__()
        self.project = bare()
        self.expected: dict[str, tuple[str, float, float, float, bool]] = {}

    @rule(name=st.sampled_from(["disc", "hex"]), x=st.floats(-99, 99), y=st.floats(-99, 99), angle=st.floats(0, 359))
    def add(self, name: str, x: float, y: float, angle: float) -> None:
        self.project, (new,) = edits.add_cavities(self.project, [(MasterId(name), x, y, angle)])
        assert new not in self.expected
        self.expected[new] = (name, x, y, angle, False)

    @rule(k=st.integers(0, 50))
    def remove(self, k: int) -> None:
        if self.expected:
            name = list(self.expected)[k % len(self.expected)]
            del self.expected[name]
            self.project = edits.remove_cavities(self.project, [CavityId(name)])

    @rule(k=st.integers(0, 50), pinned=st.booleans())
    def pin(self, k: int, pinned: bool) -> None:
        if self.expected:
            name = list(self.expected)[k % len(self.expected)]
            self.expected[name] = (*self.expected[name][:4], pinned)
            self.project = edits.pin_cavities(self.project, [CavityId(name)], pinned)

    @rule(dx=st.floats(-9, 9))
    def move_all(self, dx: float) -> None:
        self.project = edits.move_cavities(self.project, [CavityId(i) for i in self.expected], dx, 0.0)
        self.expected = {i: (m, x + dx, y, a, p) for i, (m, x, y, a, p) in self.expected.items()}

    @rule()
    def fail(self) -> None:
        before = self.project
        with pytest.raises(UnknownNameError):
            edits.remove_cavities(self.project, [GHOST])
        with pytest.raises(BadValueError):
            edits.add_cavities(self.project, [(MasterId("disc"), math.nan, 0.0, 0.0)])
        assert self.project is before

    @invariant()
    def agrees(self) -> None:
        held = {c.id: (c.master, c.x_mm, c.y_mm, c.angle_deg, c.pinned) for c in self.project.cavities}
        assert held == self.expected
        assert list(held) == list(self.expected)


TestEdited = Edited.TestCase


def test_that_a_taken_master_id_gets_a_number() -> None:
    project = bare()
    for expected in ("disc-2", "disc-3"):
        project = edits.add_master(project, read_master("disc:10x5"))
        assert project.masters[-1].id == expected


def test_that_a_replaced_master_keeps_its_cavities() -> None:
    project, _ = edits.add_cavities(bare(), [(MasterId("disc"), 10, 10, 0)])
    other = read_master("disc:30x5")
    changed = edits.replace_master(project, other)
    assert changed.masters[0] is other
    assert changed.cavities is project.cavities
    with pytest.raises(UnknownNameError):
        edits.replace_master(project, read_master("oval:30x16x6"))


@pytest.mark.parametrize("value", [-1.0, math.nan, math.inf, 1e9])
def test_that_an_absurd_rule_is_refused_by_its_option(value: float) -> None:
    for field, option in (
        ("wall_mm", "--wall"),
        ("edge_mm", "--edge"),
        ("floor_mm", "--floor"),
        ("freeboard_mm", "--free"),
    ):
        with pytest.raises(BadValueError, match=option):
            edits.set_rules(bare(), Rules(**{field: value}))


def test_that_keep_outs_get_ids_and_bad_ones_are_refused() -> None:
    area = KeepOut(KeepOutId(""), 10, 10, 5, 4)
    project = edits.add_keep_outs(edits.add_keep_outs(bare(), [area, area]), [area])
    assert [k.id for k in project.keep_outs] == ["k1", "k2", "k3"]
    left = edits.remove_keep_outs(project, [KeepOutId("k2")])
    assert [k.id for k in edits.add_keep_outs(left, [area]).keep_outs] == ["k1", "k3", "k4"]
    for bad in (KeepOut(KeepOutId(""), 10, 10, 0, 4), KeepOut(KeepOutId(""), math.inf, 10, 5, 4)):
        with pytest.raises(BadValueError):
            edits.add_keep_outs(bare(), [bad])


def test_that_an_override_needs_a_reason_and_the_last_one_counts() -> None:
    project = edits.accept(edits.accept(bare(), "thin_wall", "first"), "thin_wall", " second ")
    assert [(o.kind, o.reason) for o in project.overrides] == [("thin_wall", "second")]
    with pytest.raises(BadValueError):
        edits.accept(project, "thin_wall", "  ")
