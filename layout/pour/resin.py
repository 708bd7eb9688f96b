"""The resin of one cycle: each cavity, its allowance, pigment, and the batches along the pouring order."""

import math
from dataclasses import dataclass
from typing import Final

from layout.model import CavityId, Master, Mix, PourSettings, Project
from layout.numbering import pour_order
from layout.pour.mixing import dose
from layout.pour.silicone import time_limit_share
from layout.pour.time import demold_min, pot_life_min

PIGMENT_G_PER_ML: Final = 1.1
"""Density of a pigment paste. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class ResinDose:
    """What is weighed for a batch of resin, g; ``a_g + b_g + pigment_g = mass_g``."""

    volume_ml: float
    mass_g: float
    a_g: float
    b_g: float
    pigment_g: float


@dataclass(frozen=True, slots=True)
class ResinBatch:
    """One batch of resin.

    Parameters
    ----------
    cavities : tuple of CavityId
        In pouring order.
    dose : ResinDose
        Losses included.
    fill_min : float
        To fill them, moves included.
    pot_life_min : float
        Of this mass, today.
    time_share : float
        Mixing and filling over the pot life.
    """

    cavities: tuple[CavityId, ...]
    dose: ResinDose
    fill_min: float
    pot_life_min: float
    time_share: float


@dataclass(frozen=True, slots=True)
class ResinPour:
    """All numbers of one cycle of casting.

    Parameters
    ----------
    per_cavity_ml : float or None
        Of one cavity, allowance included; the mean where masters differ; None without cavities.
    per_cycle_ml : float
        All cavities, the loss in the cup included.
    dose : ResinDose
        Of the whole cycle.
    cavities_per_batch : int or None
        Cavities that one batch fills before it sets, counted from the start of the pouring order, at the mean cavity
        beyond the last one; None without cavities.
    batches : tuple of ResinBatch
        Empty if not one cavity can be filled in time, or there is none.
    demold_min : float
        Today.
    least_batch_g : float
        Below it, a batch can't be weighed or cures badly.
    in_time : int
        Batches that the time alone asks for; more of them are made by the container or the scale.
    because : str
        ``"container"`` or ``"scale"`` where that asks for more batches than the time does, else empty.
    """

    per_cavity_ml: float | None
    per_cycle_ml: float
    dose: ResinDose
    cavities_per_batch: int | None
    batches: tuple[ResinBatch, ...]
    demold_min: float
    least_batch_g: float
    in_time: int = 0
    because: str = ""


RESIN_HEADROOM: Final = 1.5
"""Container over a batch of resin: enough to stir in, nothing foams up. Common practice, no source."""

LEAST_BATCH_G: Final = 85.0
"""Below 85 to 100 g a batch is measured badly and cures weakly; a caster's published practice (3 oz)."""


def cavity_ml(master: Master, settings: PourSettings) -> float:
    """Return the resin poured into one cavity, mL: the part, and what stands proud to be scraped or sanded."""
    return master.volume_ml + settings.overfill_mm * master.glued_area_mm2 / 1000.0 + settings.overfill_ml


def cavity_min(volume_ml: float, move_s: float, flow_ml_per_s: float) -> float:
    """Return the time to move to a cavity and fill it, minutes: t_move + V / Q."""
    return (move_s + volume_ml / flow_ml_per_s) / 60.0


def pigment_share(settings: PourSettings) -> float:
    """Return grams of pigment for one gram of A and B: typed per cent, else drops for 100 g."""
    if settings.pigment_pct > 0.0:
        return settings.pigment_pct / 100.0
    return settings.pigment_drops * settings.drop_g / 100.0


