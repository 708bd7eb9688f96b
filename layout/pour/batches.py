"""How many batches: the most that container, scale and pot life ask for, each cup's film counted, until it stands."""

import math
from dataclasses import dataclass
from typing import Final

MOST_BATCHES: Final = 500
"""More than this nobody pours: the limits can't be met."""


@dataclass(frozen=True, slots=True)
class Cap:
    """A limit of one batch.

    Parameters
    ----------
    reason : str
        ``"container"``, ``"pot life"`` or ``"scale"``.
    most_ml : float
        The most it allows, mL.
    of_poured : bool
        Whether it limits what leaves the cup, as the pot life does, rather than all that is mixed: the film that stays
        on the cup's wall takes no time to pour.
    """

    reason: str
    most_ml: float
    of_poured: bool = False

    def pours_ml(self, film_ml: float) -> float:
        """Return the most that leaves the cup, mL, where so much stays in it."""
        return self.most_ml if self.of_poured else self.most_ml - film_ml


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
        """What asks for more than one batch: the tightest limit's name; empty for one batch, or for none."""
        return self.caps[0].reason if self.count not in (0, 1) and self.caps else ""


def split(poured_ml: float, film_ml: float, caps: tuple[Cap, ...]) -> Batching:
    """Return the least number of equal batches that meets every limit.

    Parameters
    ----------
    poured_ml : float
        All silicone that leaves the cups, waste included.
    film_ml : float
        What stays in each cup.
    caps : tuple of Cap

    Notes
    -----
    n batches ask for V + n c in total and pour V of it; n is the smallest number with V <= n p, p being what the
    tightest limit lets out of one cup: its cap less the film c, or its cap where it limits what is poured. Splitting
    loses nothing: n times the batch is the total.

    Examples
    --------
    >>> split(665.6, 20.0, (Cap("container", 625.0),)).count
    2
    """
    ordered = tuple(sorted(caps, key=lambda c: c.pours_ml(film_ml)))
    one = poured_ml + film_ml
    if poured_ml <= 0.0:
        return Batching(0, 0.0, 0.0, ordered)
    if not ordered:
        return Batching(1, one, one, ordered)
    gain = ordered[0].pours_ml(film_ml)
    if gain <= 0.0:
        return Batching(None, one, one, ordered)
    count = max(1, math.ceil(poured_ml / gain - 1e-9))
    if count > MOST_BATCHES:
        return Batching(None, one, one, ordered)
    total = poured_ml + count * film_ml
    return Batching(count, total, total / count, ordered)
