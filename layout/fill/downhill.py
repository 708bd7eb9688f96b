"""Compiled: the steps of a quasi-Newton descent of limited memory (L-BFGS), three numbers a part. Imports numba.

Everything is written out in loops: see `layout.fill.jit` for what is dear to compile.
"""

from typing import NamedTuple

import numpy as np

from layout.fill.jit import inner
from layout.geometry import FloatArray, IntArray

LONGEST_STEP_MM = 3.0
"""No part moves farther than this in one step."""

MEMORY = 7
"""Steps that the descent remembers to guess the curvature from."""


class Past(NamedTuple):
    """The last steps, what they changed in the gradient, two numbers of each; how many are kept, which is newest."""

    steps: FloatArray
    changes: FloatArray
    scale: FloatArray
    share: FloatArray
    kept: IntArray


class Slopes(NamedTuple):
    """Room to work in: the gradient and the direction; the trial layout, its gradient and what its parts lack."""

    grad: FloatArray
    direction: FloatArray
    trial: FloatArray
    trial_grad: FloatArray
    trial_worst: FloatArray


def room_to_descend(n: int) -> tuple[Past, Slopes]:
    """Return what the descent of n parts works in."""
    past = Past(
        np.zeros((MEMORY, n, 3)), np.zeros((MEMORY, n, 3)), np.zeros(MEMORY), np.zeros(MEMORY),
        np.array([0, -1], dtype=np.int64),
    )  # fmt: skip
    return past, Slopes(np.zeros((n, 3)), np.zeros((n, 3)), np.zeros((n, 3)), np.zeros((n, 3)), np.zeros(n))


@inner
def dot(a: FloatArray, b: FloatArray) -> float:
    """Return the sum of the products."""
    total = 0.0
    for i in range(a.shape[0]):
        total += a[i, 0] * b[i, 0] + a[i, 1] * b[i, 1] + a[i, 2] * b[i, 2]
    return total


@inner
def blend(out: FloatArray, p: float, a: FloatArray, q: float, b: FloatArray) -> None:
    """Write p a + q b; ``out`` may be one of them."""
    for i in range(a.shape[0]):
        for k in range(3):
            out[i, k] = p * a[i, k] + q * b[i, k]


@inner
def direction_of(grad: FloatArray, past: Past, direction: FloatArray) -> tuple[float, float]:
    """Write the direction to step against; return the slope along it, below 0 if downhill, and how far to go."""
    scale, share, steps, changes = past.scale, past.share, past.steps, past.changes
    kept, newest = past.kept[0], past.kept[1]
    blend(direction, 1.0, grad, 0.0, grad)
    slope = 0.0
    if kept > 0:
        for a in range(kept):
            k = (newest - a) % MEMORY
            share[k] = scale[k] * dot(steps[k], direction)
            blend(direction, 1.0, direction, -share[k], changes[k])
        first = 1.0 / (scale[newest] * dot(changes[newest], changes[newest]))
        blend(direction, first, direction, 0.0, direction)
        for a in range(kept - 1, -1, -1):
            k = (newest - a) % MEMORY
            back = share[k] - scale[k] * dot(changes[k], direction)
            blend(direction, 1.0, direction, back, steps[k])
        slope = -dot(grad, direction)
    if slope >= 0.0:
        blend(direction, 0.25, grad, 0.0, grad)
        slope = -0.25 * dot(grad, grad)
    longest = 1e-300
    for i in range(direction.shape[0]):
        for k in range(3):
            if abs(direction[i, k]) > longest:
                longest = abs(direction[i, k])
    size = LONGEST_STEP_MM / longest
    return slope, (size if size < 1.0 else 1.0)


@inner
def remember(past: Past, trial: FloatArray, z: FloatArray, trial_grad: FloatArray, grad: FloatArray) -> None:
    """Keep the step from z to ``trial`` in place of the oldest, unless it says nothing of the curvature."""
    k = (past.kept[1] + 1) % MEMORY
    blend(past.steps[k], 1.0, trial, -1.0, z)
    blend(past.changes[k], 1.0, trial_grad, -1.0, grad)
    product = dot(past.steps[k], past.changes[k])
    if product > 1e-14:
        past.scale[k] = 1.0 / product
        past.kept[1] = k
        if past.kept[0] < MEMORY:
            past.kept[0] += 1
