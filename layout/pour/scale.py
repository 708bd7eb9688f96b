"""What a scale shows: parts poured one on another into a tared cup, each reading one that the scale can show."""

import math

FINEST_G = 0.1
"""Readings are given to this where the scale's step is not known."""


def readings_g(parts_g: tuple[float, ...], step_g: float | None) -> tuple[float, ...]:
    """Return the readings after each part, g, in the order they are poured in.

    Parameters
    ----------
    parts_g : tuple of float
        Each part by itself, g.
    step_g : float or None
        The scale's step; None: not known, and the readings are not rounded.

    Notes
    -----
    The first part is rounded up to the step, and the others follow it before they are rounded themselves: what is
    weighed is never less than is needed by more than half a step a part, and the ratio is as true as the scale allows.

    Examples
    --------
    >>> readings_g((222.6, 222.6), 5.0)
    (225.0, 450.0)
    >>> readings_g((44.6, 40.1), None)
    (44.6, 84.7)
    """
    if step_g is None or not parts_g or parts_g[0] <= 0.0:
        return tuple(math.fsum(parts_g[: n + 1]) for n in range(len(parts_g)))
    first = math.ceil(parts_g[0] / step_g - 1e-9)
    factor = first * step_g / parts_g[0]
    ticks = [first, *(round(part * factor / step_g) for part in parts_g[1:])]
    return tuple(round(sum(ticks[: n + 1]) * step_g, 9) for n in range(len(ticks)))
