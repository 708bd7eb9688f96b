"""What no layout can pass: proven upper bounds on the number of cavities, computed so that rounding never helps.

All bounds take the wall and the edge `_SLACK_MM` thinner than the rules, because the check lets a layout pass that is
`CLEARANCE_TOL_MM` short; so no layout that the check admits can have more cavities than `upper_bound` says.
"""

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from layout.fill.bounds_rectangles import rectangle_bound
from layout.fill.hexagons import least_hexagon_mm2
from layout.geometry import (
    Disc,
    Footprint,
    Outline,
    Placed,
    PlacedDisc,
    circle_inside,
    footprint_polygon,
    footprint_size_mm,
    turned,
)
from layout.model import Master, Project, RectBox, RoundBox
from layout.regions import inner_polygon, placed_cavity, placed_keep_out
from layout.tolerances import CLEARANCE_TOL_MM

_SLACK_MM: Final = 8.0 * CLEARANCE_TOL_MM
"""How much thinner than the rule every wall and edge is taken: the check forgives one tolerance of wall or edge, and
an overlap one and a quarter tolerances deep; the rest is for rounding."""

_ARC_SEGMENTS: Final = 64
"""Chords a quarter turn; shapely's chords lie inside the true arc, which is the safe side wherever it is used here."""

_CHORD: Final = math.cos(math.pi / (4 * _ARC_SEGMENTS))
"""How near such chords come to the centre of an arc of radius 1."""

_KEEP_OUT_SLACK_MM: Final = 1e-4
"""How deep a sharp corner may stick into a keep-out without the check's seeing it."""

_ROUND_UP: Final = 1e-9


def upper_bound(project: Project, master: Master) -> int:
    """Return a number of cavities that no legal layout of the box with this master can pass.

    Parameters
    ----------
    project : Project
        Its pinned cavities stay and count; its other cavities are looked past.
    master : Master
        What the box is filled with beside the pinned cavities.

    Returns
    -------
    int
        Pinned cavities included; 0 if the part doesn't go in at all. Proven, hence often above the true most.

    Notes
    -----
    The least of `_oler_bound`, `_area_bound`, `_hexagon_bound` and `_translates_bound` (see each for its proof) and,
    for rectangles, `bounds_rectangles.rectangle_bound`.
    """
    return upper_bound_mixed(project, (master,))


def upper_bound_mixed(project: Project, masters: Sequence[Master], *, quick: bool = False) -> int:
    """Return a number of cavities that no legal layout with any of these masters, in any shares, can pass.

    Parameters
    ----------
    project : Project
    masters : sequence of Master
    quick : bool
        Leave out the hexagons, which take a tenth of a second: still proven, sometimes higher.

    Notes
    -----
    Every step of the proofs for one part needs only that each part contains a disc of radius r, or takes up an area
    of at least A; so the least r and the least A of the masters serve. Wanted numbers aren't used: a layout that
    misses them may hold more parts than one that meets them.
    """
    pinned = tuple(c for c in project.cavities if c.pinned)
    movable = [m for m in masters if _can_fit(project, m)]
    if not movable:
        return len(pinned)
    bounds = [_oler_bound(project, movable), _area_bound(project, movable)]
    if not quick:
        bounds.append(_hexagon_bound(project, movable))
    if len(movable) == 1:
        bounds.append(_translates_bound(project, movable[0]))
        if not pinned:
            bounds.append(_rectangles(project, movable[0]))
    least = min(b for b in bounds if b is not None)
    return max(least, len(pinned))


def _floor(value: float) -> int:
    return max(0, math.floor(value * (1.0 + _ROUND_UP) + _ROUND_UP))


def _wall(project: Project) -> float:
    return project.rules.wall_mm - _SLACK_MM


def _edge(project: Project) -> float:
    return project.rules.edge_mm - _SLACK_MM


def _angles(project: Project, master: Master) -> tuple[float, ...] | None:
    turn = project.turn_of(master)
    if turn == "free":
        return None
    return {"90": (0.0, 90.0), "180": (0.0,), "0": (0.0,)}[turn]


# ---------------------------------------------------------------------------------------------------------------- fit


