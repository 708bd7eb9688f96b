"""Compiled: how far a layout is from keeping its walls, and which way each part should move. Imports numba.

See `layout.fill.jit` for why `min` and `max` are written out, and expressions stand where a literal would do.
"""

import math
from typing import NamedTuple

from layout.fill.jit import inner
from layout.geometry import FloatArray, IntArray

RECTANGLE = 0
CIRCLE = 1
OUTLINE = 2


class Regions(NamedTuple):
    """No-fit regions of parts whose angles stay as they are.

    Parameters
    ----------
    rings, ring_cuts, region_cuts : array
        Region a * classes + b (part of angle class b about one of class a) is the rings region_cuts[r] ..
        region_cuts[r + 1] - 1; ring k is rows ring_cuts[k] .. ring_cuts[k + 1] - 1 of ``rings``.
    classes : int
    """

    rings: FloatArray
    ring_cuts: IntArray
    region_cuts: IntArray
    classes: int


class Obstacles(NamedTuple):
    """What stands in the box.

    Parameters
    ----------
    rings, cuts, keep : array
        Ring k is rows cuts[k] .. cuts[k + 1] - 1; parts are kept keep[k] away.
    """

    rings: FloatArray
    cuts: IntArray
    keep: FloatArray


class Common(NamedTuple):
    """What a kernel needs to know in any box beside the places: plain arrays and numbers.

    Parameters
    ----------
    points : array (m, 2)
        Corners of the core.
    wall, reach, turn_mm : float
        Wall to aim at between cores; distance of origins beyond which parts can't meet; mm that one radian counts for.
    kind, box, inset : int, array, float
        See `box_term`.
    halt : array (1,)
        Another thread sets it to 1 to end a descent.
    """

    points: FloatArray
    wall: float
    reach: float
    turn_mm: float
    kind: int
    box: FloatArray
    inset: float
    halt: IntArray


class World(NamedTuple):
    """What is common to all boxes, and what not every box has: what is None isn't compiled either.

    Parameters
    ----------
    common : Common
    regions : Regions or None
        None where parts may take any angle; else angles stay as they are.
    obstacles : Obstacles or None
    """

    common: Common
    regions: Regions | None
    obstacles: Obstacles | None

    @property
    def turn_mm(self) -> float:
        """See `Common`."""
        return self.common.turn_mm

    @property
    def reach(self) -> float:
        """See `Common`."""
        return self.common.reach

    @property
    def halt(self) -> IntArray:
        """See `Common`."""
        return self.common.halt

    @property
    def classes(self) -> int:
        """How many turns are allowed; 1 where any is."""
        return 1 if self.regions is None else self.regions.classes


@inner
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
            if u < 0.0:
                u = 0.0
            elif u > 1.0:
                u = 1.0
        cx = wx - u * ex
        cy = wy - u * ey
        d = cx * cx + cy * cy
        if d < best:
            best = d
            qx = ax + u * ex
            qy = ay + u * ey
        if around and ((ay > py) != (by > py)):
            up = 1.0 if ey > 0.0 else -1.0
            if wx * ey * up < ex * wy * up:
                inside = not inside
        ax = bx
        ay = by
    distance = math.sqrt(best)
    return (-distance if inside else distance), qx, qy


@inner
def push(grad: FloatArray, i: int, gx: float, gy: float, rx: float, ry: float, turn_mm: float) -> None:
    """Add to part i the gradient g of the energy with respect to a place at r from its origin."""
    grad[i, 0] += gx
    grad[i, 1] += gy
    grad[i, 2] += (gy * rx - gx * ry) / turn_mm


@inner
def place_corners(
    z: FloatArray, i: int, points: FloatArray, turn_mm: float, corners: FloatArray, spans: FloatArray
) -> None:
    """Write the placed corners of part i to rows i m .. i m + m - 1, and its bounding box to row i of ``spans``."""
    m = points.shape[0]
    angle = z[i, 2] / turn_mm
    c = math.cos(angle)
    s = math.sin(angle)
    x0 = y0 = 1.0e30
    x1 = y1 = -1.0e30
    for k in range(m):
        x = z[i, 0] + points[k, 0] * c - points[k, 1] * s
        y = z[i, 1] + points[k, 0] * s + points[k, 1] * c
        corners[i * m + k, 0] = x
        corners[i * m + k, 1] = y
        if x < x0:
            x0 = x
        if x > x1:
            x1 = x
        if y < y0:
            y0 = y
        if y > y1:
            y1 = y
    spans[i, 0] = x0
    spans[i, 1] = y0
    spans[i, 2] = x1
    spans[i, 3] = y1


