"""One long job at a time in a thread of its own: it reports, it can be stopped, and its result comes back here."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final

from PySide6.QtCore import QObject, QTimer, Signal

from app.garbage import collect_in_this_thread_only
from app.words import said, tr
from layout.errors import LayoutError

if TYPE_CHECKING:
    from concurrent.futures import Future, ThreadPoolExecutor

REPORTS_PER_SECOND: Final = 10


class Control:
    """What the job is handed: a way to report and a way to ask whether to stop."""

    def __init__(self) -> None:
        self._stop = threading.Event()
        self._lock = threading.Lock()
        self._latest: Any = None
        self._fresh = False
        self.deadline: float | None = None

    def report(self, value: Any) -> None:
        """Leave a report; of those that come faster than the window can show, only the latest is shown."""
        with self._lock:
            self._latest, self._fresh = value, True

    def should_stop(self) -> bool:
        """Whether to end now with the best so far."""
        return self._stop.is_set() or (self.deadline is not None and time.monotonic() >= self.deadline)

    def stop(self) -> None:
        """Ask the job to end."""
        self._stop.set()

    def taken(self) -> tuple[bool, Any]:
        """Return whether there is a report not yet shown, and the report."""
        with self._lock:
            fresh, self._fresh = self._fresh, False
            return fresh, self._latest


Work = Callable[[Control], Any]


class Jobs(QObject):
    """Runs one job; editing may go on or be locked, as `busy_changed` tells.

    Signals
    -------
    busy_changed(bool)
    progressed(object)
        A report of the job, at most ten a second.
    finished(object)
        Its result; also after a stop. Not after a cancel.
    failed(object)
        The exception it ended with.
    """

    busy_changed = Signal(bool)
    progressed = Signal(object)
    finished = Signal(object)
    failed = Signal(object)
    _done = Signal(int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool: ThreadPoolExecutor | None = None
        self._serial = 0
        self._future: Future[Any] | None = None
        self._control: Control | None = None
        self._on_finished: Callable[[Any], None] | None = None
        self._on_progress: Callable[[Any], None] | None = None
        self._started = 0.0
        self.title = ""
        self._pulse = QTimer(self)
        self._pulse.setInterval(1000 // REPORTS_PER_SECOND)
        self._pulse.timeout.connect(self._pass_report)
        self._done.connect(self._end)
        self._garbage = collect_in_this_thread_only(self)

    @property
    def is_busy(self) -> bool:
        return self._future is not None

    @property
    def seconds(self) -> float:
        """How long the job has been running."""
        return time.monotonic() - self._started if self.is_busy else 0.0

    def start(
        self,
        title: str,
        work: Work,
        on_finished: Callable[[Any], None] | None = None,
        on_progress: Callable[[Any], None] | None = None,
        seconds: float | None = None,
    ) -> bool:
        """Start a job unless one is running; return whether it was started.

        Parameters
        ----------
        title : str
            What it does, for the status line: "Filling the box".
        work : callable
            Called with a `Control` in another thread; it must touch no widget.
        on_finished, on_progress : callable, optional
            Called in the window's thread, before the signals.
        seconds : float, optional
            After these `Control.should_stop` says stop.
        """
        if self.is_busy:
            return False
        self._serial += 1
        control = Control()
        self._started = time.monotonic()
        if seconds is not None:
            control.deadline = self._started + seconds
        self.title, self._control = title, control
        self._on_finished, self._on_progress = on_finished, on_progress
        serial = self._serial
        if self._pool is None:
            from concurrent.futures import ThreadPoolExecutor

            self._pool = ThreadPoolExecutor(1, thread_name_prefix="job")
        self._future = self._pool.submit(work, control)
        self.busy_changed.emit(True)
        self._pulse.start()
        self._future.add_done_callback(lambda _future: self._tell(serial))
        return True

    def _tell(self, serial: int) -> None:
        # a dialog that was closed meanwhile is gone, and nobody waits any more
        with suppress(RuntimeError):
            self._done.emit(serial)

    def stop(self) -> None:
        """Ask the job to end; what it has found so far still comes back."""
        if self._control:
            self._control.stop()

    def cancel(self) -> None:
        """Ask the job to end and drop what it brings."""
        if self._control:
            self._control.stop()
            self._on_finished = self._on_progress = None
            self._serial = -abs(self._serial)

    def close(self) -> None:
        """Stop the job and wait for its thread."""
        self.cancel()
        self._pulse.stop()
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)

    def _pass_report(self) -> None:
        fresh, value = self._control.taken() if self._control else (False, None)
        if fresh and self._serial > 0:
            if self._on_progress:
                self._on_progress(value)
            self.progressed.emit(value)

    def _end(self, serial: int) -> None:
        if serial != abs(self._serial) or self._future is None:
            return
        dropped = self._serial < 0
        if not dropped:
            self._pass_report()
        future, on_finished = self._future, self._on_finished
        self._pulse.stop()
        self._serial = serial
        self._future = self._control = self._on_finished = self._on_progress = None
        self.busy_changed.emit(False)
        error = future.exception()
        if dropped:
            return
        if error is not None:
            self.failed.emit(error)
            return
        if on_finished:
            on_finished(future.result())
        self.finished.emit(future.result())


def error_sentence(error: BaseException) -> str:
    """Return what to tell the user of an error."""
    if isinstance(error, LayoutError):
        return said(error)
    return tr("Something went wrong inside the program: {what}.", what=f"{type(error).__name__}: {error}")
