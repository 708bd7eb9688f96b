"""Compiled: the energy of a layout of several kinds of part, its descent, and what a pose would cost. Imports numba."""

import math
from typing import NamedTuple

import numpy as np

from layout.fill.downhill import MEMORY, Past, blend, direction_of, greatest, longest, remember
from layout.fill.energy import CIRCLE, RECTANGLE, nearest_on_ring, push
from layout.fill.jit import compiled
from layout.geometry import FloatArray, IntArray

LONGEST_STEP_MM = 3.0
"""No part moves farther than this in one step."""


class Kinds(NamedTuple):
    """Plain arrays about the parts and the room.

    Parameters
    ----------
    points : array (kinds, most corners, 2)
        Cores; a disc's is one point.
    corners : array (kinds,)
        How many of the points count.
    rounding, reach, turn_mm : array (kinds,)
        The part is its core grown by the rounding; farthest core point from the origin; mm that a radian counts for.
    free : array (kinds,)
        1 where any angle is allowed.
    wall, inset : float
        To keep between parts, and from the sides of the box.
    shape, box : int, array
        As in `energy.box_term`, but not inset.
    obstacles, cuts, keep : array
        As in `energy.obstacle_term`; a part keeps its rounding more.
    """

    points: FloatArray
    corners: IntArray
    rounding: FloatArray
    reach: FloatArray
    turn_mm: FloatArray
    free: IntArray
    wall: float
    inset: float
    shape: int
    box: FloatArray
    obstacles: FloatArray
    cuts: IntArray
    keep: FloatArray


@compiled
def _place(kinds: Kinds, z: FloatArray, kind: int, i: int, placed: FloatArray) -> None:
    angle = z[i, 2] / kinds.turn_mm[kind]
    c, s = math.cos(angle), math.sin(angle)
    for k in range(kinds.corners[kind]):
        x, y = kinds.points[kind, k, 0], kinds.points[kind, k, 1]
        placed[i, k, 0] = z[i, 0] + x * c - y * s
        placed[i, k, 1] = z[i, 1] + x * s + y * c


@compiled
def _corners_near(
    kinds: Kinds, z: FloatArray, kind: IntArray, placed: FloatArray, i: int, j: int, grad: FloatArray, worst: FloatArray
) -> float:
    """Return the energy of the corners of part i that are too near part j."""
    a, b = kind[i], kind[j]
    wall = kinds.wall + kinds.rounding[a] + kinds.rounding[b]
    reach = kinds.reach[b] + wall
    energy = 0.0
    for k in range(kinds.corners[a]):
        px, py = placed[i, k, 0], placed[i, k, 1]
        if abs(px - z[j, 0]) > reach or abs(py - z[j, 1]) > reach:
            continue
        d, qx, qy = nearest_on_ring(px, py, placed[j], 0, kinds.corners[b], True)
        lack = wall - d
        if lack <= 0.0:
            continue
        energy += lack * lack
        worst[i] = max(worst[i], lack)
        worst[j] = max(worst[j], lack)
        if d != 0.0:
            gx, gy = -2.0 * lack * (px - qx) / d, -2.0 * lack * (py - qy) / d
            push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], kinds.turn_mm[a])
            push(grad, j, -gx, -gy, qx - z[j, 0], qy - z[j, 1], kinds.turn_mm[b])
    return energy


@compiled
def _box_lack(kinds: Kinds, px: float, py: float, inset: float) -> tuple[float, float, float]:
    """Return how much a point lacks of the inset, squared, and its slope."""
    box = kinds.box
    if kinds.shape == RECTANGLE:
        x = min(0.0, px - box[0, 0] - inset) + max(0.0, px - box[1, 0] + inset)
        y = min(0.0, py - box[0, 1] - inset) + max(0.0, py - box[1, 1] + inset)
        return x * x + y * y, 2.0 * x, 2.0 * y
    if kinds.shape == CIRCLE:
        dx, dy = px - box[0, 0], py - box[0, 1]
        r = math.sqrt(dx * dx + dy * dy)
        over = r - box[1, 0] + inset
        return (over * over, 2.0 * over * dx / r, 2.0 * over * dy / r) if over > 0.0 else (0.0, 0.0, 0.0)
    d, qx, qy = nearest_on_ring(px, py, box, 0, box.shape[0], True)
    lack = inset + d
    if lack <= 0.0 or d == 0.0:
        return (0.0, 0.0, 0.0) if lack <= 0.0 else (lack * lack, 0.0, 0.0)
    return lack * lack, 2.0 * lack * (px - qx) / d, 2.0 * lack * (py - qy) / d


