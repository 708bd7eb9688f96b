"""Rounds of a mixed fill: a part forced in, all give way, hops until it fits. Imports numba."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np
import shapely

from layout.fill.energy import CIRCLE, OUTLINE, RECTANGLE
from layout.fill.hopping import POSES, TEMPERATURE
from layout.fill.mixed import MixedSearch
from layout.fill.mixed_kernels import Kinds, cheapest, descend_mixed
from layout.fill.pairs import SIDE_BY_SIDE, Pairs
from layout.fill.parts import parts_of
from layout.fill.search import FEW, Place, Task
from layout.fill.worlds import AIM_MM, ENOUGH_MM
from layout.geometry import FloatArray, IntArray, PlacedDisc
from layout.model import Master, OutlineBox, Project, RectBox, RoundBox
from layout.regions import inner_size_mm

POOL: Final = 8
"""Failed layouts kept to go on from, of each kind that was to be added."""


@dataclass(slots=True)
class State:
    """Places and kinds of all parts, and how far they are from being legal."""

    z: FloatArray
    kind: IntArray
    worst: FloatArray
    energy: float = math.inf

    def copy(self) -> "State":
        """Return one that can be changed."""
        return State(self.z.copy(), self.kind.copy(), self.worst.copy(), self.energy)

    @property
    def fits(self) -> bool:
        """Whether no wall is too thin."""
        return len(self.worst) == 0 or float(self.worst.max()) <= ENOUGH_MM


class Hopper:
    """Tries to add one part after the other to a search's best layout, two attempts side by side.

    Parameters
    ----------
    search : MixedSearch
    pairs : Pairs

    Notes
    -----
    What an attempt does depends on its number, the seed and what earlier pairs of attempts found, never on time.
    """

    def __init__(self, search: MixedSearch, pairs: Pairs) -> None:
        self.search = search
        self.pairs = pairs
        self.ground = Ground(search)
        self.legal = self.ground.state_of(search.best)
        self.pools: dict[int, list[State]] = {}
        self.tried = 0

    def begin_again(self) -> None:
        """Go on from the search's best layout, which others may have found."""
        self.legal, self.pools = self.ground.state_of(self.search.best), {}

    def round(self) -> None:
        """Do one round: two attempts to add a part."""
        done = len(self.legal.kind) >= self.search.task.most
        if done or not self.search.ranked(self.search.counts(self.search.best)):
            return
        works = [self._next(self.tried + k) for k in range(SIDE_BY_SIDE)]
        self.tried += SIDE_BY_SIDE
        before = self.search.best
        for state in self.pairs.run(works):
            if state.fits and self.search.offer(self.ground.places(state), "mixed"):
                self.legal, self.pools = state, {}
            elif not state.fits and self.search.best == before and math.isfinite(state.energy):
                self._shelve(state)

    def _shelve(self, state: State) -> None:
        kind = int(state.kind[-1])
        pool = sorted([*self.pools.get(kind, []), state], key=lambda s: s.energy)
        self.pools[kind] = pool[:POOL]

    def _next(self, number: int) -> Callable[[], State]:
        """Return an attempt; what it starts from is fixed now, before the one beside it begins."""
        rng = np.random.default_rng([self.search.seed, number])
        counts = self.search.counts(self.ground.places(self.legal))
        ranked = self.search.ranked(counts)
        if all(len(self.pools.get(self.ground.number[m.id], [])) >= POOL for m in ranked):
            # often tried in vain: then whatever fills
            ranked = [*ranked, *self.search.fillers(counts)]
        # the most urgent mostly; others now and then, for they may fit where it doesn't
        pick = 0 if rng.random() < 0.6 else int(rng.integers(len(ranked)))
        kind = self.ground.number[ranked[pick].id]
        pool = self.pools.get(kind, [])
        if pool and rng.random() < 0.7:
            start = pool[min(int(rng.exponential(1.5)), len(pool) - 1)].copy()
            return partial(self._hopped, lambda: start, rng)
        kinds = np.append(self.legal.kind, kind)
        if pool and len(kinds) <= FEW and rng.random() < 0.4:
            return partial(self._hopped, partial(self.ground.scattered, kinds, rng), rng)
        return partial(self._hopped, partial(self.ground.with_one_more, self.legal, kind, rng), rng)

    def _hopped(self, start: Callable[[], State], rng: np.random.Generator) -> State:
        """Return the best state that an attempt's hops lead to."""
        state = start()
        return self.ground.hopped(state, _most_hops(len(state.kind)), rng, self.pairs.halted)


def _most_hops(count: int) -> int:
    """Return how many descents one attempt may take."""
    return max(6, math.ceil(900 / max(count, 1)))


