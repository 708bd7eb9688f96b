"""Silicone that could be saved: masters of unequal height, old silicone as filler."""

import math
from dataclasses import dataclass
from typing import Final

import shapely

from layout.geometry import as_polygon
from layout.model import MasterId, Project
from layout.regions import inner_area_mm2, inner_polygon, placed_cavity
from layout.volumes import pour_height_mm

CHOPPED_SHARE: Final = 0.5
"""Chopped silicone fills about half of the room it is poured in. Common practice, no source."""

HEIGHT_GROUP_MM: Final = 1.0
"""Masters closer in height than this go in one box."""


@dataclass(frozen=True, slots=True)
class Savings:
    """What masters of unequal height cost, mL.

    Parameters
    ----------
    pedestals_ml : float
        Displaced by pedestals of each master's own glued back that lift all to the tallest; the cavities become that
        much deeper than the part.
    grouping_ml : float
        Saved by a box for each height, each taking the share of the area its cavities have; an estimate.
    groups : tuple of (height_mm, count)
        From the tallest down.
    """

    pedestals_ml: float
    grouping_ml: float
    groups: tuple[tuple[float, int], ...]


def savings(project: Project) -> Savings | None:
    """Return what pedestals or grouping would save; None if all masters are about the same height."""
    masters = {m.id: m for m in project.masters}
    heights = [masters[c.master].height_mm for c in project.cavities]
    if not heights or max(heights) - min(heights) <= HEIGHT_GROUP_MM:
        return None
    tallest = max(heights)
    glued = [masters[c.master] for c in project.cavities if not c.empty]
    pedestals = math.fsum(m.glued_area_mm2 * (tallest - m.height_mm) for m in glued) / 1000.0
    areas = {m.id: placed_area_mm2(project, m.id) for m in project.masters}
    total = math.fsum(areas[c.master] for c in project.cavities)
    box_area = inner_area_mm2(project.box.shape)
    grouping = math.fsum(
        box_area * areas[c.master] / total * (tallest - masters[c.master].height_mm) for c in project.cavities
    )
    counts: dict[float, int] = {}
    for height in sorted(heights, reverse=True):
        near = next((h for h in counts if h - height <= HEIGHT_GROUP_MM), height)
        counts[near] = counts.get(near, 0) + 1
    return Savings(pedestals, grouping / 1000.0, tuple(counts.items()))


def placed_area_mm2(project: Project, master_id: MasterId) -> float:
    """Return the area of a master with half a wall round it, mm2: what it takes of the box."""
    cavity = next((c for c in project.cavities if c.master == master_id), None)
    if cavity is None:
        return 0.0
    return float(as_polygon(placed_cavity(project, cavity)).buffer(project.rules.wall_mm / 2.0).area)


def filler_room_ml(project: Project) -> float:
    """Return how much old silicone, chopped, goes in with its cover of new silicone all round, mL; an estimate.

    Notes
    -----
    Room lies over each master that is low enough and in the ground between masters, each kept clear of masters, base,
    sides and the pour line by the cover; half of that room is filled.
    """
    cover = project.pour.filler_cover_mm
    height = pour_height_mm(project)
    inside = inner_polygon(project.box.shape).buffer(-cover)
    heights = {m.id: m.height_mm for m in project.masters}
    room = 0.0
    around = []
    for cavity in project.cavities:
        if cavity.empty:
            continue
        polygon = as_polygon(placed_cavity(project, cavity))
        around.append(polygon.buffer(cover))
        over = height - heights[cavity.master] - 2.0 * cover
        if over > 0.0:
            room += float(polygon.intersection(inside).area) * over
    ground = inside.difference(shapely.union_all(around)) if around else inside
    room += float(ground.area) * max(0.0, height - 2.0 * cover)
    return CHOPPED_SHARE * room / 1000.0
