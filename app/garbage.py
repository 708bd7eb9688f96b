"""Cyclic garbage is collected in the window's thread alone.

Python collects garbage in whatever thread happens to allocate. If that is a background job, widgets waiting in a cycle
are destroyed in the wrong thread, and Qt ends the process. So automatic collection is switched off where there is a
window, and a timer of the window's thread does what it would have done.
"""

from __future__ import annotations

import gc
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QTimer

if TYPE_CHECKING:
    from PySide6.QtCore import QObject

INTERVAL_MS: Final = 500


def collect_in_this_thread_only(parent: QObject) -> QTimer:
    """Switch automatic collection off and return the timer that collects instead; it lives as long as ``parent``."""
    gc.disable()
    timer = QTimer(parent)
    timer.setInterval(INTERVAL_MS)
    timer.timeout.connect(collect_what_is_due)
    timer.start()
    return timer


def collect_what_is_due() -> int:
    """Collect the oldest generation whose threshold is passed, as automatic collection does; return what was found."""
    for generation in (2, 1, 0):
        if gc.get_count()[generation] > gc.get_threshold()[generation]:
            return gc.collect(generation)
    return 0
