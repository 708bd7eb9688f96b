"""The squeeze: near misses of the stacked rows, pressed into the box until they fit or give up."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from layout.fill.search import Place, Search
from layout.fill.stacking import TOO_HIGH_MM, FramePlan, Rows
from layout.fill.stacks import Stack, build
from layout.geometry import FloatArray, IntArray

if TYPE_CHECKING:
    from layout.fill.descent import World

LASTS: Final = 6
"""Stacks tried for one count of one plan: they end in different rows."""


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A stack that is a little too high or wide: the plan it is from, its count and its last row."""

    over_mm: float
    origin: FramePlan
    count: int
    last: int


@dataclass(slots=True)
class Candidate:
    """A layout that is not legal yet, in the kernels' terms."""

    z: FloatArray
    turn: IntArray
    energy: float
    worst: FloatArray


def near_misses(rows: Rows, count: int) -> list[NearMiss]:
    """Return the stacks of so many parts that are too high by little, the lowest first."""
    found: list[NearMiss] = []
    for origin in rows.plans:
        if count >= len(origin.plan.total_mm):
            continue
        over = origin.plan.total_mm[count] - origin.frame.height_mm + origin.wider_mm
        lasts = [last for last in np.argsort(over, kind="stable")[:LASTS].tolist() if over[last] <= TOO_HIGH_MM]
        found.extend(NearMiss(float(over[last]), origin, count, last) for last in lasts)
    return sorted(found, key=lambda miss: miss.over_mm)


def start_of(rows: Rows, world: "World", miss: NearMiss) -> Candidate:
    """Return a near miss with its centres drawn together into the box."""
    from layout.fill.worlds import classes_of, layout_of

    frame, plan = miss.origin.frame, miss.origin.plan
    stack = build(rows.tables.nofit, [plan.rows[q] for q in plan.sequence(miss.count, miss.last)])
    across = frame.width_mm / (frame.width_mm + miss.origin.wider_mm)
    upward = min(1.0, frame.height_mm / stack.height_mm)
    pressed = Stack(stack.x_mm * across, stack.y_mm * upward, stack.angle_deg, frame.height_mm)
    places = frame.places(pressed, rows.search.task.master.id)
    x, y, angle = (np.array([p[k] for p in places]) for k in (1, 2, 3))
    turn = classes_of(angle, rows.search.task.angles_deg)
    return Candidate(layout_of(world, x, y, angle), turn, np.inf, np.zeros(len(x)))


@dataclass(slots=True)
class Squeeze:
    """Presses near misses in; those that fail wait in ``failed``, best first, for the methods that come after.

    Parameters
    ----------
    rows : Rows
        After its run.
    world : World
    """

    rows: Rows
    world: "World"
    failed: list[Candidate]

    @property
    def search(self) -> Search:
        """The search it works for."""
        return self.rows.search

    def run(self) -> Iterator[None]:
        """Try every near miss of one part more, then of two more, ...; yield after each."""
        tried: set[tuple[int, int, int]] = set()
        while True:
            target = self.search.count + 1
            fresh = [m for m in near_misses(self.rows, target) if (id(m.origin), m.count, m.last) not in tried]
            if not fresh:
                return
            for miss in fresh:
                tried.add((id(miss.origin), miss.count, miss.last))
                self.press(start_of(self.rows, self.world, miss))
                yield
                if self.search.count >= target:
                    break

    def press(self, candidate: Candidate, patience: int = 60) -> bool:
        """Descend from a candidate; offer it if it keeps every rule, else keep it among the failed."""
        from layout.fill.descent import descend
        from layout.fill.worlds import ENOUGH_MM

        energy, worst, _ = descend(self.world, candidate.z, candidate.turn, 4000, patience, ENOUGH_MM, candidate.worst)
        candidate.energy = energy
        if worst <= ENOUGH_MM and self.offer(candidate, "squeeze"):
            return True
        self.failed.append(candidate)
        return False

    def offer(self, candidate: Candidate, method: str) -> bool:
        """Hand in a layout that keeps every rule."""
        from layout.fill.worlds import places_of

        task = self.search.task
        places: tuple[Place, ...] = places_of(self.world, candidate.z, candidate.turn, task.angles_deg, task.master.id)
        return self.search.offer(places, method)
