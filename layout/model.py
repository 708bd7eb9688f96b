"""The Project and what it is made of: frozen, in mm, mL, g, minutes and deg C; what the user decided, nothing computed.

An edit (`layout.edits`) returns a new Project that shares all it did not change.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final, Literal, NewType

from layout.bench import LimitChange as LimitChange
from layout.bench import PourSettings as PourSettings
from layout.bench import SmallMold as SmallMold
from layout.geometry import XY, Footprint, Segment
from layout.mix import FAST_PLATINUM as FAST_PLATINUM
from layout.mix import FAST_URETHANE as FAST_URETHANE
from layout.mix import Mix as Mix
from layout.mix import Ratio as Ratio
from layout.shop import CutSettings, OrderSettings
from layout.units import Units

MasterId = NewType("MasterId", str)
CavityId = NewType("CavityId", str)
KeepOutId = NewType("KeepOutId", str)

Turn = Literal["free", "90", "180", "0"]
"""The turns a master may take: any angle, quarter turns, half turn, fixed."""

Joint = Literal["butt", "tab", "folded"]
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
        How many the user wants in a mixed box; None: as many as fit; 0: a fill leaves it out.
    second_volume_ml : float or None
        Volume found another way, by weighing or in water, to check the first; None: not done.
    silhouette_mm2 : float or None
        True area of the silhouette with its holes filled, mm2; None: that of the footprint, which contains it.
    density_g_per_ml : float or None
        Of a master that is no copy in the project's resin, such as a mold in the box of its tray: nothing is cast in
        its place then. None: a copy.
    holes : tuple of outlines
        Through holes of the silhouette, in the footprint's own coordinates, mm, counter-clockwise; each lies inside the
        true hole. Silicone stands in them, no cavity does: rules and fill see the footprint alone.
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
    second_volume_ml: float | None = None
    silhouette_mm2: float | None = None
    density_g_per_ml: float | None = None
    holes: tuple[tuple[XY, ...], ...] = ()


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
    correction : float
        The correction that ``predicted_g`` was made with.
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
    correction: float = 1.0


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
    cutting : CutSettings
        What cuts the panels, and from which sheets.
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
    cutting: CutSettings = field(default_factory=CutSettings)

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
    asks_reason : bool
        Advice that stops the pour sheet until a reason is typed, also where its severity is no more than a warning
        because only the project's own rules are refused there.
    """

    kind: str
    severity: Severity
    cavities: tuple[CavityId, ...] = ()
    measured: float | None = None
    required: float | None = None
    unit: str = "mm"
    segment: Segment | None = None
    detail: str = ""
    asks_reason: bool = False
