"""Plane geometry of a layout to Findings: all of them, judged by the project's own rules, one tolerance for all."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
import shapely

from layout.geometry import (
    FloatArray,
    Placed,
    PlacedDisc,
    as_polygon,
    depth_mm,
    distance_mm,
    nearest_segment,
)
from layout.model import CavityId, Finding, Project, Severity
from layout.regions import edge_distance_mm, edge_distances_mm, edge_segment, placed_cavities, placed_keep_out
from layout.tolerances import CLEARANCE_TOL_MM

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    import numpy.typing as npt

    from layout.geometry import Segment

    _Indices = npt.NDArray[np.intp]

_FIRST_REACH_MM: Final = 0.5
_DISC_MARGIN_MM: Final = 0.1
"""More than two polygons round discs can stand out of them together."""


@dataclass(frozen=True, slots=True)
class Clearances:
    """The thinnest places of a layout.

    Parameters
    ----------
    least_wall_mm : float or None
        Least silicone between two cavities; None with fewer than two. Negative where two overlap.
    least_edge_mm : float or None
        Least silicone between a cavity and the side of the box; None without cavities.
    """

    least_wall_mm: float | None
    least_edge_mm: float | None


def check(project: Project, only: Collection[CavityId] | None = None) -> tuple[Finding, ...]:
    """Return every broken geometric rule of a layout.

    Parameters
    ----------
    project : Project
    only : collection of CavityId, optional
        Check just these against each other, everything else, the box and the keep-outs (while dragging).

    Returns
    -------
    tuple of Finding
        Overlaps and thin walls, then the box, then keep-outs; empty if the layout is legal.

    Notes
    -----
    A wall passes if it measures at least the rule minus `CLEARANCE_TOL_MM`. Discs and round boxes are exact.
    """
    placed = placed_cavities(project)
    return check_placed(project, placed, placed if only is None else only)


def check_placed(
    project: Project, placed: Mapping[CavityId, Placed], only: Collection[CavityId]
) -> tuple[Finding, ...]:
    """Return the broken rules of some cavities among footprints that stand where they are given.

    Parameters
    ----------
    project : Project
        Its rules, box and keep-outs are judged by; its cavities are not looked at.
    placed : mapping of CavityId to Placed
        All that can matter: while dragging, the dragged and those near them.
    only : collection of CavityId
        As in `check`.
    """
    ids = tuple(placed)
    subjects = set(only)
    wall_mm = project.rules.wall_mm
    findings: list[Finding] = []
    shapes = list(placed.values())
    chosen = [k for k, cavity_id in enumerate(ids) if cavity_id in subjects]
    pairs = _near_pairs(shapes, wall_mm, chosen)
    for (i, j), gap in zip(pairs, _gaps(shapes, pairs), strict=True):
        finding = _wall_finding(ids[i], ids[j], shapes[i], shapes[j], wall_mm, gap)
        if finding:
            findings.append(finding)
    edges = edge_distances_mm(project.box.shape, [shapes[k] for k in chosen])
    for k, edge in zip(chosen, edges, strict=True):
        findings.extend(_place_findings(project, ids[k], shapes[k], edge))
    return tuple(findings)


def is_legal(project: Project) -> bool:
    """Return whether no geometric rule is broken."""
    return not check(project)


def clearances(project: Project) -> Clearances:
    """Return the least wall and the least edge of a layout, mm; exact for polygons, discs and round boxes."""
    placed = list(placed_cavities(project).values())
    edges = [edge_distance_mm(project.box.shape, p) for p in placed]
    return Clearances(least_wall_mm(placed), min(edges, default=None))


def least_wall_mm(placed: list[Placed]) -> float | None:
    """Return the least distance of any two placed footprints, mm; negative where two overlap; None below two."""
    if len(placed) < 2:
        return None
    polygons = np.array([as_polygon(p) for p in placed], dtype=object)
    tree = shapely.STRtree(polygons)
    shapely.prepare(polygons)
    first, second, gaps = _nearest_pairs(tree, polygons)
    is_disc = np.array([isinstance(p, PlacedDisc) for p in placed])
    for k in np.flatnonzero(is_disc[first] | is_disc[second]):
        gaps[k] = distance_mm(placed[first[k]], placed[second[k]])
    best = float(gaps.min())
    if best > 0.0:
        return best
    touching = np.flatnonzero(gaps <= 0.0)
    deepest = max(depth_mm(placed[first[k]], placed[second[k]])[0] for k in touching)
    return -deepest if deepest > CLEARANCE_TOL_MM else 0.0


def _nearest_pairs(tree: shapely.STRtree, polygons: npt.NDArray[np.object_]) -> tuple[_Indices, _Indices, FloatArray]:
    """Pairs among which the nearest of all is, and the distances of their polygons, mm.

    Looks ever farther until any are found: asking whether two are near is many times faster than asking how near.
    """
    reach = _FIRST_REACH_MM
    while True:
        found = tree.query(polygons, predicate="dwithin", distance=reach)
        first, second = found[:, found[0] < found[1]]
        gaps = shapely.distance(polygons[first], polygons[second])
        # a disc's polygon stands up to two tolerances outside it: look that much farther for the true least
        if len(gaps) and float(gaps.min()) + _DISC_MARGIN_MM <= reach:
            near = gaps <= float(gaps.min()) + _DISC_MARGIN_MM
            return first[near], second[near], gaps[near]
        reach = float(gaps.min()) + _DISC_MARGIN_MM if len(gaps) else 2.0 * reach


def _near_pairs(placed: list[Placed], wall_mm: float, chosen: Sequence[int]) -> list[tuple[int, int]]:
    """Pairs that might be closer than the wall, of which at least one is chosen, in the order of the footprints."""
    if len(placed) < 2 or not chosen:
        return []
    reach = max(wall_mm, CLEARANCE_TOL_MM)
    polygons = np.array([as_polygon(p) for p in placed], dtype=object)
    subjects = np.array(chosen)
    around = shapely.bounds(polygons[subjects]) + np.array([-reach, -reach, reach, reach])
    found = shapely.STRtree(polygons).query(shapely.box(*around.T))
    one, other = subjects[found[0]], found[1]
    first, second = np.minimum(one, other), np.maximum(one, other)
    # each pair once: a tree asked for what is near each of all tells every pair twice
    codes = np.unique((first * len(polygons) + second)[first != second])
    first, second = np.divmod(codes, len(polygons))
    near = _within(polygons, first, second, reach)
    return list(zip(first[near].tolist(), second[near].tolist(), strict=True))


def _within(
    polygons: npt.NDArray[np.object_], first: _Indices, second: _Indices, reach_mm: float
) -> npt.NDArray[np.bool_]:
    """Return which pairs are as near as that; what is prepared for it is not kept: that of a thousand is large."""
    ours = polygons[np.unique(first)]
    ours = ours[~shapely.is_prepared(ours)]
    shapely.prepare(ours)
    near: npt.NDArray[np.bool_] = shapely.dwithin(polygons[first], polygons[second], reach_mm)
    shapely.destroy_prepared(ours)
    return near


def _gaps(placed: list[Placed], pairs: list[tuple[int, int]]) -> list[tuple[float, Segment | None]]:
    """Return how far each pair is apart, mm, and for two outlines the segment that says so, which is found with it."""
    found: list[tuple[float, Segment | None]] = [(0.0, None)] * len(pairs)
    outlines = []
    for k, (i, j) in enumerate(pairs):
        if isinstance(placed[i], PlacedDisc) or isinstance(placed[j], PlacedDisc):
            found[k] = distance_mm(placed[i], placed[j]), None
        else:
            outlines.append(k)
    if outlines:
        some = np.array([[placed[i], placed[j]] for i, j in (pairs[k] for k in outlines)], dtype=object)
        ends = shapely.get_coordinates(shapely.shortest_line(some[:, 0], some[:, 1])).tolist()
        for k, (ax, ay), (bx, by) in zip(outlines, ends[::2], ends[1::2], strict=True):
            gap, (i, j) = math.hypot(bx - ax, by - ay), pairs[k]
            # where they meet, the ends may be apart by their last digits, and only no distance at all is an overlap
            touch = gap <= CLEARANCE_TOL_MM
            found[k] = (distance_mm(placed[i], placed[j]), None) if touch else (gap, ((ax, ay), (bx, by)))
    return found


def _wall_finding(
    a_id: CavityId, b_id: CavityId, a: Placed, b: Placed, wall_mm: float, gap: tuple[float, Segment | None]
) -> Finding | None:
    d, segment = gap
    if d >= wall_mm - CLEARANCE_TOL_MM and d > 0.0:
        return None
    if d <= 0.0:
        depth, across = depth_mm(a, b)
        if depth > CLEARANCE_TOL_MM:
            return Finding("overlap", Severity.REFUSE, (a_id, b_id), -depth, wall_mm, "mm", across)
        d = 0.0
        if wall_mm <= CLEARANCE_TOL_MM:
            return None
    return Finding("thin_wall", Severity.REFUSE, (a_id, b_id), d, wall_mm, "mm", segment or nearest_segment(a, b))


def _place_findings(project: Project, cavity_id: CavityId, placed: Placed, edge: float) -> list[Finding]:
    found: list[Finding] = []
    required = project.rules.edge_mm
    if edge < required - CLEARANCE_TOL_MM:
        kind = "outside_box" if edge < -CLEARANCE_TOL_MM else "thin_edge"
        segment = edge_segment(project.box.shape, placed)
        found.append(Finding(kind, Severity.REFUSE, (cavity_id,), edge, required, "mm", segment))
    for keep_out in project.keep_outs:
        area = placed_keep_out(keep_out)
        if not _boxes_meet(placed, area):
            continue
        depth, across = depth_mm(placed, area)
        if depth > CLEARANCE_TOL_MM:
            found.append(Finding("in_keep_out", Severity.REFUSE, (cavity_id,), -depth, 0.0, "mm", across, keep_out.id))
    return found


def _boxes_meet(a: Placed, b: Placed) -> bool:
    ax0, ay0, ax1, ay1 = a.bounds
    bx0, by0, bx1, by1 = b.bounds
    return ax0 <= bx1 and bx0 <= ax1 and ay0 <= by1 and by0 <= ay1
