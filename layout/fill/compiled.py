"""Compiled code made ready beside the search, so that a search can be stopped while a new user's machine compiles."""

import threading
from collections.abc import Callable, Iterator

_POLL_S = 0.04


def made_ready(make: Callable[[], None], should_stop: Callable[[], bool]) -> bool:
    """Run ``make`` (it imports and calls compiled functions once) in a thread; return False if stopped meanwhile.

    Parameters
    ----------
    make : callable
        What it compiles is cached on disk, so that it takes seconds once on a machine and a moment later.
    should_stop : callable
        Asked every 40 ms. A thread that is left behind ends by itself; its work isn't lost.

    Raises
    ------
    Exception
        Whatever ``make`` raised.
    """
    return not any(should_stop() for _ in made_meanwhile(make))


def made_meanwhile(make: Callable[[], None]) -> Iterator[None]:
    """Run ``make`` in a thread; yield every 40 ms until it's done, so that others work on meanwhile.

    Raises
    ------
    Exception
        Whatever ``make`` raised.
    """
    failures: list[BaseException] = []

    def run() -> None:
        try:
            make()
        except BaseException as error:
            failures.append(error)

    # no daemon: ended in the middle of compiling at the program's end, it would end the program by an abort
    thread = threading.Thread(target=run, name="compile")
    thread.start()
    while thread.is_alive():
        yield
        thread.join(_POLL_S)
    if failures:
        raise failures[0]
