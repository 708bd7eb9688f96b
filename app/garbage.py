"""Cyclic garbage is collected in the window's thread alone.

Python collects garbage in whatever thread happens to allocate. If that is a background job, widgets waiting in a cycle
are destroyed in the wrong thread, and Qt ends the process. So automatic collection is switched off where there is a
window, and a timer of the window's thread does what it would have done.

Going through all that lives takes a tenth of a second once a large project is open. So what has lived through a whole
collection, or was worked out aside, is set apart (`set_apart`) and gone through no more while the user works: only when
another program is in front.
"""

from __future__ import annotations

import gc
import time
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtGui import QGuiApplication

if TYPE_CHECKING:
    from collections.abc import Callable

INTERVAL_MS: Final = 500
LEAST_PAUSE_S: Final = 60.0
"""No more than once in so long all is gone through while another program is in front."""


def collect_in_this_thread_only(parent: QObject) -> QTimer:
    """Switch automatic collection off and return the timer that collects instead; it lives as long as ``parent``."""
    gc.disable()
    timer = QTimer(parent)
    timer.setInterval(INTERVAL_MS)
    timer.timeout.connect(collect_what_is_due)
    timer.start()
    app = QGuiApplication.instance()
    if app is not None and app.findChild(QObject, _Idle.NAME) is None:
        _Idle(app)
    return timer


def set_apart() -> None:
    """Leave all that lives now out of collections until another program is in front; takes no time."""
    gc.freeze()


def collect_all() -> int:
    """Go through all there is, what was set apart too; return what was found."""
    gc.unfreeze()
    found = gc.collect()
    gc.freeze()
    return found


class _Idle(QObject):
    """Has all gone through when the user turns to another program."""

    NAME: Final = "idle garbage"

    def __init__(self, app: QObject, collect: Callable[[], int] = collect_all) -> None:
        super().__init__(app)
        self.setObjectName(self.NAME)
        self._collect = collect
        self._last_s = time.monotonic()
        QGuiApplication.instance().applicationStateChanged.connect(self.state_changed)  # type: ignore[union-attr]

    def state_changed(self, state: Qt.ApplicationState) -> None:
        """Collect if the program is not in front, unless it did a moment ago."""
        if state != Qt.ApplicationState.ApplicationActive and time.monotonic() - self._last_s > LEAST_PAUSE_S:
            self._collect()
            self._last_s = time.monotonic()


def collect_what_is_due() -> int:
    """Collect the oldest generation whose threshold is passed, as automatic collection does; return what was found."""
    for generation in (2, 1, 0):
        if gc.get_count()[generation] > gc.get_threshold()[generation]:
            found = gc.collect(generation)
            if generation == 2:
                set_apart()
            return found
    return 0
