"""Layouts that `size` tries to press into a box, of one kind of part or of several. Imports numba."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from layout import edits
from layout.fill.hopping import Ground, ground_of, hop, scattered
from layout.fill.mixed import MixedSearch
from layout.fill.mixed_hops import Ground as MixedGround
from layout.fill.mixed_hops import State
from layout.fill.pairs import Pairs
from layout.fill.room import room_of
from layout.fill.rows import tables_of
from layout.fill.search import Place, Task, turns_of
from layout.fill.squeeze import Candidate, press
from layout.fill.worlds import classes_of, layout_of, places_of
from layout.geometry import IntArray
from layout.model import BoxShape, Master, Project


class Trial(Protocol):
    """A layout in a box, mostly not legal yet."""

    @property
    def fits(self) -> bool:
        """Whether it keeps every rule."""

    @property
    def energy(self) -> float:
        """How far it is from that; what it's compared by."""

    def hopped(self, hops: int, rng: np.random.Generator) -> "Trial":
        """Return the best layout that so many moves lead to; itself if it fits."""

    def places(self) -> tuple[Place, ...]:
        """Return where the parts lie."""


class Trials(Protocol):
    """Makes layouts for a box."""

    def scattered(self, shape: BoxShape, rng: np.random.Generator) -> Trial:
        """Return parts put in anew, then pressed."""

    def pressed(self, shape: BoxShape, places: tuple[Place, ...]) -> Trial:
        """Return these places pressed into the box."""


def boxed(base: Project, shape: BoxShape) -> Project:
    """Return the project with another box."""
    return edits.set_box(base, replace(base.box, shape=shape))


@dataclass(frozen=True, slots=True)
class OneKind:
    """A trial of one kind of part."""

    ground: Ground
    candidate: Candidate
    master: Master
    angles_deg: tuple[float, ...] | None

    @property
    def fits(self) -> bool:
        """See `Trial`."""
        return self.candidate.fits

    @property
    def energy(self) -> float:
        """See `Trial`."""
        return self.candidate.energy

    def hopped(self, hops: int, rng: np.random.Generator) -> Trial:
        """See `Trial`."""
        return self if self.fits else replace(self, candidate=hop(self.ground, self.candidate.copy(), hops, rng))

    def places(self) -> tuple[Place, ...]:
        """See `Trial`."""
        z, turn = self.candidate.z, self.candidate.turn
        return places_of(self.ground.world, z, turn, self.angles_deg, self.master.id)


@dataclass(frozen=True, slots=True)
class TrialsOfOne:
    """Makes trials of ``count`` parts of one kind beside what is pinned."""

    base: Project
    master: Master
    count: int
    pairs: Pairs

    def scattered(self, shape: BoxShape, rng: np.random.Generator) -> Trial:
        """See `Trials`."""
        ground = self._ground(shape)
        return self._trial(ground, scattered(ground, self.count, rng))

    def pressed(self, shape: BoxShape, places: tuple[Place, ...]) -> Trial:
        """See `Trials`."""
        ground = self._ground(shape)
        x, y, angle = (np.array([p[k] for p in places]) for k in (1, 2, 3))
        turn = classes_of(angle, turns_of(self.base, self.master))
        z = layout_of(ground.world, x, y, angle)
        return self._trial(ground, press(ground.world, Candidate(z, turn, np.inf, np.full(len(x), np.inf), "size")))

    def _trial(self, ground: Ground, candidate: Candidate) -> Trial:
        return OneKind(ground, candidate, self.master, turns_of(self.base, self.master))

    def _ground(self, shape: BoxShape) -> Ground:
        task = Task(boxed(self.base, shape), self.master)
        nofit = tables_of(self.master.footprint, self.base.rules.wall_mm).nofit
        return ground_of(room_of(task, nofit.part), nofit, task.angles_deg, self.pairs.halt)


@dataclass(frozen=True, slots=True)
class ManyKinds:
    """A trial of several kinds."""

    ground: MixedGround
    state: State
    halted: Callable[[], bool]

    @property
    def fits(self) -> bool:
        """See `Trial`."""
        return self.state.fits

    @property
    def energy(self) -> float:
        """See `Trial`."""
        return self.state.energy

    def hopped(self, hops: int, rng: np.random.Generator) -> Trial:
        """See `Trial`."""
        return replace(self, state=self.ground.hopped(self.state, hops, rng, self.halted))

    def places(self) -> tuple[Place, ...]:
        """See `Trial`."""
        return self.ground.places(self.state)


@dataclass(frozen=True, slots=True)
class TrialsOfMany:
    """Makes trials of so many parts of each kind beside what is pinned."""

    base: Project
    counts: tuple[tuple[Master, int], ...]
    pairs: Pairs

    def scattered(self, shape: BoxShape, rng: np.random.Generator) -> Trial:
        """See `Trials`."""
        ground = self._ground(shape)
        return ManyKinds(ground, ground.scattered(self._kinds(), rng), self.pairs.halted)

    def pressed(self, shape: BoxShape, places: tuple[Place, ...]) -> Trial:
        """See `Trials`."""
        ground = self._ground(shape)
        return ManyKinds(ground, ground.pressed(ground.state_of(places)), self.pairs.halted)

    def _kinds(self) -> IntArray:
        return np.repeat(np.arange(len(self.counts)), [count for _, count in self.counts])

    def _ground(self, shape: BoxShape) -> MixedGround:
        masters = tuple(master for master, _ in self.counts)
        task = Task(boxed(self.base, shape), masters[0])
        return MixedGround(MixedSearch(task, self.pairs.halted, masters=masters))
