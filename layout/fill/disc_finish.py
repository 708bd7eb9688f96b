"""The exact finish of discs: linear programs that widen the tightest place until the layout is legal."""

from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.optimize import linprog
from scipy.sparse import coo_array
from scipy.spatial import cKDTree

from layout.fill.disc_domain import Domain
from layout.geometry import FloatArray

_Border = tuple[npt.NDArray[np.intp], FloatArray, FloatArray]


def least_slack_mm(domain: Domain, points: FloatArray) -> float:
    """Return the least of all spare distances of a layout, mm: 0 or more where it's legal."""
    clear = float(domain.clearance_mm(points).min())
    if len(points) > 1:
        nearest = np.asarray(cKDTree(points).query(points, k=2)[0])[:, 1]
        clear = min(clear, float(nearest.min()) - domain.apart_mm)
    return clear


def widened(domain: Domain, points: FloatArray, enough_mm: float, most_rounds: int) -> tuple[FloatArray, float]:
    """Return the centres moved so that their least slack is as large as it gets, and that slack, mm.

    Parameters
    ----------
    domain : Domain
    points : array of shape (n, 2)
    enough_mm : float
        Ends as soon as the slack is this much.
    most_rounds : int
        Linear programs at most.

    Notes
    -----
    A distance of two points is convex, so no pair comes closer than its linear program says; a curved border is the
    other way round, hence the region of trust.
    """
    slack = least_slack_mm(domain, points)
    trust = 0.1 * domain.apart_mm
    for _ in range(most_rounds):
        if slack >= enough_mm:
            break
        step, hoped = _step(domain, points, trust)
        if step is None or hoped < slack + 1e-13 * domain.apart_mm:
            break
        trial = points + step
        found = least_slack_mm(domain, trial)
        gain, promise = found - slack, hoped - slack
        if gain > 0.0:
            points, slack = trial, found
        if gain < 0.5 * promise:
            trust *= 0.4
        # the program is above what can be had nearby: once even it stays short, more rounds are wasted
        if hoped < enough_mm and gain > 0.9 * promise and promise < 0.02 * (enough_mm - slack):
            break
        if trust < 1e-9 * domain.apart_mm:
            break
    return points, slack


def _step(domain: Domain, points: FloatArray, trust: float) -> tuple[FloatArray | None, float]:
    n = len(points)
    pairs = cKDTree(points).query_pairs(domain.apart_mm + 3.0 * trust, output_type="ndarray")
    i, j = pairs[:, 0], pairs[:, 1]
    apart = points[i] - points[j]
    distance = np.hypot(apart[:, 0], apart[:, 1])
    unit = apart / np.maximum(distance, 1e-12)[:, None]
    k = np.arange(len(pairs))
    ones = np.ones(len(pairs))
    # -unit . (di - dj) + s <= distance - apart
    rows = [k, k, k, k, k]
    columns = [2 * i, 2 * i + 1, 2 * j, 2 * j + 1, np.full(len(pairs), 2 * n)]
    values = [-unit[:, 0], -unit[:, 1], unit[:, 0], unit[:, 1], ones]
    limits = [distance - domain.apart_mm]
    count = len(pairs)
    for who, direction, clear in _borders(domain, points, 2.0 * trust):
        k = count + np.arange(len(who))
        rows += [k, k, k]
        columns += [2 * who, 2 * who + 1, np.full(len(who), 2 * n)]
        values += [-direction[:, 0], -direction[:, 1], np.ones(len(who))]
        limits.append(clear)
        count += len(who)
    # Any: scipy's stubs know no sparse matrix here, scipy does
    matrix: Any = coo_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(count, 2 * n + 1)
    ).tocsc()
    cost = np.zeros(2 * n + 1)
    cost[-1] = -1.0
    limit = np.concatenate(limits)
    box = [(-trust, trust)] * (2 * n) + [(None, None)]
    result = linprog(cost, A_ub=matrix, b_ub=limit, bounds=box, method="highs")
    if result.x is None:
        return None, 0.0
    return np.asarray(result.x[:-1]).reshape(n, 2), float(result.x[-1])


def _borders(domain: Domain, points: FloatArray, near: float) -> list[_Border]:
    """Return for each border the centres near it, the direction that leads away from it, and the spare distance."""
    x0, y0, x1, y1 = domain.bounds
    found: list[_Border] = []
    for axis, sign, limit in ((0, 1.0, x0), (1, 1.0, y0), (0, -1.0, x1), (1, -1.0, y1)):
        clear = sign * (points[:, axis] - limit)
        who = np.flatnonzero(clear < near)
        direction = np.zeros((len(who), 2))
        direction[:, axis] = sign
        found.append((who, direction, clear[who]))
    for cx, cy, radius, sign in domain.circles:
        from_middle = points - (cx, cy)
        distance = np.maximum(np.hypot(from_middle[:, 0], from_middle[:, 1]), 1e-12)
        clear = sign * (radius - distance)
        who = np.flatnonzero(clear < near)
        found.append((who, -sign * from_middle[who] / distance[who, None], clear[who]))
    for start, end, sign, keep in domain.polygons:
        ring = domain.sides[int(start) : int(end)]
        found += [_side_border(side, points, sign, keep, near) for side in ring]
    return found


def _side_border(side: FloatArray, points: FloatArray, sign: float, keep: float, near: float) -> _Border:
    first, along = side[:2], side[2:] - side[:2]
    dx, dy = points[:, 0] - first[0], points[:, 1] - first[1]
    share = np.clip((dx * along[0] + dy * along[1]) / float(along[0] ** 2 + along[1] ** 2), 0.0, 1.0)
    away = points - (first + share[:, None] * along)
    distance = np.hypot(away[:, 0], away[:, 1])
    # which side of the line the point is on tells inside from outside where the foot isn't at an end
    left = along[0] * (points[:, 1] - first[1]) - along[1] * (points[:, 0] - first[0])
    right_side = np.where((share > 0.0) & (share < 1.0), np.sign(left) * sign, 1.0)
    clear = right_side * distance - keep
    who = np.flatnonzero((clear < near) & (distance > 1e-9) & (distance < keep + near))
    return who, right_side[who, None] * away[who] / distance[who, None], clear[who]
