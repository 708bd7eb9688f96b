"""Held at the wall: dragged and turned cavities stop at the least wall and slide along it, and never jump."""

from layout.hold.drag import HeldMove, Hold, Touch
from layout.hold.turn import HeldTurn, Turning

__all__ = ["HeldMove", "HeldTurn", "Hold", "Touch", "Turning"]
