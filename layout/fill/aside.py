"""A search run aside, in a thread, while its caller listens for a stop: however long a piece of it takes."""

import threading
from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import Any, Final, Generic, TypeVar

N = TypeVar("N")
T = TypeVar("T")

_POLL_S: Final = 0.03


class Teller(Generic[N]):
    """What a search that runs aside is given: how to tell of what it found, and whether to go on."""

    def __init__(self) -> None:
        self.stopped = False
        self.heard: SimpleQueue[Any] = SimpleQueue()

    def tell(self, note: N) -> None:
        """Hand a note to the caller."""
        self.heard.put((note,))

    def should_stop(self) -> bool:
        """Return whether the caller waits no longer; cheap."""
        return self.stopped


def run_aside(
    teller: Teller[N], work: Callable[[], T], should_stop: Callable[[], bool], on_note: Callable[[N], None]
) -> T | None:
    """Run a search in a thread of its own; return what it returns, or None as soon as a stop is asked for.

    Parameters
    ----------
    teller : Teller
        What the search tells its notes. It asks ``teller.should_stop`` now and then, so that the thread left behind
        ends soon too; the caller doesn't wait for that.
    work : callable
    should_stop : callable
        Asked in the caller's thread, every 30 ms and after each note, and first before the search begins.
    on_note : callable
        Called in the caller's thread with each note, in order; with none that comes after the stop.

    Raises
    ------
    Exception
        Whatever the search, or a callback, raised.
    """
    if should_stop():
        return None
    outcome: list[T] = []
    failures: list[BaseException] = []

    def run() -> None:
        try:
            outcome.append(work())
        except BaseException as error:
            failures.append(error)
        teller.heard.put(())

    # no daemon: a thread that is ended in the middle of a library's call can end the whole program with it
    thread = threading.Thread(target=run, name="search")
    thread.start()
    try:
        while True:
            stopped = should_stop()
            try:
                # what was found before the stop counts
                note = teller.heard.get(block=not stopped, timeout=_POLL_S)
            except Empty:
                if stopped:
                    return None
                continue
            if not note:
                break
            on_note(note[0])
    finally:
        teller.stopped = True
    thread.join()
    if failures:
        raise failures[0]
    return outcome[0]
