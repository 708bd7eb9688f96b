"""The background job: reports, stops, cancels, fails; never two at once."""

import time

import pytest
from pytestqt.qtbot import QtBot

from app.jobs import Control, Jobs


@pytest.fixture
def jobs(qtbot: QtBot):  # type: ignore[no-untyped-def]
    made = Jobs()
    yield made
    made.close()


def busy_until_stopped(control: Control) -> str:
    steps = 0
    while not control.should_stop():
        steps += 1
        control.report(steps)
        time.sleep(0.002)
    return "best so far"


def test_that_a_stop_is_answered_at_the_very_next_question_and_keeps_the_best(qtbot: QtBot, jobs: Jobs) -> None:
    # questions come every few ms; seconds would measure how busy the machine is, so they are left to tests/bench
    asked_after_stop: list[bool] = []
    stopping: list[bool] = []

    def ask(control: Control) -> str:
        while True:
            told_before = bool(stopping)
            answer = control.should_stop()
            if told_before:
                asked_after_stop.append(answer)
            if answer:
                return "best so far"
            time.sleep(0.002)

    results: list[object] = []
    assert jobs.start("Searching", ask, results.append)
    qtbot.wait(60)
    with qtbot.waitSignal(jobs.finished, timeout=20_000):
        jobs.stop()
        stopping.append(True)
    assert asked_after_stop in ([], [True])
    assert results == ["best so far"]
    assert not jobs.is_busy


def test_that_reports_are_passed_on_at_most_ten_times_a_second(qtbot: QtBot, jobs: Jobs) -> None:
    seen: list[object] = []
    jobs.progressed.connect(seen.append)
    jobs.start("Searching", busy_until_stopped, seconds=0.55)
    with qtbot.waitSignal(jobs.finished, timeout=20_000):
        pass
    assert 1 <= len(seen) <= 7


def test_that_a_cancelled_job_brings_nothing(qtbot: QtBot, jobs: Jobs) -> None:
    results: list[object] = []
    jobs.finished.connect(results.append)
    jobs.start("Searching", busy_until_stopped, results.append)
    with qtbot.waitSignal(jobs.busy_changed, timeout=20_000, check_params_cb=lambda busy: not busy):
        jobs.cancel()
    qtbot.wait(30)
    assert results == []
    assert jobs.start("Again", lambda _control: 1, results.append)
    qtbot.waitUntil(lambda: results == [1, 1])


def test_that_a_second_job_is_refused_while_one_runs(qtbot: QtBot, jobs: Jobs) -> None:
    jobs.start("Searching", busy_until_stopped)
    assert not jobs.start("Another", busy_until_stopped)
    with qtbot.waitSignal(jobs.finished, timeout=20_000):
        jobs.stop()


def test_that_an_error_in_the_job_is_handed_over(qtbot: QtBot, jobs: Jobs) -> None:
    def fail(_control: Control) -> None:
        raise ValueError("no room")

    with qtbot.waitSignal(jobs.failed, timeout=20_000) as caught:
        jobs.start("Failing", fail)
    assert str(caught.args[0]) == "no room"
    assert not jobs.is_busy
