"""The second half of evening out: the least wall is as wide as it gets, now all others share what room is left."""

from collections.abc import Sequence
from typing import Any, Final, Literal

import numpy as np

from layout.fill.even_features import Features, joined
from layout.geometry import FloatArray, IntArray

Method = Literal["highs-ipm", "highs"]

BOTH: Final[tuple[Method, Method]] = ("highs-ipm", "highs")
"""Ways to solve a linear program: interior points, the simplex."""

_LINES: Final = 9
"""Straight lines that touch the worth of a wall from above, over as much as it may change in a step."""


def worth(gaps_mm: FloatArray, least_mm: float) -> float:
    """Return what walls are worth together: each less, the wider it is, so that equal ones are worth the most."""
    return float(-(least_mm / np.maximum(gaps_mm, 1e-9)).sum())


def spread_step(
    reach: FloatArray,
    walls: Features,
    kept: Features,
    floor_mm: float,
    bounds: Sequence[tuple[float, float]],
    reach_mm: float,
) -> tuple[FloatArray | None, float]:
    """Return the moves that make the walls worth the most, and that worth; None where no program was solved.

    Parameters
    ----------
    reach : array
        Of each body, mm.
    walls : Features
        The distances of neighbours; each pair is one wall.
    kept : Features
        Distances that must not fall below 0.
    floor_mm : float
        What no wall may fall below.
    bounds : list
        For each body, of its move along x, along y and of its turn times its reach, mm.
    reach_mm : float
        How much a wall may change.

    Notes
    -----
    A linear program: one unknown for each wall, no more than any of its distances, and one for its worth, no more
    than any line that touches the curve ``-1 / wall`` from above.
    """
    who, wall = np.unique(walls.pair, return_inverse=True)
    n, m, k = 3 * len(reach), len(who), len(walls.gap)
    rows, columns, values = joined([walls, kept]).entries(reach)
    now = np.full(m, np.inf)
    np.minimum.at(now, wall, walls.gap)
    at = np.maximum(now[:, None] + reach_mm * np.linspace(-1.0, 1.0, _LINES), floor_mm).ravel()
    slope = floor_mm / at**2
    line = k + len(kept.gap) + np.arange(len(at))
    of_line = np.repeat(np.arange(m), _LINES)
    entries = (
        np.concatenate((rows, np.arange(k), line, line)),
        np.concatenate((columns, n + wall, n + m + of_line, n + of_line)),
        np.concatenate((values, np.ones(k), np.ones(len(at)), -slope)),
    )
    limits = np.concatenate((walls.gap, np.maximum(kept.gap, 0.0), -floor_mm / at - slope * at))
    cost = np.zeros(n + 2 * m)
    cost[n + m :] = -1.0
    ranges: list[tuple[float | None, float | None]] = [*bounds, *[(floor_mm, None)] * m, *[(None, None)] * m]
    found = solved(cost, entries, limits, ranges)
    if found is None:
        return None, 0.0
    return found[:n].reshape(-1, 3), -float(cost @ found)


def solved(
    cost: FloatArray,
    entries: tuple[IntArray, IntArray, FloatArray],
    limits: FloatArray,
    ranges: Sequence[tuple[float | None, float | None]],
    methods: Sequence[Method] = BOTH,
) -> FloatArray | None:
    """Return what costs the least of all that keeps to the limits; None where that can't be said.

    Parameters
    ----------
    entries : tuple of arrays
        Rows, columns and values of the matrix, which times the unknowns is no more than the limits.
    ranges : list
        Of each unknown.
    methods : sequence
        The second is asked where the first fails.

    Notes
    -----
    Interior points take a sixth of the time of the simplex with 264 arrows; but they move every part that may move,
    and where turns bend the distances the simplex, which moves few, still finds a way.
    """
    from scipy.optimize import linprog
    from scipy.sparse import coo_array

    rows, columns, values = entries
    # Any: scipy's stubs know no sparse matrix here, scipy does
    matrix: Any = coo_array((values, (rows, columns)), shape=(len(limits), len(cost))).tocsc()
    for method in methods:
        result = linprog(cost, A_ub=matrix, b_ub=limits, bounds=ranges, method=method)
        if result.x is not None:
            return np.asarray(result.x, dtype=np.float64)
    return None