def _can_fit(project: Project, master: Master) -> bool:
    """Return False only if the part goes in at no allowed turn.

    In a rectangle: its extents at some turn must be no more than the box's inside the edge. They change by at most
    the part's diameter for each radian, so a step of the grid of turns is covered by half a step times it. In any
    box: a part needs room for its largest disc.
    """
    r = inradius_mm(master.footprint)
    if _centre_region(project, r) is None:
        return False
    shape = project.box.shape
    if not isinstance(shape, RectBox) or isinstance(master.footprint, Disc):
        return True
    length, width = shape.length_mm - 2.0 * _edge(project), shape.width_mm - 2.0 * _edge(project)
    angles = _angles(project, master)
    if angles is not None:
        sizes = [footprint_size_mm(master.footprint, a) for a in angles]
        return any(a <= length + _SLACK_MM and b <= width + _SLACK_MM for a, b in sizes)
    steps = 720
    points = np.asarray(master.footprint.points)
    diameter = 2.0 * float(np.hypot(*points.T).max())
    spare = diameter * math.pi / steps / 2.0 + _SLACK_MM
    for a in np.arange(steps) * 180.0 / steps:
        xy = turned(points, float(a))
        if np.ptp(xy[:, 0]) <= length + spare and np.ptp(xy[:, 1]) <= width + spare:
            return True
    return False


@lru_cache(maxsize=64)  # pure, and asked again for every box that `size` tries
def inradius_mm(footprint: Footprint) -> float:
    """Return the radius of the largest disc in a footprint, mm; never above the true one, short by 1e-6 of it."""
    if isinstance(footprint, Disc):
        return footprint.radius_mm
    polygon = Polygon(footprint.points)
    size = math.sqrt(polygon.area)
    line = shapely.maximum_inscribed_circle(polygon, tolerance=1e-6 * size)
    # the end of the line is a vertex or a foot on a side: measure again from its start, which is what can be trusted
    centre = shapely.points(line.coords[0])
    return float(polygon.exterior.distance(centre)) * (1.0 - 1e-12)


# --------------------------------------------------------------------------------------------------------------- Oler


def _oler_bound(project: Project, masters: Sequence[Master]) -> int | None:
    """Return Oler's bound.

    Each part contains a disc of radius r (the least of the largest inscribed discs). Two parts a wall t apart have the
    centres of these discs D = 2r + t apart, whatever their turns, and each centre lies in the box narrowed by edge +
    r, and no nearer than r to a keep-out. In a compact convex region of area A and perimeter P at most
    2A / (sqrt(3) D^2) + P / (2D) + 1 points keep D apart (Oler 1961; Groemer 1960 for circles); a region that isn't
    convex is a part of its hull, and lies in the union of the hulls of its pieces. A pinned part of another kind
    counts as a point if it holds a disc of radius r too; else it's added.
    """
    r = min(inradius_mm(m.footprint) for m in masters)
    distance = 2.0 * r + _wall(project)
    region = _centre_region(project, r)
    if distance <= 0.0 or region is None:
        return None
    pinned = [c for c in project.cavities if c.pinned]
    smaller = sum(1 for c in pinned if inradius_mm(project.master(c.master).footprint) < r)
    best = _oler(*_area_and_length(project, r, region), distance)
    if region.geom_type == "MultiPolygon":
        pieces = [part.convex_hull for part in shapely.get_parts(region)]
        best = min(best, sum(_oler(p.area, p.length, distance) for p in pieces))
    return best + smaller


def _oler(area: float, length: float, distance: float) -> int:
    return _floor(2.0 * area / (math.sqrt(3.0) * distance**2) + length / (2.0 * distance) + 1.0)


def _area_and_length(project: Project, r: float, region: BaseGeometry) -> tuple[float, float]:
    shape = project.box.shape
    if isinstance(shape, RoundBox) and not project.keep_outs:
        rho = shape.diameter_mm / 2.0 - _edge(project) - r
        return math.pi * rho**2, 2.0 * math.pi * rho
    hull = region.convex_hull
    return float(hull.area), float(hull.length)


def _centre_region(project: Project, r: float) -> BaseGeometry | None:
    """Return a region that holds every centre of a disc of radius r that keeps the edge and the keep-outs; or None."""
    shape, inset = project.box.shape, _edge(project) + r
    region: BaseGeometry
    if isinstance(shape, RectBox):
        w, h = shape.length_mm - 2.0 * inset, shape.width_mm - 2.0 * inset
        if min(w, h) < 0.0:
            return None
        region = shapely.box(inset, inset, inset + max(w, 1e-9), inset + max(h, 1e-9))
    elif isinstance(shape, RoundBox):
        rho = shape.diameter_mm / 2.0 - inset
        if rho < 0.0:
            return None
        # the circumscribed polygon of the circle contains it
        outer = max(rho, 1e-9) / _CHORD
        middle = shapely.Point(shape.diameter_mm / 2.0, shape.diameter_mm / 2.0)
        region = middle.buffer(outer, quad_segs=_ARC_SEGMENTS)
    else:
        region = inner_polygon(shape).buffer(-inset, quad_segs=_ARC_SEGMENTS)
        if region.is_empty:
            return None
    for keep_out in project.keep_outs:
        # the chords of a grown keep-out lie inside the true one, so too little is cut away
        region = region.difference(_grown_inside(placed_keep_out(keep_out), r - _SLACK_MM))
    return None if region.is_empty else region


