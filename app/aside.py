"""Answers of large projects are worked out aside, in a thread, so that the window never stands still for them.

`Aside` answers the question asked last: what comes of an earlier one is dropped. Where a project is small it answers at
once, in the same call. `Cover` hides what is shown of an earlier project until the new answer is there: a number that
no longer holds is never to be read as one that does.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtWidgets import QLabel, QWidget

from app.garbage import set_apart
from app.jobs import Control, Jobs
from app.words import tr
from layout.geometry import Disc

if TYPE_CHECKING:
    from layout.model import Project

HEAVY: Final = 4000
"""Corners on the canvas. Up to so many the slowest page answers within a twentieth of a second."""

_DISC_CORNERS: Final = 24
"""A disc costs about as much as an outline of so many corners."""

Stop = Callable[[], bool]


def is_heavy(project: Project) -> bool:
    """Whether what is worked out of a project is worked out aside."""
    corners = {
        m.id: _DISC_CORNERS if isinstance(m.footprint, Disc) else len(m.footprint.points) for m in project.masters
    }
    return sum(corners[c.master] for c in project.cavities) > HEAVY


class Aside(QObject):
    """Answers one question at a time; a new one takes the place of the last.

    Signals
    -------
    busy_changed(bool)
        Whether an answer is waited for.
    """

    busy_changed = Signal(bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs = Jobs(self)
        self._next: tuple[Callable[[Stop], Any], Callable[[Any], None]] | None = None
        self._waiting = False
        self._jobs.busy_changed.connect(self._go_on)
        self._jobs.failed.connect(self._fail)

    @property
    def is_busy(self) -> bool:
        """Whether an answer is waited for."""
        return self._waiting

    def ask(self, work: Callable[[Stop], Any], answer: Callable[[Any], None], *, at_once: bool) -> None:
        """Work something out and hand it to ``answer``, in this thread.

        Parameters
        ----------
        work : callable
            Called with a question whether to stop, which it asks between its steps; it touches no widget.
        answer : callable
            Called with what ``work`` returned, unless something else was asked meanwhile.
        at_once : bool
            Do both now.
        """
        self.drop()
        if at_once:
            answer(work(_never))
            return
        self._next = (work, answer)
        self._set_waiting(True)
        if not self._jobs.is_busy:
            self._go_on(False)

    def drop(self) -> None:
        """Wait for no answer any more."""
        self._next = None
        self._jobs.cancel()
        self._set_waiting(False)

    def close(self) -> None:
        """End the thread."""
        self._next = None
        self._jobs.close()

    def _set_waiting(self, waiting: bool) -> None:
        if waiting != self._waiting:
            self._waiting = waiting
            self.busy_changed.emit(waiting)

    def _go_on(self, busy: bool) -> None:
        if busy or self._next is None:
            return
        (work, answer), self._next = self._next, None

        def run(control: Control) -> Any:
            return work(control.should_stop)

        def end(result: Any) -> None:
            # an answer of a large project is many objects, none of them garbage
            set_apart()
            self._set_waiting(False)
            answer(result)

        self._jobs.start("", run, end)

    def _fail(self, error: BaseException) -> None:
        # as an error in this thread: shown with its details, and nothing waits for ever
        self._set_waiting(False)
        raise error


def _never() -> bool:
    return False


class Cover(QLabel):
    """Lies over a part of a page and says that what belongs there is being worked out."""

    def __init__(self, part: QWidget, aside: Aside) -> None:
        super().__init__(tr("Being worked out…"), part)
        self._part = part
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setAutoFillBackground(True)
        self.setProperty("role", "quiet")
        self.hide()
        part.installEventFilter(self)
        aside.busy_changed.connect(self._show)

    def _show(self, busy: bool) -> None:
        if busy:
            self.setGeometry(self._part.rect())
            self.raise_()
        self.setVisible(busy)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self.setGeometry(self._part.rect())
        return super().eventFilter(watched, event)
