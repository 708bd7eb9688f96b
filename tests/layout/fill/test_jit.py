"""Kernels compile where nothing can be kept on disk."""

from typing import Any

import numba
import pytest

from layout.fill.jit import compiled, kept


@pytest.mark.parametrize("decorate", [compiled, kept()])
def test_that_a_kernel_runs_where_no_folder_can_hold_the_cache(decorate: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    real = numba.njit

    def njit(*functions: Any, **options: Any) -> Any:
        if options.get("cache"):
            raise RuntimeError("cannot cache function 'twice': no locator available")
        return real(*functions, **options)

    monkeypatch.setattr(numba, "njit", njit)

    def twice(x: float) -> float:
        return 2.0 * x

    assert decorate(twice)(2.5) == 5.0
