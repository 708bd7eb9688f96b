"""Compiled: how far a layout is from keeping its walls, and which way each part should move. Imports numba."""

import math

from layout.fill.jit import compiled
from layout.geometry import FloatArray, IntArray

RECTANGLE = 0
CIRCLE = 1
OUTLINE = 2


@compiled
def nearest_on_ring(
    px: float, py: float, ring: FloatArray, first: int, last: int, around: bool
) -> tuple[float, float, float]:
    """Return the signed distance of a point to a ring, negative inside, and the nearest place on the ring.

    Parameters
    ----------
    ring : array (n, 2)
        Rows first .. last - 1 are its corners; a single row is a point.
    around : bool
        Whether the point may lie inside, which costs more to find out.
    """
    best = 1.0e30
    qx = ring[first, 0]
    qy = ring[first, 1]
    inside = False
    ax = ring[last - 1, 0]
    ay = ring[last - 1, 1]
    for k in range(first, last):
        bx = ring[k, 0]
        by = ring[k, 1]
        ex = bx - ax
        ey = by - ay
        wx = px - ax
        wy = py - ay
        square = ex * ex + ey * ey
        u = 0.0
        if square > 0.0:
            u = (wx * ex + wy * ey) / square
            u = min(1.0, max(0.0, u))
        cx = wx - u * ex
        cy = wy - u * ey
        d = cx * cx + cy * cy
        if d < best:
            best = d
            qx = ax + u * ex
            qy = ay + u * ey
        if (
            around
            and ((ay > py) != (by > py))
            and wx * ey * (1.0 if ey > 0.0 else -1.0) < ex * wy * (1.0 if ey > 0.0 else -1.0)
        ):
            inside = not inside
        ax = bx
        ay = by
    distance = math.sqrt(best)
    return (-distance if inside else distance), qx, qy


@compiled
def push(grad: FloatArray, i: int, gx: float, gy: float, rx: float, ry: float, turn_mm: float) -> None:
    """Add to part i the gradient g of the energy with respect to a place at r from its origin."""
    grad[i, 0] += gx
    grad[i, 1] += gy
    grad[i, 2] += (gy * rx - gx * ry) / turn_mm


@compiled
def corners_of(z: FloatArray, points: FloatArray, turn_mm: float, corners: FloatArray, spans: FloatArray) -> None:
    """Write the placed corners (n, m, 2) and the bounding boxes (n, 4) of all parts."""
    for i in range(z.shape[0]):
        angle = z[i, 2] / turn_mm
        c = math.cos(angle)
        s = math.sin(angle)
        x0 = y0 = 1.0e30
        x1 = y1 = -1.0e30
        for k in range(points.shape[0]):
            x = z[i, 0] + points[k, 0] * c - points[k, 1] * s
            y = z[i, 1] + points[k, 0] * s + points[k, 1] * c
            corners[i, k, 0] = x
            corners[i, k, 1] = y
            x0 = min(x0, x)
            x1 = max(x1, x)
            y0 = min(y0, y)
            y1 = max(y1, y)
        spans[i, 0] = x0
        spans[i, 1] = y0
        spans[i, 2] = x1
        spans[i, 3] = y1


@compiled
def corners_to_part(
    z: FloatArray, corners: FloatArray, spans: FloatArray, i: int, j: int, wall: float, turn_mm: float,
    grad: FloatArray, worst: FloatArray,
) -> float:  # fmt: skip
    """Return the energy of the corners of part i that are too near part j."""
    energy = 0.0
    for k in range(corners.shape[1]):
        px = corners[i, k, 0]
        py = corners[i, k, 1]
        if px < spans[j, 0] - wall or px > spans[j, 2] + wall or py < spans[j, 1] - wall or py > spans[j, 3] + wall:
            continue
        around = px > spans[j, 0] and px < spans[j, 2] and py > spans[j, 1] and py < spans[j, 3]
        d, qx, qy = nearest_on_ring(px, py, corners[j], 0, corners.shape[1], around)
        lack = wall - d
        if lack <= 0.0:
            continue
        energy += lack * lack
        worst[i] = max(worst[i], lack)
        worst[j] = max(worst[j], lack)
        if d == 0.0:
            continue
        gx = -2.0 * lack * (px - qx) / d
        gy = -2.0 * lack * (py - qy) / d
        push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], turn_mm)
        push(grad, j, -gx, -gy, qx - z[j, 0], qy - z[j, 1], turn_mm)
    return energy


@compiled
def pair_by_nofit(
    z: FloatArray, i: int, j: int, rings: FloatArray, first: int, last: int, cuts: IntArray, wall: float,
    grad: FloatArray, worst: FloatArray,
) -> float:  # fmt: skip
    """Return the energy of two parts whose angles are frozen, by the place of one in the other's no-fit region.

    Parameters
    ----------
    rings, cuts : array
        Ring k of the region is rows cuts[k] .. cuts[k + 1] - 1; the region is rings first .. last - 1.
    """
    px = z[j, 0] - z[i, 0]
    py = z[j, 1] - z[i, 1]
    best = 1.0e30
    qx = 0.0
    qy = 0.0
    for k in range(first, last):
        d, x, y = nearest_on_ring(px, py, rings, cuts[k], cuts[k + 1], True)
        if d < best:
            best = d
            qx = x
            qy = y
    lack = wall - best
    if lack <= 0.0:
        return 0.0
    worst[i] = max(worst[i], lack)
    worst[j] = max(worst[j], lack)
    if best != 0.0:
        gx = -2.0 * lack * (px - qx) / best
        gy = -2.0 * lack * (py - qy) / best
        grad[j, 0] += gx
        grad[j, 1] += gy
        grad[i, 0] -= gx
        grad[i, 1] -= gy
    return lack * lack


