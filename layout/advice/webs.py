"""Tall webs: the wall between a full cavity and an empty one leans over like a cantilever under the resin's weight.

delta = 0.4 rho g H^5 / (E w^3), derived from beam theory for a triangular load; cross-webs are ignored, which is on
the safe side.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from layout.geometry import Segment, as_polygon, distance_mm, nearest_segment
from layout.model import CavityId, Project
from layout.regions import placed_cavities
from layout.units import GRAVITY_M_PER_S2

LEAN_MM: Final = 0.25
"""How far the top of a wall may lean: parts come out oval beyond. Engineering judgement, no source."""

RESIN_KG_PER_M3: Final = 1050.0
USUAL_SHORE_A: Final = 20.0
"""Taken where the silicone's hardness is not known."""


def modulus_mpa(shore_a: float) -> float:
    """Return Young's modulus of a mold rubber, MPa: log10 E = 0.0235 S - 0.6403, to +-30 %.

    Notes
    -----
    A maker's white paper as quoted on a web page; a 2026 paper in Polymers finds such formulas good to 30 %.

    Examples
    --------
    >>> [round(modulus_mpa(s), 2) for s in (10, 20, 30, 40)]
    [0.39, 0.68, 1.16, 1.99]
    """
    return float(10.0 ** (0.0235 * shore_a - 0.6403))


def wall_that_stands_mm(height_mm: float, shore_a: float, lean_mm: float = LEAN_MM) -> float:
    """Return the wall that leans by no more than ``lean_mm`` at a height of cavity, mm.

    Examples
    --------
    >>> round(wall_that_stands_mm(40.0, 20.0), 2)
    13.57
    """
    load = 0.4 * RESIN_KG_PER_M3 * GRAVITY_M_PER_S2 * (height_mm / 1000.0) ** 5
    return float(1000.0 * (load / (modulus_mpa(shore_a) * 1e6 * lean_mm / 1000.0)) ** (1.0 / 3.0))


def height_that_stands_mm(wall_mm: float, shore_a: float, lean_mm: float = LEAN_MM) -> float:
    """Return the tallest cavity a wall stands up to, mm; the inverse of `wall_that_stands_mm`; 0.0 where parts overlap.

    Examples
    --------
    >>> round(height_that_stands_mm(6.35, 20.0), 1)
    25.4
    """
    stiffness = modulus_mpa(shore_a) * 1e6 * lean_mm / 1000.0 * (max(wall_mm, 0.0) / 1000.0) ** 3
    return float(1000.0 * (stiffness / (0.4 * RESIN_KG_PER_M3 * GRAVITY_M_PER_S2)) ** 0.2)


@dataclass(frozen=True, slots=True)
class WeakWeb:
    """The weakest wall of a layout.

    Parameters
    ----------
    cavities : (CavityId, CavityId)
    wall_mm, stands_mm, height_mm : float
        The wall there is; the one that stands; the height both cavities have.
    segment : Segment
    count : int
        Walls that are thinner than the one that stands.
    """

    cavities: tuple[CavityId, CavityId]
    wall_mm: float
    stands_mm: float
    height_mm: float
    segment: Segment
    count: int


def shore_of(project: Project) -> float:
    """Return the hardness of the project's silicone, Shore A; a usual one where it is not known."""
    return USUAL_SHORE_A if project.silicone.shore_a is None else project.silicone.shore_a


def weakest_web(project: Project) -> WeakWeb | None:
    """Return the wall that falls shortest of the one that stands; None if all stand.

    Notes
    -----
    A wall is free to lean over the height that both its cavities have: the lower one's.
    """
    placed = placed_cavities(project)
    heights = {m.id: m.height_mm for m in project.masters}
    ids = [c.id for c in project.cavities]
    tall = {c.id: heights[c.master] for c in project.cavities}
    if len(ids) < 2:
        return None
    shore = shore_of(project)
    polygons = np.array([as_polygon(placed[i]) for i in ids], dtype=object)
    reach = wall_that_stands_mm(max(tall.values()), shore)
    pairs = shapely.STRtree(polygons).query(polygons, predicate="dwithin", distance=reach)
    weak: list[tuple[float, CavityId, CavityId, float, float, float]] = []
    for i, j in pairs.T:
        if i >= j:
            continue
        a, b = ids[int(i)], ids[int(j)]
        height = min(tall[a], tall[b])
        wall, stands = distance_mm(placed[a], placed[b]), wall_that_stands_mm(height, shore)
        if wall < stands * (1.0 - 1e-9) and not math.isclose(wall, stands):
            weak.append((wall / stands, a, b, wall, stands, height))
    if not weak:
        return None
    _, a, b, wall, stands, height = min(weak)
    return WeakWeb((a, b), wall, stands, height, nearest_segment(placed[a], placed[b]), len(weak))
