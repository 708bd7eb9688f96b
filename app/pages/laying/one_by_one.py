"""Steps of work done one between two events each, so that the window never stands still for long."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable


class OneByOne(QObject):
    """Does the steps it was given last; those of before that are not done yet are dropped."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._waiting: list[Callable[[], None]] = []
        self._next = QTimer(self)
        self._next.setSingleShot(True)
        self._next.timeout.connect(self._do_one)

    def do(self, steps: Iterable[Callable[[], None]], *, at_once: bool) -> None:
        """Do these steps, all now or one after each coming event."""
        self._waiting = list(steps)
        if at_once:
            while self._waiting:
                self._waiting.pop(0)()
        else:
            self._next.start()

    def _do_one(self) -> None:
        if self._waiting:
            self._waiting.pop(0)()
        if self._waiting:
            self._next.start()