@inner
def pair_by_corners(
    z: FloatArray, corners: FloatArray, spans: FloatArray, one: int, two: int, wall: float, turn_mm: float,
    grad: FloatArray, worst: FloatArray, total: float,
) -> float:  # fmt: skip
    """Return ``total`` and the energy of the corners of each of two parts that are too near the other."""
    m = corners.shape[0] // z.shape[0]
    for order in range(2):
        i, j = (one, two) if order == 0 else (two, one)
        low_x, low_y, high_x, high_y = spans[j, 0], spans[j, 1], spans[j, 2], spans[j, 3]
        energy = 0.0
        for k in range(i * m, i * m + m):
            px = corners[k, 0]
            py = corners[k, 1]
            if px < low_x - wall or px > high_x + wall or py < low_y - wall or py > high_y + wall:
                continue
            around = px > low_x and px < high_x and py > low_y and py < high_y
            d, qx, qy = nearest_on_ring(px, py, corners, j * m, j * m + m, around)
            lack = wall - d
            if lack <= 0.0:
                continue
            energy += lack * lack
            if lack > worst[i]:
                worst[i] = lack
            if lack > worst[j]:
                worst[j] = lack
            if d == 0.0:
                continue
            gx = -2.0 * lack * (px - qx) / d
            gy = -2.0 * lack * (py - qy) / d
            push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], turn_mm)
            push(grad, j, -gx, -gy, qx - z[j, 0], qy - z[j, 1], turn_mm)
        total += energy
    return total


@inner
def pair_by_nofit(
    regions: Regions, wall: float, z: FloatArray, turn: IntArray, i: int, j: int, grad: FloatArray, worst: FloatArray,
    total: float,
) -> float:  # fmt: skip
    """Return ``total`` and the energy of two parts whose angles are frozen.

    Notes
    -----
    It goes by how far the place of one lies outside the other's no-fit region.
    """
    region = turn[i] * regions.classes + turn[j]
    first, last, cuts = regions.region_cuts[region], regions.region_cuts[region + 1], regions.ring_cuts
    px = z[j, 0] - z[i, 0]
    py = z[j, 1] - z[i, 1]
    best = 1.0e30
    qx = 0.0
    qy = 0.0
    for k in range(first, last):
        d, x, y = nearest_on_ring(px, py, regions.rings, cuts[k], cuts[k + 1], last > first)
        if d < best:
            best = d
            qx = x
            qy = y
    lack = wall - best
    if lack <= 0.0:
        return total
    if lack > worst[i]:
        worst[i] = lack
    if lack > worst[j]:
        worst[j] = lack
    if best != 0.0:
        gx = -2.0 * lack * (px - qx) / best
        gy = -2.0 * lack * (py - qy) / best
        grad[j, 0] += gx
        grad[j, 1] += gy
        grad[i, 0] -= gx
        grad[i, 1] -= gy
    return total + lack * lack


