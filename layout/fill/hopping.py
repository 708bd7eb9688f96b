"""Hopping: from a layout that nearly fits, small moves, each followed by a descent, until one fits. Imports numba."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.fill.descent import best_pose
from layout.fill.energy import World
from layout.fill.nofit import NoFit
from layout.fill.room import Room
from layout.fill.squeeze import Candidate, press
from layout.fill.worlds import world_of
from layout.geometry import FloatArray, IntArray

POSES: Final = 300
"""Random poses tried for a part that is taken out."""

TEMPERATURE: Final = 0.06
"""A worse layout is gone on with if it is worse by about this share of the energy."""

PATIENCE: Final = 30
"""Evaluations of a descent that must bring 3 %: a hop is given up sooner than a squeeze."""


@dataclass(frozen=True, slots=True)
class Ground:
    """Where parts may be put at random.

    Parameters
    ----------
    world : World
    low, high : array (2,)
        Corners of the room's bounding rectangle, mm.
    angles_rad : array or None
        The turns allowed; None for any.
    """

    world: World
    low: FloatArray
    high: FloatArray
    angles_rad: FloatArray | None

    def poses(self, number: int, rng: np.random.Generator) -> tuple[FloatArray, IntArray]:
        """Return random poses and their angle classes."""
        xy = rng.uniform(self.low, self.high, (number, 2))
        if self.angles_rad is None:
            turn = np.zeros(number, dtype=np.int64)
            angle = rng.uniform(0.0, 2.0 * math.pi, number)
        else:
            turn = rng.integers(0, len(self.angles_rad), number)
            angle = self.angles_rad[turn]
        return np.column_stack((xy, angle * self.world.turn_mm)), turn


def ground_of(room: Room, nofit: NoFit, angles_deg: tuple[float, ...] | None, halt: IntArray) -> Ground:
    """Return a room's ground; see `worlds.world_of`."""
    world = world_of(room, nofit, angles_deg, halt)
    x0, y0, width, height = room.inside_mm
    angles = (0.0,) if len(world.common.points) == 1 else angles_deg
    return Ground(
        world, np.array([x0, y0]), np.array([x0 + max(width, 0.0), y0 + max(height, 0.0)]),
        None if angles is None else np.radians(angles),
    )  # fmt: skip


def scattered(ground: Ground, count: int, rng: np.random.Generator) -> Candidate:
    """Return parts put in one after the other, each at the best of some random poses, then pressed."""
    z, turn = ground.poses(count, rng)
    candidate = Candidate(z, turn, np.inf, np.zeros(count), "hopping")
    for i in range(count):
        if not ground.world.halt[0]:
            _put(ground, candidate, i, 40, rng)
    return press(ground.world, candidate, PATIENCE)


def with_one_more(ground: Ground, legal: Candidate, rng: np.random.Generator) -> Candidate:
    """Return a layout with one part forced in where it costs least."""
    poses, classes = ground.poses(1, rng)
    candidate = Candidate(
        np.vstack((legal.z, poses)), np.append(legal.turn, classes), np.inf, np.full(legal.count + 1, np.inf), "hopping"
    )
    _put(ground, candidate, legal.count, POSES, rng)
    return candidate


def hop(ground: Ground, start: Candidate, hops: int, rng: np.random.Generator) -> Candidate:
    """Return the best layout that so many moves from a start lead to."""
    current = best = start
    for _ in range(hops):
        if best.fits or ground.world.halt[0]:
            break
        trial = _moved(ground, current, rng)
        press(ground.world, trial, PATIENCE, 400)
        rise = trial.energy - current.energy
        if rise <= 0.0 or rng.random() < math.exp(-rise / (TEMPERATURE * current.energy + 1e-300)):
            current = trial
        if trial.energy < best.energy or trial.fits:
            best = trial
    return best


def _moved(ground: Ground, current: Candidate, rng: np.random.Generator) -> Candidate:
    trial = current.copy()
    trial.method = "hopping"
    which = rng.random()
    if which < 0.55:
        for i in _worst(trial, 1 + int(rng.random() < 0.35), rng):
            _put(ground, trial, i, POSES, rng)
    elif which < 0.8:
        middle = trial.z[_worst(trial, 1, rng)[0], :2]
        near = np.hypot(*(trial.z[:, :2] - middle).T) < ground.world.reach * rng.uniform(0.8, 2.5)
        _shake(ground, trial, np.flatnonzero(near), ground.world.turn_mm * rng.uniform(0.1, 0.8), rng)
    elif which < 0.9:
        for i in _worst(trial, int(rng.integers(1, 4)), rng):
            _turn(ground, trial, i, rng)
    else:
        _shake(ground, trial, np.arange(trial.count), ground.world.turn_mm * rng.uniform(0.02, 0.25), rng)
    return trial


def _worst(candidate: Candidate, number: int, rng: np.random.Generator) -> list[int]:
    """Return parts, mostly those that lack the most."""
    if rng.random() < 0.25 or candidate.count <= number:
        return [int(i) for i in rng.integers(0, candidate.count, number)]
    weight = candidate.worst**2 + 1e-12
    return [int(i) for i in rng.choice(candidate.count, number, replace=False, p=weight / weight.sum())]


def _put(ground: Ground, candidate: Candidate, i: int, number: int, rng: np.random.Generator) -> None:
    poses, classes = ground.poses(number, rng)
    k = best_pose(ground.world, candidate.z, candidate.turn, i, poses, classes)
    candidate.z[i], candidate.turn[i] = poses[k], classes[k]


def _shake(ground: Ground, candidate: Candidate, who: IntArray, by_mm: float, rng: np.random.Generator) -> None:
    candidate.z[who, :2] += rng.normal(0.0, by_mm, (len(who), 2))
    if ground.angles_rad is None:
        candidate.z[who, 2] += rng.normal(0.0, by_mm, len(who))


def _turn(ground: Ground, candidate: Candidate, i: int, rng: np.random.Generator) -> None:
    if ground.angles_rad is None:
        by = math.pi if rng.random() < 0.5 else rng.uniform(0.0, 2.0 * math.pi)
        candidate.z[i, 2] += by * ground.world.turn_mm
        return
    candidate.turn[i] = rng.integers(0, len(ground.angles_rad))
    candidate.z[i, 2] = ground.angles_rad[candidate.turn[i]] * ground.world.turn_mm
