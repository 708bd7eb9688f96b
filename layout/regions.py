"""Where things are in the box: its inside, the cavities placed in it, the keep-outs."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely

from layout.geometry import (
    XY,
    Disc,
    FloatArray,
    Footprint,
    Placed,
    PlacedDisc,
    Segment,
    as_polygon,
    circle_inside,
    cos_sin,
    nearest_segment,
    place,
    segment_length_mm,
    turned,
)
from layout.model import BoxShape, Cavity, CavityId, KeepOut, MasterId, OutlineBox, Project, RectBox, RoundBox

if TYPE_CHECKING:
    from collections.abc import Iterator

    from shapely.geometry import MultiPolygon, Polygon


def inner_polygon(shape: BoxShape) -> Polygon:
    """Return the inside of the box as a polygon that lies inside it; exact but for a round box."""
    if isinstance(shape, RectBox):
        return shapely.box(0.0, 0.0, shape.length_mm, shape.width_mm)
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        return shapely.Polygon(circle_inside(r) + r)
    return shapely.Polygon(shape.points)


def inner_size_mm(shape: BoxShape) -> tuple[float, float]:
    """Return the inner extent of the box along x and y, mm."""
    if isinstance(shape, RectBox):
        return shape.length_mm, shape.width_mm
    if isinstance(shape, RoundBox):
        return shape.diameter_mm, shape.diameter_mm
    xs, ys = zip(*shape.points, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def inner_area_mm2(shape: BoxShape) -> float:
    """Return the inner area of the box, mm2; exact."""
    if isinstance(shape, RoundBox):
        return math.pi * shape.diameter_mm**2 / 4.0
    if isinstance(shape, RectBox):
        return shape.length_mm * shape.width_mm
    return float(shapely.Polygon(shape.points).area)


def edge_distance_mm(shape: BoxShape, placed: Placed) -> float:
    """Return the silicone between a placed footprint and the nearest side of the box, mm.

    Returns
    -------
    float
        Exact; negative if it sticks out, by how far.
    """
    if isinstance(shape, RectBox):
        x0, y0, x1, y1 = placed.bounds
        return min(x0, y0, shape.length_mm - x1, shape.width_mm - y1)
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        if isinstance(placed, PlacedDisc):
            return r - math.hypot(placed.x_mm - r, placed.y_mm - r) - placed.radius_mm
        return r - float(np.hypot(*(shapely.get_coordinates(placed) - r).T).max())
    return _outline_edge_mm(shapely.Polygon(shape.points), placed)


def edge_distances_mm(shape: BoxShape, placed: list[Placed]) -> list[float]:
    """Return `edge_distance_mm` of many; those in a rectangular box are measured at once."""
    outlines = [p for p in placed if not isinstance(p, PlacedDisc)]
    # of an empty box nothing is measured, so that the window starts without numpy and shapely
    if not outlines or not isinstance(shape, RectBox) or len(outlines) < len(placed):
        return [edge_distance_mm(shape, p) for p in placed]
    x0, y0, x1, y1 = shapely.bounds(outlines).reshape(-1, 4).T
    least: list[float] = np.minimum.reduce([x0, y0, shape.length_mm - x1, shape.width_mm - y1]).tolist()
    return least


def _outline_edge_mm(inside: Polygon, placed: Placed) -> float:
    if isinstance(placed, PlacedDisc):
        centre = shapely.points(placed.x_mm, placed.y_mm)
        d = float(inside.exterior.distance(centre))
        return (d if inside.covers(centre) else -d) - placed.radius_mm
    outside = placed.difference(inside)
    if outside.is_empty or outside.area <= 1e-12:
        return float(inside.exterior.distance(placed))
    return -max(
        max(float(inside.distance(shapely.points(p))) for p in shapely.get_coordinates(outside)),
        segment_length_mm(_corner_in_part(inside, placed)),
    )


def _corner_in_part(inside: Polygon, placed: Polygon) -> Segment:
    """Return the segment from the part's outline to the corner of the box that pokes deepest into it."""
    corners = [shapely.points(p) for p in shapely.get_coordinates(inside)[:-1]]
    poking = [p for p in corners if placed.contains(p)]
    if not poking:
        return (0.0, 0.0), (0.0, 0.0)
    line = shapely.shortest_line(placed.exterior, max(poking, key=placed.exterior.distance))
    return (line.coords[0][0], line.coords[0][1]), (line.coords[-1][0], line.coords[-1][1])


