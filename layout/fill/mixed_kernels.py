"""Compiled: the energy of a layout of several kinds of part, its descent, and what a pose would cost. Imports numba."""

import math
from typing import NamedTuple

import numpy as np

from layout.fill.downhill import Past, Slopes, blend, direction_of, remember, room_to_descend
from layout.fill.energy import CIRCLE, RECTANGLE, nearest_on_ring, push
from layout.fill.jit import compiled, inner
from layout.geometry import FloatArray, IntArray


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


@inner
def _place(kinds: Kinds, z: FloatArray, kind: int, i: int, placed: FloatArray) -> None:
    angle = z[i, 2] / kinds.turn_mm[kind]
    c, s = math.cos(angle), math.sin(angle)
    first = i * kinds.points.shape[1]
    for k in range(kinds.corners[kind]):
        x, y = kinds.points[kind, k, 0], kinds.points[kind, k, 1]
        placed[first + k, 0] = z[i, 0] + x * c - y * s
        placed[first + k, 1] = z[i, 1] + x * s + y * c


@inner
def _pair(
    kinds: Kinds, z: FloatArray, kind: IntArray, placed: FloatArray, one: int, two: int, grad: FloatArray,
    worst: FloatArray, total: float,
) -> float:  # fmt: skip
    """Return ``total`` and the energy of the corners of each of two parts that are too near the other."""
    m = kinds.points.shape[1]
    for order in range(2):
        i, j = (one, two) if order == 0 else (two, one)
        a, b = kind[i], kind[j]
        first, last = j * m, j * m + kinds.corners[b]
        wall = kinds.wall + kinds.rounding[a] + kinds.rounding[b]
        reach = kinds.reach[b] + wall
        energy = 0.0
        for k in range(i * m, i * m + kinds.corners[a]):
            px, py = placed[k, 0], placed[k, 1]
            if abs(px - z[j, 0]) > reach or abs(py - z[j, 1]) > reach:
                continue
            d, qx, qy = nearest_on_ring(px, py, placed, first, last, last > first)
            lack = wall - d
            if lack <= 0.0:
                continue
            energy += lack * lack
            if lack > worst[i]:
                worst[i] = lack
            if lack > worst[j]:
                worst[j] = lack
            if d != 0.0:
                gx, gy = -2.0 * lack * (px - qx) / d, -2.0 * lack * (py - qy) / d
                push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], kinds.turn_mm[a])
                push(grad, j, -gx, -gy, qx - z[j, 0], qy - z[j, 1], kinds.turn_mm[b])
        total += energy
    return total


@inner
def _box_lack(kinds: Kinds, px: float, py: float, inset: float) -> tuple[float, float, float]:
    """Return how much a point lacks of the inset, squared, and its slope."""
    box = kinds.box
    if kinds.shape == RECTANGLE:
        low_x, low_y = px - box[0, 0] - inset, py - box[0, 1] - inset
        high_x, high_y = px - box[1, 0] + inset, py - box[1, 1] + inset
        x = (low_x if low_x < 0.0 else 0.0) + (high_x if high_x > 0.0 else 0.0)
        y = (low_y if low_y < 0.0 else 0.0) + (high_y if high_y > 0.0 else 0.0)
        return x * x + y * y, 2.0 * x, 2.0 * y
    if kinds.shape == CIRCLE:
        dx, dy = px - box[0, 0], py - box[0, 1]
        r = math.sqrt(dx * dx + dy * dy)
        over = r - box[1, 0] + inset
        return (over * over, 2.0 * over * dx / r, 2.0 * over * dy / r) if over > 0.0 else (0.0, 0.0, 0.0)
    d, qx, qy = nearest_on_ring(px, py, box, kinds.cuts[0], box.shape[0], inset >= 0.0)
    lack = inset + d
    if lack <= 0.0 or d == 0.0:
        return (0.0, 0.0, 0.0) if lack <= 0.0 else (lack * lack, 0.0, 0.0)
    return lack * lack, 2.0 * lack * (px - qx) / d, 2.0 * lack * (py - qy) / d


@inner
def _still(
    kinds: Kinds, z: FloatArray, kind: IntArray, placed: FloatArray, i: int, grad: FloatArray, worst: FloatArray
) -> float:
    """Return the energy of part i against the box and what stands in it."""
    a = kind[i]
    first, m = i * kinds.points.shape[1], kinds.corners[a]
    energy = 0.0
    for k in range(first, first + m):
        px, py = placed[k, 0], placed[k, 1]
        e, gx, gy = _box_lack(kinds, px, py, kinds.inset + kinds.rounding[a])
        if e > 0.0:
            energy += e
            if math.sqrt(e) > worst[i]:
                worst[i] = math.sqrt(e)
            push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], kinds.turn_mm[a])
    for o in range(kinds.keep.shape[0]):
        keep, start, end = kinds.keep[o] + kinds.rounding[a], kinds.cuts[o], kinds.cuts[o + 1]
        # each corner of the part against the obstacle, then each of the obstacle's against the part
        for k in range(m + end - start):
            mine = k < m
            if mine:
                px, py = placed[first + k, 0], placed[first + k, 1]
                d, qx, qy = nearest_on_ring(px, py, kinds.obstacles, start, end, mine)
            else:
                px, py = kinds.obstacles[start + k - m, 0], kinds.obstacles[start + k - m, 1]
                d, qx, qy = nearest_on_ring(px, py, placed, first, first + m, not mine)
            lack = keep - d
            if lack > 0.0 and d != 0.0:
                energy += lack * lack
                if lack > worst[i]:
                    worst[i] = lack
                gx, gy = -2.0 * lack * (px - qx) / d, -2.0 * lack * (py - qy) / d
                if mine:
                    push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], kinds.turn_mm[a])
                else:
                    push(grad, i, -gx, -gy, qx - z[i, 0], qy - z[i, 1], kinds.turn_mm[a])
    return energy


