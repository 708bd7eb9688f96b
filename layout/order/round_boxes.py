"""Round boxes for counts of cavities: filled at many diameters, then cut down to the least circle round the parts."""

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import shapely

from layout import edits
from layout.geometry import PlacedDisc, as_polygon, footprint_size_mm
from layout.model import Cavity, Project, RoundBox
from layout.regions import inner_size_mm, placed_cavities

HAIR_MM = 1e-6
"""Added to a box that is cut down: what is measured from the moved cavities is not short of the edge by rounding."""


def diameters(project: Project, largest_mm: float, steps: int) -> Iterator[RoundBox]:
    """Yield the largest round box, then smaller ones down to the least that holds one part."""
    small = 2.0 * project.rules.edge_mm + min(footprint_size_mm(project.masters[0].footprint))
    yield RoundBox(largest_mm)
    yield from (RoundBox(d) for d in sides(small, largest_mm, 2 * steps))


def from_the_middle(project: Project) -> tuple[Project, ...]:
    """Return the layout with its cavities outwards, from the middle of the box and from the middle of its parts."""
    half = inner_size_mm(project.box.shape)[0] / 2.0
    middles = {(half, half)}
    if project.cavities:
        x, y = np.mean([(c.x_mm, c.y_mm) for c in project.cavities], axis=0).tolist()
        middles.add((x, y))
        nearest = min(project.cavities, key=lambda c: math.hypot(c.x_mm - half, c.y_mm - half))
        middles.add((nearest.x_mm, nearest.y_mm))
    return tuple(
        replace(
            project,
            cavities=tuple(
                sorted(project.cavities, key=lambda c: (round(math.hypot(c.x_mm - x, c.y_mm - y), 6), c.id))
            ),
        )
        for x, y in sorted(middles)
    )


def _points_and_margin(project: Project) -> tuple[list[npt.NDArray[np.float64]], float]:
    """Points of each cavity and what stands out beyond them: corners, or the middle of a disc and its radius."""
    placed = list(placed_cavities(project).values())
    if placed and all(isinstance(p, PlacedDisc) for p in placed):
        discs = [p for p in placed if isinstance(p, PlacedDisc)]
        if len({round(d.radius_mm, 9) for d in discs}) == 1:
            return [np.array([[d.x_mm, d.y_mm]]) for d in discs], discs[0].radius_mm
    return [shapely.get_coordinates(as_polygon(p)) for p in placed], 0.0


def _least_circle(points: npt.NDArray[np.float64]) -> tuple[float, float, float]:
    if len(points) == 1:
        return float(points[0, 0]), float(points[0, 1]), 0.0
    cloud = shapely.multipoints(points)
    middle = shapely.get_coordinates(shapely.centroid(shapely.minimum_bounding_circle(cloud)))[0]
    # measured again from its middle, so that no point is left outside by the polygon that stands for the circle
    return float(middle[0]), float(middle[1]), float(np.hypot(*(points - middle).T).max())


def round_areas_mm2(project: Project) -> list[float]:
    """Return the inner area that the first 1, 2, 3 ... cavities need in a round box."""
    points, margin = _points_and_margin(project)
    edge = project.rules.edge_mm
    areas = []
    for count in range(1, len(points) + 1):
        radius = _least_circle(np.concatenate(points[:count]))[2]
        areas.append(math.pi * (radius + margin + edge) ** 2)
    return areas


def round_about(project: Project) -> Project:
    """Return the project with its round box made as small as its cavities and the edge allow."""
    points, margin = _points_and_margin(project)
    x, y, radius = _least_circle(np.concatenate(points))
    half = radius + margin + project.rules.edge_mm + HAIR_MM / 2.0

    def move(cavity: Cavity) -> Cavity:
        return replace(cavity, x_mm=cavity.x_mm - x + half, y_mm=cavity.y_mm - y + half)

    moved = edits.change_cavities(project, [c.id for c in project.cavities], move)
    return replace(moved, box=replace(project.box, shape=RoundBox(2.0 * half)))


def sides(small: float, large: float, most: int) -> list[float]:
    """Return up to so many lengths below the large one, 2 mm apart or more."""
    if small >= large:
        return [large]
    steps = max(1, min(most, math.ceil((large - small) / 2.0)))
    return [large - (large - small) * k / steps for k in range(1, steps + 1)]
