"""Rows stacked by dynamic programming: the least height for every count, then the stack itself, exactly."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from layout.fill.nofit import OUT_OF_REACH, NoFit
from layout.fill.rows import STEP_MM, Row, Tables
from layout.geometry import FloatArray, IntArray

TABLE_ERROR_MM: Final = 0.5
"""The tables err by less than this."""

LASTS: Final = 6
"""Stacks kept for one count: they end in different rows."""

BELOW: Final = 3
"""Counts kept below the fullest stack that fits."""

PLAN_SLICE: Final = 3e7
"""Work of one call of the compiled program: under 0.1 s, so that a stop is heard in time."""

NEVER: Final = 1.0e9
"""A height no stack has."""


@dataclass(frozen=True, slots=True)
class Stack:
    """Rows one above the other, in a frame whose inside is 0 .. width, 0 .. height.

    Parameters
    ----------
    x_mm, y_mm, angle_deg : array
        Places of the parts.
    height_mm : float
        What the stack needs, exact.
    """

    x_mm: FloatArray
    y_mm: FloatArray
    angle_deg: FloatArray
    height_mm: float

    @property
    def count(self) -> int:
        """How many parts."""
        return len(self.x_mm)


def pair_heights(tables: Tables, rows: Sequence[Row], width_mm: float, fast: bool = False) -> FloatArray:
    """Return how far the base of row q lies above the base of row p when q lies on p, by the tables: [p, q].

    Parameters
    ----------
    fast : bool
        Use the compiled kernel, which must be loaded first.
    """
    margin = tables.half + 2
    cells = int(width_mm / STEP_MM) + 2 * margin + 2
    classes = sorted({float(a) for row in rows for a in set(row.angle_deg.tolist())})
    longest = max(row.count for row in rows)
    x = np.zeros((len(rows), longest))
    y = np.full((len(rows), longest), -2.0 * OUT_OF_REACH)
    c = np.zeros((len(rows), longest), dtype=np.intp)
    for q, row in enumerate(rows):
        x[q, : row.count], y[q, : row.count] = row.x_mm, row.y_mm
        c[q, : row.count] = np.searchsorted(classes, row.angle_deg)
    if fast:
        return _kept_apart(_compiled_heights(tables, rows, classes, x, y, c))
    at = x / STEP_MM + margin
    k = np.clip(np.floor(at), 0, cells - 2).astype(np.intp)
    share = at - k
    heights = np.empty((len(rows), len(rows)))
    for p, row in enumerate(rows):
        profile = _profile(tables, row, classes, cells, margin)
        value = profile[c, k] * (1.0 - share) + profile[c, k + 1] * share
        heights[p] = (value - y).max(axis=1)
    return _kept_apart(heights)


def _kept_apart(heights: FloatArray) -> FloatArray:
    """Return the heights with those raised that would let p, q, p come closer than p, p.

    Notes
    -----
    The program looks at neighbours alone. Rows that sink deep into each other would otherwise promise stacks whose
    next row but one collides.
    """
    alone = np.diag(heights)
    lack = np.maximum(alone[:, None], alone[None, :]) - (heights + heights.T)
    return heights + np.maximum(lack, 0.0) / 2.0


def _compiled_heights(
    tables: Tables, rows: Sequence[Row], classes: list[float], x: FloatArray, y: FloatArray, c: npt.NDArray[np.intp]
) -> FloatArray:
    from layout.fill.row_kernels import heights_kernel

    contact = np.array([[tables.table(lower, upper) for upper in classes] for lower in classes])
    heights = np.empty((len(rows), len(rows)))
    counts = np.array([row.count for row in rows], dtype=np.int64)
    heights_kernel(x, y, c.astype(np.int64), counts, contact, STEP_MM, heights)
    return heights


def _profile(tables: Tables, row: Row, classes: list[float], cells: int, margin: int) -> FloatArray:
    """Return how high a part of each class must stand above this row, along x in steps."""
    profile = np.full((len(classes), cells), OUT_OF_REACH)
    span = 2 * tables.half
    for x, y, angle in zip(row.x_mm.tolist(), row.y_mm.tolist(), row.angle_deg.tolist(), strict=True):
        at = x / STEP_MM + margin - tables.half
        first = int(np.ceil(at))
        share = first - at
        for n, upper in enumerate(classes):
            table = tables.table(angle, upper)
            moved = table[:-1] * (1.0 - share) + table[1:] * share + y
            cut = profile[n, first : first + span]
            np.maximum(cut, moved[: len(cut)], out=cut)
    return profile


@dataclass(frozen=True, slots=True)
class Choice:
    """A stack as the dynamic program sees it: how many parts, how high, which rows, lowest first."""

    count: int
    total_mm: float
    order: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """What the dynamic program found: stacks that fit or are too high by little, the fullest first.

    Parameters
    ----------
    rows : tuple of Row
    heights_mm : array [row, row]
        See `pair_heights`.
    choices : tuple of Choice
        From the largest count that fits upwards, several of each count, the lowest first.
    """

    rows: tuple[Row, ...]
    heights_mm: npt.NDArray[np.float32]
    choices: tuple[Choice, ...]


def _choices(
    rows: Sequence[Row], total: FloatArray, before: IntArray, height_mm: float, too_high_mm: float, only: int | None
) -> tuple[Choice, ...]:
    least = total.min(axis=1)
    fitting = np.flatnonzero(least <= height_mm)
    first = int(fitting[-1]) if len(fitting) else 0
    # the tables err a little, so look a few counts below the fullest that fits as well
    counts = np.flatnonzero(least <= height_mm + too_high_mm)
    wanted = counts[counts >= first - BELOW] if only is None else counts[counts == only]
    found: list[Choice] = []
    for count in wanted[::-1].tolist():
        lasts = np.argsort(total[count], kind="stable")[:LASTS]
        found.extend(
            Choice(count, float(total[count, last]), _sequence(rows, before, count, last))
            for last in lasts[total[count, lasts] <= height_mm + too_high_mm].tolist()
        )
    return tuple(found)


def _sequence(rows: Sequence[Row], before: IntArray, count: int, last: int) -> tuple[int, ...]:
    """Return the rows, lowest first, of the stack that ends so."""
    order: list[int] = []
    q = last
    while q >= 0:
        order.append(q)
        below = int(before[count, q])
        count -= rows[q].count
        q = below
    return tuple(order[::-1])


def plan(
    rows: Sequence[Row], heights: FloatArray, height_mm: float, too_high_mm: float, most_count: int,
    fast: bool = False, halted: Callable[[], bool] | None = None, only: int | None = None,
) -> Plan:  # fmt: skip
    """Return the lowest stacks of rows by the tables, up to ``too_high_mm`` above the height.

    Parameters
    ----------
    fast : bool
        Use the compiled kernel, which must be loaded first.
    halted : callable, optional
        Asked every tenth of a second; what was found so far is returned.
    only : int, optional
        The only count wanted.
    """
    most_height_mm = height_mm + too_high_mm
    number = len(rows)
    counts = np.array([row.count for row in rows], dtype=np.int64)
    bottoms = np.array([row.bottom_mm for row in rows])
    tops = np.array([row.top_mm for row in rows])
    base = np.full((most_count + 1, number), NEVER)
    before = np.full((most_count + 1, number), -1, dtype=np.int64)
    groups = [(int(n), np.flatnonzero(counts == n)) for n in np.unique(counts)]
    for n, group in groups:
        if n <= most_count:
            base[n, group] = -bottoms[group]
    if fast:
        from layout.fill.row_kernels import plan_kernel

        step = max(1, int(PLAN_SLICE / number**2))
        for first in range(1, most_count + 1, step):
            plan_kernel(heights, counts, tops, most_height_mm, base, before, first, min(first + step, most_count + 1))
            if halted and halted():
                break
    else:
        _plan_slowly(heights, groups, tops, most_height_mm, base, before)
    total = np.where(base < NEVER / 2, base + tops[None, :], NEVER)
    return Plan(tuple(rows), heights.astype(np.float32), _choices(rows, total, before, height_mm, too_high_mm, only))


def _plan_slowly(
    heights: FloatArray, groups: list[tuple[int, IntArray]], tops: FloatArray, most_height_mm: float,
    base: FloatArray, before: IntArray,
) -> None:  # fmt: skip
    most_count = len(base) - 1
    for c in range(1, most_count + 1):
        alive = np.flatnonzero(base[c] + tops < most_height_mm)
        if not len(alive):
            continue
        for n, group in groups:
            if c + n > most_count:
                continue
            reached = base[c, alive][:, None] + heights[np.ix_(alive, group)]
            best = reached.argmin(axis=0)
            value = reached[best, np.arange(len(group))]
            better = value < base[c + n, group]
            base[c + n, group[better]] = value[better]
            before[c + n, group[better]] = alive[best[better]]


def build(nofit: NoFit, found: Plan, choice: Choice) -> Stack:
    """Return the stack exactly, each row laid as low as all rows below it allow."""
    order = choice.order
    rows = [found.rows[q] for q in order]
    bases: list[float] = []
    reach = nofit.reach_mm()
    for k, row in enumerate(rows):
        base = -row.bottom_mm
        for m in range(k - 1, -1, -1):
            # by the tables this row is not the one that holds it up
            if bases[m] + float(found.heights_mm[order[m], order[k]]) + TABLE_ERROR_MM < base:
                continue
            base = max(base, bases[m] + _exact_height(nofit, rows[m], row, reach))
        bases.append(base)
    x = np.concatenate([row.x_mm for row in rows])
    y = np.concatenate([row.y_mm + base for row, base in zip(rows, bases, strict=True)])
    angle = np.concatenate([row.angle_deg for row in rows])
    top = max(base + row.top_mm for row, base in zip(rows, bases, strict=True))
    return Stack(x, y, angle, top)


def _exact_height(nofit: NoFit, lower: Row, upper: Row, reach: float) -> float:
    best = OUT_OF_REACH
    for a in set(lower.angle_deg.tolist()):
        below = lower.angle_deg == a
        for b in set(upper.angle_deg.tolist()):
            above = upper.angle_deg == b
            x = upper.x_mm[above][None, :] - lower.x_mm[below][:, None]
            lift = lower.y_mm[below][:, None] - upper.y_mm[above][None, :]
            near = np.abs(x) <= reach
            if near.any():
                best = max(best, float((nofit.highest(a, b, x[near]) + lift[near]).max()))
    return best
