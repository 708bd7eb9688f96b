"""The compiled kernels made ready beside the first rows: seconds once on a machine, a moment from then on."""

import threading
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from layout.fill.discs import round_part
from layout.fill.search import Task
from layout.geometry import Disc, FloatArray, IntArray
from layout.model import OutlineBox

if TYPE_CHECKING:
    from layout.fill.energy import World

_POLL_S: Final = 0.02


ROWS, DISCS, SQUEEZE, HOPS = "rows", "discs", "squeeze", "hops"

ORDER: Final = (ROWS, SQUEEZE, HOPS)
"""What brings the most parts for a moment's compiling comes first."""

ROUND_ORDER: Final = (ROWS, DISCS, SQUEEZE, HOPS)
"""The same for parts that are round, or nearly."""


class Kernels:
    """Loads the kernels in a thread of its own, one step after the other; each step can be used once it's ready.

    Parameters
    ----------
    order : tuple of str
        The steps.
    frozen, obstructed : bool
        Whether parts keep their angles, and whether anything stands in the box; see `energy.World`.
    """

    def __init__(self, order: tuple[str, ...] = ORDER, *, frozen: bool = False, obstructed: bool = False) -> None:
        world = partial(_world, frozen, obstructed)
        self._steps: dict[str, Callable[[], None]] = {
            ROWS: _rows,
            DISCS: _discs,
            SQUEEZE: partial(_squeeze, world),
            HOPS: partial(_hops, world),
        }
        self.order = order
        self._done = 0
        self._closed = False
        self._thread: threading.Thread | None = None
        self._failure: BaseException | None = None

    @classmethod
    def of(cls, task: Task) -> "Kernels":
        """Return the loader of what a task needs."""
        frozen = isinstance(task.master.footprint, Disc) or task.angles_deg is not None
        obstructed = bool(task.obstacles) or isinstance(task.project.box.shape, OutlineBox)
        nearly_round = round_part(task.master.footprint) is not None
        return cls(ROUND_ORDER if nearly_round else ORDER, frozen=frozen, obstructed=obstructed)

    @property
    def for_discs(self) -> bool:
        """Whether they're for a part that is round, or nearly."""
        return DISCS in self.order

    def start(self) -> None:
        """Begin, unless begun."""
        if self._thread is None:
            # no daemon: ended in the middle of compiling at the program's end, it would end the program by an abort
            self._thread = threading.Thread(target=self._run, name="kernels")
            self._thread.start()

    def ready(self, step: str = HOPS) -> bool:
        """Return whether a step and all before it can be used; begin if nobody has.

        Raises
        ------
        Exception
            Whatever went wrong while compiling.
        """
        self.start()
        if self._failure is not None:
            raise self._failure
        return self.is_done(step)

    def is_done(self, step: str) -> bool:
        """Return whether a step can be used; begin nothing."""
        return self._done > self.order.index(step)

    def wait(self, should_stop: Callable[[], bool], step: str = HOPS) -> bool:
        """Wait until a step can be used; return False if stopped meanwhile."""
        while not self.ready(step):
            if should_stop():
                self.close()
                return False
            if self._thread is not None:
                self._thread.join(_POLL_S)
        return True

    def close(self) -> None:
        """Begin no further step: nobody waits for it. What is being compiled is finished and kept for the next time."""
        self._closed = True

    def _run(self) -> None:
        try:
            for step in self.order:
                if self._closed:
                    return
                self._steps[step]()
                self._done += 1
        except BaseException as error:
            self._failure = error


def _rows() -> None:
    from layout.fill.row_kernels import heights_kernel, plan_kernel

    one, none = np.zeros((1, 1)), np.zeros(1, dtype=np.int64)
    heights_kernel(one, one, none.reshape(1, 1), none, np.zeros((1, 1, 3)), 1.0, one.copy())
    plan_kernel(one, none, one[0], 0.0, one.copy(), none.reshape(1, 1).copy(), 1, 1)


def _discs() -> None:
    from layout.fill.disc_hunt import compile_discs

    compile_discs()


def _squeeze(world: Callable[[], "World"]) -> None:
    from layout.fill.descent import descend

    z, turn = _two_parts()
    descend(world(), z, turn, 3, 3, 1e-3, np.zeros(2))


def _hops(world: Callable[[], "World"]) -> None:
    from layout.fill.descent import best_pose

    z, turn = _two_parts()
    best_pose(world(), z, turn, 0, z.copy(), turn.copy())


def _two_parts() -> tuple[FloatArray, IntArray]:
    return np.array([[3.0, 3.0, 0.0], [3.5, 5.0, 0.0]]), np.zeros(2, dtype=np.int64)


def _world(frozen: bool, obstructed: bool) -> "World":
    from layout.fill.energy import Common, Obstacles, Regions, World

    square = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    box = np.array([[0.0, 0.0], [9.0, 9.0]])
    point, cuts = np.zeros((1, 2)), np.array([0, 1], dtype=np.int64)
    common = Common(square, 1.0, 4.0, 1.0, 0, box, 0.0, np.zeros(1, dtype=np.int64))
    return World(
        common, Regions(point, cuts, cuts, 1) if frozen else None,
        Obstacles(point, cuts, np.zeros(1)) if obstructed else None,
    )  # fmt: skip
