"""Compiled: moves all parts of a layout at once until walls and box are kept, or no better comes. Imports numba."""

from typing import NamedTuple

import numpy as np

from layout.fill.downhill import (
    Past,
    Slopes,
    blend,
    direction_of,
    remember,
    room_to_descend,
)
from layout.fill.energy import (
    Common,
    Obstacles,
    Regions,
    World,
    box_term,
    obstacle_term,
    pair_by_corners,
    pair_by_nofit,
    pairs_near,
    place_corners,
)
from layout.fill.jit import compiled, inner
from layout.geometry import FloatArray, IntArray

SKIN_MM = 4.0
"""Pairs this much beyond reach are listed too, so that the list holds while parts move by half of it."""


class Desk(NamedTuple):
    """Room to work in: pairs listed, the places they were listed for, placed corners (n m, 2), bounding boxes."""

    pairs: IntArray
    listed: FloatArray
    corners: FloatArray
    spans: FloatArray


def _desk_of(common: Common, n: int) -> Desk:
    return Desk(
        np.empty((n * 40 + 64, 2), dtype=np.int64), np.full((n, 3), np.inf), np.empty((n * len(common.points), 2)),
        np.empty((n, 4)),
    )  # fmt: skip


@inner
def energy_of(
    common: Common, regions: Regions | None, obstacles: Obstacles | None, z: FloatArray, turn: IntArray, desk: Desk,
    number: int, grad: FloatArray, worst: FloatArray,
) -> tuple[float, float]:  # fmt: skip
    """Return a layout's energy by the pairs listed and its worst lack; write its gradient and what each part lacks."""
    n, turn_mm, wall, corners, spans = z.shape[0], common.turn_mm, common.wall, desk.corners, desk.spans
    for i in range(n):
        worst[i] = 0.0
        for k in range(3):
            grad[i, k] = 0.0
        place_corners(z, i, common.points, turn_mm, corners, spans)
    energy = 0.0
    for k in range(number):
        i, j = desk.pairs[k, 0], desk.pairs[k, 1]
        if (
            spans[i, 0] - wall >= spans[j, 2] or spans[j, 0] - wall >= spans[i, 2]
            or spans[i, 1] - wall >= spans[j, 3] or spans[j, 1] - wall >= spans[i, 3]
        ):  # fmt: skip
            continue
        if regions is not None:
            energy = pair_by_nofit(regions, wall, z, turn, i, j, grad, worst, energy)
        else:
            energy = pair_by_corners(z, corners, spans, i, j, wall, turn_mm, grad, worst, energy)
    most = 0.0
    for i in range(n):
        energy += box_term(common, z, corners, spans, i, grad, worst)
        if obstacles is not None:
            energy += obstacle_term(obstacles, z, corners, spans, i, turn_mm, grad, worst)
        if regions is not None:
            grad[i, 2] = 0.0
        if worst[i] > most:
            most = worst[i]
    return energy, most


def descend(
    world: World, z: FloatArray, turn: IntArray, most: int, patience: int, enough: float, worst: FloatArray
) -> tuple[float, float, int]:
    """Move the parts, in place, downhill by a quasi-Newton method of limited memory.

    Parameters
    ----------
    world : World
    z : array (n, 3)
        x, y, and the angle in radians times ``turn_mm``.
    turn : array (n,)
        Angle class of each part; used where angles are frozen.
    most, patience : int
        Evaluations at most; evaluations that must bring 3 %.
    enough : float
        Stop when no lack is above this, mm.
    worst : array (n,)
        Is filled with the worst lack of each part.

    Returns
    -------
    energy, worst lack, evaluations
    """
    past, slopes = room_to_descend(len(z))
    return _descend(*world, z, turn, most, patience, enough, worst, _desk_of(world.common, len(z)), past, slopes)


