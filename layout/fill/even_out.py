"""Even out: the cavities of a finished layout moved apart until the thinnest wall is as thick as it gets.

Linear programs over small moves: of all corners near another part, the distance is written as it changes with the
moves and turns of both; the least of them is made as large as the step allows, and so on until nothing more is gained.
Then all other walls share what room is left, while the least stays as it is.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely

from layout import edits
from layout.checks import is_legal
from layout.errors import BadValueError
from layout.fill.aside import Teller, run_aside
from layout.fill.even_features import (
    Body,
    Feature,
    Features,
    body_of,
    box_features,
    joined,
    pair_features,
    ring_of,
    still_features,
)
from layout.fill.even_spread import BOTH, Method, solved, spread_step, worth
from layout.geometry import FloatArray
from layout.model import Cavity, Project, RectBox, RoundBox
from layout.regions import placed_keep_out

MOST_ROUNDS: Final = 400
"""Linear programs that widen the least wall, at most."""

_LEAST_TRUST_MM: Final = 1e-7
"""Steps shorter than this bring nothing that the check could tell."""

_LEAST_GAIN_MM: Final = 1e-6
"""A program that promises less isn't worth a step: the check's own tolerance."""

_KEEP_OUT_GAP_MM: Final = 1e-4
"""Kept from keep-outs, which may be touched and not entered."""

_SHAKES: Final = 10
"""Layouts shaken to begin anew from."""

_FEW: Final = 60
"""Up to so many parts a first step may be long."""

_SPREADS: Final = 20
"""Programs at most that share the room left between all other walls."""

_LEAST_SPREAD: Final = 1e-3
"""A gain in `worth` below this asks for a shorter step; a wall as thin as the least is worth -1."""

_LEAST_SPREAD_MM: Final = 0.02
"""The shortest step of sharing: what nobody could glue any nearer."""

_LEAST_WORTH_TELLING_MM: Final = 1e-4
"""A layout with shared room is given up only for a least wall that is wider by more than this."""

_SAFE_MM: Final = 2e-7
"""Kept beyond the rules, so that rounding costs no layout: a fifth of the check's tolerance."""


@dataclass(frozen=True, slots=True)
class EvenResult:
    """What evening out reached.

    Parameters
    ----------
    project : Project
    before_mm, after_mm : float or None
        Least wall of which one side at least may move; None where there's none.
    rounds : int
        Linear programs solved.
    stopped_early : bool
    """

    project: Project
    before_mm: float | None
    after_mm: float | None
    rounds: int
    stopped_early: bool


