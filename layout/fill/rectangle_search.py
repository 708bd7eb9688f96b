"""The most equal rectangles in a rectangle by halving L-shapes, compiled; import it only inside a search (numba).

Lengths are indices into the sorted sums i a + j b ("steps"): pushed left and down, every rectangle starts and ends at
one, so a region may be shrunk to them. An L is (X, Y, x, y): X wide and Y high, less what is right of x and above y; a
rectangle is an L with x = X, y = Y. Each L is cut in two by a line with at most two bends so that both pieces are Ls.
Birgin, Lobato and Morabito 2010; the cuts, the pruning and the order are worked out anew.
"""

import numpy as np
import numpy.typing as npt

from layout.fill.jit import inner, kept
from layout.geometry import FloatArray, IntArray

BoolArray = npt.NDArray[np.bool_]
SmallArray = npt.NDArray[np.int16]

Shape = tuple[int, int, int, int]
Tables = tuple[
    SmallArray, SmallArray, IntArray, FloatArray, IntArray, BoolArray, IntArray, float, IntArray, IntArray,
    int, IntArray,
]  # fmt: skip

CUTS = 13
"""Kinds of cut; see `piece`."""


@kept()
def tidy(X: int, Y: int, x: int, y: int) -> tuple[int, int, int, int]:
    """Return the L in its one form: rectangles with x = X, y = Y, lying down."""
    if x == 0:
        x, Y = X, y
    if y == 0:
        y, X = Y, x
    if x == X or y == Y:
        x, y = X, Y
    if X < Y or (X == Y and x < y):
        X, Y, x, y = Y, X, y, x
    return X, Y, x, y