def resin_dose(mix: Mix, volume_ml: float, settings: PourSettings) -> ResinDose:
    """Return what is weighed for a volume of resin with its pigment.

    Notes
    -----
    The pigment is a share of A and B together and takes its room in the volume. A paste that reacts like B
    (``pigment_counts_as_b``) takes the place of so many grams of B, so the ratio stays right; any other is weighed on
    top, so that A to B stays right.
    """
    share = pigment_share(settings)
    one = dose(mix, 1.0)
    if share <= 0.0:
        whole = dose(mix, volume_ml)
        return ResinDose(volume_ml, whole.mass_g, whole.a_g, whole.b_g, 0.0)
    pigment, b = share * one.mass_g, one.b_g
    if settings.pigment_counts_as_b:
        pigment = min(pigment, one.b_g)
        b = one.b_g - pigment
    room = one.a_ml + b / mix.b_g_per_ml + pigment / PIGMENT_G_PER_ML
    factor = volume_ml / room
    a_g, b_g, pigment_g = one.a_g * factor, b * factor, pigment * factor
    return ResinDose(volume_ml, a_g + b_g + pigment_g, a_g, b_g, pigment_g)


def cavities_in_time(pot_min: float, mix_min: float, cavity_minutes: float, share: float = 0.75) -> int:
    """Return how many equal cavities one batch fills: floor((share t_pot - t_mix) / tau); 0 if none.

    Examples
    --------
    >>> cavities_in_time(2.0, 0.5, cavity_min(2.3114, 1.2, 5.0))
    36
    """
    return max(0, math.floor((share * pot_min - mix_min) / cavity_minutes + 1e-9))


def cycles_of_a_kit(mix: Mix, pour: "ResinPour") -> int | None:
    """Return how many whole cycles one kit of resin gives; None if it is not known what a kit holds."""
    if mix.kit_a_g is None or mix.kit_b_g is None or pour.dose.a_g <= 0.0 or pour.dose.b_g <= 0.0:
        return None
    return math.floor(min(mix.kit_a_g / pour.dose.a_g, mix.kit_b_g / pour.dose.b_g) + 1e-9)


def least_batch_g(mix: Mix, settings: PourSettings) -> float:
    """Return the least sensible batch, g: 85 g, or more where the scale's step is over 1 % of the smaller part."""
    if settings.scale_step_g is None:
        return LEAST_BATCH_G
    one = dose(mix, 1.0)
    return max(LEAST_BATCH_G, 100.0 * settings.scale_step_g * one.mass_g / min(one.a_g, one.b_g))


def resin_pour(project: Project) -> ResinPour:
    """Return the numbers of one cycle of casting, today; positions left empty are not filled."""
    settings, mix = project.pour, project.resin
    masters = {m.id: m for m in project.masters}
    cast = {m.id for m in project.masters if m.density_g_per_ml is None}
    of = {c.id: c.master for c in project.cavities if not c.empty and c.master in cast}
    order = tuple(i for i in pour_order(project) if i in of)
    each = {i: cavity_ml(masters[of[i]], settings) for i in order}
    loss = 1.0 + settings.resin_waste_pct / 100.0
    per_cycle = math.fsum(each.values()) * loss
    filler = _Filler(project, each, loss)
    capacity = filler.capacity(order)
    parts = filler.parts(order)
    in_time = len(filler.parts(order, gear=False)) if filler.cups else len(parts)
    return ResinPour(
        per_cavity_ml=math.fsum(each.values()) / len(each) if each else None,
        per_cycle_ml=per_cycle,
        dose=resin_dose(mix, per_cycle, settings),
        cavities_per_batch=capacity,
        batches=tuple(filler.batch(part) for part in parts),
        demold_min=demold_min(mix, settings.temperature_c),
        least_batch_g=least_batch_g(mix, settings),
        in_time=in_time,
        because=filler.cups[0][1] if filler.cups and len(parts) != in_time else "",
    )


def cup_limits(project: Project) -> tuple[tuple[float, str], ...]:
    """Return what container and scale allow a batch of resin, g, tightest first; empty where neither is known."""
    settings = project.pour
    found = []
    if settings.container_ml is not None:
        found.append((settings.container_ml / RESIN_HEADROOM * _coloured_g_per_ml(project), "container"))
    if settings.scale_limit_g is not None:
        found.append((max(0.0, settings.scale_limit_g - settings.container_tare_g), "scale"))
    return tuple(sorted(found))


