"""The Project and what it is made of: frozen, in mm, mL, g, minutes and deg C; what the user decided, nothing computed.

An edit (`layout.edits`) returns a new Project that shares all it did not change.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final, Literal, NewType

from layout.geometry import XY, Footprint, Segment
from layout.shop import OrderSettings
from layout.units import Units

MasterId = NewType("MasterId", str)
CavityId = NewType("CavityId", str)
KeepOutId = NewType("KeepOutId", str)

Turn = Literal["free", "90", "180", "0"]
"""The turns a master may take: any angle, quarter turns, half turn, fixed."""

Joint = Literal["butt", "tab", "folded"]
Ratio = Literal["v", "w"]
"""Parts by volume or by weight."""

CURRENT_VERSION: Final = 1


class Severity(StrEnum):
    """How much a finding matters: only `refuse` stops an export."""

    INFO = "info"
    WARN = "warn"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True)
class Master:
    """One part to be copied.

    Parameters
    ----------
    id : MasterId
    name : str
        Shown to the user.
    source : str
        What it was made from: a simple solid as typed (``hex:19.05x6.35``) or a file's name.
    footprint : Disc or Outline
        The silhouette over all heights; contains the true part. A ring's hole belongs to it.
    height_mm : float
    volume_ml : float
    glued_area_mm2 : float
        Area of the flat back that is glued down (the section at height 0).
    surface_mm2 : float or None
        Surface of the part without its back, for coats; None if unknown.
    undercut : float or None
        Strain (D_in - D_neck) / D_neck that pulling the part asks of the rim; 0 for none, None if unknown.
    turn : Turn or None
        The turns it may take; None: the project's rule.
    wanted : int or None
        How many the user wants in a mixed box.
    """

    id: MasterId
    name: str
    source: str
    footprint: Footprint
    height_mm: float
    volume_ml: float
    glued_area_mm2: float
    surface_mm2: float | None = None
    undercut: float | None = None
    turn: Turn | None = None
    wanted: int | None = None


@dataclass(frozen=True, slots=True)
class RectBox:
    """A rectangular box by its inner size along x and y, mm."""

    length_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class RoundBox:
    """A tube by its inner diameter, mm; exact. Its bounding square starts at the origin."""

    diameter_mm: float


@dataclass(frozen=True, slots=True)
class OutlineBox:
    """A box of any simple inner outline, mm, counter-clockwise, its bounding box starting at the origin."""

    points: tuple[XY, ...]


BoxShape = RectBox | RoundBox | OutlineBox


@dataclass(frozen=True, slots=True)
class Box:
    """The mold box.

    Parameters
    ----------
    shape : RectBox, RoundBox or OutlineBox
        Inner size.
    sheet : str
        Name of the sheet its panels are cut from, as in the catalogue.
    thickness_mm : float
        Measured thickness of that sheet.
    joint : Joint
        How the sides meet.
    base : {"under", "inside"}
        Whether the base lies under the sides or between them.
    corners : {"lap", "pinwheel"}
        Butt joint: the long sides lap the short ones, or each side laps the next.
    tab_mm : float or None
        Tab joint: wanted width of a tab; None: three times the thickness.
    fit_mm : float
        Tab joint: play between a tab and its notch, over both flanks of a joint half on each part.
    tube_wall_mm : float or None
        Round box: wall of a bought tube that serves as its side; None: a strip cut from the sheet.
    stiffness_gpa : float or None
        The sheet's modulus as the user measured it on a strip; None: the catalogue's.
    """

    shape: BoxShape
    sheet: str = "foam board"
    thickness_mm: float = 4.7625
    joint: Joint = "butt"
    base: Literal["under", "inside"] = "under"
    corners: Literal["lap", "pinwheel"] = "lap"
    tab_mm: float | None = None
    fit_mm: float = 0.0
    tube_wall_mm: float | None = None
    stiffness_gpa: float | None = None


@dataclass(frozen=True, slots=True)
class Rules:
    """What the layout is judged by, mm. Defaults: common practice, no source (1/4, 3/8 and 3/8 in).

    Parameters
    ----------
    wall_mm : float
        Least silicone between two cavities.
    edge_mm : float
        Least silicone between a cavity and the side of the box.
    floor_mm : float
        Silicone above the tallest master.
    freeboard_mm : float or None
        Side above the pour line; None: the larger of 9.525 mm and a tenth of the pour height.
    turn : Turn
        The turns of masters that have no rule of their own.
    """

    wall_mm: float = 6.35
    edge_mm: float = 9.525
    floor_mm: float = 9.525
    freeboard_mm: float | None = None
    turn: Turn = "free"


@dataclass(frozen=True, slots=True)
class Cavity:
    """One copy of a master in the box.

    Parameters
    ----------
    x_mm, y_mm : float
        Centre of the footprint's bounding box at 0 degrees, in box coordinates; also what it turns about.
    angle_deg : float
        Counter-clockwise.
    pinned : bool
        A fill leaves it where it is.
    empty : bool
        The position is kept but no master is glued there today.
    """

    id: CavityId
    master: MasterId
    x_mm: float
    y_mm: float
    angle_deg: float = 0.0
    pinned: bool = False
    empty: bool = False


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A place no cavity may enter: a pry slot, finger room, a label. A rectangle about its centre, or a disc.

    Parameters
    ----------
    x_mm, y_mm : float
        Its centre.
    length_mm, width_mm : float
        Its size along x and y; both the diameter if ``round``.
    purpose : str
        ``"pry slot"``, ``"finger room"``, ``"label"`` or free text.
    """

    id: KeepOutId
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    round: bool = False
    purpose: str = ""


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