@compiled
def _still(
    kinds: Kinds, z: FloatArray, kind: IntArray, placed: FloatArray, i: int, grad: FloatArray, worst: FloatArray
) -> float:
    """Return the energy of part i against the box and what stands in it."""
    a = kind[i]
    energy = 0.0
    for k in range(kinds.corners[a]):
        px, py = placed[i, k, 0], placed[i, k, 1]
        e, gx, gy = _box_lack(kinds, px, py, kinds.inset + kinds.rounding[a])
        if e > 0.0:
            energy += e
            worst[i] = max(worst[i], math.sqrt(e))
            push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], kinds.turn_mm[a])
    for o in range(kinds.keep.shape[0]):
        keep = kinds.keep[o] + kinds.rounding[a]
        for k in range(kinds.corners[a]):
            px, py = placed[i, k, 0], placed[i, k, 1]
            d, qx, qy = nearest_on_ring(px, py, kinds.obstacles, kinds.cuts[o], kinds.cuts[o + 1], True)
            lack = keep - d
            if lack > 0.0 and d != 0.0:
                energy += lack * lack
                worst[i] = max(worst[i], lack)
                gx, gy = -2.0 * lack * (px - qx) / d, -2.0 * lack * (py - qy) / d
                push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], kinds.turn_mm[a])
        for k in range(kinds.cuts[o], kinds.cuts[o + 1]):
            px, py = kinds.obstacles[k, 0], kinds.obstacles[k, 1]
            d, qx, qy = nearest_on_ring(px, py, placed[i], 0, kinds.corners[a], True)
            lack = keep - d
            if lack > 0.0 and d != 0.0:
                energy += lack * lack
                worst[i] = max(worst[i], lack)
                gx, gy = 2.0 * lack * (px - qx) / d, 2.0 * lack * (py - qy) / d
                push(grad, i, gx, gy, qx - z[i, 0], qy - z[i, 1], kinds.turn_mm[a])
    return energy


@compiled
def _apart(kinds: Kinds, z: FloatArray, kind: IntArray, i: int, j: int) -> bool:
    a, b = kind[i], kind[j]
    reach = kinds.reach[a] + kinds.reach[b] + kinds.wall + kinds.rounding[a] + kinds.rounding[b]
    dx, dy = z[j, 0] - z[i, 0], z[j, 1] - z[i, 1]
    return bool(dx > reach or dx < -reach or dx * dx + dy * dy > reach * reach)


@compiled
def energy_of(
    kinds: Kinds, z: FloatArray, kind: IntArray, placed: FloatArray, grad: FloatArray, worst: FloatArray
) -> float:
    """Return the energy of a layout; write its slope and the worst lack of each part, mm."""
    n = z.shape[0]
    for i in range(n):
        worst[i] = 0.0
        for k in range(3):
            grad[i, k] = 0.0
        _place(kinds, z, kind[i], i, placed)
    energy = 0.0
    for i in range(n):
        energy += _still(kinds, z, kind, placed, i, grad, worst)
        for j in range(i + 1, n):
            if not _apart(kinds, z, kind, i, j):
                energy += _corners_near(kinds, z, kind, placed, i, j, grad, worst)
                energy += _corners_near(kinds, z, kind, placed, j, i, grad, worst)
    for i in range(n):
        if kinds.free[kind[i]] == 0:
            grad[i, 2] = 0.0
    return energy


@compiled
def descend_mixed(
    kinds: Kinds, z: FloatArray, kind: IntArray, most: int, patience: int, enough: float, worst: FloatArray
) -> float:
    """Move the parts downhill, in place; return the energy. Ends when no lack is above ``enough``, mm."""
    n = z.shape[0]
    placed = np.zeros((n, kinds.points.shape[1], 2))
    past = Past(np.zeros((MEMORY, n, 3)), np.zeros((MEMORY, n, 3)), np.zeros(MEMORY), np.zeros(MEMORY))
    grad, direction = np.zeros((n, 3)), np.zeros((n, 3))
    trial, trial_grad, trial_worst = np.zeros((n, 3)), np.zeros((n, 3)), np.zeros(n)
    kept, newest = 0, -1
    e = energy_of(kinds, z, kind, placed, grad, worst)
    mark, since, used = e, 0, 1
    while used < most and greatest(worst) > enough:
        slope = direction_of(grad, past, kept, newest, direction)
        if slope > -1e-22:
            break
        size = min(1.0, LONGEST_STEP_MM / longest(direction))
        value = e
        for _ in range(12):
            blend(trial, 1.0, z, -size, direction)
            value = energy_of(kinds, trial, kind, placed, trial_grad, trial_worst)
            used += 1
            if value <= e + 1e-4 * size * slope:
                break
            size *= 0.4
        if value > e + 1e-4 * size * slope:
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
        e = value
        since += 1
        if since >= patience:
            if e > 0.97 * mark:
                break
            mark, since = e, 0
    return e


@compiled
def cheapest(kinds: Kinds, z: FloatArray, kind: IntArray, i: int, poses: FloatArray) -> int:
    """Return which of the poses (k, 3) costs part i the least energy; z is unchanged."""
    n = z.shape[0]
    placed = np.zeros((n, kinds.points.shape[1], 2))
    grad, worst = np.zeros((n, 3)), np.zeros(n)
    for j in range(n):
        _place(kinds, z, kind[j], j, placed)
    kept = (z[i, 0], z[i, 1], z[i, 2])
    best, found = 1e300, 0
    for k in range(poses.shape[0]):
        for a in range(3):
            z[i, a] = poses[k, a]
        _place(kinds, z, kind[i], i, placed)
        cost = _still(kinds, z, kind, placed, i, grad, worst)
        for j in range(n):
            if cost >= best:
                break
            if j != i and not _apart(kinds, z, kind, i, j):
                cost += _corners_near(kinds, z, kind, placed, i, j, grad, worst)
                cost += _corners_near(kinds, z, kind, placed, j, i, grad, worst)
        if cost < best:
            best, found = cost, k
    z[i, 0], z[i, 1], z[i, 2] = kept
    return found
