"""What a filling method is given and where it hands in layouts: one task, one search, one judge."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from layout import edits
from layout.checks import check, is_legal
from layout.fill.turns import allowed_turn
from layout.geometry import Placed
from layout.model import CavityId, Master, MasterId, Project, RectBox
from layout.numbering import pour_order
from layout.regions import placed_cavities, placed_cavity, placed_keep_out
from layout.tolerances import CLEARANCE_TOL_MM

Place = tuple[MasterId, float, float, float]
"""Master, x_mm, y_mm, angle_deg."""

NO_LIMIT: Final = 1_000_000

FEW: Final = 70
"""Up to so many parts a start from nothing may win."""

MOST_CENTRED: Final = 500
"""See `in_the_middle`."""


@dataclass(frozen=True, slots=True)
class Task:
    """The free part of a project that a method may fill with one master.

    Parameters
    ----------
    project : Project
        With its pinned cavities only; the box, the rules and the keep-outs are read from it.
    master : Master
        What to fill with.
    most : int
        No more cavities than this are wanted beside the pinned ones.
    """

    project: Project
    master: Master
    most: int = NO_LIMIT

    @property
    def angles_deg(self) -> tuple[float, ...] | None:
        """The turns allowed; None for any angle."""
        return turns_of(self.project, self.master)

    @property
    def obstacles(self) -> list[tuple[Placed, float]]:
        """Pinned cavities and keep-outs, each with the distance to keep from it, mm."""
        pinned = [(placed_cavity(self.project, c), self.project.rules.wall_mm) for c in self.project.cavities]
        return pinned + [(placed_keep_out(k), 0.0) for k in self.project.keep_outs]


def turns_of(project: Project, master: Master) -> tuple[float, ...] | None:
    """Return the turns a master may take, degrees; None for any angle."""
    return {"free": None, "90": (0.0, 90.0, 180.0, 270.0), "180": (0.0, 180.0), "0": (0.0,)}[project.turn_of(master)]


def at_allowed_turns(project: Project, places: tuple[Place, ...]) -> tuple[Place, ...] | None:
    """Return places at turns that the project allows, covering the same; None if one has no such turn.

    Notes
    -----
    Rows of a five-pointed star at 144 degrees look like rows at 0; with quarter turns it's 0 that must be written down.
    """
    known: dict[tuple[MasterId, float], float | None] = {}
    out: list[Place] = []
    for master_id, x, y, angle in places:
        key = master_id, angle
        if key not in known:
            master = project.master(master_id)
            known[key] = allowed_turn(master.footprint, angle, turns_of(project, master))
        turn = known[key]
        if turn is None:
            return None
        out.append((master_id, x, y, turn))
    return tuple(out)


def in_pouring_order(project: Project, places: Iterable[Place]) -> tuple[Place, ...]:
    """Return places in the order they'd be poured: as the template numbers them."""
    found, ids = edits.add_cavities(project, places)
    place_of = {c.id: (c.master, c.x_mm, c.y_mm, c.angle_deg) for c in found.cavities}
    new = set(ids)
    return tuple(place_of[i] for i in pour_order(found) if i in new)


def laid(project: Project, places: Iterable[Place]) -> Project:
    """Return the project with cavities at these places, their ids in pouring order."""
    return edits.add_cavities(project, in_pouring_order(project, places))[0]


def legal_part(project: Project, places: Iterable[Place]) -> tuple[Place, ...]:
    """Return the places that keep every rule, in their order; of two that are too near each other, the first.

    Parameters
    ----------
    project : Project
        With its pinned cavities only.
    """
    layout = tuple(places)
    trial, ids = edits.add_cavities(project, layout)
    new, gone = set(ids), set[CavityId]()
    for broken in check(trial):
        mine = [i for i in broken.cavities if i in new]
        if mine and not gone.intersection(mine):
            gone.add(mine[-1])
    return tuple(place for place, i in zip(layout, ids, strict=True) if i not in gone)


def in_the_middle(project: Project) -> Project:
    """Return the layout with what room is left shared by opposite sides; as it is where something stays in its place.

    Notes
    -----
    Only in a rectangle, where every move within the spare room keeps every rule; but it's checked, and so many parts
    that this would take a tenth of a second leave no room worth it.
    """
    shape = project.box.shape
    if not isinstance(shape, RectBox) or not 0 < len(project.cavities) <= MOST_CENTRED or project.keep_outs:
        return project
    if any(c.pinned for c in project.cavities):
        return project
    bounds = np.array([p.bounds for p in placed_cavities(project).values()])
    dx = (shape.length_mm - float(bounds[:, 2].max()) - float(bounds[:, 0].min())) / 2.0
    dy = (shape.width_mm - float(bounds[:, 3].max()) - float(bounds[:, 1].min())) / 2.0
    if max(abs(dx), abs(dy)) <= CLEARANCE_TOL_MM:
        return project
    moved = edits.move_cavities(project, [c.id for c in project.cavities], dx, dy)
    return moved if is_legal(moved) else project


@dataclass(slots=True)
class Search:
    """One run: asks whether to stop, admits layouts by the exact check, keeps the best.

    Parameters
    ----------
    task : Task
    should_stop : callable
        Asked often, under every 50 ms of work; True ends the method at once.
    seed : int
        Every random number comes from `rng`, so that the same rounds give the same layout.
    on_better : callable, optional
        Called with the places and the method's name whenever a better layout was admitted.
    """

    task: Task
    should_stop: Callable[[], bool]
    seed: int = 0
    on_better: Callable[[tuple[Place, ...], str], None] | None = None
    best: tuple[Place, ...] = ()
    method: str = ""
    rng: np.random.Generator = field(init=False)

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(self.seed)

    @property
    def count(self) -> int:
        """How many cavities the best layout has beside the pinned ones."""
        return len(self.best)

    def begin_with(self, places: tuple[Place, ...], method: str) -> None:
        """Take over a layout that another search of the same task admitted."""
        self.best, self.method = places, method

    def score_of(self, places: Sequence[Place]) -> tuple[int, int]:
        """Return what makes one layout better than another, the greater the better."""
        return 0, len(places)

    def offer(self, places: Iterable[Place], method: str) -> bool:
        """Hand in a layout; return whether it was legal and better than the best so far.

        Places beyond ``task.most`` are dropped from the end.
        """
        layout = at_allowed_turns(self.task.project, tuple(places)[: self.task.most])
        if layout is None or len(layout) <= self.count:
            return False
        if not is_legal(edits.add_cavities(self.task.project, layout)[0]):
            return False
        self.best, self.method = layout, method
        if self.on_better:
            self.on_better(layout, method)
        return True