@compiled
def _descend(
    common: Common, regions: Regions | None, obstacles: Obstacles | None, z: FloatArray, turn: IntArray, most: int,
    patience: int, enough: float, worst: FloatArray, desk: Desk, past: Past, slopes: Slopes,
) -> tuple[float, float, int]:  # fmt: skip
    grad, direction, trial = slopes.grad, slopes.direction, slopes.trial
    number = pairs_near(z, common.reach, SKIN_MM, desk.listed, desk.pairs, most)
    energy, lack = energy_of(common, regions, obstacles, z, turn, desk, number, grad, worst)
    evaluations = 1
    mark = energy
    mark_at = 1
    while evaluations < most and lack > enough and common.halt[0] == 0:
        if evaluations - mark_at >= patience:
            if energy > 0.97 * mark:
                break
            mark = energy
            mark_at = evaluations
        slope, size = direction_of(grad, past, direction)
        if slope > -1e-22:
            break
        value = energy
        for _ in range(12):
            blend(trial, 1.0, z, -size, direction)
            number = pairs_near(trial, common.reach, SKIN_MM, desk.listed, desk.pairs, number)
            value, trial_lack = energy_of(
                common, regions, obstacles, trial, turn, desk, number, slopes.trial_grad, slopes.trial_worst
            )
            evaluations += 1
            if value <= energy + 1e-4 * size * slope:
                break
            shorter = size * slope / (2.0 * (energy + size * slope - value))
            size *= 0.5 if shorter > 0.5 else shorter if shorter > 0.1 else 0.1
        if value > energy + 1e-4 * size * slope:
            if past.kept[0] == 0:
                break
            past.kept[0] = 0
            continue
        remember(past, trial, z, slopes.trial_grad, grad)
        for i in range(z.shape[0]):
            worst[i] = slopes.trial_worst[i]
            for k in range(3):
                z[i, k] = trial[i, k]
                grad[i, k] = slopes.trial_grad[i, k]
        energy, lack = value, trial_lack
    return energy, lack, evaluations


def best_pose(world: World, z: FloatArray, turn: IntArray, i: int, poses: FloatArray, pose_turn: IntArray) -> int:
    """Return which of the poses (k, 3), of angle classes ``pose_turn``, costs part i the least energy; z is unchanged.

    Notes
    -----
    A pose is given up as soon as it costs more than the best one so far.
    """
    n = len(z)
    return _best_pose(*world, z, turn, i, poses, pose_turn, _desk_of(world.common, n), np.zeros((n, 3)), np.zeros(n))


@compiled
def _best_pose(
    common: Common, regions: Regions | None, obstacles: Obstacles | None, z: FloatArray, turn: IntArray, i: int,
    poses: FloatArray, pose_turn: IntArray, desk: Desk, grad: FloatArray, worst: FloatArray,
) -> int:  # fmt: skip
    n, turn_mm, wall, reach, corners, spans = (
        z.shape[0],
        common.turn_mm,
        common.wall,
        common.reach,
        desk.corners,
        desk.spans,
    )
    for j in range(n):
        place_corners(z, j, common.points, turn_mm, corners, spans)
    x, y, angle, before = z[i, 0], z[i, 1], z[i, 2], turn[i]
    best = 1.0e30
    found = 0
    for k in range(poses.shape[0]):
        for a in range(3):
            z[i, a] = poses[k, a]
        turn[i] = pose_turn[k]
        place_corners(z, i, common.points, turn_mm, corners, spans)
        cost = box_term(common, z, corners, spans, i, grad, worst)
        if obstacles is not None:
            cost += obstacle_term(obstacles, z, corners, spans, i, turn_mm, grad, worst)
        for j in range(n):
            if cost >= best:
                break
            dx = z[j, 0] - z[i, 0]
            dy = z[j, 1] - z[i, 1]
            if j == i or dx * dx + dy * dy > reach * reach:
                continue
            if regions is not None:
                cost = pair_by_nofit(regions, wall, z, turn, i, j, grad, worst, cost)
            else:
                cost = pair_by_corners(z, corners, spans, i, j, wall, turn_mm, grad, worst, cost)
        if cost < best:
            best = cost
            found = k
    z[i, 0], z[i, 1], z[i, 2], turn[i] = x, y, angle, before
    return found
