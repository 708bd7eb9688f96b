"""Time of a pour: pot life and demold time at today's temperature and mass, and what fits into them, in minutes."""

from typing import Final

from layout.model import Mix
from layout.pour.mixing import mixed_g_per_ml

DOUBLING_C: Final = 10.0
"""Pot life doubles for every 10 deg C less. Published for epoxy (18 deg F = half); common practice for silicone and
urethane. An activation energy of 53 kJ/mol gives the same near room temperature."""

QUOTED_MASS_G: Final = 100.0
"""Data sheets quote the pot life mostly for a cup of this mass."""


def pot_reference(mix: Mix) -> tuple[float, float]:
    """Return the pot life the user trusts most, minutes, and its temperature, deg C: measured before printed."""
    if mix.measured_pot_min is not None:
        at = mix.pot_life_at_c if mix.measured_pot_at_c is None else mix.measured_pot_at_c
        return mix.measured_pot_min, at
    return mix.pot_life_min, mix.pot_life_at_c


def temperature_factor(temperature_c: float, reference_c: float) -> float:
    """Return by how much a reaction takes longer at a temperature than at the reference: 2^((Tref - T) / 10)."""
    return float(2.0 ** ((reference_c - temperature_c) / DOUBLING_C))


def pot_life_min(mix: Mix, temperature_c: float, mass_g: float = QUOTED_MASS_G) -> float:
    """Return the pot life of a batch, minutes from A-B contact.

    Parameters
    ----------
    mix : Mix
    temperature_c : float
        Of the components, not only of the room.
    mass_g : float
        Mass of the batch.

    Notes
    -----
    t = t_ref 2^((T_ref - T) / 10) (100 g / m)^n. A batch below 100 g is taken as 100 g: the safe side, since the heat
    it sheds is not counted on. n is 0 for silicone; 0.1 to 0.25 for urethane, from memory.

    Examples
    --------
    >>> from layout.model import FAST_PLATINUM
    >>> round(pot_life_min(FAST_PLATINUM, 30.0), 2)
    4.58
    """
    t_ref, reference_c = pot_reference(mix)
    mass = max(mass_g, QUOTED_MASS_G)
    return float(t_ref * temperature_factor(temperature_c, reference_c) * (QUOTED_MASS_G / mass) ** mix.mass_exponent)


def demold_min(mix: Mix, temperature_c: float) -> float:
    """Return the demold time today, minutes from the pour; scaled like the pot life."""
    return mix.demold_min * temperature_factor(temperature_c, mix.pot_life_at_c)


def pour_min(volume_ml: float, pour_ml_per_s: float) -> float:
    """Return the minutes it takes to empty a batch."""
    return volume_ml / pour_ml_per_s / 60.0


def largest_batch_ml(
    pot_min: float, mix_min: float, degas_min: float, pour_ml_per_s: float, share: float = 0.75
) -> float:
    """Return the largest batch that is mixed, degassed and poured within a share of its pot life, mL; 0 if none.

    Examples
    --------
    >>> largest_batch_ml(7.0, 2.0, 0.0, 4.0), round(largest_batch_ml(7.0, 2.0, 2.5, 4.0), 6)
    (780.0, 180.0)
    """
    left_min = share * pot_min - mix_min - degas_min
    return max(0.0, left_min * 60.0 * pour_ml_per_s)


def largest_batch_of_ml(
    mix: Mix, temperature_c: float, degas_min: float, pour_ml_per_s: float, share: float = 0.75, film_ml: float = 0.0
) -> float:
    """Return the most of a mix that one cup pours in time, its own mass shortening its pot life, mL; 0 if none.

    Parameters
    ----------
    mix : Mix
    temperature_c, degas_min, pour_ml_per_s, share : float
        As in `pot_life_min` and `largest_batch_ml`.
    film_ml : float
        What stays in the cup: it warms the batch, but takes no time to pour.

    Notes
    -----
    Without a mass exponent it is `largest_batch_ml`. Else the time needed grows and the pot life falls with the batch,
    so the crossing is found by halving, from below.
    """
    small = pot_life_min(mix, temperature_c)
    high = largest_batch_ml(small, mix.mix_min, degas_min, pour_ml_per_s, share)
    if mix.mass_exponent <= 0.0 or high <= 0.0:
        return high
    density, low = mixed_g_per_ml(mix), 0.0
    for _ in range(60):
        middle = (low + high) / 2.0
        pot = pot_life_min(mix, temperature_c, (middle + film_ml) * density)
        fits = mix.mix_min + degas_min + pour_min(middle, pour_ml_per_s) <= share * pot
        low, high = (middle, high) if fits else (low, middle)
    return low
