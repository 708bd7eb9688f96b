"""Widgets in a cycle are destroyed by the window's thread, never by a job's."""

import gc
import threading
import weakref

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.garbage import _Idle, collect_all, collect_what_is_due, set_apart
from app.jobs import Control, Jobs


class Knot:
    """A cycle that tells which thread unmade it."""

    unmade_in: list[str] = []

    def __init__(self) -> None:
        self.me = self

    def __del__(self) -> None:
        Knot.unmade_in.append(threading.current_thread().name)


def test_that_no_job_collects_what_the_window_left_behind(qtbot: QtBot) -> None:
    jobs = Jobs()
    Knot.unmade_in.clear()
    Knot()

    def allocate(_control: Control) -> int:
        kept = [[number] for number in range(200_000)]
        return len(kept)

    with qtbot.waitSignal(jobs.finished, timeout=20_000):
        assert jobs.start("Allocating", allocate)
    qtbot.waitUntil(lambda: bool(Knot.unmade_in) or bool(gc.collect()) or bool(Knot.unmade_in), timeout=10_000)
    assert set(Knot.unmade_in) == {threading.main_thread().name}
    jobs.close()


def test_that_the_window_s_thread_collects_what_is_due() -> None:
    was_on = gc.isenabled()
    gc.disable()
    try:
        gone = weakref.ref(Knot())
        assert gone() is not None
        kept = [[number] for number in range(5_000)]
        assert collect_what_is_due() > 0
        assert gone() is None
        assert len(kept) == 5_000
    finally:
        if was_on:
            gc.enable()


def test_that_what_lives_long_is_gone_through_only_while_another_program_is_in_front(qapp) -> None:
    knot = Knot()
    gone = weakref.ref(knot)
    set_apart()
    del knot
    gc.collect()
    assert gone() is not None
    counted: list[int] = []
    idle = _Idle(qapp, lambda: counted.append(collect_all()) or 1)
    idle.state_changed(Qt.ApplicationState.ApplicationInactive)
    assert not counted, "it has only just begun"
    idle._last_s -= 61.0
    idle.state_changed(Qt.ApplicationState.ApplicationActive)
    assert not counted
    idle.state_changed(Qt.ApplicationState.ApplicationInactive)
    assert len(counted) == 1
    assert gone() is None
    idle.deleteLater()
    gc.unfreeze()
