"""Interactions without a window: whatever the hand does, a legal layout stays legal and one press is one undo step."""

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from app.canvas.desk import Desk, Hands, Preview
from app.canvas.hand import Hand
from app.canvas.interactions import BandSelect, DragCavities, TurnCavities
from app.store import Store
from layout import edits
from layout.checks import check
from layout.geometry import XY
from layout.masters import read_master
from layout.model import Box, KeepOut, KeepOutId, Project, RectBox, RoundBox

HELD, FREE = Hands(), Hands(free=True)
points = st.tuples(st.floats(-60, 260), st.floats(-60, 210))


def crowded(box: str = "rect") -> Project:
    """Return a legal layout of concave and turned parts with a keep-out."""
    shape = RectBox(200, 150) if box == "rect" else RoundBox(210)
    project = edits.add_master(Project("crowded", Box(shape)), read_master("rect:30x12x8"))
    project = edits.add_master(project, read_master("poly5:22x8"))
    rect, five = (m.id for m in project.masters)
    places = [(rect, 60, 60, 20), (five, 105, 60, 0), (rect, 140, 90, 90), (five, 90, 105, 33), (five, 120, 120, 7)]
    project = edits.add_cavities(project, [(m, float(x), float(y), float(a)) for m, x, y, a in places])[0]
    return edits.add_keep_outs(project, [KeepOut(KeepOutId(""), 150, 50, 20, 14, purpose="pry slot")])


def test_that_the_layout_of_these_tests_is_legal() -> None:
    for box in ("rect", "round"):
        assert check(crowded(box)) == ()


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(["rect", "round"]),
    st.lists(st.sampled_from(["c1", "c2", "c3", "c4", "c5"]), min_size=1, max_size=3, unique=True),
    st.lists(points, min_size=1, max_size=6),
)
def test_that_a_held_drag_keeps_every_rule_and_is_one_undo_step(box: str, ids: list, path: list[XY]) -> None:  # type: ignore[type-arg]
    store = Store(crowded(box))
    desk = Desk(store)
    before = store.project
    drag = DragCavities(desk, tuple(ids), (100.0, 75.0))
    for point in path:
        drag.move(point, HELD)
    drag.finish(path[-1], HELD)
    assert check(store.project) == ()
    assert store.undo_stack.count() <= 1
    moved = {c.id for c, old in zip(store.project.cavities, before.cavities, strict=True) if c is not old}
    assert moved <= set(ids)
    store.undo_stack.undo()
    assert store.project is before


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(["c1", "c2", "c3", "c4", "c5"]), st.lists(st.floats(0, 2 * math.pi), min_size=1, max_size=8))
def test_that_a_held_turn_keeps_every_rule(cavity: str, angles: list[float]) -> None:
    store = Store(crowded())
    desk = Desk(store)
    own = next(c for c in store.project.cavities if c.id == cavity)
    turn = TurnCavities(desk, (own.id,), (own.x_mm, own.y_mm + 30))
    at = (own.x_mm, own.y_mm)
    for angle in angles:
        at = (own.x_mm + 30 * math.cos(angle), own.y_mm + 30 * math.sin(angle))
        turn.move(at, HELD)
    turn.finish(at, HELD)
    assert check(store.project) == ()
    turned = next(c for c in store.project.cavities if c.id == cavity)
    assert (turned.x_mm, turned.y_mm) == (own.x_mm, own.y_mm)


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(["c1", "c2", "c3"]),
    st.lists(st.tuples(st.sampled_from([(1, 0), (-1, 0), (0, 1), (0, -1)]), st.booleans()), min_size=1, max_size=12),
)
def test_that_nudges_keep_every_rule(cavity: str, nudges: list[tuple[tuple[int, int], bool]]) -> None:
    store = Store(crowded())
    desk = Desk(store)
    hand = Hand(desk)
    desk.selection.set([cavity])  # type: ignore[list-item]
    for (dx, dy), coarse in nudges:
        hand.nudge(dx, dy, coarse=coarse, fine=False)
    assert check(store.project) == ()
    assert store.undo_stack.count() <= 1


def test_that_a_free_drag_shows_what_it_breaks_and_the_way_back_is_shown_clean() -> None:
    store = Store(crowded())
    desk = Desk(store)
    shown: list[Preview | None] = []
    desk.previewed.connect(shown.append)
    drag = DragCavities(desk, ("c1",), (60.0, 60.0))  # type: ignore[arg-type]
    drag.move((100.0, 60.0), FREE)
    assert shown[-1] is not None
    assert any(gap.is_thin for gap in shown[-1].gaps)
    drag.cancel()
    assert shown[-1] is None
    assert store.undo_stack.count() == 0


def test_that_a_band_drawn_and_cancelled_leaves_the_selection_as_it_was() -> None:
    desk = Desk(Store(crowded()))
    desk.selection.set(["c5"])  # type: ignore[list-item]
    band = BandSelect(desk, (30.0, 30.0), Hands(add=True))
    band.move((125.0, 80.0), Hands(add=True))
    assert set(desk.selection.cavities) == {"c5", "c1", "c2"}
    band.cancel()
    assert desk.selection.cavities == ("c5",)


def test_that_the_selection_outlives_undo_where_the_cavities_do() -> None:
    store = Store(crowded())
    desk = Desk(store)
    desk.selection.set(["c1", "c2"])  # type: ignore[list-item]
    desk.do("Remove cavity", lambda p: edits.remove_cavities(p, [p.cavities[0].id]))
    assert desk.selection.cavities == ("c2",)
    store.undo_stack.undo()
    assert desk.selection.cavities == ("c2",)


def test_that_an_impossible_edit_is_told_and_changes_nothing() -> None:
    store = Store(crowded())
    desk = Desk(store)
    told: list[str] = []
    desk.told.connect(told.append)
    assert not desk.do("Move", lambda p: edits.move_cavities(p, ["c99"], 1, 1))  # type: ignore[list-item]
    assert "c99" in told[0]
    assert store.undo_stack.count() == 0
