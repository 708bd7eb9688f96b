"""Held at the wall: dragged and turned cavities stop at the least wall and slide along it, and never jump."""

from layout.hold.drag import HeldMove, Hold, Touch
from layout.hold.keep_out import KeepOutHold
from layout.hold.turn import HeldTurn, Turning
from layout.hold.typed import moved_as_far, turned_as_far

__all__ = [
    "HeldMove",
    "HeldTurn",
    "Hold",
    "KeepOutHold",
    "Touch",
    "Turning",
    "moved_as_far",
    "turned_as_far",
]
