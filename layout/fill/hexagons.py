"""The least circumscribed hexagon of a convex part: never above the true one, for the bound by hexagons.

The bound: N convex bodies alike, turned as they may be, that don't overlap in a rectangle T need the area N h(6), h(n)
being the least area of a polygon of at most n sides round one of them (L. Fejes Toth 1950; Dowker 1944 for step 3: both
named from memory, nothing rests on them). The proof, anew:

1. Cells. Of all families of convex sets R_i in T that don't overlap and contain the bodies, take one of greatest area
   (there is one: Blaschke's selection, and area is continuous). Where sets meet in a point p, each lies in its cone at
   p, and the cones follow each other round p, the outer half planes of T's sides among them (at a corner of T two of
   these overlap; no line is needed between them). Between two neighbours in that order runs a line through p that
   separates them: one ray of it in the gap between them, the other in what the rest of the cones leave. So the wedge
   between a set's lines to both neighbours lies between its two gaps and holds no other cone, hence no point inside
   it is of another set that contains p. Let W_i be what all such lines of R_i, at all its points of contact, leave of
   T. It's convex and holds R_i. If it held more, (1 - e) R_i + e W_i with a small e would be larger, convex, in T,
   clear of the sets that R_i touches, as it's within the wedges, and of the others, as they are some way off: against
   the choice. So R_i = W_i, and each of its sides lies on such a line or on a side of T that it touches: a polygon
   with no more sides than neighbours (if two sets touch in more points than one, only the line through these will do).
2. Six sides on the average. Draw a point in each R_i and beyond each of the t <= 4 sides of T that are touched, and
   join neighbours through a place of contact: within a convex set straight, round p from one cone to the next. Nothing
   crosses. With e edges between cells and f from cells to sides, and the t outer points joined in a ring, a plane graph
   of N + t points has at most 3 (N + t) - 6 edges: e + f + t <= 3 (N + t) - 6 (t >= 3). The sides of all cells number
   2 e + f <= 6 N + 4 t - 12 - f <= 6 N, for f >= t and t <= 4. With t <= 2 there's no ring: 2 e + f <= 6 N + 5 t - 12.
   (One cell is T itself.)
3. h is convex. The area of a circumscribed polygon is the body's and that of its corners c(a, b), between the body and
   the lines with neighbouring normals a < b. For a <= b <= c <= d: c(a, d) = c(a, c) + c(c, d) + the triangle of the
   lines a, c, d, likewise with b for a; the corners of the triangle of b, c, d lie within line a, so it lies in that of
   a, c, d. Hence c(a, c) + c(b, d) <= c(a, d) + c(b, c): swapping the ends of a step within another costs nothing. Let
   P have n - 1 sides, Q n + 1. Two normals of Q lie in one step of P: swap there. Count from there on the normals of Q
   less those of P; the count begins with 1 and ends with 2. Where it first becomes 2, the normal of Q before that made
   it 1, with none of P between: swap there too. That leaves two closed rounds of n normals each, so
   2 h(n) <= h(n - 1) + h(n + 1).
4. h falls with n and is convex, so the cells, n_i sides each, have the area sum h(n_i) >= N h(6) at least.
"""

import math
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import MultiPoint

from layout.geometry import Disc, FloatArray, Footprint

_CELLS: Final = 360


@lru_cache(maxsize=64)
def least_hexagon_mm2(footprint: Footprint, wall_mm: float) -> float:
    """Return at most the area of the smallest hexagon round the convex hull of a footprint grown by half the wall.

    Parameters
    ----------
    footprint : Disc or Outline
    wall_mm : float
        Not below 0.

    Returns
    -------
    float
        mm2; exact for discs, else below the true least by some tenths of a per cent, never above it.

    Notes
    -----
    The area of a circumscribed polygon is that of the body and, for each pair of neighbouring sides, of the corner
    between the body and their two lines. With the normals of the two sides at a < b, b - a < pi, that corner
    contains the corner of any normals in between (each of its lines is a support of the body). So with each normal
    known only to lie in one of `_CELLS` equal cells, the corner is at least that of the near ends of the two cells;
    the least sum over six cells once round, by dynamic programming, is then at most the true least.
    """
    if isinstance(footprint, Disc):
        return 2.0 * math.sqrt(3.0) * (footprint.radius_mm + wall_mm / 2.0) ** 2
    hull = MultiPoint(footprint.points).convex_hull
    points = shapely.get_coordinates(shapely.orient_polygons(hull))[:-1]
    half = wall_mm / 2.0
    area = float(hull.area + hull.length * half + math.pi * half * half)
    return (area + max(0.0, _least_corners(_corners(points, half)))) * (1.0 - 1e-9)


