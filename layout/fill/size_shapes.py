"""Sizes of boxes drawn tight round a layout: rounded to what is written down, and the circle round all cavities."""

import math
from typing import Final

import numpy as np
import shapely

from layout.geometry import PlacedDisc
from layout.model import Project
from layout.regions import placed_cavities

STEP_MM: Final = 1e-4
"""Sizes of boxes are written in such steps, mm."""


def rounded_up_mm(value_mm: float) -> float:
    """Return the next size that is written down, mm; a tenth of what the check forgives is taken for rounding."""
    return round(math.ceil(value_mm / STEP_MM - 1e-3) * STEP_MM, 4)


def circle_round(project: Project) -> tuple[tuple[float, float], float]:
    """Return centre and radius of a small circle round all cavities, mm: the least, to a ten-thousandth for discs."""
    placed = list(placed_cavities(project).values())
    points = np.vstack([shapely.get_coordinates(p.polygon if isinstance(p, PlacedDisc) else p) for p in placed])
    around = shapely.minimum_bounding_circle(shapely.MultiPoint(points))
    x, y = around.centroid.x, around.centroid.y
    radius = max(
        math.hypot(p.x_mm - x, p.y_mm - y) + p.radius_mm
        if isinstance(p, PlacedDisc)
        else float(np.hypot(*(shapely.get_coordinates(p) - (x, y)).T).max())
        for p in placed
    )
    return (x, y), radius
