"""The store against a plain list, and what the undo stack promises."""

from dataclasses import replace

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from app.store import Store, empty_project
from layout import edits
from layout.geometry import Disc
from layout.model import Master, MasterId, Project

MASTER = Master(MasterId("disc"), "disc", "disc:20x5", Disc(10.0), 5.0, 1.57, 314.0)


def project_with_master() -> Project:
    return edits.add_master(empty_project(), MASTER)


def with_cavity(project: Project, x: float) -> Project:
    return edits.add_cavities(project, [(MASTER.id, x, 30.0, 0.0)])[0]


def test_that_undo_brings_back_the_very_same_project() -> None:
    store = Store(project_with_master())
    before = store.project
    store.apply("Put a cavity", with_cavity(before, 30))
    assert store.undo_stack.undoText() == "Put a cavity"
    store.undo_stack.undo()
    assert store.project is before


def test_that_an_edit_that_changes_nothing_makes_no_step() -> None:
    store = Store(project_with_master())
    assert not store.apply("Nothing", replace(store.project))
    assert store.undo_stack.count() == 0


def test_that_nudges_merge_and_there_and_back_leaves_no_step() -> None:
    store = Store(with_cavity(project_with_master(), 30))
    ids = [store.project.cavities[0].id]
    for dx in (1.0, 1.0, -2.0):
        store.apply("Move", edits.move_cavities(store.project, ids, dx, 0), merge="nudge")
    assert store.undo_stack.count() == 0
    store.apply("Move", edits.move_cavities(store.project, ids, 1, 0), merge="nudge")
    store.apply("Move", edits.move_cavities(store.project, ids, 1, 0), merge="nudge")
    assert store.undo_stack.count() == 1
    store.undo_stack.undo()
    assert store.project.cavities[0].x_mm == 30.0


def test_that_nudges_after_a_save_do_not_reach_back_over_it() -> None:
    store = Store(with_cavity(project_with_master(), 30))
    ids = [store.project.cavities[0].id]
    store.apply("Move", edits.move_cavities(store.project, ids, 1, 0), merge="nudge")
    store.undo_stack.setClean()
    store.apply("Move", edits.move_cavities(store.project, ids, 1, 0), merge="nudge")
    assert store.is_modified
    store.undo_stack.undo()
    assert not store.is_modified
    assert store.project.cavities[0].x_mm == 31.0


def test_that_every_change_is_told_once_with_the_project_to_show() -> None:
    store = Store(project_with_master())
    told: list[Project] = []
    store.changed.connect(told.append)
    after = with_cavity(store.project, 30)
    store.apply("Put", after)
    assert told == [after]


class UndoAgainstList(RuleBasedStateMachine):
    """Whatever is done, undone and redone, the store shows what two plain lists show."""

    def __init__(self) -> None:
        super().__init__()
        self.store = Store(project_with_master())
        self.past: list[Project] = [self.store.project]
        self.future: list[Project] = []

    def _do(self, after: Project) -> None:
        if self.store.apply("Change", after):
            self.past.append(after)
            self.future.clear()
        else:
            assert after == self.past[-1]

    @rule(x=st.floats(0, 100, width=32))
    def add(self, x: float) -> None:
        self._do(with_cavity(self.store.project, x))

    @precondition(lambda self: self.store.project.cavities)
    @rule(data=st.data(), dx=st.floats(-10, 10, width=32))
    def move(self, data: st.DataObject, dx: float) -> None:
        cavity = data.draw(st.sampled_from(self.store.project.cavities))
        self._do(edits.move_cavities(self.store.project, [cavity.id], dx, 0.0))

    @precondition(lambda self: self.store.project.cavities)
    @rule(data=st.data())
    def remove(self, data: st.DataObject) -> None:
        cavity = data.draw(st.sampled_from(self.store.project.cavities))
        self._do(edits.remove_cavities(self.store.project, [cavity.id]))

    @rule()
    def undo(self) -> None:
        self.store.undo_stack.undo()
        if len(self.past) > 1:
            self.future.append(self.past.pop())

    @rule()
    def redo(self) -> None:
        self.store.undo_stack.redo()
        if self.future:
            self.past.append(self.future.pop())

    @invariant()
    def shows_what_the_list_shows(self) -> None:
        assert self.store.project is self.past[-1]
        assert self.store.undo_stack.canUndo() == (len(self.past) > 1)
        assert self.store.undo_stack.canRedo() == bool(self.future)


TestUndoAgainstList = UndoAgainstList.TestCase
TestUndoAgainstList.settings = settings(max_examples=60, stateful_step_count=40, deadline=None)
