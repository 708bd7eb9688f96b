"""The steps of an order: which there are, which may be left out or repeated, and what one of them takes."""

from dataclasses import dataclass
from typing import Final

from layout.errors import BadValueError
from layout.order.shrinkage import Generation
from layout.order.stints import Job
from layout.shop import OrderSettings

STEPS: Final = {
    "original": "Original",
    "single_mold": "Single mold",
    "copies": "Masters",
    "intermediate_mold": "Small gang mold",
    "gang_mold": "Gang mold",
    "rigid_master": "Rigid master mold",
    "more_molds": "More gang molds",
    "casting": "Casting",
    "trimming": "Trimming",
    "finish": "Finish",
    "delivery": "Delivery",
}
"""The ids of the steps, in order, and what the user reads."""

NEEDED: Final = ("original", "gang_mold", "casting", "delivery")
"""Steps that no order can leave out."""

REPEATABLE: Final = {
    "single_mold": "single molds cast at a time",
    "copies": "times the masters",
    "intermediate_mold": "generations of small gang molds",
    "gang_mold": "gang molds for one, the others spare",
    "rigid_master": "rigid master molds",
    "trimming": "passes of trimming",
    "finish": "times all coats",
}
"""Steps that may be done more than once, and what the number then counts."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of an order.

    Parameters
    ----------
    id : str
        Of `STEPS`.
    name, material, detail : str
    count : int
        How many are made, or how often.
    amount, unit : float, str
        Material of all of them, ``"g"`` or ``"mL"``.
    hands_min, wait_min : float
        All hands; the waits that nothing else of this step fills.
    cost : float
        Material, not hands.
    jobs : tuple of Job
        Appointments of the mold maker; casting and trimming have none.
    generations : tuple of Generation
        What it adds to the shrink.
    left_out : bool
        By the user, or because this order does not need it: ``detail`` says which.
    """

    id: str
    name: str
    material: str = ""
    detail: str = ""
    count: int = 0
    amount: float = 0.0
    unit: str = ""
    hands_min: float = 0.0
    wait_min: float = 0.0
    cost: float = 0.0
    jobs: tuple[Job, ...] = ()
    generations: tuple[Generation, ...] = ()
    left_out: bool = False


def require_steps(order: OrderSettings) -> None:
    """Raise BadValueError if a step is named that does not exist, can't be left out, or is repeated less than once."""
    for name in (*order.skip, *(n for n, _ in order.repeat)):
        if name not in STEPS:
            raise BadValueError("steps", f"there is no step {name!r}", f"use one of: {', '.join(STEPS)}")
    for name in order.skip:
        if name in NEEDED:
            raise BadValueError("steps", f"{STEPS[name]} can't be left out", "leave out another step")
    for name, times in order.repeat:
        if name not in REPEATABLE:
            raise BadValueError("steps", f"{STEPS[name]} is not done twice", "repeat another step")
        if not 1 <= times <= 1000:
            raise BadValueError("steps", f"{STEPS[name]} is done {times} times", "give 1 or more")
