"""The single mold: one original in a tube, silicone poured over it, from which the masters are cast."""

import math
from dataclasses import dataclass
from typing import Final

import shapely

from layout.geometry import Disc, footprint_polygon
from layout.model import Master, Project

TUBE_STEP_MM: Final = 12.7
"""Tubes are sold in half inches. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class SingleMold:
    """A tube for one original.

    Parameters
    ----------
    diameter_mm : float
        Inner diameter of the tube: the next one sold that leaves an edge all round the part.
    height_mm : float
        Pour height: the part and a floor.
    silicone_ml : float
        Net.
    """

    diameter_mm: float
    height_mm: float
    silicone_ml: float


def single_mold(project: Project, master: Master, diameter_mm: float | None = None) -> SingleMold:
    """Return the single mold of a master.

    Parameters
    ----------
    project : Project
        For its edge and floor.
    master : Master
    diameter_mm : float, optional
        Inner diameter of the tube at hand; else the next size sold.

    Notes
    -----
    ``pi D^2 / 4 (h + floor) - Vp``; the extent is the diameter of the least circle round the footprint.
    """
    footprint = master.footprint
    radius = footprint.radius_mm if isinstance(footprint, Disc) else _least_radius_mm(master)
    least = 2.0 * (radius + project.rules.edge_mm)
    diameter = diameter_mm or math.ceil(least / TUBE_STEP_MM - 1e-9) * TUBE_STEP_MM
    height = master.height_mm + project.rules.floor_mm
    return SingleMold(diameter, height, math.pi * diameter**2 / 4.0 * height / 1000.0 - master.volume_ml)


def _least_radius_mm(master: Master) -> float:
    return float(shapely.minimum_bounding_radius(footprint_polygon(master.footprint)))
