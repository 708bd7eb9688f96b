"""How a kernel is compiled: kept on disk, free of the interpreter's lock, its sums in the order written."""

from collections.abc import Callable
from typing import TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., object])


def compiled(function: F) -> F:
    """Return the function compiled by numba when first called.

    Notes
    -----
    ``fastmath`` stays off: sums in another order would give another layout on another machine.
    """
    return cast(F, numba.njit(cache=True, nogil=True, boundscheck=False, error_model="numpy")(function))
