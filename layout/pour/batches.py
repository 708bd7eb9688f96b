"""How many batches: the most that container, scale and pot life ask for, each cup's film counted, until it stands."""

import math
from dataclasses import dataclass
from typing import Final

MOST_BATCHES: Final = 500
"""More than this nobody pours: the limits can't be met."""


@dataclass(frozen=True, slots=True)
class Cap:
    """A limit of one batch: ``"container"``, ``"pot life"`` or ``"scale"``, and the most it allows, mL."""

    reason: str
    most_ml: float


@dataclass(frozen=True, slots=True)
class Batching:
    """A pour in equal batches.

    Parameters
    ----------
    count : int or None
        None if no number of batches meets the limits, since each cup keeps more than it pours, or nothing can be
        poured in time; the volumes then are those of one batch.
    total_ml, per_batch_ml : float
        Film in the cups included.
    caps : tuple of Cap
        All limits, tightest first.
    """

    count: int | None
    total_ml: float
    per_batch_ml: float
    caps: tuple[Cap, ...]

    @property
    def because(self) -> str:
        """What asks for more than one batch: the tightest limit's name; empty for one batch."""
        return self.caps[0].reason if self.count != 1 and self.caps else ""


def split(poured_ml: float, film_ml: float, caps: tuple[Cap, ...], correction: float = 1.0) -> Batching:
    """Return the least number of equal batches that meets every limit.

    Parameters
    ----------
    poured_ml : float
        All silicone that leaves the cups, waste included.
    film_ml : float
        What stays in each cup.
    caps : tuple of Cap
    correction : float
        Learned from the log; the whole is multiplied by it.

    Notes
    -----
    n batches ask for (V + n c) f in total; n is the smallest number with (V + n c) f <= n cap for the tightest cap.
    Splitting loses nothing: n times the batch is the total.

    Examples
    --------
    >>> split(665.6, 20.0, (Cap("container", 625.0),)).count
    2
    """
    ordered = tuple(sorted(caps, key=lambda c: c.most_ml))
    one = (poured_ml + film_ml) * correction
    if poured_ml <= 0.0:
        return Batching(0, 0.0, 0.0, ordered)
    if not ordered:
        return Batching(1, one, one, ordered)
    most = ordered[0].most_ml
    gain = most - film_ml * correction
    if gain <= 0.0:
        return Batching(None, one, one, ordered)
    count = max(1, math.ceil(poured_ml * correction / gain - 1e-9))
    if count > MOST_BATCHES:
        return Batching(None, one, one, ordered)
    total = (poured_ml + count * film_ml) * correction
    return Batching(count, total, total / count, ordered)
