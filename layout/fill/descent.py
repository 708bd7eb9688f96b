"""Compiled: moves all parts of a layout at once until walls and box are kept, or no better comes. Imports numba."""

from typing import NamedTuple

import numpy as np

from layout.fill.downhill import MEMORY, Past, blend, direction_of, greatest, longest, remember
from layout.fill.energy import box_term, corners_of, corners_to_part, neighbours, obstacle_term, pair_by_nofit
from layout.fill.jit import compiled
from layout.geometry import FloatArray, IntArray

SKIN_MM = 4.0
"""Pairs this much beyond reach are listed too, so that the list holds while parts move by half of it."""

LONGEST_STEP_MM = 3.0
"""No part moves farther than this in one step."""


class World(NamedTuple):
    """All a kernel needs to know beside the places: plain arrays and numbers.

    Parameters
    ----------
    points : array (m, 2)
        Corners of the core.
    wall, reach, turn_mm : float
        Wall to aim at between cores; distance of origins beyond which parts can't meet; mm that one radian counts for.
    frozen : bool
        Angles stay as they are; then the regions below are used for pairs.
    rings, ring_cuts, region_cuts : array
        No-fit regions: region a * classes + b (part of angle class b about one of class a) is the rings
        region_cuts[r] .. region_cuts[r + 1] - 1; ring k is rows ring_cuts[k] .. ring_cuts[k + 1] - 1 of ``rings``.
    classes : int
    kind, box, inset : int, array, float
        See `energy.box_term`.
    obstacles, obstacle_cuts, keep : array
        See `energy.obstacle_term`.
    halt : array (1,)
        Another thread sets it to 1 to end a descent.
    """

    points: FloatArray
    wall: float
    reach: float
    turn_mm: float
    frozen: bool
    rings: FloatArray
    ring_cuts: IntArray
    region_cuts: IntArray
    classes: int
    kind: int
    box: FloatArray
    inset: float
    obstacles: FloatArray
    obstacle_cuts: IntArray
    keep: FloatArray
    halt: IntArray


class Desk(NamedTuple):
    """Room to work in: pairs listed, the places they were listed for, placed corners, bounding boxes."""

    pairs: IntArray
    listed: FloatArray
    corners: FloatArray
    spans: FloatArray


@compiled
def energy_of(
    world: World, z: FloatArray, turn: IntArray, desk: Desk, number: int, grad: FloatArray, worst: FloatArray
) -> float:
    """Return the energy of a layout by the first pairs listed; write its gradient and the worst lack of each part."""
    pairs, corners, spans = desk.pairs, desk.corners, desk.spans
    for i in range(z.shape[0]):
        worst[i] = 0.0
        for k in range(3):
            grad[i, k] = 0.0
    corners_of(z, world.points, world.turn_mm, corners, spans)
    wall = world.wall
    energy = 0.0
    for k in range(number):
        i = pairs[k, 0]
        j = pairs[k, 1]
        if (
            spans[i, 0] - wall >= spans[j, 2] or spans[j, 0] - wall >= spans[i, 2]
            or spans[i, 1] - wall >= spans[j, 3] or spans[j, 1] - wall >= spans[i, 3]
        ):  # fmt: skip
            continue
        if world.frozen:
            region = turn[i] * world.classes + turn[j]
            first = world.region_cuts[region]
            last = world.region_cuts[region + 1]
            energy += pair_by_nofit(z, i, j, world.rings, first, last, world.ring_cuts, wall, grad, worst)
        else:
            energy += corners_to_part(z, corners, spans, i, j, wall, world.turn_mm, grad, worst)
            energy += corners_to_part(z, corners, spans, j, i, wall, world.turn_mm, grad, worst)
    for i in range(z.shape[0]):
        energy += box_term(z, corners, spans, i, world.kind, world.box, world.inset, world.turn_mm, grad, worst)
        if world.keep.shape[0] > 0:
            energy += obstacle_term(
                z, corners, spans, i, world.obstacles, world.obstacle_cuts, world.keep, world.turn_mm, grad, worst
            )
    if world.frozen:
        for i in range(z.shape[0]):
            grad[i, 2] = 0.0
    return energy


@compiled
def _far_moved(z: FloatArray, listed: FloatArray, limit: float) -> bool:
    for i in range(z.shape[0]):
        dx = z[i, 0] - listed[i, 0]
        dy = z[i, 1] - listed[i, 1]
        if dx * dx + dy * dy > limit * limit:
            return True
    return False


