"""The second half of evening out: the least wall is as wide as it gets, now all others share what room is left."""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from layout.fill.even_features import Body, Feature
from layout.geometry import FloatArray

_LINES: Final = 9
"""Straight lines that touch the worth of a wall from above, over as much as it may change in a step."""


def worth(gaps_mm: FloatArray, least_mm: float) -> float:
    """Return what walls are worth together: each less, the wider it is, so that equal ones are worth the most."""
    return float(-(least_mm / np.maximum(gaps_mm, 1e-9)).sum())


def spread_step(
    bodies: Sequence[Body],
    pairs: Sequence[Sequence[Feature]],
    kept: Sequence[Feature],
    floor_mm: float,
    bounds: list[tuple[float, float]],
    reach_mm: float,
) -> tuple[FloatArray | None, float]:
    """Return the moves that make the walls worth the most, and that worth; None where no program was solved.

    Parameters
    ----------
    bodies : sequence of Body
    pairs : sequence of sequences of Feature
        For each two neighbours, their distances.
    kept : sequence of Feature
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
    from scipy.optimize import linprog
    from scipy.sparse import coo_array

    n, m = 3 * len(bodies), len(pairs)
    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []
    limits: list[float] = []

    def put(feature: Feature, wall: int | None) -> None:
        k = len(limits)
        for who, slope in ((feature.first, feature.slope_first), (feature.second, feature.slope_second)):
            if who >= 0:
                rows.extend([k] * 3)
                columns.extend([3 * who, 3 * who + 1, 3 * who + 2])
                values.extend([-slope[0], -slope[1], -slope[2] / bodies[who].reach_mm])
        if wall is not None:
            rows.append(k)
            columns.append(n + wall)
            values.append(1.0)
        limits.append(feature.gap if wall is not None else max(feature.gap, 0.0))

    for k, features in enumerate(pairs):
        for feature in features:
            put(feature, k)
        now = min(feature.gap for feature in features)
        for at in np.maximum(now + reach_mm * np.linspace(-1.0, 1.0, _LINES), floor_mm).tolist():
            slope = floor_mm / at**2
            rows.extend([len(limits)] * 2)
            columns.extend([n + m + k, n + k])
            values.extend([1.0, -slope])
            limits.append(-floor_mm / at - slope * at)
    for feature in kept:
        put(feature, None)
    cost = np.zeros(n + 2 * m)
    cost[n + m :] = -1.0
    # Any: scipy's stubs know no sparse matrix here, scipy does
    matrix: Any = coo_array((values, (rows, columns)), shape=(len(limits), n + 2 * m)).tocsc()
    ranges: list[tuple[float | None, float | None]] = [*bounds, *[(floor_mm, None)] * m, *[(None, None)] * m]
    result = linprog(cost, A_ub=matrix, b_ub=np.array(limits), bounds=ranges, method="highs")
    if result.x is None:
        return None, 0.0
    return np.asarray(result.x[:n]).reshape(-1, 3), -float(result.fun or 0.0)
