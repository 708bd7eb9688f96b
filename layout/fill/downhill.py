"""Compiled: the steps of a quasi-Newton descent of limited memory (L-BFGS), three numbers a part. Imports numba.

Everything is written out in loops: whole-array expressions of numba take ten times as long to compile.
"""

from typing import NamedTuple

from layout.fill.jit import compiled
from layout.geometry import FloatArray

MEMORY = 7
"""Steps that the descent remembers to guess the curvature from."""


class Past(NamedTuple):
    """The last steps, what they changed in the gradient, and two numbers of each."""

    steps: FloatArray
    changes: FloatArray
    scale: FloatArray
    share: FloatArray


@compiled
def dot(a: FloatArray, b: FloatArray) -> float:
    """Return the sum of the products."""
    total = 0.0
    for i in range(a.shape[0]):
        total += a[i, 0] * b[i, 0] + a[i, 1] * b[i, 1] + a[i, 2] * b[i, 2]
    return total


@compiled
def blend(out: FloatArray, p: float, a: FloatArray, q: float, b: FloatArray) -> None:
    """Write p a + q b; ``out`` may be one of them."""
    for i in range(a.shape[0]):
        for k in range(3):
            out[i, k] = p * a[i, k] + q * b[i, k]


@compiled
def greatest(a: FloatArray) -> float:
    """Return the greatest of numbers none of which is below 0."""
    best = 0.0
    for i in range(a.shape[0]):
        best = max(best, a[i])
    return best


@compiled
def longest(a: FloatArray) -> float:
    """Return the longest move of a part along one of its three numbers, a hair above 0 at least."""
    best = 1e-300
    for i in range(a.shape[0]):
        best = max(best, abs(a[i, 0]), abs(a[i, 1]), abs(a[i, 2]))
    return best


@compiled
def direction_of(grad: FloatArray, past: Past, kept: int, newest: int, direction: FloatArray) -> float:
    """Write the direction to step against; return the slope along it, below 0 if it goes downhill."""
    if kept == 0:
        blend(direction, 0.25, grad, 0.0, grad)
        return -0.25 * dot(grad, grad)
    blend(direction, 1.0, grad, 0.0, grad)
    for a in range(kept):
        k = (newest - a) % MEMORY
        past.share[k] = past.scale[k] * dot(past.steps[k], direction)
        blend(direction, 1.0, direction, -past.share[k], past.changes[k])
    first = 1.0 / (past.scale[newest] * dot(past.changes[newest], past.changes[newest]))
    blend(direction, first, direction, 0.0, direction)
    for a in range(kept - 1, -1, -1):
        k = (newest - a) % MEMORY
        back = past.share[k] - past.scale[k] * dot(past.changes[k], direction)
        blend(direction, 1.0, direction, back, past.steps[k])
    slope = -dot(grad, direction)
    if slope >= 0.0:
        blend(direction, 0.25, grad, 0.0, grad)
        return -0.25 * dot(grad, grad)
    return slope


@compiled
def remember(past: Past, k: int, trial: FloatArray, z: FloatArray, trial_grad: FloatArray, grad: FloatArray) -> bool:
    """Write a step to place k of the past; return False if it says nothing of the curvature."""
    blend(past.steps[k], 1.0, trial, -1.0, z)
    blend(past.changes[k], 1.0, trial_grad, -1.0, grad)
    product = dot(past.steps[k], past.changes[k])
    if product <= 1e-14:
        return False
    past.scale[k] = 1.0 / product
    return True
