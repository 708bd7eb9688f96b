"""How sure an order is to come out: scrap falls at random, and what is right on average is short now and then."""

import math

from layout.order.plan import Option

_MOST_TERMS = 4000
"""Above so many terms of the sum the bell curve stands for it: by then it is right to a per cent."""
SURE = 0.95


def chance_of_enough(cast: int, wanted: int, yield_share: float) -> float:
    """Return the chance that so many parts cast give at least so many good ones, if scrap falls at random.

    Parameters
    ----------
    cast, wanted : int
    yield_share : float
        Chance of each to be good, above 0, at most 1.

    Notes
    -----
    The binomial sum over the scrap that may be had, in logarithms; the bell curve where there are thousands of terms.

    Examples
    --------
    >>> round(chance_of_enough(2, 1, 0.5), 3), chance_of_enough(5, 6, 0.9), chance_of_enough(6, 6, 1.0)
    (0.75, 0.0, 1.0)
    """
    spare = cast - wanted
    if spare < 0:
        return 0.0
    if yield_share >= 1.0 or wanted <= 0:
        return 1.0
    scrap = 1.0 - yield_share
    if spare > _MOST_TERMS:
        z = (spare + 0.5 - cast * scrap) / math.sqrt(cast * scrap * yield_share)
        return 0.5 * math.erfc(-z / math.sqrt(2.0))
    log_all = math.lgamma(cast + 1)
    terms = (
        math.exp(
            log_all - math.lgamma(k + 1) - math.lgamma(cast - k + 1)
            + k * math.log(scrap) + (cast - k) * math.log(yield_share)
        )
        for k in range(min(spare, cast) + 1)
    )  # fmt: skip
    return min(1.0, math.fsum(terms))


def order_chance(kinds: tuple[tuple[int, int], ...], casts: int, yield_share: float) -> float:
    """Return the chance that every kind of part is there after so many casts.

    Parameters
    ----------
    kinds : tuple of (cavities, parts wanted)
    casts : int
    yield_share : float
    """
    return math.prod(chance_of_enough(casts * cavities, parts, yield_share) for cavities, parts in kinds)


def casts_to_be_sure(kinds: tuple[tuple[int, int], ...], casts: int, yield_share: float, sure: float = SURE) -> int:
    """Return the least number of casts, from these on, with which the order comes out as surely as wanted."""
    while order_chance(kinds, casts, yield_share) < sure:
        casts += 1
    return casts


def certainty_words(option: Option, kinds: tuple[tuple[int, int], ...], yield_share: float) -> str:
    """Return in a sentence how sure an order is, and how many casts more make it so."""
    chance = order_chance(kinds, option.cycles, yield_share)
    words = f"If scrap falls at random, {option.cycles} x {option.cavities} cast are enough in {_of_100(chance)} orders"
    more = casts_to_be_sure(kinds, option.cycles, yield_share) - option.cycles
    if more:
        words += f"; {more} more cast{'s make' if more > 1 else ' makes'} it 95 of 100 or better"
    return words + "."


def _of_100(chance: float) -> str:
    return "99 of 100 or more" if chance >= 0.99 else f"about {100 * chance:.0f} of 100"
