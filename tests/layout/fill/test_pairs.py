"""Two pieces of work at a time: results in order, a stop heard while they run."""

import threading
import time

import pytest

from layout.fill.pairs import Pairs


def test_that_results_come_back_in_the_order_of_the_works() -> None:
    with Pairs(lambda: False) as pairs:
        slow = threading.Event()
        found = pairs.run([lambda: (slow.wait(5), "first")[1], lambda: (slow.set(), "second")[1]])
    assert found == ["first", "second"]


def test_that_a_stop_reaches_work_that_is_running() -> None:
    asked = threading.Event()
    with Pairs(asked.is_set) as pairs:

        def work() -> float:
            asked.set()
            start = time.monotonic()
            while not pairs.halted() and time.monotonic() - start < 10:
                time.sleep(0.005)
            return time.monotonic() - start

        assert max(pairs.run([work, work])) < 5


def test_that_an_error_in_a_work_is_raised_to_the_caller() -> None:
    def fail() -> None:
        raise TimeoutError("mine")

    with Pairs(lambda: False) as pairs, pytest.raises(TimeoutError, match="mine"):
        pairs.run([fail])
