"""The cycle of a mold in closed form. These only bound a plan; the schedule, hand by hand, is the truth."""

import math


def round_min(hands_min: float, cure_min: float, molds: int, molds_per_operator: int) -> float:
    """Return the minutes from one cast of a mold to its next: T = max(t_op + t_cure, min(n, k) t_op).

    Parameters
    ----------
    hands_min : float
        Hands of one cast, demolding included: t_op.
    cure_min : float
    molds, molds_per_operator : int
        n molds, of which one person tends k at most.

    Examples
    --------
    >>> round(round_min(7.03, 10.0, 2, 2), 2), round(round_min(7.03, 10.0, 4, 4), 2)
    (17.03, 28.12)
    """
    return max(hands_min + cure_min, min(molds, molds_per_operator) * hands_min)


def useful_molds(hands_min: float, cure_min: float) -> int:
    """Return how many molds one person can tend without any of them waiting: floor((t_op + t_cure) / t_op).

    Examples
    --------
    >>> useful_molds(7.03, 10.0)
    2
    """
    return max(1, math.floor((hands_min + cure_min) / hands_min))


def rounds_per_day(hours: float, availability: float, one_round_min: float, most: int | None = None) -> int:
    """Return the casts of one mold in a shift: c = floor(60 H eta / T), no more than a daily cap.

    Notes
    -----
    A cast that cures overnight is not counted: the schedule may do one more a day.

    Examples
    --------
    >>> rounds_per_day(6.0, 0.85, 17.03), rounds_per_day(6.0, 0.85, 17.03, most=3)
    (17, 3)
    """
    casts = math.floor(60.0 * hours * availability / one_round_min)
    return casts if most is None else min(casts, most)
