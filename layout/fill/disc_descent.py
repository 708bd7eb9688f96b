"""Overlap energy of disc centres and its descent, compiled; import it only inside a search (it loads numba).

The energy of centres is the sum of squared shortfalls: of every pair under the least distance, and of every centre
over the border of its region. It's 0 exactly where the layout is legal.
"""

import math
from typing import NamedTuple

import numpy as np

from layout.fill.jit import compiled, inner
from layout.geometry import FloatArray, IntArray

_HISTORY = 8


class _Desk(NamedTuple):
    """Room to work in: the past, as in `layout.fill.downhill`, the slopes, the trial, the direction; the order by x."""

    steps: FloatArray
    changes: FloatArray
    rho: FloatArray
    alpha: FloatArray
    kept: IntArray
    slope: FloatArray
    trial_slope: FloatArray
    trial: FloatArray
    q: FloatArray
    order: IntArray


def _desk_of(m: int) -> _Desk:
    return _Desk(
        np.zeros((_HISTORY, m)), np.zeros((_HISTORY, m)), np.zeros(_HISTORY), np.zeros(_HISTORY),
        np.array([0, -1], dtype=np.int64), np.zeros(m), np.zeros(m), np.zeros(m), np.zeros(m),
        np.arange(m // 2),  # as they come: the energy sorts them
    )  # fmt: skip


@inner
def _side(x: float, y: float, sides: FloatArray, start: int, end: int) -> tuple[float, float, float, bool]:
    """Return distance and foot on the nearest side, and whether the point is inside the ring."""
    best, fx, fy, inside = 1e300, 0.0, 0.0, False
    for k in range(start, end):
        ax, ay, bx, by = sides[k, 0], sides[k, 1], sides[k, 2], sides[k, 3]
        ux, uy = bx - ax, by - ay
        u = ((x - ax) * ux + (y - ay) * uy) / (ux * ux + uy * uy)
        if u < 0.0:
            u = 0.0
        elif u > 1.0:
            u = 1.0
        px, py = ax + u * ux, ay + u * uy
        d = (x - px) ** 2 + (y - py) ** 2
        if d < best:
            best, fx, fy = d, px, py
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return math.sqrt(best), fx, fy, inside


@inner
def _border(
    x: float, y: float, bounds: FloatArray, circles: FloatArray, sides: FloatArray, polygons: FloatArray
) -> tuple[float, float, float]:
    """Return energy and its slope of one centre over the borders."""
    e, gx, gy = 0.0, 0.0, 0.0
    for low, high, value, axis in ((bounds[0], bounds[2], x, 0), (bounds[1], bounds[3], y, 1)):
        over = value - high if value > high else (value - low if value < low else 0.0)
        e += over * over
        if axis == 0:
            gx += 2.0 * over
        else:
            gy += 2.0 * over
    for k in range(circles.shape[0]):
        dx, dy = x - circles[k, 0], y - circles[k, 1]
        d = math.sqrt(dx * dx + dy * dy) + 1e-300
        short = circles[k, 3] * (d - circles[k, 2])
        if short > 0.0:
            e += short * short
            gx += 2.0 * short * circles[k, 3] * dx / d
            gy += 2.0 * short * circles[k, 3] * dy / d
    for k in range(polygons.shape[0]):
        d, fx, fy, inside = _side(x, y, sides, int(polygons[k, 0]), int(polygons[k, 1]))
        sign = polygons[k, 2] if inside else -polygons[k, 2]
        short = polygons[k, 3] - sign * d
        if short > 0.0 and d > 1e-12:
            e += short * short
            gx -= 2.0 * short * sign * (x - fx) / d
            gy -= 2.0 * short * sign * (y - fy) / d
    return e, gx, gy


@inner
def energy(
    z: FloatArray, slope: FloatArray, order: IntArray, apart: float,
    bounds: FloatArray, circles: FloatArray, sides: FloatArray, polygons: FloatArray,
) -> float:  # fmt: skip
    """Return the energy of centres z = x1, y1, x2, y2 ... and write its slope."""
    n = z.shape[0] // 2
    total = 0.0
    for i in range(n):
        e, gx, gy = _border(z[2 * i], z[2 * i + 1], bounds, circles, sides, polygons)
        total += e
        slope[2 * i] = gx
        slope[2 * i + 1] = gy
    # sorted by x, almost as the last time: an insertion sort is done in one pass
    for a in range(1, n):
        i = order[a]
        x = z[2 * i]
        b = a - 1
        while b >= 0 and z[2 * order[b]] > x:
            order[b + 1] = order[b]
            b -= 1
        order[b + 1] = i
    square = apart * apart
    for a in range(n):
        i = order[a]
        x, y = z[2 * i], z[2 * i + 1]
        for b in range(a + 1, n):
            j = order[b]
            dx = z[2 * j] - x
            if dx >= apart:
                break
            dy = z[2 * j + 1] - y
            d2 = dx * dx + dy * dy
            if d2 >= square:
                continue
            d = math.sqrt(d2) + 1e-300
            short = apart - d
            total += short * short
            f = 2.0 * short / d
            slope[2 * i] += f * dx
            slope[2 * i + 1] += f * dy
            slope[2 * j] -= f * dx
            slope[2 * j + 1] -= f * dy
    return total


@inner
def _dot(a: FloatArray, b: FloatArray) -> float:
    """Return the sum of products in the order written; numpy's own is another on another processor."""
    total = 0.0
    for k in range(a.shape[0]):
        total += a[k] * b[k]
    return total


@inner
def _add(out: FloatArray, p: float, a: FloatArray) -> None:
    """Add p a. Loops are compiled in half the time of sums of whole arrays."""
    for k in range(a.shape[0]):
        out[k] += p * a[k]


@inner
def _longest(a: FloatArray) -> float:
    longest = 0.0
    for k in range(a.shape[0]):
        if abs(a[k]) > longest:
            longest = abs(a[k])
    return longest


@inner
def _copy(out: FloatArray, p: float, a: FloatArray) -> None:
    """Write p a; ``out`` may be a."""
    for k in range(a.shape[0]):
        out[k] = p * a[k]


@inner
def _direction(desk: _Desk) -> float:
    """Write the direction to go to ``desk.q``; return the slope along it, which is below 0."""
    q, slope, steps, changes, rho, alpha = desk.q, desk.slope, desk.steps, desk.changes, desk.rho, desk.alpha
    kept, newest = desk.kept[0], desk.kept[1]
    _copy(q, -1.0, slope)
    for k in range(kept):
        at = (newest - k) % _HISTORY
        alpha[at] = rho[at] * _dot(steps[at], q)
        _add(q, -alpha[at], changes[at])
    _copy(q, 1.0 / (rho[newest] * _dot(changes[newest], changes[newest])) if kept > 0 else 0.25, q)
    for k in range(kept - 1, -1, -1):
        at = (newest - k) % _HISTORY
        _add(q, alpha[at] - rho[at] * _dot(changes[at], q), steps[at])
    down = _dot(q, slope)
    if down >= 0.0:
        desk.kept[0] = 0
        _copy(q, -0.25, slope)
        down = _dot(q, slope)
    return down


@inner
def _remember(desk: _Desk, z: FloatArray) -> None:
    """Keep the step from z to the trial in place of the oldest; if it says nothing of the curvature, lose but that."""
    at = (desk.kept[1] + 1) % _HISTORY
    step, change = desk.steps[at], desk.changes[at]
    _copy(step, 1.0, desk.trial)
    _add(step, -1.0, z)
    _copy(change, 1.0, desk.trial_slope)
    _add(change, -1.0, desk.slope)
    curved = _dot(change, step)
    if curved > 1e-14 * _dot(change, change):
        desk.kept[1] = at
        desk.rho[at] = 1.0 / curved
        if desk.kept[0] < _HISTORY:
            desk.kept[0] += 1
    elif desk.kept[0] == _HISTORY:
        desk.kept[0] = _HISTORY - 1


def descend(
    z: FloatArray, apart: float, bounds: FloatArray, circles: FloatArray, sides: FloatArray, polygons: FloatArray,
    enough: float, most_steps: int, patience: int, least_gain: float,
) -> float:  # fmt: skip
    """Move the centres down to a least energy in place (L-BFGS) and return it.

    Stops at ``enough``, after ``most_steps``, or when ``patience`` steps bring less than the share ``least_gain``.
    """
    desk = _desk_of(len(z))
    return _descend(z, apart, bounds, circles, sides, polygons, enough, most_steps, patience, least_gain, desk)


@compiled
def _descend(
    z: FloatArray, apart: float, bounds: FloatArray, circles: FloatArray, sides: FloatArray, polygons: FloatArray,
    enough: float, most_steps: int, patience: int, least_gain: float, desk: _Desk,
) -> float:  # fmt: skip
    slope, trial_slope, trial, q, order = desk.slope, desk.trial_slope, desk.trial, desk.q, desk.order
    e = energy(z, slope, order, apart, bounds, circles, sides, polygons)
    mark, since = e, 0
    for _ in range(most_steps):
        if e <= enough:
            break
        down = _direction(desk)
        longest = _longest(q)
        if longest == 0.0:
            break
        size = 0.5 * apart / longest
        if size > 1.0:
            size = 1.0
        found = False
        trial_e = e
        for _try in range(12):
            _copy(trial, 1.0, z)
            _add(trial, size, q)
            trial_e = energy(trial, trial_slope, order, apart, bounds, circles, sides, polygons)
            if trial_e <= e + 1e-4 * size * down:
                found = True
                break
            size *= 0.4
        if not found:
            if desk.kept[0] == 0:
                break
            desk.kept[0] = 0
            continue
        _remember(desk, z)
        _copy(z, 1.0, trial)
        _copy(slope, 1.0, trial_slope)
        e = trial_e
        since += 1
        if since >= patience:
            if e > mark * (1.0 - least_gain):
                break
            mark, since = e, 0
    return e


def local_energies(z: FloatArray, apart: float) -> FloatArray:
    """Return for each centre the squared shortfalls to the others."""
    own = np.zeros(len(z) // 2)
    _local_energies(z, apart, own)
    return own


@compiled
def _local_energies(z: FloatArray, apart: float, own: FloatArray) -> None:
    for i in range(own.shape[0]):
        for j in range(i):
            dx, dy = z[2 * j] - z[2 * i], z[2 * j + 1] - z[2 * i + 1]
            d2 = dx * dx + dy * dy
            if d2 < apart * apart:
                short = (apart - math.sqrt(d2)) ** 2
                own[i] += short
                own[j] += short


def roomiest(z: FloatArray, points: FloatArray) -> FloatArray:
    """Return for each of the points its squared distance to the nearest centre."""
    out = np.full(len(points), 1e300)
    _roomiest(z, points, out)
    return out


@compiled
def _roomiest(z: FloatArray, points: FloatArray, out: FloatArray) -> None:
    for k in range(points.shape[0]):
        for i in range(z.shape[0] // 2):
            d = (z[2 * i] - points[k, 0]) ** 2 + (z[2 * i + 1] - points[k, 1]) ** 2
            if d < out[k]:
                out[k] = d
