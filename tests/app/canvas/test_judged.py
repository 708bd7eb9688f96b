"""What the desk remembers of the rules after a change is what a check of all of them finds."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from app.canvas.judged import Judged
from layout import edits
from layout.checks import check
from layout.geometry import Disc, Outline
from layout.model import Box, KeepOut, KeepOutId, Master, MasterId, Project, RectBox, Rules
from layout.regions import placed_cavities

DISC = Master(MasterId("d"), "disc", "disc:16x5", Disc(8.0), 5.0, 1.0, 201.0)
ELL = Master(
    MasterId("l"), "ell", "ell.dxf",
    Outline(((-10.0, -8.0), (10.0, -8.0), (10.0, 0.0), (0.0, 0.0), (0.0, 8.0), (-10.0, 8.0))), 5.0, 1.2, 240.0,
)  # fmt: skip
AT = st.floats(-5.0, 130.0)
PLACES = st.tuples(st.sampled_from([DISC.id, ELL.id]), AT, AT, st.sampled_from([0.0, 30.0, 90.0, 201.5]))


@st.composite
def _change(draw: st.DrawFn, project: Project) -> Project:
    ids = [c.id for c in project.cavities]
    some = draw(st.lists(st.sampled_from(ids), min_size=1, max_size=3, unique=True)) if ids else []
    kind = draw(st.sampled_from(["move", "turn", "remove", "add", "rules", "keep-out", "order", "pin"]))
    if kind == "add":
        return edits.add_cavities(project, [draw(PLACES)])[0]
    if kind == "rules":
        return edits.set_rules(project, Rules(draw(st.sampled_from([2.0, 6.0])), draw(st.sampled_from([3.0, 9.0]))))
    if kind == "keep-out":
        return edits.add_keep_outs(project, [KeepOut(KeepOutId(""), draw(AT), draw(AT), 25.0, 15.0)])
    if kind == "order":
        return replace(project, cavities=project.cavities[::-1])
    if not some:
        return project
    if kind == "move":
        return edits.move_cavities(project, some, draw(st.floats(-30.0, 30.0)), draw(st.floats(-30.0, 30.0)))
    if kind == "turn":
        return edits.turn_cavities(project, some, 37.0)
    return edits.remove_cavities(project, some) if kind == "remove" else edits.pin_cavities(project, some, True)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_that_what_is_judged_anew_is_what_a_check_of_all_finds(data: st.DataObject) -> None:
    project = Project("p", Box(RectBox(130.0, 120.0)), (DISC, ELL), Rules(6.0, 9.0))
    project = edits.add_cavities(project, data.draw(st.lists(PLACES, min_size=4, max_size=9)))[0]
    judged, seen = Judged(), [project]
    for _ in range(data.draw(st.integers(1, 6))):
        assert judged.findings(project) == check(project)
        assert list(judged.placed(project).items()) == list(placed_cavities(project).items())
        # an undo goes back to a project seen before
        undone = data.draw(st.booleans()) and len(seen) > 1
        project = seen[-2] if undone else data.draw(_change(project))
        seen.append(project)
    assert judged.findings(project) == check(project)


def test_that_a_small_change_has_only_what_changed_judged(monkeypatch) -> None:
    places = [(DISC.id, 15.0 + 24.0 * i, 15.0 + 24.0 * j, 0.0) for i in range(10) for j in range(10)]
    project = edits.add_cavities(Project("p", Box(RectBox(260.0, 260.0)), (DISC,), Rules(6.0, 5.0)), places)[0]
    from app.canvas import judged as module

    asked: list[int] = []
    whole = module.check_placed
    monkeypatch.setattr(
        module, "check_placed", lambda p, placed, only: asked.append(len(only)) or whole(p, placed, only)
    )
    judged = Judged()
    judged.findings(project)
    judged.findings(project)
    moved = edits.move_cavities(project, [project.cavities[4].id], 3.0, 0.0)
    assert judged.findings(moved)
    judged.findings(replace(moved, name="other"))
    assert asked == [100, 1]
