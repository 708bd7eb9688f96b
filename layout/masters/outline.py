"""A drawn outline to a part of a height, or to the inside of a box; flattened on the safe side of each."""

import math
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import LinearRing, LineString, Polygon
from shapely.ops import polygonize

from layout.errors import BadOutlineError
from layout.geometry import XY, Disc, FloatArray, centred_outline, clean_ring
from layout.masters.dxf import read_pieces
from layout.masters.loops import Loop, circle_of, closed_loops, counter_clockwise, twice_area_mm2
from layout.masters.outward import (
    MANY_CORNERS,
    NARROWEST_HOLE_MM,
    filled,
    middle_of,
    moved_ring,
    simplified_outward,
)
from layout.masters.pieces import CURVE_CHORD_TOL_MM, Curve, Line, is_closed
from layout.masters.simple import Solid
from layout.model import BoxShape, RectBox, RoundBox
from layout.regions import normalised_outline_box
from layout.tolerances import (
    ARC_CHORD_TOL_MM,
    LONGEST_LENGTH_MM,
    OUTLINE_JOIN_TOL_MM,
    POINT_MERGE_TOL_MM,
    SHORTEST_PART_MM,
)
from layout.units import LengthUnit, plain_text


def read_outline(path: Path, height_mm: float, units: LengthUnit | None) -> Solid:
    """Return the part that an outline makes at a height; inner outlines are holes through it.

    Parameters
    ----------
    path : Path
        A DXF file with one outline.
    height_mm : float
    units : {"mm", "in"}, optional
        Unit of the drawing where its header does not say it.

    Raises
    ------
    BadFileError, BadOutlineError
        See `dxf.read_pieces`, `loops.closed_loops`; also for an outline that crosses itself, or several.

    Notes
    -----
    The footprint contains the true outline by at most `ARC_CHORD_TOL_MM`; a circle is exact. Areas, volume and surface
    are those of the true curves.
    """
    outer, holes = one_outline(closed_loops(read_pieces(path, units), path.name), path.name)
    area = abs(twice_area_mm2(outer)) / 2.0
    section = area - math.fsum(abs(twice_area_mm2(hole)) / 2.0 for hole in holes)
    rim = math.fsum(piece.length_mm for loop in (outer, *holes) for piece in loop)
    circle = circle_of(outer)
    ring = () if circle else safe_ring(outer, path.name, outside=True)
    footprint = Disc(circle[1]) if circle else centred_outline(ring, path.name)
    middle = circle[0] if circle else middle_of(ring)
    inner = tuple(moved_ring(hole, middle) for hole in _hole_rings(holes, path.name))
    return Solid(
        footprint, area, height_mm, section * height_mm, section, section + rim * height_mm, holes=inner
    )  # fmt: skip


def _hole_rings(holes: list[Loop], where: str) -> list[tuple[XY, ...]]:
    """Return the holes flattened inside their curves; one too narrow for silicone to stand in is not worth a line."""
    rings = []
    for hole in holes:
        width = abs(twice_area_mm2(hole)) / math.fsum(piece.length_mm for piece in hole)
        if width > NARROWEST_HOLE_MM:
            rings.append(safe_ring(counter_clockwise(hole), where, outside=False))
    return rings


def read_box_outline(path: Path, units: LengthUnit | None) -> BoxShape:
    """Return the inside of a box from its outline: a circle as a round box, an upright rectangle as a rectangular one.

    Raises
    ------
    BadFileError, BadOutlineError
        As `read_outline`, and if there is an outline inside the outline.

    Notes
    -----
    The polygon lies inside the true outline, by at most `ARC_CHORD_TOL_MM`.
    """
    outer, holes = one_outline(closed_loops(read_pieces(path, units), path.name), path.name)
    if holes:
        raise BadOutlineError(path.name, "there is an outline inside the box", "draw the inside of the box alone")
    circle = circle_of(outer)
    if circle:
        return RoundBox(2.0 * circle[1])
    ring = safe_ring(outer, path.name, outside=False)
    polygon = Polygon(ring)
    x0, y0, x1, y1 = polygon.bounds
    if len(ring) == 4 and abs(polygon.area - (x1 - x0) * (y1 - y0)) <= POINT_MERGE_TOL_MM:
        return RectBox(x1 - x0, y1 - y0)
    return normalised_outline_box(ring)


def _rough(loop: Loop) -> Polygon:
    points = np.vstack([piece.flattened(outside=True)[:-1] for piece in counter_clockwise(loop)])
    return Polygon(points) if len(points) > 2 else Polygon()