@inner
def _key(X: int, Y: int, x: int, y: int, wide: int) -> int:
    return (Y * (Y + 1) // 2 + y) * wide + X * (X + 1) // 2 + x


@inner
def _straight_piece(
    cut: int, p: int, q: int, second: bool, X: int, Y: int, x: int, y: int, less: IntArray
) -> tuple[int, int, int, int]:
    out = (0, 0, 0, 0)
    if cut == 7:  # straight on from the inner corner, across or up
        out = (x, less[Y, y], x, less[Y, y]) if second else (X, y, X, y)
    elif cut == 8:
        out = (less[X, x], y, less[X, x], y) if second else (x, Y, x, Y)
    elif cut == 9:  # up or across on this side of the inner corner
        out = (less[X, p], Y, less[x, p], y) if second else (p, Y, p, Y)
    elif cut == 10:
        out = (X, less[Y, q], x, less[y, q]) if second else (X, q, X, q)
    elif cut == 11:  # beyond it
        out = (less[X, p], y, less[X, p], y) if second else (p, Y, x, y)
    else:
        out = (x, less[Y, q], x, less[Y, q]) if second else (X, q, x, y)
    return out


@kept()
def piece(
    cut: int, p: int, q: int, r: int, second: bool, X: int, Y: int, x: int, y: int, less: IntArray
) -> tuple[int, int, int, int]:
    """Return the first or second piece of an L by a cut, not yet tidy.

    Cuts 0 to 4 have bends, for any L; 5 and 6 (with r) two bends, for rectangles; the others are straight.
    """
    out = (0, 0, 0, 0)
    if cut == 0:  # round the inner corner
        out = (less[X, p], less[Y, q], less[x, p], less[y, q]) if second else (X, Y, p, q)
    elif cut == 1:  # from the inner corner left, down, left
        out = (X, y, less[X, p], q) if second else (x, less[Y, q], p, less[Y, y])
    elif cut == 2:  # down, left, down
        out = (less[X, p], y, less[X, x], q) if second else (x, Y, p, less[Y, q])
    elif cut == 3:  # left, up, left
        out = (X, q, p, y) if second else (x, less[Y, y], less[x, p], less[Y, q])
    elif cut == 4:  # down, right, down
        out = (p, Y, x, q) if second else (less[X, x], y, less[X, p], less[y, q])
    elif cut == 5:  # up, right, up
        out = (less[X, p], Y, less[X, r], q) if second else (r, Y, p, less[Y, q])
    elif cut == 6:  # right, up, right
        out = (X, less[Y, p], q, less[Y, r]) if second else (X, r, less[X, q], p)
    else:
        out = _straight_piece(cut, p, q, second, X, Y, x, y, less)
    return out


@inner
def _most(X: int, Y: int, x: int, y: int, steps: FloatArray, area: float, units: IntArray, sides: IntArray) -> int:
    """Return what the area of an L allows, and of a rectangle Barnes' colouring (see `bounds_rectangles`)."""
    whole = steps[X] * steps[y] + steps[x] * (steps[Y] - steps[y])
    most = int(np.floor(whole / area + 1e-9))
    if x == X and y == Y and sides[0] > 0:
        bare = 0
        for rod in sides:
            r, s = units[X] % rod, units[Y] % rod
            here, there = r * s, (rod - r) * (rod - s)
            lost = here if here < there else there
            if lost > bare:
                bare = lost
        colours = (units[X] * units[Y] - bare) // (sides[0] * sides[1])
        if colours < most:
            most = colours
    return most


@inner
def _span(cut: int, X: int, Y: int, x: int, y: int) -> tuple[int, int, int, int]:
    """Return the least and greatest p and q of a cut."""
    p0, p1, q0, q1 = 0, x, 0, y
    if cut == 3:
        q0, q1 = y, Y
    elif cut == 4:
        p0, p1 = x, X
    elif cut == 5:
        p1, q1 = X, Y
    elif cut == 6:
        p1, q1 = Y, X
    elif cut == 7 or cut == 8:
        p1, q1 = 0, 0
    elif cut == 9:
        q1 = 0
    elif cut == 10:
        p1 = 0
    elif cut == 11:
        p0, p1, q1 = x, X, 0
    elif cut == 12:
        p1, q0, q1 = 0, y, Y
    return p0, p1, q0, q1


@inner
def _look(L: Shape, tables: Tables) -> int:
    """Return the key of an L whose bounds are set on first sight."""
    low, high, _, steps, _, _, _, area, units, sides, wide, _ = tables
    X, Y, x, y = L
    key = _key(X, Y, x, y, wide)
    if high[key] < 0:
        high[key] = _most(X, Y, x, y, steps, area, units, sides)
        low[key] = 0
    return key


@inner
def _holds_one(X: int, Y: int, x: int, y: int, one: IntArray) -> bool:
    lying = (one[0] <= X and y >= one[1]) or (x >= one[0] and one[1] <= Y)
    return bool(lying or (one[1] <= X and y >= one[0]) or (x >= one[1] and one[0] <= Y))


@inner
def _applies(cut: int, is_rectangle: bool) -> bool:
    if is_rectangle:
        return not (1 <= cut <= 4 or cut == 7 or cut == 8 or cut >= 11)
    return not (cut == 5 or cut == 6)


@inner
def _areas(first: Shape, second: Shape, steps: FloatArray, area: float) -> int:
    X, Y, x, y = first
    a1 = steps[X] * steps[y] + steps[x] * (steps[Y] - steps[y])
    X, Y, x, y = second
    a2 = steps[X] * steps[y] + steps[x] * (steps[Y] - steps[y])
    return int(np.floor(a1 / area + 1e-9) + np.floor(a2 / area + 1e-9))


@inner
def _promising(cut: int, L: Shape, key: int, need: int, tables: Tables) -> IntArray:
    """Return the rows p, q, r of the cuts of a kind whose pieces may together hold ``need`` rectangles."""
    _, high, _, steps, less, raster, _, area, _, _, _, _ = tables
    X, Y, x, y = L
    p0, p1, q0, q1 = _span(cut, X, Y, x, y)
    along, across = (Y, X) if cut == 6 else (X, Y)
    # `piece` would be compiled once for the literal True and once for False
    yes = need >= 0
    no = not yes
    found = [(0, 0, 0) for _ in range(0)]
    for p in range(p0, p1 + 1):
        if not raster[along, p]:
            continue
        for q in range(q0, q1 + 1):
            if not raster[across, q]:
                continue
            r0, r1 = (p, p1) if cut == 5 or cut == 6 else (0, 0)
            for r in range(r0, r1 + 1):
                first = piece(cut, p, q, r, no, X, Y, x, y, less)
                second = piece(cut, p, q, r, yes, X, Y, x, y, less)
                # the area alone rules out nearly every cut, before anything is looked up
                if _areas(first, second, steps, area) < need:
                    continue
                first, second = tidy(*first), tidy(*second)
                if min(first[0], first[1]) == 0 or min(second[0], second[1]) == 0:
                    continue
                k1, k2 = _look(first, tables), _look(second, tables)
                if k1 != key and k2 != key and high[k1] + high[k2] >= need:
                    found.append((p, q, r))
    out = np.zeros((len(found), 3), dtype=np.int64)
    for k in range(len(found)):
        out[k, 0], out[k, 1], out[k, 2] = found[k]
    return out


@kept()
def reach(X: int, Y: int, x: int, y: int, need: int, tables: Tables) -> bool:
    """Return whether the tidy L holds ``need`` rectangles; False also where the work was cut short.

    Parameters
    ----------
    tables : tuple
        low, high: bounds of each L, improved in place; -1 in ``high`` where not seen yet. chosen: the cut that reached
        ``low``. steps. less: index of the largest step no longer than the difference of two. raster: whether the
        second step is worth a cut in a length of the first: it's the length less some step, shrunk. one: steps of a
        and of b. area: of a rectangle. units, sides: the steps and a, b in whole units, ``sides`` 0 where there's no
        common measure. wide: for the keys. state: work left, and a flag that stops.
    """
    low, high, chosen, _, less, _, one, _, _, _, _, state = tables
    key = _look((X, Y, x, y), tables)
    if low[key] >= need or high[key] < need:
        return bool(low[key] >= need)
    state[0] -= 1
    if state[0] <= 0 or state[1] != 0:
        return False
    if need == 1:
        low[key] = high[key] = 1 if _holds_one(X, Y, x, y, one) else 0
        if low[key] == 1:
            # it may hold more, which nobody asked for yet
            high[key] = _most(X, Y, x, y, tables[3], tables[7], tables[8], tables[9])
            chosen[key] = -1
        return bool(low[key] == 1)
    for cut in (7, 8, 9, 10, 11, 12, 0, 1, 2, 3, 4, 5, 6):
        if not _applies(cut, x == X and y == Y):
            continue
        cuts = _promising(cut, (X, Y, x, y), key, need, tables)
        for k in range(cuts.shape[0]):
            p, q, r = cuts[k, 0], cuts[k, 1], cuts[k, 2]
            X1, Y1, x1, y1 = tidy(*piece(cut, p, q, r, need < 0, X, Y, x, y, less))
            X2, Y2, x2, y2 = tidy(*piece(cut, p, q, r, need >= 0, X, Y, x, y, less))
            k1, k2 = _look((X1, Y1, x1, y1), tables), _look((X2, Y2, x2, y2), tables)
            while high[k1] + high[k2] >= need and state[0] > 0 and state[1] == 0:
                if not reach(X1, Y1, x1, y1, max(low[k1], need - high[k2]), tables):
                    break
                if reach(X2, Y2, x2, y2, need - low[k1], tables):
                    low[key] = low[k1] + low[k2]
                    chosen[key] = ((r * 4096 + q) * 4096 + p) * CUTS + cut
                    return True
    if state[0] > 0 and state[1] == 0:
        high[key] = need - 1
    return False
