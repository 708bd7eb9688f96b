"""The silicone between chosen cavities and what is next to them, to be shown with its length."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

import numpy as np
import shapely

from layout.geometry import (
    Placed,
    PlacedDisc,
    Segment,
    as_polygon,
    depth_mm,
    distance_mm,
    nearest_segment,
    segment_length_mm,
)
from layout.model import BoxShape, CavityId, Project, RectBox
from layout.regions import edge_distance_mm, edge_segment, placed_cavities, placed_keep_out
from layout.tolerances import CLEARANCE_TOL_MM

if TYPE_CHECKING:
    from collections.abc import Collection

_NEAREST: Final = 8
"""Neighbours looked at for each cavity: six stand round a disc, eight round a square."""

_MANY: Final = 12
"""With more cavities chosen only the thinnest gap of each is told: more could not be read."""


@dataclass(frozen=True, slots=True)
class Gap:
    """The silicone between a chosen cavity and a neighbour, a keep-out or a side of the box.

    Parameters
    ----------
    kind : {"cavity", "keep-out", "side"}
    name : str
        Id of the neighbour or keep-out; for a rectangular box ``left``, ``right``, ``top`` or ``bottom``, else empty.
    cavity : CavityId
    distance_mm : float
        Negative where parts overlap, by how deep, or where one sticks out of the box.
    required_mm : float
        What the rules ask for; 0 for a keep-out.
    segment : Segment
        Where it is measured.
    """

    kind: Literal["cavity", "keep-out", "side"]
    name: str
    cavity: CavityId
    distance_mm: float
    required_mm: float
    segment: Segment

    @property
    def is_thin(self) -> bool:
        """Whether it is less than the rules ask for."""
        return self.distance_mm < self.required_mm - CLEARANCE_TOL_MM


def gaps(project: Project, ids: Collection[CavityId]) -> tuple[Gap, ...]:
    """Return the gaps round these cavities, the thinnest first.

    Notes
    -----
    A gap is told if nothing else stands in it: the straight line between the two crosses no third footprint.
    """
    placed, wanted = placed_cavities(project), set(ids)
    chosen = [i for i in placed if i in wanted]
    others: list[tuple[Literal["cavity", "keep-out"], str, Placed]] = [
        ("cavity", str(i), p) for i, p in placed.items() if i not in wanted
    ]
    others += [("keep-out", str(k.id), placed_keep_out(k)) for k in project.keep_outs]
    shapes = [as_polygon(p) for _, _, p in others]
    tree = shapely.STRtree(shapes)
    found: list[Gap] = []
    for cavity_id in chosen:
        own = placed[cavity_id]
        mine: list[Gap] = []
        for index, distance, segment in _nearest(tree, [p for _, _, p in others], own):
            kind, name, _ = others[index]
            required = project.rules.wall_mm if kind == "cavity" else 0.0
            if _is_open(tree, segment, {index}):
                mine.append(Gap(kind, name, cavity_id, distance, required, segment))
        mine += _sides(project.box.shape, project.rules.edge_mm, cavity_id, own, tree)
        mine.sort(key=lambda g: g.distance_mm - g.required_mm)
        found += mine[:1] if len(chosen) > _MANY else mine
    return tuple(sorted(found, key=lambda g: g.distance_mm))


def _nearest(tree: shapely.STRtree, others: list[Placed], own: Placed) -> list[tuple[int, float, Segment]]:
    """The nearest others: which, how far, and where it is measured."""
    if not others:
        return []
    polygon = as_polygon(own)
    reach = float(np.hypot(polygon.bounds[2] - polygon.bounds[0], polygon.bounds[3] - polygon.bounds[1]))
    near = tree.query(polygon, predicate="dwithin", distance=reach)
    if not len(near):
        near = tree.query_nearest(polygon)
    found = [(int(k), *_measured(own, others[int(k)])) for k in near]
    return sorted(found, key=lambda m: m[1])[:_NEAREST]


def _measured(own: Placed, other: Placed) -> tuple[float, Segment]:
    """The distance and its segment; where the two overlap, how deep and across what.

    For polygons the distance is the segment's length, which spares half the work.
    """
    segment = nearest_segment(own, other)
    round_one = isinstance(own, PlacedDisc) or isinstance(other, PlacedDisc)
    distance = distance_mm(own, other) if round_one else segment_length_mm(segment)
    if distance <= 0.0:
        deep, across = depth_mm(own, other)
        if deep > CLEARANCE_TOL_MM:
            return -deep, across
    return distance, segment


def _is_open(tree: shapely.STRtree, segment: Segment, but: set[int]) -> bool:
    if segment[0] == segment[1]:
        return True
    return not {int(i) for i in tree.query(shapely.linestrings(segment), predicate="intersects")} - but


def _sides(shape: BoxShape, edge_mm: float, cavity_id: CavityId, own: Placed, tree: shapely.STRtree) -> list[Gap]:
    if not isinstance(shape, RectBox):
        return [Gap("side", "", cavity_id, edge_distance_mm(shape, own), edge_mm, edge_segment(shape, own))]
    x0, y0, x1, y1 = own.bounds
    ways = {
        "left": (x0, _at(own, 0, x0), 0.0),
        "bottom": (y0, _at(own, 1, y0), 0.0),
        "right": (x1, _at(own, 0, x1), shape.length_mm),
        "top": (y1, _at(own, 1, y1), shape.width_mm),
    }
    found = []
    for name, (start, along, end) in ways.items():
        level = name in ("left", "right")
        segment: Segment = ((start, along), (end, along)) if level else ((along, start), (along, end))
        distance = start - end if name in ("left", "bottom") else end - start
        if distance < edge_mm or _is_open(tree, segment, set()):
            found.append(Gap("side", name, cavity_id, distance, edge_mm, segment))
    return found


def _at(own: Placed, axis: int, value: float) -> float:
    """Where along a side the footprint comes nearest to it."""
    if isinstance(own, PlacedDisc):
        return own.y_mm if axis == 0 else own.x_mm
    xy = shapely.get_coordinates(own)[:-1]
    there = xy[np.abs(xy[:, axis] - value) < 1e-9, 1 - axis]
    middle = float(there.mean())
    point = (value, middle) if axis == 0 else (middle, value)
    if own.exterior.distance(shapely.points(point)) < 1e-9:
        return middle
    # two prongs: the middle between them is not on the part
    return float(there[np.abs(there - middle).argmin()])
