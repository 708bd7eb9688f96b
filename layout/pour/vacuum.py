"""Degassing: what a pump reaches at an altitude, how far silicone foams up, whether it is needed."""

import math
from typing import Final

from layout.model import Mix
from layout.units import GRAVITY_M_PER_S2, MBAR_PER_INHG

SEA_LEVEL_MBAR: Final = 1013.25
DEGAS_FROM_CP: Final = 20_000.0
"""Thicker than this traps its bubbles: degas (a supplier's figure)."""

POURS_CLEAR_BELOW_CP: Final = 3_000.0
"""Thinner than this sheds all bubbles worth the name by itself in its pot life; see `bubble_radius_mm`."""


def barometer_mbar(altitude_m: float) -> float:
    """Return the mean air pressure at an altitude, mbar.

    Notes
    -----
    International Standard Atmosphere (ISO 2533:1975, from memory): 1013.25 (1 - 2.25577e-5 h)^5.25588, to 11 km.

    Examples
    --------
    >>> round(barometer_mbar(1609.0))
    834
    """
    return float(SEA_LEVEL_MBAR * (1.0 - 2.25577e-5 * altitude_m) ** 5.25588)


def gauge_inhg(absolute_mbar: float, altitude_m: float) -> float:
    """Return what a vacuum gauge shows at an absolute pressure, inHg below the air outside; never below 0."""
    return max(0.0, barometer_mbar(altitude_m) - absolute_mbar) / MBAR_PER_INHG


def absolute_mbar(gauge_reading_inhg: float, altitude_m: float) -> float:
    """Return the absolute pressure at a gauge reading, mbar; 0 where the gauge claims more than there is."""
    return max(0.0, barometer_mbar(altitude_m) - gauge_reading_inhg * MBAR_PER_INHG)


def expansion(air_share: float, pressure_mbar: float, altitude_m: float = 0.0) -> float:
    """Return by how much stirred-in air makes silicone rise: 1 + phi (P0 / P - 1).

    Parameters
    ----------
    air_share : float
        Air as a share of the volume, phi.
    pressure_mbar : float
        Absolute, above 0.

    Examples
    --------
    >>> round(expansion(0.10, absolute_mbar(29.0, 0.0)), 2)
    4.15
    """
    return 1.0 + air_share * max(0.0, barometer_mbar(altitude_m) / pressure_mbar - 1.0)


def degas_needed(mix: Mix) -> bool | None:
    """Return whether this silicone asks for degassing: yes when thick, no when thin, None in between or unknown."""
    if mix.viscosity_cp is None:
        return None
    if mix.viscosity_cp > DEGAS_FROM_CP:
        return True
    return False if mix.viscosity_cp <= POURS_CLEAR_BELOW_CP else None


def bubble_radius_mm(viscosity_cp: float, depth_mm: float, time_s: float, density_g_per_ml: float) -> float:
    """Return the radius of the smallest bubble that rises from a depth in a time, mm; smaller ones stay.

    Notes
    -----
    Stokes: r = sqrt(9 eta d / (2 rho g t)) (textbook).

    Examples
    --------
    >>> round(bubble_radius_mm(2500.0, 20.0, 300.0, 1.14), 2)
    0.26
    """
    eta = viscosity_cp / 1000.0
    rho = density_g_per_ml * 1000.0
    return math.sqrt(9.0 * eta * depth_mm / 1000.0 / (2.0 * rho * GRAVITY_M_PER_S2 * time_s)) * 1000.0
