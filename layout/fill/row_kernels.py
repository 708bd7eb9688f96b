"""Compiled: heights of every row on every other, and the dynamic program over them. Imports numba."""

import math

from layout.fill.jit import compiled
from layout.geometry import FloatArray, IntArray


@compiled
def heights_kernel(
    x: FloatArray, y: FloatArray, angle: IntArray, counts: IntArray, tables: FloatArray, step: float, out: FloatArray
) -> None:
    """Write how far the base of row q lies above that of row p when q lies on p, to ``out[p, q]``.

    Parameters
    ----------
    x, y, angle : array (rows, parts)
        Places, x ascending, and angle classes; the first ``counts[q]`` of row q are filled.
    tables : array (classes, classes, cells)
        Contact heights of an upper part (second class) over a lower, from -half to half steps.
    """
    cells = tables.shape[2]
    half = (cells - 1) // 2
    reach = half * step
    for p in range(x.shape[0]):
        for q in range(x.shape[0]):
            best = -1.0e4
            first = 0
            for i in range(counts[p]):
                while first < counts[q] and x[q, first] - x[p, i] < -reach:
                    first += 1
                j = first
                while j < counts[q]:
                    dx = x[q, j] - x[p, i]
                    if dx >= reach:
                        break
                    at = dx / step + half
                    k = math.floor(at)
                    share = at - k
                    table = tables[angle[p, i], angle[q, j]]
                    value = table[k] * (1.0 - share) + table[k + 1] * share + y[p, i] - y[q, j]
                    best = max(best, value)
                    j += 1
            out[p, q] = best


@compiled
def plan_kernel(
    heights: FloatArray, counts: IntArray, tops: FloatArray, most_height: float, base: FloatArray, before: IntArray,
    first: int, end: int,
) -> None:  # fmt: skip
    """Fill ``base[c, q]``, the lowest base of a last row q with c parts in all, and ``before``, the row below it.

    Stacks of first .. end - 1 parts are built on; those of fewer must have been before.
    """
    for c in range(first, end):
        for p in range(base.shape[1]):
            low = base[c, p]
            if low + tops[p] >= most_height:
                continue
            for q in range(base.shape[1]):
                total = c + counts[q]
                if total < base.shape[0] and low + heights[p, q] < base[total, q]:
                    base[total, q] = low + heights[p, q]
                    before[total, q] = p
