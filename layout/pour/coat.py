"""A detail coat brushed over the masters before the fill pour: its mass, its own pot life, its wait."""

import math
from dataclasses import dataclass
from typing import Final

from layout.geometry import footprint_area_mm2
from layout.model import Master, Project
from layout.pour.mixing import Dose, dose
from layout.pour.time import pot_life_min
from layout.regions import inner_area_mm2

WAIT_POT_LIVES: Final = 2.0
"""The fill pour goes on while the coat is tacky, about two pot lives after mixing. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Coat:
    """The detail coat.

    Parameters
    ----------
    area_mm2 : float
        Masters and the base between them.
    volume_ml : float
        What stays on: it takes the place of fill silicone.
    dose : Dose
        With the waste, the film of its cup and what the log has taught.
    brush_min, pot_life_min, wait_min : float
        Brushing; pot life today; from the end of brushing to the fill pour.
    time_share : float
        Mixing and brushing over its pot life.
    """

    area_mm2: float
    volume_ml: float
    dose: Dose
    brush_min: float
    pot_life_min: float
    wait_min: float
    time_share: float


def surface_mm2(master: Master) -> float:
    """Return the surface of a master without its back, mm2; unknown: that of an upright cylinder of its area."""
    if master.surface_mm2 is not None:
        return master.surface_mm2
    area = footprint_area_mm2(master.footprint)
    return area + 2.0 * math.sqrt(math.pi * area) * master.height_mm


def detail_coat(project: Project) -> Coat | None:
    """Return the detail coat of the project's masters and the base between them; None if its thickness is 0."""
    settings = project.pour
    if settings.coat_mm <= 0.0:
        return None
    masters = {m.id: m for m in project.masters}
    glued = [masters[c.master] for c in project.cavities if not c.empty]
    free = inner_area_mm2(project.box.shape) - math.fsum(footprint_area_mm2(m.footprint) for m in glued)
    area = max(0.0, free) + math.fsum(surface_mm2(m) for m in glued)
    volume_ml = area * settings.coat_mm / 1000.0
    mixed_ml = volume_ml * (1.0 + settings.waste_pct / 100.0) + settings.cup_film_ml
    weighed = dose(project.silicone, mixed_ml * settings.correction)
    pot = pot_life_min(project.silicone, settings.temperature_c)
    brush = area / 100.0 / settings.coat_cm2_per_min
    wait = WAIT_POT_LIVES * pot if settings.coat_wait_min is None else settings.coat_wait_min
    return Coat(area, volume_ml, weighed, brush, pot, wait, (project.silicone.mix_min + brush) / pot)
