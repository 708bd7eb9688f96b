"""The silicone of one mold: net volume to doses, batch by batch, with the kits it takes and what is left of them."""

import math
from dataclasses import dataclass
from typing import Final

from layout.limits import limit
from layout.model import Mix, Project
from layout.pour.batches import Batching, Cap, split
from layout.pour.coat import Coat, detail_coat
from layout.pour.mixing import Dose, dose, mixed_g_per_ml
from layout.pour.savings import filler_room_ml
from layout.pour.time import demold_min, largest_batch_of_ml, pot_life_min, pour_min
from layout.volumes import Volumes, pour_height_mm, volumes


@dataclass(frozen=True, slots=True)
class Kits:
    """Kits to buy and what is left of each part, g.

    Parameters
    ----------
    count : int
        On top of what is on the shelf; 0 if the shelf is enough.
    left_a_g, left_b_g : float
    usable_ml : float
        What can still be mixed: the part that runs out first limits it.
    """

    count: int
    left_a_g: float
    left_b_g: float
    usable_ml: float


_WHY_NONE: Final = {
    "pot life": "does not fit its pot life",
    "container": "the container is too small",
    "scale": "the scale is too small",
}


@dataclass(frozen=True, slots=True)
class SiliconePour:
    """All numbers of the silicone pour.

    Parameters
    ----------
    volumes : Volumes
        Box, masters, net, mL.
    filler_ml : float
        Old silicone that takes the place of new: what there is, but no more than goes in with its cover.
    coat : Coat or None
        The detail coat, brushed on first out of a cup of its own.
    poured_ml : float
        All that leaves the cups of the fill pour: waste and what the log has taught are in it, the films are not.
    batching : Batching
        Of the fill pour.
    dose, batch_dose : Dose
        Of all batches of the fill pour, and of each.
    pour_height_mm : float
        The fill line over the base.
    container_ml : float
        Least container for a batch.
    pot_life_min, demold_min : float
        Today.
    mix_min, degas_min, pour_min : float
        Of each batch.
    time_share : float
        Mixing, degassing and pouring of a batch over its pot life.
    kits : Kits or None
        None if it is not known what a kit holds.
    """

    volumes: Volumes
    filler_ml: float
    coat: Coat | None
    poured_ml: float
    batching: Batching
    dose: Dose
    batch_dose: Dose
    pour_height_mm: float
    container_ml: float
    pot_life_min: float
    demold_min: float
    mix_min: float
    degas_min: float
    pour_min: float
    time_share: float
    kits: Kits | None

    @property
    def why_none(self) -> str:
        """What stands in the way where no number of batches does it, in words; empty where one does."""
        return "" if self.batching.count is not None else _WHY_NONE[self.batching.because]

    @property
    def total_a_g(self) -> float:
        """Part A of the fill pour and the coat, g."""
        return self.dose.a_g + (self.coat.dose.a_g if self.coat else 0.0)

    @property
    def total_b_g(self) -> float:
        """Part B of the fill pour and the coat, g."""
        return self.dose.b_g + (self.coat.dose.b_g if self.coat else 0.0)


def silicone_pour(project: Project) -> SiliconePour:
    """Return the numbers of the silicone pour of a project as laid out, today.

    Notes
    -----
    Net is the box to the pour height less the masters glued in it; the batch adds the waste in per cent and a film for
    each cup, all times the correction the log has taught. Batches are the most that container, scale and pot life ask
    for.
    """
    settings, mix = project.pour, project.silicone
    found = volumes(project)
    coat = detail_coat(project)
    filler = min(settings.filler_ml, filler_room_ml(project)) if settings.filler_ml > 0.0 else 0.0
    new_ml = max(0.0, found.net_ml - filler - (coat.volume_ml if coat else 0.0))
    poured_ml = new_ml * (1.0 + settings.waste_pct / 100.0) * settings.correction
    film_ml = settings.cup_film_ml * settings.correction
    degas = settings.degas_min if settings.degas else 0.0
    batching = split(poured_ml, film_ml, _caps(project, degas, film_ml))
    batch = dose(mix, batching.per_batch_ml)
    pot = pot_life_min(mix, settings.temperature_c, batch.mass_g)
    whole = dose(mix, batching.total_ml)
    emptying = pour_min(poured_ml / (batching.count or 1), settings.pour_ml_per_s)
    coat_g = (coat.dose.a_g, coat.dose.b_g) if coat else (0.0, 0.0)
    return SiliconePour(
        volumes=found,
        filler_ml=filler,
        coat=coat,
        poured_ml=poured_ml,
        batching=batching,
        dose=whole,
        batch_dose=batch,
        pour_height_mm=pour_height_mm(project),
        container_ml=settings.headroom * batching.per_batch_ml,
        pot_life_min=pot,
        demold_min=demold_min(mix, settings.temperature_c),
        mix_min=mix.mix_min,
        degas_min=degas,
        pour_min=emptying,
        time_share=(mix.mix_min + degas + emptying) / pot,
        kits=kits(mix, whole.a_g + coat_g[0], whole.b_g + coat_g[1]),
    )


def time_limit_share(project: Project, kind: str) -> float:
    """Return the share of the pot life a batch may take before it is refused; 0.75 unless the user has set another."""
    share = limit(project, kind).refuse
    return 1.0 if share is None else share


def _caps(project: Project, degas_min: float, film_ml: float) -> tuple[Cap, ...]:
    """Return what limits a batch: the pot life by what is poured, container and scale by what is mixed."""
    settings = project.pour
    share, rate = time_limit_share(project, "silicone_time"), settings.pour_ml_per_s
    most = largest_batch_of_ml(project.silicone, settings.temperature_c, degas_min, rate, share, film_ml)
    caps = [Cap("pot life", most, of_poured=True)]
    if settings.container_ml is not None:
        caps.append(Cap("container", settings.container_ml / settings.headroom))
    if settings.scale_limit_g is not None:
        left_g = max(0.0, settings.scale_limit_g - settings.container_tare_g)
        caps.append(Cap("scale", left_g / mixed_g_per_ml(project.silicone)))
    return tuple(caps)


def kits(mix: Mix, a_g: float, b_g: float) -> Kits | None:
    """Return the kits to buy for so much of A and B beyond what is on the shelf, and what is left of each part.

    Notes
    -----
    n = ceil(max(mA / kitA, mB / kitB)). The usable left-over is that of the part that runs out first.
    """
    if mix.kit_a_g is None or mix.kit_b_g is None:
        return None
    short = max((a_g - mix.left_a_g) / mix.kit_a_g, (b_g - mix.left_b_g) / mix.kit_b_g)
    count = max(0, math.ceil(short - 1e-9))
    left_a = mix.left_a_g + count * mix.kit_a_g - a_g
    left_b = mix.left_b_g + count * mix.kit_b_g - b_g
    one = dose(mix, 1.0)
    usable_ml = max(0.0, min(left_a / one.a_g, left_b / one.b_g))
    return Kits(count, left_a, left_b, usable_ml)