class Ground:
    """The parts of a mixed search as the kernels have them, and the moves; changes none of it."""

    def __init__(self, search: MixedSearch) -> None:
        project = search.task.project
        self.masters = search.masters
        self.kinds = kinds_of(project, search.masters)
        self.number = {m.id: k for k, m in enumerate(search.masters)}
        self.turns = [Task(project, m).angles_deg for m in search.masters]
        self.size_mm = inner_size_mm(project.box.shape)

    # ------------------------------------------------------------------------------------------------------- starts

    def with_one_more(self, legal: State, kind: int, rng: np.random.Generator) -> State:
        """Return a layout with one part forced in where it costs least."""
        z = np.vstack((legal.z, self._poses(kind, 1, rng)))
        state = State(z, np.append(legal.kind, kind), np.full(len(z), np.inf))
        self._put(state, len(z) - 1, rng)
        return self.pressed(state)

    def scattered(self, kinds: IntArray, rng: np.random.Generator) -> State:
        """Return all parts put in anew, the largest first."""
        order = kinds[np.argsort(-self.kinds.reach[kinds] - self.kinds.rounding[kinds], kind="stable")]
        state = State(np.zeros((0, 3)), order[:0], np.zeros(0))
        for k in range(len(order)):
            z = np.vstack((state.z, self._poses(int(order[k]), 1, rng)))
            state = State(z, order[: k + 1].copy(), np.zeros(k + 1))
            self._put(state, k, rng, 60)
        return self.pressed(state)

    def pressed(self, state: State, most: int = 600) -> State:
        """Return the state, in place, after all have given way."""
        state.energy = descend_mixed(self.kinds, state.z, state.kind, most, 30, ENOUGH_MM, state.worst)
        return state

    # -------------------------------------------------------------------------------------------------------- moves

    def hopped(self, start: State, hops: int, rng: np.random.Generator, halted: Callable[[], bool]) -> State:
        """Return the best state that so many moves lead to, none where it fits."""
        current = best = start
        for _ in range(hops):
            if best.fits or halted():
                break
            trial = self.moved(current, rng)
            rise = trial.energy - current.energy
            if rise <= 0.0 or rng.random() < math.exp(-rise / (TEMPERATURE * current.energy + 1e-300)):
                current = trial
            if trial.energy < best.energy or trial.fits:
                best = trial
        return best

    def moved(self, current: State, rng: np.random.Generator) -> State:
        """Return the layout with some parts moved, after all have given way."""
        trial = current.copy()
        self._move(trial, rng)
        return self.pressed(trial, 400)

    def _move(self, state: State, rng: np.random.Generator) -> None:
        n = len(state.kind)
        which = rng.random()
        if which < 0.5:
            for i in self._bad(state, 1 + int(rng.random() < 0.35), rng):
                self._put(state, i, rng)
        elif which < 0.68 and len(set(state.kind.tolist())) > 1:
            self._swap(state, rng)
        elif which < 0.85:
            middle = state.z[self._bad(state, 1, rng)[0], :2]
            size = float(self.kinds.reach.max() + self.kinds.rounding.max())
            near = np.flatnonzero(np.hypot(*(state.z[:, :2] - middle).T) < size * rng.uniform(1.5, 5.0))
            self._shake(state, near, size * float(rng.uniform(0.1, 0.6)), rng)
        elif which < 0.93:
            for i in self._bad(state, min(n, int(rng.integers(1, 4))), rng):
                state.z[i, 2] = self._poses(int(state.kind[i]), 1, rng)[0, 2]
        else:
            self._shake(state, np.arange(n), float(rng.uniform(0.3, 3.0)), rng)

    def _swap(self, state: State, rng: np.random.Generator) -> None:
        i = self._bad(state, 1, rng)[0]
        others = np.flatnonzero(state.kind != state.kind[i])
        j = int(rng.choice(others))
        state.z[[i, j], :2] = state.z[[j, i], :2]
        for k in (i, j):
            poses = self._poses(int(state.kind[k]), 24, rng)
            poses[:, :2] = state.z[k, :2]
            state.z[k] = poses[cheapest(self.kinds, state.z, state.kind, k, poses)]

    def _bad(self, state: State, number: int, rng: np.random.Generator) -> list[int]:
        n = len(state.kind)
        if n <= number or rng.random() < 0.25:
            return [int(i) for i in rng.integers(0, n, number)]
        weight = state.worst**2 + 1e-12
        return [int(i) for i in rng.choice(n, number, replace=False, p=weight / weight.sum())]

    def _put(self, state: State, i: int, rng: np.random.Generator, number: int = POSES) -> None:
        poses = self._poses(int(state.kind[i]), number, rng)
        state.z[i] = poses[cheapest(self.kinds, state.z, state.kind, i, poses)]

    def _shake(self, state: State, who: IntArray, by_mm: float, rng: np.random.Generator) -> None:
        state.z[who, :2] += rng.normal(0.0, by_mm, (len(who), 2))
        turning = rng.normal(0.0, by_mm, len(who)) * self.kinds.free[state.kind[who]]
        state.z[who, 2] += turning

    def _poses(self, kind: int, number: int, rng: np.random.Generator) -> FloatArray:
        length, width = self.size_mm
        inset = self.kinds.inset + self.kinds.rounding[kind]
        xy = rng.uniform((inset, inset), (max(length - inset, inset), max(width - inset, inset)), (number, 2))
        turns = self.turns[kind]
        angle = rng.uniform(0.0, 2.0 * math.pi, number) if turns is None else np.radians(rng.choice(turns, number))
        return np.column_stack((xy, angle * self.kinds.turn_mm[kind]))

    # --------------------------------------------------------------------------------------------------- in and out

    def state_of(self, places: tuple[Place, ...]) -> State:
        """Return places as the kernels have them."""
        kind = np.array([self.number[p[0]] for p in places], dtype=np.int64)
        z = np.array([(p[1], p[2], math.radians(p[3])) for p in places], dtype=np.float64).reshape(-1, 3)
        z[:, 2] *= self.kinds.turn_mm[kind]
        return State(z, kind, np.zeros(len(kind)), 0.0)

    def places(self, state: State) -> tuple[Place, ...]:
        """Return a layout of the kernels as places."""
        places = []
        for (x, y, t), k in zip(state.z.tolist(), state.kind.tolist(), strict=True):
            angle = math.degrees(t / float(self.kinds.turn_mm[k])) % 360.0
            turns = self.turns[k]
            if turns is not None:
                angle = min(turns, key=lambda a: abs((angle - a + 180.0) % 360.0 - 180.0))
            places.append((self.masters[k].id, x, y, angle))
        return tuple(places)


