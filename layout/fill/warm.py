"""The compiled kernels made ready beside the first rows: seconds once on a machine, a moment from then on."""

import threading
from collections.abc import Callable
from typing import Final

import numpy as np

_POLL_S: Final = 0.02


class Kernels:
    """Loads the kernels in a thread of its own."""

    def __init__(self) -> None:
        self._thread: threading.Thread | None = None
        self._failure: BaseException | None = None

    def start(self) -> None:
        """Begin, unless begun."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="kernels", daemon=True)
            self._thread.start()

    def ready(self) -> bool:
        """Return whether they can be used; begin if nobody has.

        Raises
        ------
        Exception
            Whatever went wrong while compiling.
        """
        self.start()
        if self._thread is None or self._thread.is_alive():
            return False
        if self._failure is not None:
            raise self._failure
        return True

    def wait(self, should_stop: Callable[[], bool]) -> bool:
        """Wait until they can be used; return False if stopped meanwhile."""
        while not self.ready():
            if should_stop():
                return False
            if self._thread is not None:
                self._thread.join(_POLL_S)
        return True

    def _run(self) -> None:
        try:
            _call_each_once()
        except BaseException as error:
            self._failure = error


def _call_each_once() -> None:
    from layout.fill.descent import World, best_pose, descend
    from layout.fill.row_kernels import heights_kernel, plan_kernel

    one, none = np.zeros((1, 1)), np.zeros(1, dtype=np.int64)
    heights_kernel(one, one, none.reshape(1, 1), none, np.zeros((1, 1, 3)), 1.0, one.copy())
    plan_kernel(one, none, one[0], 0.0, one.copy(), none.reshape(1, 1).copy(), 1, 1)
    square = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    cuts = np.array([0, 1], dtype=np.int64)
    box = np.array([[0.0, 0.0], [9.0, 9.0]])
    world = World(
        square, 1.0, 4.0, 1.0, False, one.reshape(1, 1).repeat(2, axis=1), cuts, cuts, 1, 0, box, 0.0,
        np.zeros((0, 2)), none, np.zeros(0), none,
    )  # fmt: skip
    z, turn = np.array([[3.0, 3.0, 0.0], [3.5, 5.0, 0.0]]), np.zeros(2, dtype=np.int64)
    descend(world, z, turn, 3, 3, 1e-3, np.zeros(2))
    best_pose(world, z, turn, 0, z.copy(), turn.copy())
