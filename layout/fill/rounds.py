"""Rounds of improvement, two side by side: near misses pressed in, rows drawn anew, hops. Imports numba."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from typing import Final

import numpy as np

from layout.fill.hopping import Ground, ground_of, hop, scattered, with_one_more
from layout.fill.pairs import SIDE_BY_SIDE, Pairs
from layout.fill.search import FEW, Place, Search
from layout.fill.squeeze import Candidate, NearMiss, candidate_of, near_misses, press, start_of
from layout.fill.stacking import Rows
from layout.fill.worlds import places_of

KEPT: Final = 12
"""Failed layouts kept to go on from."""


@dataclass(slots=True)
class Rounds:
    """Works on from the rows until told to stop.

    Parameters
    ----------
    rows : Rows
        After its run.
    pairs : Pairs
    """

    rows: Rows
    pairs: Pairs
    ground: Ground = field(init=False)
    pool: list[Candidate] = field(default_factory=list)
    tried: set[tuple[int, tuple[int, ...]]] = field(default_factory=set)
    done: int = 0

    def __post_init__(self) -> None:
        angles = self.rows.search.task.angles_deg
        self.ground = ground_of(self.rows.room, self.rows.tables.nofit, angles, self.pairs.halt)

    @property
    def search(self) -> Search:
        """The search it works for."""
        return self.rows.search

    def run(self) -> Iterator[None]:
        """Do rounds until halted, two side by side; yield after each pair.

        Notes
        -----
        What a round does depends on its number, the seed and what the rounds of earlier pairs found, never on time.
        """
        while not self.pairs.halted():
            works = [self._next(self.done + k) for k in range(SIDE_BY_SIDE)]
            for found in self.pairs.run(works):
                self._take(found)
            self.done += SIDE_BY_SIDE
            yield

    def _next(self, number: int) -> Callable[[], list[Candidate]]:
        """Return the work of a round; what it reads is fixed now, before any round beside it starts."""
        rng = np.random.default_rng([self.search.seed, number])
        target = self.search.count + 1
        # stacks know nothing of obstacles
        misses = self._fresh(target, 3) if self.rows.room.plain else []
        if misses:
            return partial(self._press_in, misses)
        if number % 4 < 2 and self.rows.kinds:
            return partial(self._rows_anew, target, rng)
        if not self.pool or rng.random() < 0.15:
            if target <= FEW and rng.random() < 0.5:
                return partial(self._scatter, target, rng)
            return partial(self._one_more, self.search.best, target, rng)
        # the best failures most often
        k = min(int(rng.exponential(2.0)), len(self.pool) - 1)
        return partial(self._hopped, self.pool[k].copy(), rng)

    def _fresh(self, target: int, number: int) -> list[NearMiss]:
        misses = near_misses(self.rows.plans, target)
        fresh = [m for m in misses if (id(m.origin), m.choice.order) not in self.tried][:number]
        self.tried.update((id(m.origin), m.choice.order) for m in fresh)
        return fresh

    def _press_in(self, misses: list[NearMiss]) -> list[Candidate]:
        found: list[Candidate] = []
        for miss in misses:
            found.append(press(self.ground.world, start_of(self.rows, self.ground.world, miss)))
            if found[-1].fits or self.pairs.halted():
                break
        return found

    def _rows_anew(self, target: int, rng: np.random.Generator) -> list[Candidate]:
        if self.rows.room.plain:
            return self._press_in(near_misses(self.rows.drawn(rng), target)[:5])
        stacked = bool(self.rows.plans) and rng.random() < 0.7
        places = (self.rows.round_obstacles if stacked else self.rows.cropped_too_full)(target, rng)
        if len(places) != target:
            return []
        return [press(self.ground.world, candidate_of(self.rows, self.ground.world, places, "squeeze"))]

    def _scatter(self, target: int, rng: np.random.Generator) -> list[Candidate]:
        return self._hopped(scattered(self.ground, target, rng), rng)

    def _one_more(self, best: tuple[Place, ...], target: int, rng: np.random.Generator) -> list[Candidate]:
        if not best:
            return self._scatter(target, rng)
        legal = candidate_of(self.rows, self.ground.world, best, "hopping")
        return self._hopped(press(self.ground.world, with_one_more(self.ground, legal, rng)), rng)

    def _hopped(self, start: Candidate, rng: np.random.Generator) -> list[Candidate]:
        return [hop(self.ground, start, max(3, 600 // start.count), rng)]

    def _take(self, found: list[Candidate]) -> None:
        for candidate in found:
            if candidate.fits:
                self._offer(candidate)
            elif np.isfinite(candidate.energy):
                self.pool.append(candidate)
        target = self.search.count + 1
        distinct: dict[float, Candidate] = {}
        for candidate in sorted(self.pool, key=lambda c: c.energy):
            if candidate.count == target:
                distinct.setdefault(float(f"{candidate.energy:.3g}"), candidate)
        self.pool = list(distinct.values())[:KEPT]

    def _offer(self, candidate: Candidate) -> None:
        task = self.search.task
        places = places_of(self.ground.world, candidate.z, candidate.turn, task.angles_deg, task.master.id)
        self.search.offer(places, candidate.method)