@dataclass(frozen=True, slots=True)
class LimitChange:
    """A limit of the advice that the user has set: from where on it warns and refuses; None: never."""

    kind: str
    warn: float | None
    refuse: float | None


@dataclass(frozen=True, slots=True)
class Override:
    """A refusal the user has taken on with a typed reason; printed on the sheet."""

    kind: str
    reason: str


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One line of the batch log.

    Parameters
    ----------
    when : str
        ISO 8601 date, or date and time, as typed.
    what : {"pour", "cast"}
        A mold was poured, or a mold was filled with resin.
    mold : str
        The mold's number or name.
    predicted_g, used_g : float or None
        Silicone or resin.
    good, scrap : int
        Parts of this cast.
    bad_cavities : tuple of (CavityId, str)
        Cavities that gave scrap, each with its cause.
    pot_life_min : float or None
        Pot life seen with this batch, at ``temperature_c``.
    humidity_pct : float or None
    retired : bool
        The mold was taken out of use after this cast.
    """

    when: str
    what: Literal["pour", "cast"]
    mold: str = ""
    predicted_g: float | None = None
    used_g: float | None = None
    good: int = 0
    scrap: int = 0
    lot: str = ""
    temperature_c: float | None = None
    note: str = ""
    bad_cavities: tuple[tuple[CavityId, str], ...] = ()
    pot_life_min: float | None = None
    humidity_pct: float | None = None
    retired: bool = False


@dataclass(frozen=True, slots=True)
class Project:
    """All that the user decided about one mold.

    Parameters
    ----------
    cavities : tuple of Cavity
        In the order they were added.
    pour_order : tuple of CavityId
        The user's own pouring order; empty: serpentine. Cavities not in it follow in serpentine order.
    unknown : str
        JSON of what a newer or foreign program wrote and this one does not know; written back on saving.
    tray_resin : Mix or None
        Resin of the rigid master mold; None: a slow casting resin with common values.
    limits : tuple of LimitChange
        Limits of the advice that the user has set.
    """

    name: str
    box: Box
    masters: tuple[Master, ...] = ()
    rules: Rules = field(default_factory=Rules)
    cavities: tuple[Cavity, ...] = ()
    keep_outs: tuple[KeepOut, ...] = ()
    silicone: Mix = FAST_PLATINUM
    resin: Mix = FAST_URETHANE
    pour: PourSettings = field(default_factory=PourSettings)
    units: Units = field(default_factory=Units)
    pour_order: tuple[CavityId, ...] = ()
    overrides: tuple[Override, ...] = ()
    log: tuple[LogEntry, ...] = ()
    unknown: str = ""
    order: OrderSettings = field(default_factory=OrderSettings)
    tray_resin: Mix | None = None
    limits: tuple[LimitChange, ...] = ()

    def master(self, master_id: MasterId) -> Master:
        """Return a master by its id; KeyError if there is none."""
        for master in self.masters:
            if master.id == master_id:
                return master
        raise KeyError(master_id)

    def turn_of(self, master: Master) -> Turn:
        """Return the turns a master may take in this project."""
        return master.turn or self.rules.turn


@dataclass(frozen=True, slots=True)
class Finding:
    """A broken rule, or advice, as data; `wording.message` makes the sentence.

    Parameters
    ----------
    kind : str
        ``overlap``, ``outside_box``, ``thin_wall``, ``thin_edge``, ``in_keep_out``, ``tall_web``, ``thin_floor``, ...
    cavities : tuple of CavityId
        Whom it concerns; may be empty.
    measured, required : float or None
        In ``unit``; negative where parts overlap, by how deep.
    unit : str
        ``"mm"``, ``"min"``, ``"g"``, ``"%"``, ``""`` ...
    segment : Segment or None
        Where to look: its length is the measured one where that is positive.
    detail : str
        The nearest remedy or what else the sentence must say; a whole sentence.
    """

    kind: str
    severity: Severity
    cavities: tuple[CavityId, ...] = ()
    measured: float | None = None
    required: float | None = None
    unit: str = "mm"
    segment: Segment | None = None
    detail: str = ""


FindingKind = str
