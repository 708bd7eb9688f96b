"""The nearest point to a wish that several straight limits and discs allow."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.geometry import FloatArray

_EXACT_MM: Final = 1e-12
"""A limit missed by no more than this is kept: the rounding of coordinates of a metre."""

_ROUNDS: Final = 80


@dataclass(frozen=True, slots=True)
class Limits:
    """What a step may do, in mm.

    Parameters
    ----------
    normals, least : arrays of shape (n, 2) and (n,)
        ``normals @ step >= least``.
    centres, radii : arrays of shape (m, 2) and (m,)
        The step's end lies in each of these discs.
    """

    normals: FloatArray
    least: FloatArray
    centres: FloatArray
    radii: FloatArray

    def worst(self, step: FloatArray) -> tuple[float, FloatArray, float]:
        """Return by how much the worst limit is missed (negative), and that limit as a straight one."""
        amount, normal, least = np.inf, np.zeros(2), 0.0
        if len(self.least):
            slack = self.normals @ step - self.least
            i = int(slack.argmin())
            amount, normal, least = float(slack[i]), self.normals[i], float(self.least[i])
        if len(self.radii):
            away = step - self.centres
            far = np.hypot(away[:, 0], away[:, 1])
            i = int((self.radii - far).argmin())
            if float(self.radii[i] - far[i]) < amount:
                amount = float(self.radii[i] - far[i])
                normal = -away[i] / far[i]
                least = float(normal @ self.centres[i] - self.radii[i])
        return amount, normal, least


def nearest_allowed(wish: FloatArray, limits: Limits) -> FloatArray | None:
    """Return the step nearest to a wish that keeps all limits; None if none does.

    Notes
    -----
    The limits are added one at a time, always the one missed most: the new nearest step lies on it, so each turn is a
    search on one line. A disc stands in by its tangent where it was left, as often as it is left.
    """
    step = wish
    kept: list[tuple[float, float, float]] = []
    for _ in range(_ROUNDS):
        amount, normal, least = limits.worst(step)
        if amount >= -_EXACT_MM:
            return step
        nx, ny = float(normal[0]), float(normal[1])
        on_line = _on_line(float(wish[0]), float(wish[1]), (nx, ny, least), kept)
        if on_line is None:
            return None
        step = np.array(on_line)
        kept.append((nx, ny, least))
    return step if limits.worst(step)[0] >= -1e3 * _EXACT_MM else None


def _on_line(
    wx: float, wy: float, line: tuple[float, float, float], kept: list[tuple[float, float, float]]
) -> tuple[float, float] | None:
    """The point of a line nearest to (wx, wy) that keeps the other limits."""
    nx, ny, least = line
    lift = least - (nx * wx + ny * wy)
    x, y = wx + lift * nx, wy + lift * ny
    low, high = -np.inf, np.inf
    for ox, oy, other in kept:
        rate = oy * nx - ox * ny
        lack = other - (ox * x + oy * y)
        if abs(rate) < 1e-14:
            if lack > 1e3 * _EXACT_MM:
                return None
        elif rate > 0.0:
            low = max(low, lack / rate)
        else:
            high = min(high, lack / rate)
    if low > high:
        if low - high > 1e-9:
            return None
        low = high = (low + high) / 2.0
    along = min(max(0.0, low), high)
    return x - along * ny, y + along * nx