def edge_segment(shape: BoxShape, placed: Placed) -> Segment:
    """Return the segment between a footprint and the side of the box that `edge_distance_mm` measures."""
    if isinstance(shape, RectBox):
        return _rect_edge_segment(shape, placed)
    if isinstance(shape, RoundBox):
        return _round_edge_segment(shape.diameter_mm / 2.0, placed)
    inside = shapely.Polygon(shape.points)
    if _outline_edge_mm(inside, placed) >= 0.0:
        if isinstance(placed, PlacedDisc):
            end = shapely.shortest_line(shapely.points(placed.x_mm, placed.y_mm), inside.exterior).coords[-1]
            point = PlacedDisc(float(end[0]), float(end[1]), 0.0)
            return nearest_segment(placed, point)
        line = shapely.shortest_line(placed, inside.exterior)
        return (line.coords[0][0], line.coords[0][1]), (line.coords[-1][0], line.coords[-1][1])
    poking = _corner_in_part(inside, as_polygon(placed))
    points = [p for p in shapely.get_coordinates(as_polygon(placed)) if not inside.covers(shapely.points(p))]
    farthest = max(points, key=lambda p: float(inside.distance(shapely.points(p))), default=None)
    if farthest is None or segment_length_mm(poking) > float(inside.distance(shapely.points(farthest))):
        return poking
    end = shapely.shortest_line(shapely.points(farthest), inside.exterior).coords[-1]
    return (float(farthest[0]), float(farthest[1])), (float(end[0]), float(end[1]))


def _rect_edge_segment(shape: RectBox, placed: Placed) -> Segment:
    x0, y0, x1, y1 = placed.bounds
    gaps = (x0, y0, shape.length_mm - x1, shape.width_mm - y1)
    side = gaps.index(min(gaps))
    value = (x0, y0, x1, y1)[side]
    limit = (0.0, 0.0, shape.length_mm, shape.width_mm)[side]
    if isinstance(placed, PlacedDisc):
        along = placed.y_mm if side in (0, 2) else placed.x_mm
    else:
        xy = shapely.get_coordinates(placed)
        axis = side % 2
        along = float(xy[int(np.abs(xy[:, axis] - value).argmin()), 1 - axis])
    return ((value, along), (limit, along)) if side in (0, 2) else ((along, value), (along, limit))


def _round_edge_segment(r: float, placed: Placed) -> Segment:
    if isinstance(placed, PlacedDisc):
        point: XY = (placed.x_mm, placed.y_mm)
        extra = placed.radius_mm
    else:
        xy = shapely.get_coordinates(placed)
        far = xy[int(np.hypot(xy[:, 0] - r, xy[:, 1] - r).argmax())]
        point, extra = (float(far[0]), float(far[1])), 0.0
    d = math.hypot(point[0] - r, point[1] - r)
    ux, uy = ((point[0] - r) / d, (point[1] - r) / d) if d else (1.0, 0.0)
    return (r + ux * (d + extra), r + uy * (d + extra)), (r + ux * r, r + uy * r)


def placed_keep_out(keep_out: KeepOut) -> Placed:
    """Return a keep-out in the box: exact disc or rectangle."""
    if keep_out.round:
        return PlacedDisc(keep_out.x_mm, keep_out.y_mm, keep_out.length_mm / 2.0)
    dx, dy = keep_out.length_mm / 2.0, keep_out.width_mm / 2.0
    return shapely.box(keep_out.x_mm - dx, keep_out.y_mm - dy, keep_out.x_mm + dx, keep_out.y_mm + dy)


def placed_cavity(project: Project, cavity: Cavity) -> Placed:
    """Return the footprint of a cavity in the box."""
    footprint = project.master(cavity.master).footprint
    return place(footprint, cavity.x_mm, cavity.y_mm, cavity.angle_deg)


def placed_holes(project: Project, cavity: Cavity) -> tuple[Polygon, ...]:
    """Return the through holes of a cavity's master in the box, each inside the true one; for what is drawn."""
    at = np.array([cavity.x_mm, cavity.y_mm])
    holes = project.master(cavity.master).holes
    return tuple(shapely.polygons(turned(hole, cavity.angle_deg) + at) for hole in holes)