def one_outline(loops: list[Loop], where: str) -> tuple[Loop, list[Loop]]:
    """Return the outer loop, counter-clockwise, and the holes in it."""
    loops = [loop for loop in loops if abs(twice_area_mm2(loop)) > 2.0 * POINT_MERGE_TOL_MM]
    if not loops:
        raise BadOutlineError(where, "the outline encloses no area or crosses itself", "draw a closed outline")
    rough = [_rough(loop).buffer(0.0) for loop in loops]
    largest = max(range(len(loops)), key=lambda i: abs(twice_area_mm2(loops[i])))
    x0, y0, x1, y1 = rough[largest].bounds
    longest = max(x1 - x0, y1 - y0)
    if not SHORTEST_PART_MM <= longest <= LONGEST_LENGTH_MM:
        raise BadOutlineError(
            where, f"the outline is {plain_text(longest, 4)} mm long", "check the drawing's unit (--units)"
        )
    inner = [i for i in range(len(loops)) if i != largest]
    inner = _without_repeats(inner, largest, rough)
    apart = [i for i in inner if not rough[largest].buffer(ARC_CHORD_TOL_MM).covers(rough[i])]
    outlines = 1 + len(apart)
    if apart:
        crossing = any(rough[i].intersects(rough[largest]) for i in apart)
        problem = "its outlines cross each other" if crossing else f"it holds {outlines} outlines side by side"
        raise BadOutlineError(where, problem, "keep one part in the drawing")
    for a, i in enumerate(inner):
        if any(rough[i].intersects(rough[j]) for j in inner[:a]):
            raise BadOutlineError(where, "outlines inside the part cross or lie in each other", "keep one part in it")
    return counter_clockwise(loops[largest]), [loops[i] for i in inner]


def _without_repeats(inner: list[int], largest: int, rough: list[Polygon]) -> list[int]:
    """Return the inner loops without those drawn twice over another one."""
    kept: list[int] = []
    for i in inner:
        twins = [j for j in (largest, *kept) if abs(rough[i].area - rough[j].area) <= 0.05 * rough[i].area]
        apart = [shapely.hausdorff_distance(rough[i].boundary, rough[j].boundary, densify=0.1) for j in twins]
        if min(apart, default=math.inf) > OUTLINE_JOIN_TOL_MM:
            kept.append(i)
    return kept


def safe_ring(loop: Loop, where: str, *, outside: bool) -> tuple[XY, ...]:
    """Return the outline as a ring outside or inside of the true curves, by at most the tolerance."""
    region = _simple_region(np.vstack([piece.flattened(outside) for piece in loop]), where, outside=outside)
    for piece in loop:
        if isinstance(piece, Curve):
            line = LinearRing(piece.points) if is_closed(piece) else LineString(piece.points)
            strip = line.buffer(CURVE_CHORD_TOL_MM, cap_style="flat", join_style="mitre", mitre_limit=2.0)
            region = filled(region.union(strip) if outside else region.difference(strip))
    if outside and len(region.exterior.coords) > MANY_CORNERS and all(isinstance(p, Line) for p in loop):
        region = simplified_outward(region)
    return clean_ring(region.exterior.coords, where)


def _simple_region(points: FloatArray, where: str, *, outside: bool) -> Polygon:
    """Return the region in a ring; lines that overshoot their corner within the join tolerance are cut off there."""
    apart = np.hypot(*(points - np.roll(points, 1, axis=0)).T) > POINT_MERGE_TOL_MM
    points = points[apart]
    if len(points) < 3:
        raise BadOutlineError(where, "the outline encloses no area", "draw a closed outline")
    region = Polygon(points)
    if region.is_valid:
        return region
    faces = list(polygonize(LineString(np.vstack((points, points[:1]))).union(LineString(points[:2]))))
    largest = max(faces, key=lambda face: float(face.area), default=Polygon())
    scraps = [face for face in faces if face is not largest]
    if largest.is_empty or not all(_is_scrap(face) for face in scraps):
        raise BadOutlineError(where, "the outline crosses itself", "redraw it as one simple closed line")
    return filled(shapely.union_all([largest, *scraps])) if outside else filled(largest)


def _is_scrap(face: Polygon) -> bool:
    """Return whether a face is only what overshooting or flattened lines leave at a corner."""
    x0, y0, x1, y1 = face.bounds
    thin = 2.0 * face.area / face.length <= ARC_CHORD_TOL_MM
    return max(x1 - x0, y1 - y0) <= 2.0 * OUTLINE_JOIN_TOL_MM or thin
