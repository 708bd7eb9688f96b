"""A two-part material as its data sheet has it, and the two a new project starts with."""

from dataclasses import dataclass
from typing import Final, Literal

Ratio = Literal["v", "w"]
"""Parts by volume or by weight."""


@dataclass(frozen=True, slots=True)
class Mix:
    """A two-part material: silicone or resin, as on its data sheet, in g, mL, minutes and deg C.

    Parameters
    ----------
    name : str
    a_g_per_ml, b_g_per_ml : float
        Densities of the parts.
    ratio_a, ratio_b : float
        Parts of A and of B.
    ratio_by : {"v", "w"}
        By volume or by weight.
    pot_life_min, pot_life_at_c : float
        Pot life and the temperature it was measured at.
    demold_min : float
    viscosity_cp, shore_a, tear_n_per_mm, shrink, price_per_kg : float or None
        Viscosity in cP; Shore A; tear strength; shrink as a fraction; price. None: not known.
    kit_a_g, kit_b_g : float or None
        What a kit holds.
    mix_min : float
        Time to mix one batch.
    mold_life : int or None
        Casts a mold lasts with this resin.
    mass_exponent : float
        n in pot life t = t100 (100 / m)^n.
    cure : str
        ``"platinum"``, ``"tin"``, ``"urethane"``, ``"epoxy"``: what it is, for the cautions that apply.
    measured_pot_min, measured_pot_at_c : float or None
        Pot life of the lot in hand as one test cup showed it, and the temperature; goes before the data sheet's.
    lot, opened : str
        Lot number; ISO date it was opened.
    keeps_days : int or None
        How long it keeps once opened.
    left_a_g, left_b_g : float
        What is left of each part on the shelf.
    origins : tuple of (str, str)
        Where a value comes from, by the field's name: ``"data sheet"``, ``"measured"``, ``"default"`` or ``"assumed"``
        (a stand-in that must be replaced by the data sheet's). What is not named is a default.
    note : str
    """

    name: str
    a_g_per_ml: float
    b_g_per_ml: float
    ratio_a: float
    ratio_b: float
    ratio_by: Ratio
    pot_life_min: float
    pot_life_at_c: float
    demold_min: float
    viscosity_cp: float | None = None
    shore_a: float | None = None
    tear_n_per_mm: float | None = None
    shrink: float | None = None
    price_per_kg: float | None = None
    kit_a_g: float | None = None
    kit_b_g: float | None = None
    mix_min: float = 2.0
    mold_life: int | None = None
    mass_exponent: float = 0.0
    cure: str = ""
    measured_pot_min: float | None = None
    measured_pot_at_c: float | None = None
    lot: str = ""
    opened: str = ""
    keeps_days: int | None = None
    left_a_g: float = 0.0
    left_b_g: float = 0.0
    origins: tuple[tuple[str, str], ...] = ()
    note: str = ""

    @property
    def is_resin(self) -> bool:
        """Whether it cures hard: what is poured in the box of a rigid master mold."""
        return self.cure in ("urethane", "epoxy", "polyester")

    @property
    def word(self) -> str:
        """``"resin"`` or ``"silicone"``, for sentences about what is poured in the box."""
        return "resin" if self.is_resin else "silicone"


FAST_PLATINUM: Final = Mix(
    "fast platinum", 1.10, 1.10, 1.0, 1.0, "v", 7.0, 23.888888888888889, 60.0,
    viscosity_cp=2500.0, shore_a=18.0, tear_n_per_mm=13.1, shrink=0.001, price_per_kg=36.0,
    kit_a_g=450.0, kit_b_g=450.0, mix_min=2.0, cure="platinum",
)  # fmt: skip
FAST_URETHANE: Final = Mix(
    "fast opaque urethane", 1.10, 0.99, 100.0, 90.0, "w", 2.0, 23.888888888888889, 10.0,
    viscosity_cp=80.0, shrink=0.005, price_per_kg=15.0, kit_a_g=500.0, kit_b_g=450.0, mix_min=0.5,
    mold_life=40, mass_exponent=0.2, cure="urethane",
)  # fmt: skip
