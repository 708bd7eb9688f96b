"""Shrinkage over every generation from the original to the part, and what to do about it.

Each time a copy is cast from its forerunner the size falls by that material's shrink: original, single mold (silicone),
copy (resin), gang mold (silicone), part (resin); through a rigid master mold one more pair. The pitch of the cavities
follows the same chain.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from layout.errors import BadValueError
from layout.model import Mix

_USUAL_SHRINK: Final[dict[str, tuple[float, float, float]]] = {
    "platinum": (0.001, 0.001, 0.002),
    "tin": (0.003, 0.004, 0.012),
    "urethane": (0.003, 0.005, 0.010),
    "epoxy": (0.002, 0.003, 0.005),
}
"""Least, usual and most by what it is. Typical of published data sheets, from memory; tin 0.8 to 1.2 % is published in
a glossary. Used where the data sheet gives no shrink, and for how far a size may stray."""

_UNKNOWN_SILICONE: Final = (0.001, 0.001, 0.012)
_UNKNOWN_RESIN: Final = (0.002, 0.005, 0.010)
"""Where even the kind is not told: the usual value is the common kind's (platinum, urethane); the range is that
of every kind."""

Fit = Literal["fits", "may fit", "does not fit"]


@dataclass(frozen=True, slots=True)
class Generation:
    """One copy taken from its forerunner.

    Parameters
    ----------
    name : str
        What is made: ``"single mold"``, ``"copies"`` ...
    material : str
    shrink, least, most : float
        Shrink as a fraction: taken, and the least and the most it may be.
    """

    name: str
    material: str
    shrink: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class ShrinkChain:
    """The whole chain.

    Parameters
    ----------
    generations : tuple of Generation
        In the order they are made.
    factor, least_factor, most_factor : float
        Size of the part over size of the original: taken, smallest and largest.
    scale : float
        What the original must be scaled by for the part to come out at its own size.
    """

    generations: tuple[Generation, ...]
    factor: float
    least_factor: float
    most_factor: float
    scale: float


@dataclass(frozen=True, slots=True)
class FinalSize:
    """A length of the finished part, mm.

    Parameters
    ----------
    original_mm : float
        The original's own length, unscaled.
    size_mm, least_mm, most_mm : float
        What comes out: taken, smallest, largest.
    scaled_original_mm : float
        The length the original must have for the part to measure ``original_mm``.
    """

    original_mm: float
    size_mm: float
    least_mm: float
    most_mm: float
    scaled_original_mm: float


def chain_factor(shrinks: Iterable[float]) -> float:
    """Return the product of 1 - s over a chain.

    Parameters
    ----------
    shrinks : iterable of float
        Shrink of each generation as a fraction, 0 to below 1.

    Raises
    ------
    BadValueError
        If one is below 0, not below 1, or no number.

    Examples
    --------
    >>> round(chain_factor([0.001, 0.005] * 2), 5), round(chain_factor([0.001, 0.005] * 3), 5)
    (0.98805, 0.98212)
    """
    factor = 1.0
    for shrink in shrinks:
        if not (math.isfinite(shrink) and 0.0 <= shrink < 1.0):
            raise BadValueError("shrink", f"{shrink!r} is no shrink", "give a fraction from 0 to below 1, like 0.005")
        factor *= 1.0 - shrink
    return factor


def generation(name: str, mix: Mix, *, silicone: bool = False) -> Generation:
    """Return one generation cast in this material; the usual shrink of its kind where the data sheet gives none."""
    least, usual, most = _USUAL_SHRINK.get(mix.cure, _UNKNOWN_SILICONE if silicone else _UNKNOWN_RESIN)
    shrink = usual if mix.shrink is None else mix.shrink
    chain_factor([shrink])
    return Generation(name, mix.name, shrink, min(least, shrink), max(most, shrink))


def shrink_chain(generations: Iterable[Generation]) -> ShrinkChain:
    """Return what a chain of generations does to every length."""
    made = tuple(generations)
    factor = chain_factor(g.shrink for g in made)
    least, most = chain_factor(g.most for g in made), chain_factor(g.least for g in made)
    return ShrinkChain(made, factor, least, most, 1.0 / factor)


def final_size(chain: ShrinkChain, original_mm: float) -> FinalSize:
    """Return what becomes of a length of the original, mm."""
    return FinalSize(
        original_mm,
        original_mm * chain.factor,
        original_mm * chain.least_factor,
        original_mm * chain.most_factor,
        original_mm * chain.scale,
    )


def fit(size: FinalSize, wanted_mm: float, tolerance_mm: float) -> Fit:
    """Return whether a size lies in the wanted one's tolerance for every shrink of the chain, for some, or for none."""
    low, high = wanted_mm - tolerance_mm, wanted_mm + tolerance_mm
    if low <= size.least_mm and size.most_mm <= high:
        return "fits"
    return "may fit" if size.least_mm <= high and low <= size.most_mm else "does not fit"