def _grown_inside(placed: Placed, by_mm: float) -> BaseGeometry:
    """Return a region inside the footprint grown (or, below 0, narrowed) by this much."""
    if isinstance(placed, PlacedDisc):
        r = placed.radius_mm + by_mm
        if r <= 0.0:
            return Polygon()
        return Polygon(circle_inside(r) + np.array([placed.x_mm, placed.y_mm]))
    if by_mm >= 0.0:
        return placed.buffer(by_mm, quad_segs=_ARC_SEGMENTS)
    # narrowing with chords leaves a little too much at concave corners: go one chord's height farther
    return placed.buffer(by_mm / _CHORD, quad_segs=_ARC_SEGMENTS)


# --------------------------------------------------------------------------------------------------------------- area


def _area_bound(project: Project, masters: Sequence[Master]) -> int:
    """Return the bound by area.

    Parts at least t apart, each grown by t / 2 all round, don't overlap; they lie in the box narrowed by the edge and
    grown by t / 2; and no grown part reaches deeper than t / 2 into a keep-out, because its part doesn't enter it. So
    the free ones number at most (grown box - narrowed keep-outs - grown pinned parts) / least grown part. Where the
    rule asks for no wall, the check forgives overlaps that no disc of diameter `_SLACK_MM` fits in: then the parts
    narrowed by half of it don't overlap, and the area of a part is taken less half of it times its perimeter. For
    discs only, the region is what discs reach: the centres' region grown by r + t / 2.
    """
    pinned = [c for c in project.cavities if c.pinned]
    t = max(_wall(project), 0.0)
    least = min(_grown_area_mm2(m.footprint, _wall(project)) for m in masters)
    area = _reach_area_mm2(project, masters)
    region = _reach_inside(project, t)
    blocked = [_grown_inside(placed_keep_out(k), -t / 2.0 - _KEEP_OUT_SLACK_MM) for k in project.keep_outs]
    blocked += [_grown_inside(placed_cavity(project, c), max(t - _SLACK_MM, -_SLACK_MM) / 2.0) for c in pinned]
    if blocked:
        area -= float(shapely.union_all(blocked).intersection(region).area)
    return len(pinned) + _floor(area / least)


def _grown_area_mm2(footprint: Footprint, wall_mm: float) -> float:
    """Return at most the area of the footprint grown by half the wall; see `_area_bound` for a wall below 0."""
    if isinstance(footprint, Disc):
        return math.pi * max(footprint.radius_mm + wall_mm / 2.0, 0.0) ** 2
    polygon = Polygon(footprint.points)
    if wall_mm < 0.0:
        lost = -wall_mm / 2.0
        return max(float(polygon.area) - lost * float(polygon.length) - 4.0 * len(footprint.points) * lost**2, 1e-12)
    if is_convex(polygon):
        return float(polygon.area + polygon.length * wall_mm / 2.0 + math.pi * wall_mm**2 / 4.0) * (1.0 - 1e-12)
    return float(polygon.buffer(wall_mm / 2.0, quad_segs=_ARC_SEGMENTS).area)


def is_convex(polygon: Polygon) -> bool:
    """Return whether no area is gained by the convex hull, to rounding."""
    return bool(polygon.convex_hull.area - polygon.area <= 1e-12 * polygon.area)


def _reach_area_mm2(project: Project, masters: Sequence[Master]) -> float:
    """Return at least the area of the box narrowed by the edge and grown by half the wall."""
    shape, t, e = project.box.shape, max(_wall(project), 0.0), _edge(project)
    radii = [m.footprint.radius_mm for m in masters if isinstance(m.footprint, Disc)]
    # what discs reach; a disc of another size reaches less into corners the larger it is
    r = min(radii) if len(radii) == len(masters) and not _pinned_polygons(project, min(radii, default=0.0)) else 0.0
    grow = r + t / 2.0
    if isinstance(shape, RectBox):
        w, h = max(shape.length_mm - 2.0 * (e + r), 0.0), max(shape.width_mm - 2.0 * (e + r), 0.0)
        return w * h + 2.0 * (w + h) * grow + math.pi * grow**2
    if isinstance(shape, RoundBox):
        return math.pi * max(shape.diameter_mm / 2.0 - e + t / 2.0, 0.0) ** 2
    narrowed = inner_polygon(shape).buffer(-(e + r), quad_segs=_ARC_SEGMENTS)
    # grown by a radius whose chords contain the true arc
    return float(narrowed.buffer(grow / _CHORD, quad_segs=_ARC_SEGMENTS).area)


