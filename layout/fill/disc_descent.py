"""Overlap energy of disc centres and its descent, compiled; import it only inside a search (it loads numba).

The energy of centres is the sum of squared shortfalls: of every pair under the least distance, and of every centre
over the border of its region. It's 0 exactly where the layout is legal.
"""

import numpy as np
import numpy.typing as npt

from layout.fill.jit import kept
from layout.geometry import FloatArray

_HISTORY = 8
IntArray = npt.NDArray[np.int64]


@kept(fastmath=False)
def _side(x: float, y: float, sides: FloatArray, start: int, end: int) -> tuple[float, float, float, bool]:
    """Return distance and foot on the nearest side, and whether the point is inside the ring."""
    best, fx, fy, inside = 1e300, 0.0, 0.0, False
    for k in range(start, end):
        ax, ay, bx, by = sides[k, 0], sides[k, 1], sides[k, 2], sides[k, 3]
        ux, uy = bx - ax, by - ay
        u = ((x - ax) * ux + (y - ay) * uy) / (ux * ux + uy * uy)
        u = min(1.0, max(0.0, u))
        px, py = ax + u * ux, ay + u * uy
        d = (x - px) ** 2 + (y - py) ** 2
        if d < best:
            best, fx, fy = d, px, py
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return np.sqrt(best), fx, fy, inside


@kept()
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
        d = np.sqrt(dx * dx + dy * dy) + 1e-300
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


@kept()
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
            d = np.sqrt(d2) + 1e-300
            short = apart - d
            total += short * short
            f = 2.0 * short / d
            slope[2 * i] += f * dx
            slope[2 * i + 1] += f * dy
            slope[2 * j] -= f * dx
            slope[2 * j + 1] -= f * dy
    return total


@kept()
def _dot(a: FloatArray, b: FloatArray) -> float:
    """Return the sum of products in the order written; numpy's own is another on another processor."""
    total = 0.0
    for k in range(a.shape[0]):
        total += a[k] * b[k]
    return total


@kept()
def _add(out: FloatArray, p: float, a: FloatArray) -> None:
    """Add p a. Loops are compiled in half the time of sums of whole arrays."""
    for k in range(a.shape[0]):
        out[k] += p * a[k]


@kept()
def _longest(a: FloatArray) -> float:
    longest = 0.0
    for k in range(a.shape[0]):
        longest = max(longest, abs(a[k]))
    return longest


@kept()
def _copy(out: FloatArray, p: float, a: FloatArray) -> None:
    """Write p a; ``out`` may be a."""
    for k in range(a.shape[0]):
        out[k] = p * a[k]


@kept()
def _direction(
    q: FloatArray, slope: FloatArray, steps: FloatArray, changes: FloatArray, rho: FloatArray, alpha: FloatArray,
    kept: int, newest: int,
) -> None:  # fmt: skip
    """Write the direction to go to ``q``."""
    _copy(q, -1.0, slope)
    for k in range(kept):
        at = (newest - k) % _HISTORY
        alpha[at] = rho[at] * _dot(steps[at], q)
        _add(q, -alpha[at], changes[at])
    _copy(q, 1.0 / (rho[newest] * _dot(changes[newest], changes[newest])) if kept > 0 else 0.25, q)
    for k in range(kept - 1, -1, -1):
        at = (newest - k) % _HISTORY
        _add(q, alpha[at] - rho[at] * _dot(changes[at], q), steps[at])


@kept()
def descend(
    z: FloatArray, apart: float, bounds: FloatArray, circles: FloatArray, sides: FloatArray, polygons: FloatArray,
    enough: float, most_steps: int, patience: int, least_gain: float,
) -> float:  # fmt: skip
    """Move the centres down to a least energy in place (L-BFGS) and return it.

    Stops at ``enough``, after ``most_steps``, or when ``patience`` steps bring less than the share ``least_gain``.
    """
    m = z.shape[0]
    slope, trial_slope, trial, q, alpha = np.zeros(m), np.zeros(m), np.zeros(m), np.zeros(m), np.zeros(_HISTORY)
    steps, changes, rho = np.zeros((_HISTORY, m)), np.zeros((_HISTORY, m)), np.zeros(_HISTORY)
    kept, newest = 0, -1
    # as they come: the energy sorts them
    order = np.arange(m // 2)
    e = energy(z, slope, order, apart, bounds, circles, sides, polygons)
    mark, since = e, 0
    for _ in range(most_steps):
        if e <= enough:
            break
        _direction(q, slope, steps, changes, rho, alpha, kept, newest)
        down = _dot(q, slope)
        if down >= 0.0:
            kept = 0
            _copy(q, -0.25, slope)
            down = _dot(q, slope)
        longest = _longest(q)
        size = min(1.0, 0.5 * apart / longest) if longest > 0.0 else 0.0
        if size == 0.0:
            break
        found = False
        for _try in range(12):
            _copy(trial, 1.0, z)
            _add(trial, size, q)
            trial_e = energy(trial, trial_slope, order, apart, bounds, circles, sides, polygons)
            if trial_e <= e + 1e-4 * size * down:
                found = True
                break
            size *= 0.4
        if not found:
            if kept == 0:
                break
            kept = 0
            continue
        # the place of the oldest step; where the new one says nothing of the curvature, nothing older is lost but that
        at = (newest + 1) % _HISTORY
        _copy(steps[at], 1.0, trial)
        _add(steps[at], -1.0, z)
        _copy(changes[at], 1.0, trial_slope)
        _add(changes[at], -1.0, slope)
        curved = _dot(changes[at], steps[at])
        if curved > 1e-14 * _dot(changes[at], changes[at]):
            newest, rho[at] = at, 1.0 / curved
            kept = min(kept + 1, _HISTORY)
        else:
            kept = min(kept, _HISTORY - 1)
        _copy(z, 1.0, trial)
        _copy(slope, 1.0, trial_slope)
        e = trial_e
        since += 1
        if since >= patience:
            if e > mark * (1.0 - least_gain):
                break
            mark, since = e, 0
    return e


@kept()
def local_energies(z: FloatArray, apart: float) -> FloatArray:
    """Return for each centre the squared shortfalls to the others."""
    n = z.shape[0] // 2
    own = np.zeros(n)
    for i in range(n):
        for j in range(i):
            dx, dy = z[2 * j] - z[2 * i], z[2 * j + 1] - z[2 * i + 1]
            d2 = dx * dx + dy * dy
            if d2 < apart * apart:
                short = (apart - np.sqrt(d2)) ** 2
                own[i] += short
                own[j] += short
    return own


@kept()
def roomiest(z: FloatArray, points: FloatArray) -> FloatArray:
    """Return for each of the points its squared distance to the nearest centre."""
    out = np.full(points.shape[0], 1e300)
    for k in range(points.shape[0]):
        for i in range(z.shape[0] // 2):
            d = (z[2 * i] - points[k, 0]) ** 2 + (z[2 * i + 1] - points[k, 1]) ** 2
            if d < out[k]:
                out[k] = d
    return out
