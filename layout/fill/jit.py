"""How a kernel is compiled: kept on disk, free of the interpreter's lock, its sums in the order written.

What a new user waits for is the compiler, so kernels are written for it: no whole-array expression, no ``np.zeros``, no
``min`` or ``max`` (each is a function that is compiled with them); no literal number or truth as an argument of another
kernel, which is compiled anew for each literal; one call where two would be written out twice.
"""

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., object])


def kept(**options: Any) -> Callable[[F], F]:
    """Return a decorator: the function is compiled by numba when first called, and kept on disk.

    Notes
    -----
    ``fastmath`` stays off: sums in another order would give another layout on another machine. Where neither the
    program's folder nor the user's can be written, nothing is kept and every run compiles anew.
    """

    def compile_later(function: F) -> F:
        try:
            return cast(F, numba.njit(cache=True, nogil=True, **options)(function))
        except RuntimeError:  # numba finds no folder for its cache
            return cast(F, numba.njit(nogil=True, **options)(function))

    return compile_later


def compiled(function: F) -> F:
    """Return the function compiled with division and indexing as numpy has them, unchecked; see `kept`."""
    return kept(boundscheck=False, error_model="numpy")(function)


def inner(function: F) -> F:
    """Return the function compiled like `compiled`, but for other kernels alone, which it is kept in.

    Notes
    -----
    The two doors that numba makes for callers from outside take a fifth of the time of compiling a small function.
    """
    options: dict[str, Any] = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
    return cast(F, numba.njit(nogil=True, boundscheck=False, error_model="numpy", **options)(function))
