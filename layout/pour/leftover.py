"""Small molds kept ready: which of them the left-over silicone fills."""

from itertools import combinations
from typing import Final

from layout.model import Project, SmallMold
from layout.pour.silicone import silicone_pour

MOST_TRIED: Final = 16
"""Up to so many molds every choice is tried; beyond, the largest that fits is taken, then the next."""


def best_choice(molds: tuple[SmallMold, ...], volume_ml: float) -> tuple[SmallMold, ...]:
    """Return the small molds that use up most of a volume without passing it, fewest of them where it makes no odds."""
    fitting = [m for m in molds if 0.0 < m.volume_ml <= volume_ml]
    if len(fitting) > MOST_TRIED:
        chosen: list[SmallMold] = []
        left = volume_ml
        for mold in sorted(fitting, key=lambda m: (-m.volume_ml, m.name)):
            if mold.volume_ml <= left:
                chosen.append(mold)
                left -= mold.volume_ml
        return tuple(chosen)
    best: tuple[SmallMold, ...] = ()
    best_ml = 0.0
    for count in range(1, len(fitting) + 1):
        for choice in combinations(fitting, count):
            total = sum(m.volume_ml for m in choice)
            if best_ml + 1e-9 < total <= volume_ml + 1e-9:
                best, best_ml = choice, total
    return best


def leftover_ml(project: Project) -> float:
    """Return what can still be mixed of the opened kits once the mold is poured, mL; 0 if the kit is not known."""
    kits = silicone_pour(project).kits
    return kits.usable_ml if kits else 0.0


def fills(project: Project) -> tuple[str, ...]:
    """Return the names of the user's small molds that the left-over fills."""
    return tuple(m.name for m in best_choice(project.pour.small_molds, leftover_ml(project)))