def _coloured_g_per_ml(project: Project) -> float:
    return resin_dose(project.resin, 1.0, project.pour).mass_g


class _Filler:
    """Cavities to batches, with the time each takes."""

    def __init__(self, project: Project, each_ml: dict[CavityId, float], loss: float) -> None:
        self._project = project
        self._each = each_ml
        self._loss = loss
        self._share = time_limit_share(project, "resin_time")
        self._rho = _coloured_g_per_ml(project)
        self.cups = cup_limits(project)
        shop = project.order
        self._minutes = {i: cavity_min(v, shop.move_s, shop.resin_ml_per_s) for i, v in each_ml.items()}

    def fits(self, ids: tuple[CavityId, ...], extra: int = 0, *, gear: bool = True) -> bool:
        """Whether one batch fills these cavities, and so many more of their mean, within the share of its pot life.

        With ``gear`` also: whether it goes into the container and onto the scale.
        """
        grow = 1.0 + extra / len(ids)
        minutes = math.fsum(self._minutes[i] for i in ids) * grow
        mass = math.fsum(self._each[i] for i in ids) * grow * self._loss * self._rho
        if gear and self.cups and mass > self.cups[0][0] * (1.0 + 1e-9):
            return False
        pot = pot_life_min(self._project.resin, self._project.pour.temperature_c, mass)
        return self._project.resin.mix_min + minutes <= self._share * pot * (1.0 + 1e-9)

    def longest(self, order: tuple[CavityId, ...], *, gear: bool = True) -> int:
        """How many cavities from the start of this order one batch fills."""
        low, high = 0, len(order)
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if self.fits(order[:middle], gear=gear) else (low, middle - 1)
        return low

    def capacity(self, order: tuple[CavityId, ...]) -> int | None:
        """Cavities one batch could fill in time, also beyond those there are."""
        if not order:
            return None
        inside = self.longest(order, gear=False)
        if inside < len(order):
            return inside
        low, high = 0, 100_000
        while low < high:
            middle = (low + high + 1) // 2
            low, high = (middle, high) if self.fits(order, middle, gear=False) else (low, middle - 1)
        return len(order) + low

    def parts(self, order: tuple[CavityId, ...], *, gear: bool = True) -> tuple[tuple[CavityId, ...], ...]:
        """The fewest batches along the order, then as even as they can be; none if a cavity can't be filled."""
        greedy: list[tuple[CavityId, ...]] = []
        rest = order
        while rest:
            taken = self.longest(rest, gear=gear)
            if taken == 0:
                return ()
            greedy.append(rest[:taken])
            rest = rest[taken:]
        even = _evenly(order, [self._minutes[i] for i in order], len(greedy))
        return even if all(part and self.fits(part, gear=gear) for part in even) else tuple(greedy)

    def batch(self, ids: tuple[CavityId, ...]) -> ResinBatch:
        """The numbers of one batch."""
        settings, mix = self._project.pour, self._project.resin
        weighed = resin_dose(mix, math.fsum(self._each[i] for i in ids) * self._loss, settings)
        fill = math.fsum(self._minutes[i] for i in ids)
        pot = pot_life_min(mix, settings.temperature_c, weighed.mass_g)
        return ResinBatch(ids, weighed, fill, pot, (mix.mix_min + fill) / pot)


def _evenly(order: tuple[CavityId, ...], minutes: list[float], count: int) -> tuple[tuple[CavityId, ...], ...]:
    """Cut an order into a number of parts of about equal time."""
    total = math.fsum(minutes)
    parts: list[list[CavityId]] = [[] for _ in range(count)]
    passed = 0.0
    for cavity_id, each in zip(order, minutes, strict=True):
        parts[min(count - 1, int((passed + each / 2.0) * count / total))].append(cavity_id)
        passed += each
    return tuple(tuple(part) for part in parts)