@inner
def _apart(kinds: Kinds, z: FloatArray, kind: IntArray, i: int, j: int) -> bool:
    a, b = kind[i], kind[j]
    reach = kinds.reach[a] + kinds.reach[b] + kinds.wall + kinds.rounding[a] + kinds.rounding[b]
    dx, dy = z[j, 0] - z[i, 0], z[j, 1] - z[i, 1]
    return bool(dx > reach or dx < -reach or dx * dx + dy * dy > reach * reach)


@inner
def energy_of(
    kinds: Kinds, z: FloatArray, kind: IntArray, placed: FloatArray, grad: FloatArray, worst: FloatArray
) -> tuple[float, float]:
    """Return the energy of a layout and its worst lack, mm; write its slope and the worst lack of each part."""
    n = z.shape[0]
    for i in range(n):
        worst[i] = 0.0
        for k in range(3):
            grad[i, k] = 0.0
        _place(kinds, z, kind[i], i, placed)
    energy = 0.0
    most = 0.0
    for i in range(n):
        energy += _still(kinds, z, kind, placed, i, grad, worst)
        for j in range(i + 1, n):
            if not _apart(kinds, z, kind, i, j):
                energy = _pair(kinds, z, kind, placed, i, j, grad, worst, energy)
        # no later part adds to these
        if worst[i] > most:
            most = worst[i]
        if kinds.free[kind[i]] == 0:
            grad[i, 2] = 0.0
    return energy, most


def descend_mixed(
    kinds: Kinds, z: FloatArray, kind: IntArray, most: int, patience: int, enough: float, worst: FloatArray
) -> float:
    """Move the parts downhill, in place; return the energy. Ends when no lack is above ``enough``, mm."""
    past, slopes = room_to_descend(len(z))
    return _descend(kinds, z, kind, most, patience, enough, worst, _room(kinds, len(z)), past, slopes)


def _room(kinds: Kinds, n: int) -> FloatArray:
    """Return room for the placed corners."""
    return np.zeros((n * kinds.points.shape[1], 2))


@compiled
def _descend(
    kinds: Kinds, z: FloatArray, kind: IntArray, most: int, patience: int, enough: float, worst: FloatArray,
    placed: FloatArray, past: Past, slopes: Slopes,
) -> float:  # fmt: skip
    grad, direction, trial = slopes.grad, slopes.direction, slopes.trial
    e, lack = energy_of(kinds, z, kind, placed, grad, worst)
    mark, since, used = e, 0, 1
    while used < most and lack > enough:
        slope, size = direction_of(grad, past, direction)
        if slope > -1e-22:
            break
        value = e
        for _ in range(12):
            blend(trial, 1.0, z, -size, direction)
            value, trial_lack = energy_of(kinds, trial, kind, placed, slopes.trial_grad, slopes.trial_worst)
            used += 1
            if value <= e + 1e-4 * size * slope:
                break
            size *= 0.4
        if value > e + 1e-4 * size * slope:
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
        e, lack = value, trial_lack
        since += 1
        if since >= patience:
            if e > 0.97 * mark:
                break
            mark, since = e, 0
    return e


def cheapest(kinds: Kinds, z: FloatArray, kind: IntArray, i: int, poses: FloatArray) -> int:
    """Return which of the poses (k, 3) costs part i the least energy; z is unchanged."""
    n = len(z)
    return _cheapest(kinds, z, kind, i, poses, _room(kinds, n), np.zeros((n, 3)), np.zeros(n))


@compiled
def _cheapest(
    kinds: Kinds, z: FloatArray, kind: IntArray, i: int, poses: FloatArray, placed: FloatArray, grad: FloatArray,
    worst: FloatArray,
) -> int:  # fmt: skip
    n = z.shape[0]
    for j in range(n):
        _place(kinds, z, kind[j], j, placed)
    x, y, angle = z[i, 0], z[i, 1], z[i, 2]
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
                cost = _pair(kinds, z, kind, placed, i, j, grad, worst, cost)
        if cost < best:
            best, found = cost, k
    z[i, 0], z[i, 1], z[i, 2] = x, y, angle
    return found