def _corners(points: FloatArray, grow: float) -> FloatArray:
    """Return c[j, d]: the corner between the lines with normals j and j + d, mm2; inf from half a turn on."""
    n = _CELLS
    angles: FloatArray = np.arange(2 * n + 1, dtype=np.float64) * (2.0 * math.pi / n)
    nx, ny = np.cos(angles), np.sin(angles)
    reach = points @ np.stack((nx, ny))
    touching = reach.argmax(axis=0)
    support = np.asarray(reach.max(axis=0) + grow)
    # where along its line, from the foot of the origin, the body is touched
    along: FloatArray = -points[touching, 0] * ny + points[touching, 1] * nx
    swept = _swept(points, touching, angles, grow)
    found = np.full((n, n + 1), np.inf)
    found[:, 0] = 0.0
    start = np.arange(n)
    for d in range(1, (n + 1) // 2):
        turn = d * 2.0 * math.pi / n
        end = start + d
        ha, hb = support[start], support[end]
        first = (hb - ha * math.cos(turn)) / math.sin(turn) - along[start]
        second = along[end] + (ha - hb * math.cos(turn)) / math.sin(turn)
        kite = 0.5 * (ha * first + hb * second)
        found[:, d] = np.maximum(kite - (swept[end] - swept[start]), 0.0)
    return found


def _swept(points: FloatArray, touching: npt.NDArray[np.intp], angles: FloatArray, grow: float) -> FloatArray:
    """Return the area between the origin and the grown outline, from the first touched point on, signed, mm2."""
    m = len(points)
    following = np.roll(points, -1, axis=0)
    edges = following - points
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    normals = np.column_stack((edges[:, 1], -edges[:, 0])) / lengths[:, None]
    by_edges = 0.5 * lengths * (np.einsum("ij,ij->i", normals, points) + grow)
    total = 0.0
    swept = [0.0]
    for k in range(1, len(angles)):
        a, b = float(angles[k - 1]), float(angles[k])
        v = int(touching[k - 1])
        while v != int(touching[k]):
            turn_at = math.atan2(normals[v, 1], normals[v, 0])
            turn_at += 2.0 * math.pi * round(((a + b) / 2.0 - turn_at) / (2.0 * math.pi))
            turn_at = min(max(turn_at, a), b)
            total += _arc(points[v], a, turn_at, grow) + float(by_edges[v])
            a, v = turn_at, (v + 1) % m
        total += _arc(points[v], a, b, grow)
        swept.append(total)
    return np.array(swept)


def _arc(point: FloatArray, a: float, b: float, grow: float) -> float:
    x, y = float(point[0]), float(point[1])
    return 0.5 * grow * (x * (math.sin(b) - math.sin(a)) - y * (math.cos(b) - math.cos(a)) + grow * (b - a))


def _least_corners(corner: FloatArray) -> float:
    """Return the least sum of six corners once round, each side somewhere in a cell of the grid."""
    n = _CELLS
    # a side in cell j, the next in cell j + s: from the end of the first cell to the start of the second
    step = np.zeros((n, n + 1))
    step[:, 1:] = np.roll(corner, -1, axis=0)[:, :-1]
    two = _joined(step, step)
    three = _joined(two, step)
    start = np.arange(n)
    best = math.inf
    for d in range(n + 1):
        best = min(best, float((three[:, d] + three[(start + d) % n, n - d]).min()))
    return best


def _joined(first: FloatArray, second: FloatArray) -> FloatArray:
    n = _CELLS
    start = np.arange(n)
    out = np.full((n, n + 1), np.inf)
    for a in range(n + 1):
        tail = second[(start + a) % n]
        np.minimum(out[:, a:], first[:, a, None] + tail[:, : n + 1 - a], out=out[:, a:])
    return out
