"""Parts A and B: ratio by weight and by volume, each from its own density, the mixed density, the dose of a batch.

No change of volume on mixing is assumed.
"""

from dataclasses import dataclass

from layout.model import Mix


@dataclass(frozen=True, slots=True)
class Dose:
    """What is weighed for a volume of mix.

    Parameters
    ----------
    volume_ml, mass_g : float
        Of the whole mix.
    a_g, b_g, a_ml, b_ml : float
        Of each part; ``a_g + b_g = mass_g``, ``a_ml + b_ml = volume_ml``.
    """

    volume_ml: float
    mass_g: float
    a_g: float
    b_g: float
    a_ml: float
    b_ml: float

    def times(self, factor: float) -> "Dose":
        """Return a dose larger by a factor."""
        return Dose(
            self.volume_ml * factor, self.mass_g * factor, self.a_g * factor,
            self.b_g * factor, self.a_ml * factor, self.b_ml * factor,
        )  # fmt: skip


def b_per_a_by_weight(mix: Mix) -> float:
    """Return grams of B for one gram of A.

    Notes
    -----
    A ratio by volume is turned by the densities: (mB / mA) = (vB / vA) (rhoB / rhoA).
    """
    ratio = mix.ratio_b / mix.ratio_a
    return ratio * mix.b_g_per_ml / mix.a_g_per_ml if mix.ratio_by == "v" else ratio


def b_per_a_by_volume(mix: Mix) -> float:
    """Return mL of B for one mL of A."""
    return b_per_a_by_weight(mix) * mix.a_g_per_ml / mix.b_g_per_ml


def mixed_g_per_ml(mix: Mix) -> float:
    """Return the density of the mix, g/mL: 1 / rho = wA / rhoA + wB / rhoB."""
    b = b_per_a_by_weight(mix)
    return (1.0 + b) / (1.0 / mix.a_g_per_ml + b / mix.b_g_per_ml)


def dose(mix: Mix, volume_ml: float) -> Dose:
    """Return what is weighed for a volume of mix, mL and g; all zero for 0 mL.

    Examples
    --------
    >>> from layout.materials import parse_mix
    >>> e1 = dose(parse_mix("a=1.10,b=1.18,ratio=1:1v", "", "silicone"), 685.6)
    >>> round(e1.a_g, 1), round(e1.b_g, 1), round(e1.mass_g, 1)
    (377.1, 404.5, 781.6)
    """
    mass = volume_ml * mixed_g_per_ml(mix)
    b = b_per_a_by_weight(mix)
    a_g = mass / (1.0 + b)
    b_g = mass - a_g
    return Dose(volume_ml, mass, a_g, b_g, a_g / mix.a_g_per_ml, b_g / mix.b_g_per_ml)


def wrong_ratio_error_pct(mix: Mix) -> float:
    """Return by how many per cent B would be off if a ratio by volume were weighed, or one by weight poured by volume.

    Notes
    -----
    0 where the densities are equal. A 1.10, B 1.18, 1:1 by volume, weighed 1:1: B is 6.8 % short.
    """
    right, taken = b_per_a_by_weight(mix), b_per_a_by_volume(mix)
    if mix.ratio_by == "w":
        right, taken = taken, right
    return 100.0 * abs(taken / right - 1.0)