@compiled
def descend(
    world: World, z: FloatArray, turn: IntArray, most: int, patience: int, enough: float, worst: FloatArray
) -> tuple[float, float, int]:
    """Move the parts, in place, downhill by a quasi-Newton method of limited memory.

    Parameters
    ----------
    world : World
    z : array (n, 3)
        x, y, and the angle in radians times ``world.turn_mm``.
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
    n = z.shape[0]
    corners = np.empty((n, world.points.shape[0], 2))
    desk = Desk(np.empty((n * 40 + 64, 2), dtype=np.int64), np.empty((n, 3)), corners, np.empty((n, 4)))
    past = Past(np.zeros((MEMORY, n, 3)), np.zeros((MEMORY, n, 3)), np.zeros(MEMORY), np.zeros(MEMORY))
    blend(desk.listed, 1.0, z, 0.0, z)
    number = neighbours(z, world.reach + SKIN_MM, desk.pairs)
    grad = np.empty((n, 3))
    energy = energy_of(world, z, turn, desk, number, grad, worst)
    kept = 0
    newest = -1
    direction = np.empty((n, 3))
    trial = np.empty((n, 3))
    trial_grad = np.empty((n, 3))
    trial_worst = np.empty(n)
    evaluations = 1
    mark = energy
    mark_at = 1
    while evaluations < most and greatest(worst) > enough and world.halt[0] == 0:
        if evaluations - mark_at >= patience:
            if energy > 0.97 * mark:
                break
            mark = energy
            mark_at = evaluations
        slope = direction_of(grad, past, kept, newest, direction)
        if slope > -1e-22:
            break
        size = min(1.0, LONGEST_STEP_MM / longest(direction))
        value = energy
        for _ in range(12):
            blend(trial, 1.0, z, -size, direction)
            if _far_moved(trial, desk.listed, 0.5 * SKIN_MM):
                blend(desk.listed, 1.0, trial, 0.0, trial)
                number = neighbours(trial, world.reach + SKIN_MM, desk.pairs)
            value = energy_of(world, trial, turn, desk, number, trial_grad, trial_worst)
            evaluations += 1
            if value <= energy + 1e-4 * size * slope:
                break
            size *= min(0.5, max(0.1, size * slope / (2.0 * (energy + size * slope - value))))
        if value > energy + 1e-4 * size * slope:
            if kept == 0:
                break
            kept = 0
            continue
        if remember(past, (newest + 1) % MEMORY, trial, z, trial_grad, grad):
            newest = (newest + 1) % MEMORY
            kept = min(kept + 1, MEMORY)
        blend(z, 1.0, trial, 0.0, trial)
        blend(grad, 1.0, trial_grad, 0.0, grad)
        for i in range(n):
            worst[i] = trial_worst[i]
        energy = value
    return energy, greatest(worst), evaluations


@compiled
def best_pose(world: World, z: FloatArray, turn: IntArray, i: int, poses: FloatArray, pose_turn: IntArray) -> int:
    """Return which of the poses (k, 3), of angle classes ``pose_turn``, costs part i the least energy; z is unchanged.

    Notes
    -----
    A pose is given up as soon as it costs more than the best one so far.
    """
    n = z.shape[0]
    m = world.points.shape[0]
    corners = np.empty((n, m, 2))
    spans = np.empty((n, 4))
    grad = np.zeros((n, 3))
    worst = np.zeros(n)
    corners_of(z, world.points, world.turn_mm, corners, spans)
    kept = (z[i, 0], z[i, 1], z[i, 2], turn[i])
    best = 1.0e30
    found = 0
    for k in range(poses.shape[0]):
        for a in range(3):
            z[i, a] = poses[k, a]
        turn[i] = pose_turn[k]
        corners_of(z[i : i + 1], world.points, world.turn_mm, corners[i : i + 1], spans[i : i + 1])
        cost = box_term(z, corners, spans, i, world.kind, world.box, world.inset, world.turn_mm, grad, worst)
        if world.keep.shape[0] > 0:
            cost += obstacle_term(
                z, corners, spans, i, world.obstacles, world.obstacle_cuts, world.keep, world.turn_mm, grad, worst
            )
        for j in range(n):
            if cost >= best:
                break
            dx = z[j, 0] - z[i, 0]
            dy = z[j, 1] - z[i, 1]
            if j == i or dx * dx + dy * dy > world.reach * world.reach:
                continue
            if world.frozen:
                region = turn[i] * world.classes + turn[j]
                first = world.region_cuts[region]
                last = world.region_cuts[region + 1]
                cost += pair_by_nofit(z, i, j, world.rings, first, last, world.ring_cuts, world.wall, grad, worst)
            else:
                cost += corners_to_part(z, corners, spans, i, j, world.wall, world.turn_mm, grad, worst)
                cost += corners_to_part(z, corners, spans, j, i, world.wall, world.turn_mm, grad, worst)
        if cost < best:
            best = cost
            found = k
    z[i, 0], z[i, 1], z[i, 2], turn[i] = kept
    return found