def _pinned_polygons(project: Project, radius_mm: float) -> bool:
    footprints = [project.master(c.master).footprint for c in project.cavities if c.pinned]
    return any(not isinstance(f, Disc) or f.radius_mm < radius_mm for f in footprints)


def _reach_inside(project: Project, t: float) -> BaseGeometry:
    inside = inner_polygon(project.box.shape).buffer(-project.rules.edge_mm / _CHORD, quad_segs=_ARC_SEGMENTS)
    return inside.buffer(t / 2.0, quad_segs=_ARC_SEGMENTS)


# ------------------------------------------------------------------------------------------------- hexagons, translates


def _hexagon_bound(project: Project, masters: Sequence[Master]) -> int | None:
    """Return the bound by circumscribed hexagons, for convex parts in a rectangle.

    Convex bodies alike that don't overlap in a rectangle need the area of their least hexagon each; `hexagons` has the
    proof. The bodies are the parts grown by half the wall, the rectangle is the box narrowed by the edge and grown by
    half the wall; `least_hexagon_mm2` is never above h(6). Bodies of several kinds could trade sides for area, so one
    kind only.
    """
    shape, t = project.box.shape, max(_wall(project), 0.0)
    pinned = [c for c in project.cavities if c.pinned]
    footprints = {m.footprint for m in masters} | {project.master(c.master).footprint for c in pinned}
    if not isinstance(shape, RectBox) or _wall(project) < 0.0 or len(footprints) > 1:
        return None
    footprint = footprints.pop()
    if not (isinstance(footprint, Disc) or is_convex(Polygon(footprint.points))):
        return None
    length, width = shape.length_mm - 2.0 * _edge(project) + t, shape.width_mm - 2.0 * _edge(project) + t
    return _floor(length * width / least_hexagon_mm2(footprint, t))


def _translates_bound(project: Project, master: Master) -> int | None:
    """Return the bound for a convex part that keeps its turn in a rectangle.

    Two translates P + x, P + y of a convex part keep a wall t exactly if x - y isn't inside (P - P) grown by t, that
    is, if the bodies S + x, S + y don't overlap, S being (P - P) / 2 grown by t / 2. The origins lie in a rectangle C
    of the box's size less 2 edge less the part's extents. N |S| <= |C + S| = |C| + w_C h_S + h_C w_S + |S|. A part
    that equals itself turned by 180 degrees may take the half turn too.
    """
    shape, footprint, t = project.box.shape, master.footprint, _wall(project)
    if not isinstance(shape, RectBox) or not isinstance(footprint, Outline) or t < 0.0:
        return None
    if any(c.pinned for c in project.cavities) or project.turn_of(master) not in ("0", "180"):
        return None
    polygon = footprint_polygon(footprint)
    points = np.asarray(footprint.points)
    if not is_convex(polygon):
        return None
    differences = shapely.MultiPoint((points[:, None, :] - points[None, :, :]).reshape(-1, 2) / 2.0).convex_hull
    if project.turn_of(master) == "180" and differences.area > polygon.area * (1.0 + 1e-9):
        return None
    part_w, part_h = footprint_size_mm(footprint)
    w = max(shape.length_mm - 2.0 * _edge(project) - part_w, 0.0)
    h = max(shape.width_mm - 2.0 * _edge(project) - part_h, 0.0)
    body = float(differences.area + differences.length * t / 2.0 + math.pi * t * t / 4.0)
    return _floor((w * h + w * (part_h + t) + h * (part_w + t) + body) / body)


def _rectangles(project: Project, master: Master) -> int | None:
    shape, footprint = project.box.shape, master.footprint
    if not isinstance(shape, RectBox) or not isinstance(footprint, Outline) or project.rules.wall_mm > 0.0:
        return None
    angles = _angles(project, master)
    if angles is None or abs(Polygon(footprint.points).envelope.area - Polygon(footprint.points).area) > 1e-9:
        return None
    a, b = footprint_size_mm(footprint)
    length, width = shape.length_mm - 2.0 * _edge(project), shape.width_mm - 2.0 * _edge(project)
    return rectangle_bound(length, width, a, b, quarter_turns=len(angles) > 1, slack_mm=_SLACK_MM)