def kinds_of(project: Project, masters: tuple[Master, ...]) -> Kinds:
    """Return what the kernels need to know about the masters and the room."""
    parts = list(parts_of(masters, project.rules.wall_mm).values())
    most = max(len(p.points) for p in parts)
    points = np.zeros((len(parts), most, 2))
    for k, part in enumerate(parts):
        points[k, : len(part.points)] = part.points
    shape, box = _box(project)
    rings: list[FloatArray] = []
    keep: list[float] = []
    for placed, distance in Task(project, masters[0]).obstacles:
        if isinstance(placed, PlacedDisc):
            rings.append(np.array([[placed.x_mm, placed.y_mm]]))
            keep.append(distance + placed.radius_mm + AIM_MM)
        else:
            rings.append(shapely.get_coordinates(placed)[:-1])
            keep.append(distance + AIM_MM)
    if isinstance(project.box.shape, OutlineBox):
        # a notch of the box reaches between a part's corners: its corner is an obstacle of its own
        rings += [np.array([p], dtype=np.float64) for p in project.box.shape.points]
        keep += [project.rules.edge_mm + AIM_MM] * len(project.box.shape.points)
    reach = np.array([p.radius_mm for p in parts])
    free = [Task(project, m).angles_deg is None and len(p.points) > 1 for m, p in zip(masters, parts, strict=True)]
    return Kinds(
        points, np.array([len(p.points) for p in parts], dtype=np.int64), np.array([p.rounding_mm for p in parts]),
        reach, np.maximum(0.7 * reach, 1e-3), np.array(free, dtype=np.int64), project.rules.wall_mm + AIM_MM,
        project.rules.edge_mm + AIM_MM, shape, box, np.vstack(rings) if rings else np.zeros((0, 2)),
        np.concatenate(([0], np.cumsum([len(r) for r in rings]))).astype(np.int64), np.array(keep, dtype=np.float64),
    )  # fmt: skip


def _box(project: Project) -> tuple[int, FloatArray]:
    shape = project.box.shape
    if isinstance(shape, RectBox):
        return RECTANGLE, np.array([[0.0, 0.0], [shape.length_mm, shape.width_mm]])
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        return CIRCLE, np.array([[r, r], [r, 0.0]])
    return OUTLINE, np.array(shape.points, dtype=np.float64)


def warm() -> None:
    """Compile or load the kernels."""
    square = np.array([[[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]])
    one = np.ones(1)
    whole = np.array([4], dtype=np.int64)
    kinds = Kinds(
        square, whole, 0.0 * one, 1.5 * one, one, np.ones(1, dtype=np.int64), 1.0, 1.0, RECTANGLE,
        np.array([[0.0, 0.0], [9.0, 9.0]]), np.zeros((0, 2)), np.zeros(1, dtype=np.int64), np.zeros(0),
    )  # fmt: skip
    z, kind = np.array([[3.0, 3.0, 0.0], [3.5, 5.0, 0.0]]), np.zeros(2, dtype=np.int64)
    descend_mixed(kinds, z, kind, 3, 3, 1e-3, np.zeros(2))
    cheapest(kinds, z, kind, 0, z.copy())
