"""Work done two pieces at a time, so that both cores of a small machine are used; a stop is heard meanwhile."""

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait
from types import TracebackType
from typing import Final, TypeVar

import numpy as np

from layout.geometry import IntArray

T = TypeVar("T")

SIDE_BY_SIDE: Final = 2
"""Pieces that run at a time. Fixed, for the layout must not depend on the machine."""

_POLL_S: Final = 0.03


class Pairs:
    """Two threads, and a flag that the compiled kernels read.

    Parameters
    ----------
    should_stop : callable
        Asked by the calling thread alone.
    """

    def __init__(self, should_stop: Callable[[], bool]) -> None:
        self._should_stop = should_stop
        self._threads = ThreadPoolExecutor(SIDE_BY_SIDE, thread_name_prefix="fill")
        self.halt: IntArray = np.zeros(1, dtype=np.int64)

    def __enter__(self) -> "Pairs":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.halt[0] = 1
        self._threads.shutdown(wait=True)

    def halted(self) -> bool:
        """Return whether the work should end; cheap, for any thread."""
        return bool(self.halt[0])

    def run(self, works: Sequence[Callable[[], T]]) -> list[T]:
        """Return what the works return, in their order; they are told to halt once a stop is asked for."""
        return [self._result(future) for future in [self._threads.submit(work) for work in works]]

    def _result(self, future: "Future[T]") -> T:
        while not future.done():
            wait([future], timeout=_POLL_S)
            if self._should_stop():
                self.halt[0] = 1
        return future.result()
