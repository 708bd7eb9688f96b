"""What the user wants delivered and the shop that makes it: frozen, stored in the Project as its `order`."""

from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True)
class RigidSettings:
    """The rigid master mold: a resin tray of N positives that further gang molds are poured in.

    Parameters
    ----------
    gap_mm : float
        Resin all round the gang mold.
    back_mm : float
        Resin over the gang mold's back of cavities: the floor of the tray.
    freeboard_mm : float
        Thickness of the pad under the gang mold: the tray's side above its fill line. 0: no pad, no freeboard.
    draft_deg : float
        Lean of the tray's inner sides; 0: straight.

    Notes
    -----
    Defaults: common practice, no source.
    """

    gap_mm: float = 12.7
    back_mm: float = 9.525
    freeboard_mm: float = 9.525
    draft_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class FinishCoat:
    """A coat brushed or sprayed on the parts.

    Parameters
    ----------
    name : str
    coverage_mm2_per_ml : float
        Area one mL covers.
    coats : int
    hands_min : float
        Hands for one part and one coat.
    wait_min : float
        Wait after a coat before the next one, or before packing.
    latest_min : float or None
        The next coat must go on before this; None: no limit.
    price_per_l : float
    """

    name: str
    coverage_mm2_per_ml: float
    coats: int = 1
    hands_min: float = 0.2
    wait_min: float = 60.0
    latest_min: float | None = None
    price_per_l: float = 0.0


@dataclass(frozen=True, slots=True)
class OrderSettings:
    """What the user wants delivered, and the shop that makes it. Defaults: common practice, no source.

    Parameters
    ----------
    parts : int
        Good parts wanted.
    days : int or None
        Calendar days until delivery, first and last counted; None: no date.
    hours : float
        Crew hours of a shift.
    crew : int
        People in the shop.
    wage_per_hour : float
    currency : str
    yield_share : float or None
        Good parts of those cast; None: what the batch log says, else 0.97.
    mold_life : int or None
        Casts of one mold; None: what the batch log says, else the resin, else 40.
    availability : float
        Share of a shift in which hands are at the molds.
    molds_per_operator : int
        Molds one person tends at a time.
    casts_per_day : int or None
        The most casts of one mold in a day; None: no limit.
    spare_masters : int
        Masters cast beyond the positions of the mold.
    masters_in_hand : int
        Copies that are there already.
    single_molds : int
        Single molds that the copies are cast from at a time.
    max_length_mm, max_width_mm : float or None
        The largest box allowed; None: the project's own box.
    prepare_min, prepare_each_min : float
        Hands for one casting besides pouring: release, weigh; and for each further batch of resin.
    move_s, demold_s : float
        From cavity to cavity while pouring; to push one part out.
    resin_ml_per_s : float
        How fast resin runs into a cavity.
    original_min : float
        Hands to prepare the original: seal, measure, weigh.
    single_mold_min : float
        Hands for one single mold in its tube.
    box_min, box_cost : float
        Hands and material for one gang mold: its box, its masters glued in, its pour.
    remold_min : float
        Hands for one more gang mold from a rigid master mold.
    tray_min, tray_cost : float
        Hands and material besides resin for a rigid master mold.
    trim_s : float
        Hands to trim and count one part.
    skip : tuple of str
        Steps of the chain that are left out.
    repeat : tuple of (str, int)
        Steps of the chain done more than once.
    coats : tuple of FinishCoat
    rigid : RigidSettings
    wanted_mm, wanted_tol_mm : float or None
        A size the finished part must have, and its tolerance.
    start_date : str or None
        First day of the order, ``2026-11-30``; None: days are only numbered, and every day is a working day.
    workdays : tuple of int
        Weekdays on which the shop works, 1 a Monday.
    closed : tuple of str
        Dates on which nobody works.
    box_each_min : float
        Hands for each cavity of a gang mold besides `box_min`: its master glued in and sealed.
    kind_parts : tuple of (str, int)
        Good parts of each master, by its id, in a mixed box; with another `parts` their proportion. Empty: in the
        proportion of the masters' wanted numbers, else as laid out.
    """

    parts: int = 100
    days: int | None = None
    hours: float = 6.0
    crew: int = 1
    wage_per_hour: float = 25.0
    currency: str = "USD"
    yield_share: float | None = None
    mold_life: int | None = None
    availability: float = 0.85
    molds_per_operator: int = 2
    casts_per_day: int | None = None
    spare_masters: int = 3
    masters_in_hand: int = 0
    single_molds: int = 1
    max_length_mm: float | None = None
    max_width_mm: float | None = None
    prepare_min: float = 2.5
    prepare_each_min: float = 0.75
    move_s: float = 1.2
    demold_s: float = 4.0
    resin_ml_per_s: float = 5.0
    original_min: float = 30.0
    single_mold_min: float = 30.0
    box_min: float = 120.0
    box_cost: float = 4.0
    remold_min: float = 45.0
    tray_min: float = 120.0
    tray_cost: float = 4.0
    trim_s: float = 5.0
    skip: tuple[str, ...] = ("intermediate_mold", "rigid_master")
    repeat: tuple[tuple[str, int], ...] = ()
    coats: tuple[FinishCoat, ...] = ()
    rigid: RigidSettings = field(default_factory=RigidSettings)
    wanted_mm: float | None = None
    wanted_tol_mm: float | None = None
    start_date: str | None = None
    workdays: tuple[int, ...] = (1, 2, 3, 4, 5)
    closed: tuple[str, ...] = ()
    box_each_min: float = 0.0
    kind_parts: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class CutSettings:
    """What cuts the panels, and from which sheets; stored in the Project as its `cutting`.

    Parameters
    ----------
    cutter : {"knife", "laser", "router"}
    kerf_mm : float or None
        Width it takes away; None: what is usual for the cutter, nothing for a knife.
    gap_mm : float or None
        Between two pieces on a sheet; None: what is usual for the cutter.
    margin_mm : float
        From a piece to the edge of the sheet. Common practice, no source.
    stock_mm : tuple of (length, width)
        Sizes of sheet the user has; empty: panels are not laid on sheets.
    leftover_mm : tuple of (length, width)
        Left-over pieces, used first.
    """

    cutter: Literal["knife", "laser", "router"] = "knife"
    kerf_mm: float | None = None
    gap_mm: float | None = None
    margin_mm: float = 5.0
    stock_mm: tuple[tuple[float, float], ...] = ()
    leftover_mm: tuple[tuple[float, float], ...] = ()
