"""How far a straight movement goes until it meets a band, a side or the wall of a tube."""

import numpy as np

from layout.geometry import FloatArray
from layout.hold.bodies import Cores


def free_run_mm(cores: Cores, needs: FloatArray, at: FloatArray, way: FloatArray, most_mm: float) -> float:
    """Return how far one may go from ``at`` along the unit vector ``way`` before a core comes closer than it needs.

    Notes
    -----
    A band is convex, so a movement outside it enters at most once: through one of its two round ends or one of its two
    straight sides. Bands touched but not entered do not count.
    """
    if not len(cores):
        return most_mm
    away = at - cores.starts
    runs = (_to_end(away, needs, way), _to_end(away - cores.runs, needs, way), _to_side(cores, needs, at, way))
    return max(0.0, min(most_mm, *(float(run.min()) for run in runs)))


def _to_end(away: FloatArray, needs: FloatArray, way: FloatArray) -> FloatArray:
    closing = away @ way
    # the miss by a cross product, not by a difference of squares: bands may be a millionth of a mm wide
    miss = np.abs(away[:, 0] * way[1] - away[:, 1] * way[0])
    meets = (closing < 0.0) & (miss < needs)
    run = np.full(len(away), np.inf)
    half = np.sqrt((needs[meets] - miss[meets]) * (needs[meets] + miss[meets]))
    # inside a band already, by rounding, and going deeper: not a step farther
    run[meets] = np.maximum(-closing[meets] - half, 0.0)
    return run


def _to_side(cores: Cores, needs: FloatArray, at: FloatArray, way: FloatArray) -> FloatArray:
    length = np.sqrt(cores.squares)
    straight = length > 1e-9
    safe = np.where(straight, length, 1.0)
    across = np.column_stack((-cores.runs[:, 1], cores.runs[:, 0])) / safe[:, None]
    away = at - cores.starts
    height = np.einsum("ij,ij->i", away, across)
    rate = across @ way
    sinking = np.where(height < 0.0, rate, -rate)
    meets = straight & (sinking > 1e-15)
    run = np.full(len(cores), np.inf)
    run[meets] = np.maximum(np.abs(height[meets]) - needs[meets], 0.0) / sinking[meets]
    reached = away + np.where(np.isfinite(run), run, 0.0)[:, None] * way
    along = np.einsum("ij,ij->i", reached, cores.runs)
    run[(along < 0.0) | (along > cores.squares)] = np.inf
    return run


def run_in_span_mm(value: float, rate: float, low: float, high: float) -> float:
    """Return how far a coordinate that changes at a rate may run within its span."""
    if rate > 0.0:
        return max(0.0, (high - value) / rate)
    if rate < 0.0:
        return max(0.0, (low - value) / rate)
    return float("inf")


def run_in_discs_mm(at: FloatArray, way: FloatArray, centres: FloatArray, radii: FloatArray) -> float:
    """Return how far one may go along a unit vector without leaving any of these discs."""
    if not len(radii):
        return float("inf")
    away = at - centres
    closing = away @ way
    room = np.maximum(radii**2 - np.einsum("ij,ij->i", away, away), 0.0)
    root = np.sqrt(closing**2 + room)
    with np.errstate(divide="ignore", invalid="ignore"):
        run = np.where(closing > 0.0, room / (root + closing), root - closing)
    return float(run.min())