@compiled
def box_term(
    z: FloatArray, corners: FloatArray, spans: FloatArray, i: int, kind: int, box: FloatArray, inset: float,
    turn_mm: float, grad: FloatArray, worst: FloatArray,
) -> float:  # fmt: skip
    """Return the energy of part i outside the box.

    Parameters
    ----------
    box : array (n, 2)
        Rectangle: its lower left and upper right corner, already inset. Circle: its centre, and (radius, 0), already
        inset. Outline: its corners, not inset.
    """
    energy = 0.0
    if kind == RECTANGLE and (
        spans[i, 0] >= box[0, 0] and spans[i, 1] >= box[0, 1] and spans[i, 2] <= box[1, 0] and spans[i, 3] <= box[1, 1]
    ):
        return 0.0
    for k in range(corners.shape[1]):
        px = corners[i, k, 0]
        py = corners[i, k, 1]
        gx = 0.0
        gy = 0.0
        if kind == RECTANGLE:
            over_x = min(0.0, px - box[0, 0]) + max(0.0, px - box[1, 0])
            over_y = min(0.0, py - box[0, 1]) + max(0.0, py - box[1, 1])
            energy += over_x * over_x + over_y * over_y
            worst[i] = max(worst[i], abs(over_x), abs(over_y))
            gx = 2.0 * over_x
            gy = 2.0 * over_y
        elif kind == CIRCLE:
            dx = px - box[0, 0]
            dy = py - box[0, 1]
            r = math.sqrt(dx * dx + dy * dy)
            over = r - box[1, 0]
            if over > 0.0:
                energy += over * over
                worst[i] = max(worst[i], over)
                gx = 2.0 * over * dx / r
                gy = 2.0 * over * dy / r
        else:
            d, qx, qy = nearest_on_ring(px, py, box, 0, box.shape[0], True)
            lack = inset + d
            if lack > 0.0:
                energy += lack * lack
                worst[i] = max(worst[i], lack)
                if d != 0.0:
                    gx = 2.0 * lack * (px - qx) / d
                    gy = 2.0 * lack * (py - qy) / d
        if gx != 0.0 or gy != 0.0:
            push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], turn_mm)
    return energy


@compiled
def obstacle_term(
    z: FloatArray, corners: FloatArray, spans: FloatArray, i: int, obstacles: FloatArray, cuts: IntArray,
    keep: FloatArray, turn_mm: float, grad: FloatArray, worst: FloatArray,
) -> float:  # fmt: skip
    """Return the energy of part i too near obstacles: ring k is rows cuts[k] .. cuts[k + 1] - 1, kept keep[k] away."""
    energy = 0.0
    for o in range(keep.shape[0]):
        for k in range(corners.shape[1]):
            px = corners[i, k, 0]
            py = corners[i, k, 1]
            d, qx, qy = nearest_on_ring(px, py, obstacles, cuts[o], cuts[o + 1], True)
            lack = keep[o] - d
            if lack > 0.0:
                energy += lack * lack
                worst[i] = max(worst[i], lack)
                if d != 0.0:
                    gx = -2.0 * lack * (px - qx) / d
                    gy = -2.0 * lack * (py - qy) / d
                    push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], turn_mm)
        for k in range(cuts[o], cuts[o + 1]):
            px = obstacles[k, 0]
            py = obstacles[k, 1]
            reach = keep[o]
            if (
                px < spans[i, 0] - reach or px > spans[i, 2] + reach or py < spans[i, 1] - reach
                or py > spans[i, 3] + reach
            ):  # fmt: skip
                continue
            d, qx, qy = nearest_on_ring(px, py, corners[i], 0, corners.shape[1], True)
            lack = keep[o] - d
            if lack > 0.0:
                energy += lack * lack
                worst[i] = max(worst[i], lack)
                if d != 0.0:
                    gx = 2.0 * lack * (px - qx) / d
                    gy = 2.0 * lack * (py - qy) / d
                    push(grad, i, gx, gy, qx - z[i, 0], qy - z[i, 1], turn_mm)
    return energy


@compiled
def neighbours(z: FloatArray, reach: float, pairs: IntArray) -> int:
    """Write all pairs of parts whose origins are nearer than ``reach``; return how many (no more than fit)."""
    count = 0
    n = z.shape[0]
    for i in range(n):
        for j in range(i + 1, n):
            dx = z[j, 0] - z[i, 0]
            if dx > reach or dx < -reach:
                continue
            dy = z[j, 1] - z[i, 1]
            if dx * dx + dy * dy < reach * reach and count < pairs.shape[0]:
                pairs[count, 0] = i
                pairs[count, 1] = j
                count += 1
    return count
