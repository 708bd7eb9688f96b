"""The turns a layout may use: a part that repeats itself can be laid at a turn that only looks allowed."""

import numpy as np

from layout.geometry import Disc, Footprint, turned

_SAME_DEG = 1e-9


def allowed_turn(footprint: Footprint, angle_deg: float, allowed_deg: tuple[float, ...] | None) -> float | None:
    """Return an allowed turn at which the footprint covers the same as at this one; None if there's none.

    Parameters
    ----------
    footprint : Disc or Outline
    angle_deg : float
    allowed_deg : tuple of float or None
        None: any turn is allowed.

    Examples
    --------
    >>> allowed_turn(Disc(5.0), 144.0, (0.0, 90.0))
    0.0
    """
    if allowed_deg is None:
        return angle_deg
    for allowed in allowed_deg:
        if abs((angle_deg - allowed + 180.0) % 360.0 - 180.0) <= _SAME_DEG:
            return allowed
    for allowed in allowed_deg:
        if _looks_alike(footprint, angle_deg - allowed):
            return allowed
    return None


def _looks_alike(footprint: Footprint, by_deg: float) -> bool:
    """Return whether a footprint turned about its origin by this much covers the same, to a hundred-thousandth of it.

    Notes
    -----
    What differs by less than this may still pass the check's tolerance or not: the layout is checked as it's returned.
    """
    if isinstance(footprint, Disc):
        return True
    points = np.asarray(footprint.points)
    image = turned(points, by_deg)
    size = float(np.hypot(points[:, 0], points[:, 1]).max())
    gaps = np.hypot(image[:, None, 0] - points[None, :, 0], image[:, None, 1] - points[None, :, 1])
    return float(gaps.min(axis=1).max()) < 1e-5 * size
