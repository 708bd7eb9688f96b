"""Does it fit the gear: the container in the vacuum chamber, the mold in the pressure pot."""

import math
from dataclasses import dataclass

from layout.model import Project, RoundBox
from layout.regions import inner_size_mm
from layout.volumes import pour_height_mm


@dataclass(frozen=True, slots=True)
class GearFit:
    """One thing that must go into another, mm.

    Parameters
    ----------
    thing, gear : str
    diameter_mm, height_mm : float
        Of the thing: the circle round it, and its height.
    gear_diameter_mm, gear_height_mm : float
    remedy : str
    """

    thing: str
    gear: str
    diameter_mm: float
    height_mm: float
    gear_diameter_mm: float
    gear_height_mm: float
    remedy: str

    @property
    def fits(self) -> bool:
        """Whether it goes in."""
        return self.diameter_mm <= self.gear_diameter_mm and self.height_mm <= self.gear_height_mm


def block_circle_mm(project: Project) -> float:
    """Return the diameter of the circle round the silicone block, mm."""
    shape = project.box.shape
    return shape.diameter_mm if isinstance(shape, RoundBox) else math.hypot(*inner_size_mm(shape))


def gear_fits(project: Project) -> tuple[GearFit, ...]:
    """Return what must go into what, for the gear whose size is known."""
    s = project.pour
    found = []
    if s.degas and None not in (s.container_diameter_mm, s.chamber_diameter_mm):
        found.append(
            GearFit(
                "container",
                "vacuum chamber",
                s.container_diameter_mm or 0.0,
                s.container_height_mm or 0.0,
                s.chamber_diameter_mm or 0.0,
                math.inf if s.chamber_height_mm is None else s.chamber_height_mm,
                "take a smaller container and more batches",
            )
        )
    if s.pressure_pot_diameter_mm is not None:
        found.append(
            GearFit(
                "mold",
                "pressure pot",
                block_circle_mm(project),
                pour_height_mm(project),
                s.pressure_pot_diameter_mm,
                math.inf if s.pressure_pot_height_mm is None else s.pressure_pot_height_mm,
                "make the box smaller, or cast without pressure",
            )
        )
    return tuple(found)
