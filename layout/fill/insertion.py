"""Where one more part just fits between those that lie there already: found exactly, for a few turns."""

from collections.abc import Callable, Iterator, Sequence
from typing import Final

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from layout.fill.parts import Part, parts_of
from layout.fill.search import Place, Search, turns_of
from layout.geometry import FloatArray, PlacedDisc, turned
from layout.model import BoxShape, Master, OutlineBox, Project, RectBox
from layout.regions import placed_keep_out

TURNS_DEG: Final = (0.0, 90.0, 180.0, 270.0, 45.0, 135.0)
"""Tried where any turn is allowed, beside those of the parts that lie there."""

MOST_TURNS: Final = 10

MOST_PARTS: Final = 150
"""Boxes of more parts are not searched so: a turn would take too long."""

_MOST_PLACES: Final = 4
"""Free spots of one turn that are offered, the largest first."""

_FORGIVEN_MM: Final = 5e-7
"""Half of what the check forgives: a gap that a part fits exactly is a line, and a line has no inside."""

_ARC_SEGMENTS: Final = 16


def inserted(search: Search, ranked: Callable[[], Sequence[Master]]) -> Iterator[None]:
    """Offer the best layout with one more where it just fits, as long as any does; yield after each try.

    Parameters
    ----------
    search : Search
    ranked : callable
        Says which masters to add, the most urgent first.
    """
    added = True
    while added and search.count < search.task.most:
        added = False
        for master in ranked():
            for place in insertions(search.task.project, search.best, master):
                added = search.offer((*search.best, place), "insertion")
                yield
                if added or search.should_stop():
                    break
            if added or search.should_stop():
                break


def insertions(project: Project, places: tuple[Place, ...], master: Master) -> Iterator[Place]:
    """Yield places where one more of a master fits into a box, likely legal; the exact check decides.

    Parameters
    ----------
    project : Project
        With its pinned cavities only.
    places : tuple of Place
        The other cavities.
    master : Master
    """
    if len(places) > MOST_PARTS:
        return
    part = parts_of(project.masters, project.rules.wall_mm)[master.id]
    still = [*((c.master, c.x_mm, c.y_mm, c.angle_deg) for c in project.cavities), *places]
    for angle in _angles(project, still, master, part):
        free = _free(project, still, part, angle)
        spots = sorted(shapely.get_parts(free), key=lambda spot: -float(spot.area))
        for spot in spots[:_MOST_PLACES]:
            if not spot.is_empty:
                point = spot.representative_point()
                yield master.id, float(point.x), float(point.y), angle


def _angles(project: Project, still: list[Place], master: Master, part: Part) -> list[float]:
    if len(part.points) == 1:
        return [0.0]
    allowed = turns_of(project, master)
    if allowed is not None:
        return list(allowed)
    there = sorted({round(place[3] % 360.0, 3) for place in still})
    return list(dict.fromkeys([*TURNS_DEG, *there]))[:MOST_TURNS]


def _free(project: Project, still: list[Place], part: Part, angle_deg: float) -> BaseGeometry:
    """Return where the origin of a part at this turn may lie."""
    inset = project.rules.edge_mm + part.rounding_mm - _FORGIVEN_MM
    room = _in_box(project.box.shape, inset, turned(part.points, angle_deg))
    if room.is_empty:
        return room
    mine = [turned(piece, angle_deg) for piece in part.pieces]
    taken = [*_round_cavities(project, still, part, mine), *_round_keep_outs(project, part, mine)]
    if isinstance(project.box.shape, OutlineBox):
        taken += _round_sides(project.box.shape, inset, mine)
    return room.difference(shapely.union_all(taken))


def _in_box(shape: BoxShape, inset_mm: float, points: FloatArray) -> BaseGeometry:
    """Return where the origin may lie for corners to be in the box; of an outlined box, where the first of them is."""
    if isinstance(shape, RectBox):
        (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
        low_x, high_x = inset_mm - x0, shape.length_mm - inset_mm - x1
        low_y, high_y = inset_mm - y0, shape.width_mm - inset_mm - y1
        return shapely.Polygon() if high_x < low_x or high_y < low_y else shapely.box(low_x, low_y, high_x, high_y)
    if isinstance(shape, OutlineBox):
        return shapely.Polygon(np.array(shape.points) - points[0])
    r = shape.diameter_mm / 2.0
    if r <= inset_mm:
        return shapely.Polygon()
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.MultiPoint(points)))
    discs = shapely.buffer(shapely.points(r - hull), r - inset_mm, quad_segs=4 * _ARC_SEGMENTS)
    return shapely.intersection_all(discs)


def _round_sides(shape: OutlineBox, inset_mm: float, mine: list[FloatArray]) -> Iterator[BaseGeometry]:
    """Yield where the origin may not lie for each side of an outlined box."""
    ring = np.array(shape.points, dtype=np.float64)
    for side in np.stack((ring, np.roll(ring, -1, axis=0)), axis=1):
        yield from _sums(side, mine, inset_mm)


def _round_cavities(project: Project, still: list[Place], part: Part, mine: list[FloatArray]) -> Iterator[BaseGeometry]:
    others = parts_of(project.masters, project.rules.wall_mm)
    for other_id, x, y, angle in still:
        other = others[other_id]
        keep = project.rules.wall_mm + part.rounding_mm + other.rounding_mm - _FORGIVEN_MM
        for piece in other.pieces:
            yield from _sums(turned(piece, angle) + np.array([x, y]), mine, keep)


def _round_keep_outs(project: Project, part: Part, mine: list[FloatArray]) -> Iterator[BaseGeometry]:
    for keep_out in project.keep_outs:
        placed = placed_keep_out(keep_out)
        if isinstance(placed, PlacedDisc):
            yield from _sums(np.array([[placed.x_mm, placed.y_mm]]), mine, placed.radius_mm + part.rounding_mm)
        else:
            yield from _sums(shapely.get_coordinates(placed)[:-1], mine, part.rounding_mm + _FORGIVEN_MM)


def _sums(there: FloatArray, mine: list[FloatArray], keep_mm: float) -> Iterator[BaseGeometry]:
    """Yield where the origin may not lie for a convex piece that is there, for each piece of the part."""
    for piece in mine:
        sums = (there[:, None, :] - piece[None, :, :]).reshape(-1, 2)
        hull = shapely.convex_hull(shapely.MultiPoint(sums))
        yield shapely.buffer(hull, max(keep_mm, 0.0), quad_segs=_ARC_SEGMENTS)