def placed_material(project: Project, cavity: Cavity) -> MultiPolygon:
    """Return where a cavity's master covers the base: its footprint without its through holes, for what is drawn."""
    polygon = as_polygon(placed_cavity(project, cavity))
    holes = placed_holes(project, cavity)
    left = polygon.difference(shapely.union_all(holes)) if holes else polygon
    return shapely.MultiPolygon([part for part in shapely.get_parts(left) if part.geom_type == "Polygon"])


def placed_cavities(project: Project) -> dict[CavityId, Placed]:
    """Return every cavity's footprint in the box, in the project's order; the same numbers as one by one."""
    found: dict[CavityId, Placed] = {}
    for footprint, cavities in _by_footprint(project):
        if isinstance(footprint, Disc):
            found |= {c.id: PlacedDisc(c.x_mm, c.y_mm, footprint.radius_mm) for c in cavities}
        else:
            polygons = _all_placed(np.array(footprint.points), cavities)
            found |= {c.id: polygon for c, polygon in zip(cavities, polygons, strict=True)}
    return {c.id: found[c.id] for c in project.cavities}


def placed_bounds(project: Project) -> dict[CavityId, tuple[float, float, float, float]]:
    """Return the extent (least x, least y, greatest x, greatest y) of every cavity, in the project's order, mm.

    The same numbers as the bounds of `placed_cavities`, without making a polygon of each.
    """
    found: dict[CavityId, tuple[float, float, float, float]] = {}
    for footprint, cavities in _by_footprint(project):
        if isinstance(footprint, Disc):
            found |= {c.id: PlacedDisc(c.x_mm, c.y_mm, footprint.radius_mm).bounds for c in cavities}
        else:
            # each angle once: the least of shifted numbers is the shifted least, to the last bit
            angles = list(dict.fromkeys(c.angle_deg for c in cavities))
            xy = _all_turned(np.array(footprint.points), angles)
            extents = dict(zip(angles, np.hstack([xy.min(axis=1), xy.max(axis=1)]).tolist(), strict=True))
            for c in cavities:
                x0, y0, x1, y1 = extents[c.angle_deg]
                found[c.id] = (x0 + c.x_mm, y0 + c.y_mm, x1 + c.x_mm, y1 + c.y_mm)
    return {c.id: found[c.id] for c in project.cavities}


def _by_footprint(project: Project) -> Iterator[tuple[Footprint, list[Cavity]]]:
    of_master: dict[MasterId, list[Cavity]] = {}
    for cavity in project.cavities:
        of_master.setdefault(cavity.master, []).append(cavity)
    footprints = {master.id: master.footprint for master in project.masters}
    for master_id, cavities in of_master.items():
        yield footprints[master_id], cavities


def _all_placed(points: FloatArray, cavities: list[Cavity]) -> list[Polygon]:
    """Place one outline many times at once: a layout of a thousand parts is placed at every check."""
    made: list[Polygon] = np.asarray(shapely.polygons(_all_corners(points, cavities)), dtype=object).tolist()
    return made


def _all_corners(points: FloatArray, cavities: list[Cavity]) -> FloatArray:
    """Return the corners of one outline in many places: by cavity, corner, and x or y."""
    xy = _all_turned(points, [c.angle_deg for c in cavities])
    xy += np.array([(c.x_mm, c.y_mm) for c in cavities])[:, np.newaxis, :]
    return xy


def _all_turned(points: FloatArray, angles_deg: list[float]) -> FloatArray:
    """Return the corners of one outline at many angles: by angle, corner, and x or y."""
    turns = np.array([cos_sin(angle) for angle in angles_deg])
    cos, sin = turns[:, :1], turns[:, 1:]
    xy = np.empty((len(angles_deg), len(points), 2))
    xy[:, :, 0] = points[:, 0] * cos - points[:, 1] * sin
    xy[:, :, 1] = points[:, 0] * sin + points[:, 1] * cos
    return xy


def normalised_outline_box(points: tuple[XY, ...]) -> OutlineBox:
    """Return a box of this outline moved so that its bounding box starts at the origin."""
    x0 = min(x for x, _ in points)
    y0 = min(y for _, y in points)
    return OutlineBox(tuple((x - x0, y - y0) for x, y in points))