@inner
def box_term(
    common: Common, z: FloatArray, corners: FloatArray, spans: FloatArray, i: int, grad: FloatArray, worst: FloatArray
) -> float:
    """Return the energy of part i outside the box.

    Notes
    -----
    ``common.box`` of a rectangle is its lower left and upper right corner, already inset; of a circle its centre, and
    (radius, 0), already inset; of an outline its corners, not inset.
    """
    kind, box, turn_mm = common.kind, common.box, common.turn_mm
    energy = 0.0
    left, low, right, high = box[0, 0], box[0, 1], box[1, 0], box[1, 1]
    if kind == RECTANGLE and (
        spans[i, 0] >= left and spans[i, 1] >= low and spans[i, 2] <= right and spans[i, 3] <= high
    ):
        return 0.0
    m = corners.shape[0] // z.shape[0]
    for k in range(i * m, i * m + m):
        px = corners[k, 0]
        py = corners[k, 1]
        gx = 0.0
        gy = 0.0
        lack = 0.0
        if kind == RECTANGLE:
            over_x = px - left if px < left else 0.0
            over_y = py - low if py < low else 0.0
            if px > right:
                over_x += px - right
            if py > high:
                over_y += py - high
            energy += over_x * over_x + over_y * over_y
            lack = abs(over_x)
            if abs(over_y) > lack:
                lack = abs(over_y)
            gx = 2.0 * over_x
            gy = 2.0 * over_y
        else:
            if kind == CIRCLE:
                # the way out is from the centre
                dx = px - left
                dy = py - low
                d = math.sqrt(dx * dx + dy * dy)
                lack = d - right
            else:
                d, qx, qy = nearest_on_ring(px, py, box, kind - OUTLINE, box.shape[0], kind == OUTLINE)
                dx = px - qx
                dy = py - qy
                lack = common.inset + d
            if lack > 0.0:
                energy += lack * lack
                if d != 0.0:
                    gx = 2.0 * lack * dx / d
                    gy = 2.0 * lack * dy / d
        if lack > worst[i]:
            worst[i] = lack
        if gx != 0.0 or gy != 0.0:
            push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], turn_mm)
    return energy


@inner
def obstacle_term(
    obstacles: Obstacles, z: FloatArray, corners: FloatArray, spans: FloatArray, i: int, turn_mm: float,
    grad: FloatArray, worst: FloatArray,
) -> float:  # fmt: skip
    """Return the energy of part i too near obstacles."""
    rings, cuts, keep = obstacles.rings, obstacles.cuts, obstacles.keep
    energy = 0.0
    m = corners.shape[0] // z.shape[0]
    for o in range(keep.shape[0]):
        reach = keep[o]
        # each corner of the part against the obstacle, then each of the obstacle's against the part
        for k in range(m + cuts[o + 1] - cuts[o]):
            mine = k < m
            if mine:
                px = corners[i * m + k, 0]
                py = corners[i * m + k, 1]
                d, qx, qy = nearest_on_ring(px, py, rings, cuts[o], cuts[o + 1], mine)
            else:
                px = rings[cuts[o] + k - m, 0]
                py = rings[cuts[o] + k - m, 1]
                if (
                    px < spans[i, 0] - reach or px > spans[i, 2] + reach or py < spans[i, 1] - reach
                    or py > spans[i, 3] + reach
                ):  # fmt: skip
                    continue
                d, qx, qy = nearest_on_ring(px, py, corners, i * m, i * m + m, not mine)
            lack = reach - d
            if lack > 0.0:
                energy += lack * lack
                if lack > worst[i]:
                    worst[i] = lack
                if d != 0.0:
                    gx = -2.0 * lack * (px - qx) / d
                    gy = -2.0 * lack * (py - qy) / d
                    if mine:
                        push(grad, i, gx, gy, px - z[i, 0], py - z[i, 1], turn_mm)
                    else:
                        push(grad, i, -gx, -gy, qx - z[i, 0], qy - z[i, 1], turn_mm)
    return energy


@inner
def pairs_near(z: FloatArray, reach: float, skin: float, listed: FloatArray, pairs: IntArray, number: int) -> int:
    """Write pairs of parts whose origins are nearer than ``reach`` and ``skin``; return how many (at most what fits).

    Parameters
    ----------
    listed : array (n, 3)
        The places they were listed for: while no part has moved by half the skin, the list holds.
    number : int
        How many were listed.
    """
    n = z.shape[0]
    holds = True
    for i in range(n):
        dx = z[i, 0] - listed[i, 0]
        dy = z[i, 1] - listed[i, 1]
        if dx * dx + dy * dy > 0.25 * skin * skin:
            holds = False
    if holds:
        return number
    reach += skin
    count = 0
    for i in range(n):
        listed[i, 0] = z[i, 0]
        listed[i, 1] = z[i, 1]
        for j in range(i + 1, n):
            dx = z[j, 0] - z[i, 0]
            dy = z[j, 1] - z[i, 1]
            if dx * dx + dy * dy < reach * reach and count < pairs.shape[0]:
                pairs[count, 0] = i
                pairs[count, 1] = j
                count += 1
    return count
