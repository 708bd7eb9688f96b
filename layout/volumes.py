"""Volumes of a mold: the box to the pour height, the masters in it, what is left for silicone."""

import math
from dataclasses import dataclass

from layout.geometry import as_polygon, footprint_size_mm
from layout.model import CavityId, Project, RectBox
from layout.regions import edge_distance_mm, inner_area_mm2, inner_polygon, inner_size_mm, placed_cavity
from layout.tolerances import CLEARANCE_TOL_MM

LEAST_FREEBOARD_MM = 9.525
FREEBOARD_SHARE = 0.1


@dataclass(frozen=True, slots=True)
class Volumes:
    """The silicone of one mold before any loss, mL.

    Parameters
    ----------
    box_ml : float
        Box to the pour height.
    masters_ml : float
        All masters glued in it.
    net_ml : float
        ``box_ml - masters_ml``.
    level_ml : float
        The part of ``box_ml`` that only fills the level error: a wedge, half of it over the whole box.
    """

    box_ml: float
    masters_ml: float
    net_ml: float
    level_ml: float


def level_error_mm(project: Project) -> float:
    """Return how much higher one side of the pour stands on a bench out of level, mm."""
    return max(inner_size_mm(project.box.shape)) * math.tan(math.radians(project.pour.level_deg))


def tallest_mm(project: Project) -> float:
    """Return the height of the tallest master that has a cavity, else of the tallest master; 0.0 without masters."""
    heights = {m.id: m.height_mm for m in project.masters}
    used = [heights[c.master] for c in project.cavities]
    return max(used or heights.values(), default=0.0)


def pour_height_mm(project: Project) -> float:
    """Return the height of the silicone over the base: tallest master, floor and level error, mm."""
    return tallest_mm(project) + project.rules.floor_mm + level_error_mm(project)


def freeboard_mm(project: Project) -> float:
    """Return the height of the side above the pour line, mm."""
    if project.rules.freeboard_mm is not None:
        return project.rules.freeboard_mm
    return max(LEAST_FREEBOARD_MM, FREEBOARD_SHARE * pour_height_mm(project))


def side_height_mm(project: Project) -> float:
    """Return the inner height of the sides: pour height and freeboard, mm."""
    return pour_height_mm(project) + freeboard_mm(project)


def volumes(project: Project) -> Volumes:
    """Return the volumes of the mold as laid out; empty positions displace nothing.

    Notes
    -----
    On a bench out of level the silicone stands at the pour height at its deep end and lower by the level error at the
    other: on average by half of it. A part that sticks out of the box (the layout is being made) displaces only by the
    share of its footprint that is inside.
    """
    area = inner_area_mm2(project.box.shape)
    each = {m.id: m.volume_ml for m in project.masters}
    level_ml = area * level_error_mm(project) / 2.0 / 1000.0
    box_ml = area * pour_height_mm(project) / 1000.0 - level_ml
    share = _shares_inside(project)
    masters_ml = math.fsum(each[c.master] * share.get(c.id, 1.0) for c in project.cavities if not c.empty)
    return Volumes(box_ml, masters_ml, box_ml - masters_ml, level_ml)


def _shares_inside(project: Project) -> dict[CavityId, float]:
    """Return the share of the footprint that lies in the box, for the cavities that stick out."""
    shape = project.box.shape
    length, width = inner_size_mm(shape)
    reach = {m.id: math.hypot(*footprint_size_mm(m.footprint)) / 2.0 for m in project.masters}
    shares: dict[CavityId, float] = {}
    for cavity in project.cavities:
        r = reach[cavity.master]
        if isinstance(shape, RectBox) and r <= cavity.x_mm <= length - r and r <= cavity.y_mm <= width - r:
            continue
        placed = placed_cavity(project, cavity)
        if edge_distance_mm(shape, placed) < -CLEARANCE_TOL_MM:
            whole = as_polygon(placed)
            shares[cavity.id] = float(whole.intersection(inner_polygon(shape)).area / whole.area)
    return shares
