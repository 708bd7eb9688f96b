"""Projects to look at: from one cavity to hundreds, mixed, round, with keep-outs and with broken rules."""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from app.example import example_project
from layout import arrange, edits
from layout.masters import read_master
from layout.model import Box, KeepOut, KeepOutId, Project, RectBox, RoundBox, Rules


def one() -> Project:
    """One disc in a box of a playing card."""
    project = edits.add_master(
        Project("One coin", Box(RectBox(88.9, 63.5))), read_master("disc:38.1x6.35", name="Coin")
    )
    return edits.add_cavities(project, [(project.masters[0].id, 44.45, 31.75, 0.0)])[0]


def many() -> Project:
    """Three hundred small discs."""
    project = Project("Rivets by the hundred", Box(RectBox(400.0, 300.0)), rules=Rules(wall_mm=6.0, edge_mm=9.0))
    project = edits.add_master(project, read_master("disc:13x4", name="Rivet"))
    project, first = edits.add_cavities(project, [(project.masters[0].id, 15.5, 15.5, 0.0)])
    return arrange.repeat_grid(project, first, 20, 15)[0]


def mixed() -> Project:
    """Three masters, one with a long name, wanted numbers."""
    project = Project("Engine room, second batch", Box(RectBox(228.6, 177.8)))
    for text, name, wanted in (
        ("hex:19.05x6.35+dome:16x3", "Bolt head", 12),
        ("ring:30x18x6", "Porthole ring for the forward bulkhead", 4),
        ("oval:40x16x8", "Name plate", 3),
    ):
        master = read_master(text, name=name, taken_ids={m.id for m in project.masters})
        project = edits.add_master(project, replace(master, wanted=wanted))
    hexagon, ring, oval = (m.id for m in project.masters)
    places = [(hexagon, 20.0 + 26.0 * i, 21.0 + 30.0 * k, 0.0) for i in range(8) for k in range(3)]
    places += [(ring, 26.0 + 38.0 * i, 113.0, 0.0) for i in range(5)]
    places += [(oval, 30.0 + 47.0 * i, 150.0, 0.0) for i in range(4)]
    return edits.add_cavities(project, places)[0]


def round_box() -> Project:
    """A round box with two keep-outs."""
    project = Project("Round", Box(RoundBox(150.0)))
    project = edits.add_master(project, read_master("poly5:22x8", name="Star nut"))
    areas = [
        KeepOut(KeepOutId(""), 75.0, 22.0, 30.0, 14.0, purpose="pry slot"),
        KeepOut(KeepOutId(""), 75.0, 75.0, 18.0, 18.0, round=True, purpose="finger room"),
    ]
    project, first = edits.add_cavities(project, [(project.masters[0].id, 75.0, 126.0, 0.0)])
    project, _ = arrange.repeat_round(project, first, (75.0, 75.0))
    below = [c.id for c in project.cavities if c.y_mm < 45.0]
    return edits.add_keep_outs(edits.remove_cavities(project, below), areas)


def broken() -> Project:
    """Cavities too near each other, in a keep-out and out of the box."""
    project = edits.add_keep_outs(
        example_project(), [KeepOut(KeepOutId(""), 100.0, 90.0, 40.0, 12.0, purpose="finger room")]
    )
    ids = [c.id for c in project.cavities]
    project = edits.move_cavities(project, ids[:1], -14.0, -6.0)
    return edits.move_cavities(project, ids[20:22], 2.3, 1.0)


PROJECTS: Final[dict[str, Callable[[], Project]]] = {
    "one": one,
    "usual": example_project,
    "many": many,
    "mixed": mixed,
    "round": round_box,
    "broken": broken,
}
