"""Boxes made smaller by pressing: the parts of a layout drawn together until they fit. Imports numba."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from typing import Final

import numpy as np

from layout.fill.pairs import SIDE_BY_SIDE, Pairs
from layout.fill.search import FEW, laid
from layout.fill.size_shapes import Start
from layout.fill.size_trials import Trial, Trials, boxed
from layout.model import BoxShape, Project
from layout.regions import inner_area_mm2, inner_size_mm

ATTEMPTS: Final = 16
"""Boxes tried in a round."""

_KEPT: Final = 6
"""Failed boxes kept to go on from."""

_MOST_HOPS: Final = 60
"""Hops of one attempt; of many parts, fewer."""

_LEAST_CUT: Final = 0.0004
_MOST_CUT: Final = 0.04
"""Shares of the area by which the next box is smaller: more after one that was filled, less after one that wasn't."""

_LONGEST: Final = 5.0
"""Boxes longer than so many times their width are tried only round a layout that asks for one."""

BoxOf = Callable[[float, float], BoxShape | None]
"""Told an area in mm2 and a length over a width, it says which box of about these is allowed."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A box that was tried, how its parts lie, and what it was tried as."""

    shape: BoxShape
    trial: Trial
    how: str


@dataclass(slots=True)
class Presser:
    """Tries boxes a little smaller than the best, by many ways to begin.

    Parameters
    ----------
    base : Project
        With its pinned cavities only.
    wanted : int
        Free cavities.
    trials : Trials
    box_of : callable
    pairs : Pairs
    seed : int
    near : list of Start
        Layouts of rows that aren't the best, the smallest first.
    """

    base: Project
    wanted: int
    trials: Trials
    box_of: BoxOf
    pairs: Pairs
    seed: int
    near: list[Start]
    failed: list[Tried] = field(default_factory=list)
    cuts: dict[str, float] = field(
        default_factory=lambda: {"drawn in": 0.03, "rows": 0.01, "anew": 0.01, "again": 0.01}
    )
    done: int = 0

    def round(self, best: Callable[[], Start], take: Callable[[Project], bool]) -> bool:
        """Try some boxes, two side by side; return whether one was taken.

        Parameters
        ----------
        best : callable
            Says what is to be beaten.
        take : callable
            Judges a layout that fits; returns whether it's better.
        """
        taken = False
        for _ in range(ATTEMPTS // SIDE_BY_SIDE):
            if self.pairs.halted():
                break
            works = [self._next(self.done + k, best()) for k in range(SIDE_BY_SIDE)]
            self.done += SIDE_BY_SIDE
            for tried in self.pairs.run([work for work in works if work is not None]):
                taken = self._judge(tried, best, take) or taken
        return taken

    def _judge(self, tried: Tried | None, best: Callable[[], Start], take: Callable[[Project], bool]) -> bool:
        if tried is None:
            return False
        cut = self.cuts[tried.how]
        if tried.trial.fits and take(self._project(tried)):
            self.cuts[tried.how] = min(_MOST_CUT, cut * 1.4)
            area = inner_area_mm2(best().shape)
            self.failed = [f for f in self.failed if inner_area_mm2(f.shape) < area * (1.0 - _LEAST_CUT)]
            return True
        self.cuts[tried.how] = max(_LEAST_CUT, cut * 0.96)
        if np.isfinite(tried.trial.energy) and not tried.trial.fits:
            self.failed = sorted([*self.failed, tried], key=lambda f: f.trial.energy)[:_KEPT]
        return False

    def _next(self, number: int, best: Start) -> Callable[[], Tried | None] | None:
        """Return the work of an attempt; what it reads is fixed now."""
        rng = np.random.default_rng([self.seed, self.wanted, number])
        how = self._how(rng)
        if how == "again":
            return partial(self._again, self.failed[int(rng.integers(len(self.failed)))], rng)
        area = inner_area_mm2(best.shape)
        begin = best
        if how == "rows":
            begin = self.near[min(int(rng.exponential(4.0)), len(self.near) - 1)]
        length, width = inner_size_mm(begin.shape)
        share = length / width
        if how == "anew":
            share = math.exp(rng.uniform(-math.log(_LONGEST), math.log(_LONGEST)))
        elif rng.random() < 0.7:
            share *= math.exp(rng.normal(0.0, 0.03))
        shape = self.box_of(area * (1.0 - self.cuts[how] * rng.uniform(0.15, 1.0)), share)
        if shape is None or inner_area_mm2(shape) >= area * (1.0 - 0.5 * _LEAST_CUT):
            return None
        return partial(self._anew, shape, rng) if how == "anew" else partial(self._drawn_in, shape, begin, how, rng)

    def _how(self, rng: np.random.Generator) -> str:
        which = rng.random()
        if self.failed and which < 0.25:
            return "again"
        if self.near and which < 0.5:
            return "rows"
        return "anew" if which < 0.75 and self.wanted <= FEW else "drawn in"

    # ---------------------------------------------------------------------------------------- the attempts themselves

    def _anew(self, shape: BoxShape, rng: np.random.Generator) -> Tried:
        return self._hopped(shape, self.trials.scattered(shape, rng), "anew", rng)

    def _drawn_in(self, shape: BoxShape, begin: Start, how: str, rng: np.random.Generator) -> Tried:
        """Scale the places of a layout from the middle of its box to the new one's, then press."""
        length, width = inner_size_mm(shape)
        old_length, old_width = inner_size_mm(begin.shape)
        pinned = bool(self.base.cavities or self.base.keep_outs)
        x0, y0 = (0.0, 0.0) if pinned else (old_length / 2.0, old_width / 2.0)
        x1, y1 = (0.0, 0.0) if pinned else (length / 2.0, width / 2.0)
        places = tuple(
            (master, (x - x0) * length / old_length + x1, (y - y0) * width / old_width + y1, angle)
            for master, x, y, angle in begin.places
        )
        return self._hopped(shape, self.trials.pressed(shape, places), how, rng)

    def _again(self, failed: Tried, rng: np.random.Generator) -> Tried:
        return self._hopped(failed.shape, failed.trial, "again", rng)

    def _hopped(self, shape: BoxShape, start: Trial, how: str, rng: np.random.Generator) -> Tried:
        most = 100 if how == "drawn in" else 400
        hops = min(_MOST_HOPS, max(1 if how == "drawn in" else 2, most // max(self.wanted, 1)))
        return Tried(shape, start.hopped(hops, rng), how)

    def _project(self, tried: Tried) -> Project:
        return laid(boxed(self.base, tried.shape), tried.trial.places())
