"""The squeeze: near misses of the stacked rows, pressed into the box until they fit or give up. Imports numba."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.fill.descent import descend
from layout.fill.energy import World
from layout.fill.search import Place
from layout.fill.stacking import TOO_HIGH_MM, FramePlan, Rows
from layout.fill.stacks import Choice, Stack, build
from layout.fill.worlds import ENOUGH_MM, classes_of, layout_of
from layout.geometry import FloatArray, IntArray

PATIENCE: Final = 60
"""Evaluations that must bring 3 % of the energy, or the descent is given up."""


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A stack that is a little too high or wide, by how much, and the plan it is from."""

    over_mm: float
    origin: FramePlan
    choice: Choice


@dataclass(slots=True)
class Candidate:
    """A layout in the kernels' terms, mostly not legal yet.

    Parameters
    ----------
    z, turn : array
        See `descent.descend`.
    energy : float
    worst : array
        What each part lacks at most, mm.
    method : str
        What it came from.
    """

    z: FloatArray
    turn: IntArray
    energy: float
    worst: FloatArray
    method: str

    @property
    def count(self) -> int:
        """How many parts."""
        return len(self.z)

    @property
    def fits(self) -> bool:
        """Whether it keeps every rule."""
        return bool(self.worst.max(initial=0.0) <= ENOUGH_MM)

    def copy(self) -> "Candidate":
        """Return one that can be moved without moving this."""
        return Candidate(self.z.copy(), self.turn.copy(), self.energy, self.worst.copy(), self.method)


def near_misses(plans: list[FramePlan], count: int) -> list[NearMiss]:
    """Return the stacks of so many parts that are too high or wide by little, the least first."""
    found = [
        NearMiss(choice.total_mm - origin.frame.height_mm + origin.wider_mm, origin, choice)
        for origin in plans
        for choice in origin.plan.choices
        if choice.count == count
    ]
    return sorted((miss for miss in found if miss.over_mm <= TOO_HIGH_MM), key=lambda miss: miss.over_mm)


def start_of(rows: Rows, world: World, miss: NearMiss) -> Candidate:
    """Return a near miss with its centres drawn together into the box."""
    frame = miss.origin.frame
    stack = build(rows.tables.nofit, miss.origin.plan, miss.choice)
    across = frame.width_mm / (frame.width_mm + miss.origin.wider_mm)
    upward = min(1.0, frame.height_mm / stack.height_mm)
    pressed = Stack(stack.x_mm * across, stack.y_mm * upward, stack.angle_deg, frame.height_mm)
    return candidate_of(rows, world, frame.places(pressed, rows.search.task.master.id), "squeeze")


def candidate_of(rows: Rows, world: World, places: tuple[Place, ...], method: str) -> Candidate:
    """Return places in the kernels' terms."""
    x, y, angle = (np.array([p[k] for p in places]) for k in (1, 2, 3))
    turn = classes_of(angle, rows.search.task.angles_deg)
    return Candidate(layout_of(world, x, y, angle), turn, np.inf, np.full(len(x), np.inf), method)


def press(world: World, candidate: Candidate, patience: int = PATIENCE, most: int = 4000) -> Candidate:
    """Descend, in place, until the candidate fits, no better comes, or ``world.halt`` is set; return it."""
    candidate.energy, _, _ = descend(world, candidate.z, candidate.turn, most, patience, ENOUGH_MM, candidate.worst)
    return candidate
