"""How the user pours, today and on this bench: frozen, stored in the Project as its `pour` and `limits`."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SmallMold:
    """A small mold kept ready, by the silicone (or resin) it takes."""

    name: str
    volume_ml: float


@dataclass(frozen=True, slots=True)
class PourSettings:
    """How the silicone and the resin are poured. Defaults: common practice, no source.

    Parameters
    ----------
    temperature_c : float
        Of the components today.
    level_deg : float
        How far the bench is out of level.
    waste_pct, cup_film_ml : float
        Lost in per cent of the net volume, and on the wall of each cup.
    container_ml : float or None
        The mixing container; None: no limit.
    degas : bool
    degas_min : float
        Time under vacuum.
    pour_ml_per_s : float
    scale_limit_g, scale_step_g : float or None
        What the scale can weigh, and its step.
    overfill_mm : float
        Resin proud of the rim, scraped or sanded off, per cavity.
    overfill_ml : float
        The same as a volume for each cavity; both may be given.
    resin_waste_pct : float
        Resin lost in the cup, in per cent.
    headroom : float
        Container over batch.
    hands : int
        People pouring: with two, the next batch is mixed while one is poured.
    altitude_m : float
        Of the shop, for what a vacuum gauge can show.
    absolute_mbar : float or None
        Absolute pressure the pump reaches; None: not known.
    air_share : float
        Air stirred into the silicone, as a share of its volume.
    humidity_pct : float or None
        Relative humidity today; None: not known.
    container_diameter_mm, container_height_mm : float or None
        Outside of the mixing container, for the vacuum chamber.
    chamber_diameter_mm, chamber_height_mm : float or None
        Inside of the vacuum chamber.
    pressure_pot_diameter_mm, pressure_pot_height_mm : float or None
        Inside of the pressure pot the mold goes into.
    pigment_pct : float
        Pigment in per cent of the resin's weight.
    pigment_drops : float
        Drops of pigment for 100 g of resin; used if ``pigment_pct`` is 0.
    drop_g : float
        Weight of one drop.
    pigment_counts_as_b : bool
        The paste takes part in the reaction like B: so much less B is weighed.
    filler_ml : float
        Old silicone of the same kind, chopped, by its true volume.
    filler_cover_mm : float
        Least new silicone over masters, sides and filler.
    coat_mm : float
        Thickness of a detail coat brushed on first; 0: none.
    coat_cm2_per_min : float
        How fast it is brushed on.
    coat_wait_min : float or None
        From the coat to the fill pour; None: twice its pot life today.
    correction : float
        Silicone really used over silicone predicted, learned from the log.
    start : str
        Clock time the work starts, ``HH:MM``.
    small_molds : tuple of SmallMold
        Kept ready for what is left over.
    container_tare_g : float
        Weight of the empty container, which the scale carries too.
    """

    temperature_c: float = 23.888888888888889
    level_deg: float = 0.0
    waste_pct: float = 5.0
    cup_film_ml: float = 20.0
    container_ml: float | None = None
    degas: bool = False
    degas_min: float = 2.5
    pour_ml_per_s: float = 4.0
    scale_limit_g: float | None = None
    scale_step_g: float | None = None
    overfill_mm: float = 0.0
    overfill_ml: float = 0.0
    resin_waste_pct: float = 12.0
    headroom: float = 4.0
    hands: int = 1
    altitude_m: float = 0.0
    absolute_mbar: float | None = None
    air_share: float = 0.10
    humidity_pct: float | None = None
    container_diameter_mm: float | None = None
    container_height_mm: float | None = None
    chamber_diameter_mm: float | None = None
    chamber_height_mm: float | None = None
    pressure_pot_diameter_mm: float | None = None
    pressure_pot_height_mm: float | None = None
    pigment_pct: float = 0.0
    pigment_drops: float = 0.0
    drop_g: float = 0.04
    pigment_counts_as_b: bool = False
    filler_ml: float = 0.0
    filler_cover_mm: float = 6.35
    coat_mm: float = 0.0
    coat_cm2_per_min: float = 60.0
    coat_wait_min: float | None = None
    correction: float = 1.0
    start: str = "09:00"
    small_molds: tuple[SmallMold, ...] = ()
    container_tare_g: float = 0.0


@dataclass(frozen=True, slots=True)
class LimitChange:
    """A limit of the advice that the user has set: from where on it warns and refuses; None: never."""

    kind: str
    warn: float | None
    refuse: float | None