def even_out(
    project: Project,
    on_progress: Callable[[EvenResult], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
    most_rounds: int = MOST_ROUNDS,
) -> EvenResult:
    """Return the project with its least wall as wide as small moves can make it, at the same count.

    Parameters
    ----------
    project : Project
        Legal. Pinned cavities stay; turns change only where the master may take any.
    on_progress : callable, optional
        Called with every better layout, in the caller's thread.
    should_stop : callable, optional
        Asked in the caller's thread some thirty times a second; once True the best layout so far is returned.
    most_rounds : int

    Raises
    ------
    BadValueError
        If the layout breaks a rule: mend it first, or walls would be traded for other faults.

    Notes
    -----
    The edge stays as wide as the rule asks. A local best: another arrangement of the same parts may allow more.
    """
    if not is_legal(project):
        raise BadValueError("even", "the layout breaks a rule", "run check and mend it, or fill the box again")
    start = _State.of(project)
    before = start.least_wall_mm()
    best = [EvenResult(project, before, before, 0, False)]
    teller: Teller[EvenResult] = Teller()

    def hear(better: EvenResult) -> None:
        best[0] = better
        if on_progress:
            on_progress(better)

    climb = _Climb(before, teller, most_rounds)
    done = run_aside(teller, lambda: climb.search(start), should_stop or (lambda: False), hear)
    return replace(best[0], rounds=climb.rounds, stopped_early=done is None)


@dataclass(slots=True)
class _Climb:
    """Linear programs one after the other, and how many there were."""

    before_mm: float | None
    teller: Teller[EvenResult]
    most_rounds: int
    rounds: int = 0
    told_mm: float = 0.0

    def search(self, start: "_State") -> bool:
        """Tell of ever better layouts until none is found."""
        if self.before_mm is None:
            return True
        self.told_mm = self.before_mm
        best = found = self.highest(start)
        self.spread(best)
        # parts that lie exactly in line push each other nowhere but along the line: shake them and see
        rng = np.random.default_rng(0)
        for _ in range(_SHAKES):
            if self.teller.stopped:
                break
            shaken = best.shaken(rng)
            if shaken is None:
                continue
            trial = self.up(shaken)
            if (trial.least_wall_mm() or 0.0) > (best.least_wall_mm() or 0.0) + _LEAST_GAIN_MM:
                best = trial
        if best is not found:
            self.spread(self.highest(best))
        return True

    def highest(self, state: "_State") -> "_State":
        """Return the state from which neither way of solving the programs gains anything."""
        for method in BOTH:
            state = self.up(state, method)
        return state

    def spread(self, state: "_State") -> None:
        """Share the room between all walls, the least kept, and tell of it."""
        least = state.least_wall_mm() or 0.0
        trust = state.first_trust_mm()
        if least < 1e-3 or self.teller.stopped:
            return
        floor = least - _SAFE_MM
        for _ in range(_SPREADS):
            if self.teller.stopped or trust < _LEAST_SPREAD_MM:
                break
            self.rounds += 1
            trial, gain, hoped = state.spread(trust, floor)
            if trial is None:
                break
            if gain > 0.0 and (trial.least_wall_mm() or 0.0) >= floor - _SAFE_MM and is_legal(trial.project):
                state = trial
                # no later layout is worth losing this for less than can be measured
                self.told_mm = least + _LEAST_WORTH_TELLING_MM
                wall_mm = state.least_wall_mm()
                self.teller.tell(EvenResult(state.project, self.before_mm, wall_mm, self.rounds, False))
            # the lines are the nearer to the curve the shorter the step
            if gain < 0.5 * hoped or gain < _LEAST_SPREAD:
                trust *= 0.4

    def up(self, state: "_State", method: Method = BOTH[0]) -> "_State":
        """Return the state after as many steps as gain something."""
        trust = farthest = state.first_trust_mm()
        while self.rounds < self.most_rounds and trust > _LEAST_TRUST_MM and not self.teller.stopped:
            self.rounds += 1
            trial, hoped = state.moved(trust, method)
            now = state.least_wall_mm() or 0.0
            if trial is None or hoped - now < _LEAST_GAIN_MM:
                break
            then = trial.least_wall_mm() or 0.0
            if then > now and is_legal(trial.project):
                if then - now < 0.3 * (hoped - now):
                    trust *= 0.5
                elif then - now > 0.8 * (hoped - now):
                    # all that was promised: a narrow place lies behind, no need to creep on
                    trust = min(2.0 * trust, farthest)
                state = trial
                self._tell(state, then)
            else:
                trust *= 0.3
        return state

    def _tell(self, state: "_State", wall_mm: float) -> None:
        if wall_mm > self.told_mm:
            self.told_mm = wall_mm
            self.teller.tell(EvenResult(state.project, self.before_mm, wall_mm, self.rounds, False))


@dataclass(frozen=True, slots=True)
class _State:
    """A layout as bodies, and which of them may move and turn."""

    project: Project
    bodies: tuple[Body, ...]
    movable: tuple[bool, ...]
    turnable: tuple[bool, ...]

    @classmethod
    def of(cls, project: Project) -> "_State":
        free = {m.id: project.turn_of(m) == "free" for m in project.masters}
        bodies = tuple(body_of(project, c) for c in project.cavities)
        movable = tuple(not c.pinned for c in project.cavities)
        turns = zip(project.cavities, bodies, movable, strict=True)
        return cls(project, bodies, movable, tuple(free[c.master] and m and len(b.points) > 1 for c, b, m in turns))

    def size_mm(self) -> float:
        return max(b.reach_mm for b in self.bodies)

    def first_trust_mm(self) -> float:
        """Return how far parts may move in the first step; a shorter one of many parts is soon worked out."""
        if not self.bodies:
            return 0.0
        return (0.25 if len(self.bodies) <= _FEW else 0.06) * self.size_mm()

    def pairs(self, within_mm: float) -> list[tuple[int, int]]:
        """Return the pairs of which one may move and whose circumscribed discs are no farther apart."""
        centre = np.array([b.centre for b in self.bodies])
        reach = np.array([b.reach_mm for b in self.bodies])
        apart = np.hypot(*(centre[:, None, :] - centre[None, :, :]).transpose(2, 0, 1))
        near = np.argwhere(apart - reach[:, None] - reach[None, :] <= within_mm)
        return [(int(i), int(j)) for i, j in near if i < j and (self.movable[i] or self.movable[j])]

    def least_wall_mm(self) -> float | None:
        within = 1.0
        size = 2.0 * self.size_mm() if self.bodies else 0.0
        while len(self.bodies) > 1 and within < 1e6:
            least = float(self._gaps(self.pairs(within)).min(initial=np.inf))
            if least <= within:
                return least
            within = 2.0 * within + size
        return None

    def shaken(self, rng: np.random.Generator) -> "_State | None":
        """Return the layout with all moved by something like a wall, still legal; None if that can't be had."""
        size = 0.05 * self.size_mm() + 0.4 * (self.least_wall_mm() or 0.0) if self.bodies else 0.0
        for _ in range(10):
            step = rng.normal(0.0, 1.0, (len(self.bodies), 3)) * size
            step[:, 2] *= np.array(self.turnable)
            trial = self._after(step)._brought_in()
            # the full check measures how deep each overlap is, which takes long
            if (trial.least_wall_mm() or 0.0) >= self.project.rules.wall_mm and is_legal(trial.project):
                return trial
            size *= 0.6
        return None

    def _brought_in(self) -> "_State":
        """Return the layout with what sticks over the edge pushed back in, where the box is a rectangle or a tube."""
        shape, edge = self.project.box.shape, self.project.rules.edge_mm + _SAFE_MM
        step = np.zeros((len(self.bodies), 3))
        for i, body in enumerate(self.bodies):
            low = body.points.min(axis=0) - body.radius_mm
            high = body.points.max(axis=0) + body.radius_mm
            if isinstance(shape, RectBox):
                size = np.array([shape.length_mm, shape.width_mm])
                step[i, :2] = np.maximum(edge - low, 0.0) - np.maximum(high - (size - edge), 0.0)
            elif isinstance(shape, RoundBox):
                out = body.centre - shape.diameter_mm / 2.0
                far = float(np.hypot(*(body.points - shape.diameter_mm / 2.0).T).max()) + body.radius_mm
                over = max(0.0, far + edge - shape.diameter_mm / 2.0)
                step[i, :2] = -out * over / max(float(np.hypot(*out)), 1e-9)
        return self._after(step)

    def moved(self, trust: float, method: Method) -> tuple["_State | None", float]:
        """Return the layout after one linear program, and the least wall it promised, mm."""
        now = self.least_wall_mm() or 0.0
        near = now + 5.0 * trust
        counted = pair_features(self.bodies, self.pairs(near), near)
        step, hoped = self._program(counted, self._kept(trust), trust, method)
        return (None, hoped) if step is None else (self._after(step), hoped)

    def _program(
        self, counted: Features, kept: Features, trust: float, method: Method
    ) -> tuple[FloatArray | None, float]:
        n, k = len(self.bodies), len(counted.gap)
        rows, columns, values = joined([counted, kept]).entries(self._reach_mm())
        entries = (
            np.concatenate((rows, np.arange(k))),
            np.concatenate((columns, np.full(k, 3 * n))),
            np.concatenate((values, np.ones(k))),
        )
        # what's a hair short already must not make the program impossible
        limits = np.concatenate((counted.gap, np.maximum(kept.gap, 0.0)))
        cost = np.zeros(3 * n + 1)
        cost[-1] = -1.0
        most = float(counted.gap.max(initial=0.0)) + 10.0 * trust
        found = solved(cost, entries, limits, [*self._bounds(trust), (None, most)], (method,))
        return (None, 0.0) if found is None else (found[:-1].reshape(n, 3), float(found[-1]))

    def _reach_mm(self) -> FloatArray:
        return np.array([body.reach_mm for body in self.bodies])

    def _bounds(self, trust: float) -> list[tuple[float, float]]:
        """Return how far each part may move along x and y, and turn times its reach, mm."""
        bounds: list[tuple[float, float]] = []
        for move, turn in zip(self.movable, self.turnable, strict=True):
            m, t = trust if move else 0.0, trust if turn else 0.0
            bounds += [(-m, m), (-m, m), (-t, t)]
        return bounds

    def spread(self, trust: float, floor: float) -> tuple["_State | None", float, float]:
        """Return the layout after one program of `spread_step`, what was gained by it, and what it promised."""
        # walls much wider than the least are pushed on by those beside them
        near = floor + 0.6 * self.size_mm() + 2.0 * trust
        pairs = self.pairs(near)
        walls = pair_features(self.bodies, pairs, near)
        who = [pairs[k] for k in np.unique(walls.pair).tolist()]
        step, hoped = spread_step(self._reach_mm(), walls, self._kept(trust), floor, self._bounds(trust), 2.9 * trust)
        if step is None:
            return None, 0.0, 0.0
        now, trial = worth(self._gaps(who), floor), self._after(step)
        return trial, worth(trial._gaps(who), floor) - now, hoped - now

    def _gaps(self, pairs: list[tuple[int, int]]) -> FloatArray:
        cores = np.array([body.core for body in self.bodies], dtype=object)
        radii = np.array([body.radius_mm for body in self.bodies])
        i, j = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
        return np.asarray(shapely.distance(cores[i], cores[j]) - radii[i] - radii[j], dtype=np.float64)

    def _kept(self, trust: float) -> Features:
        """Return the distances to the sides of the box and to keep-outs, beyond what the rules ask."""
        kept: list[Feature] = []
        edge = self.project.rules.edge_mm + _SAFE_MM
        areas = [ring_of(placed_keep_out(k)) for k in self.project.keep_outs]
        for i, body in enumerate(self.bodies):
            if not self.movable[i]:
                continue
            kept += box_features(self.project.box.shape, body, i, edge, 5.0 * trust)
            for area in areas:
                kept += still_features(body, area, i, _KEEP_OUT_GAP_MM, 5.0 * trust)
        return Features.of(kept)

    def _after(self, step: FloatArray) -> "_State":
        moves = {c.id: (s, b.reach_mm) for c, s, b in zip(self.project.cavities, step, self.bodies, strict=True)}

        def change(cavity: Cavity) -> Cavity:
            (dx, dy, turn), reach = moves[cavity.id]
            angle = (cavity.angle_deg + float(np.degrees(turn / reach))) % 360.0 if turn else cavity.angle_deg
            return replace(cavity, x_mm=cavity.x_mm + float(dx), y_mm=cavity.y_mm + float(dy), angle_deg=angle)

        free = [c.id for c, m in zip(self.project.cavities, self.movable, strict=True) if m]
        return _State.of(edits.change_cavities(self.project, free, change))
