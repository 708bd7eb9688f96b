"""A cut through the box as it is poured: sides, base, silicone and masters along a line, in mm."""

import math
import re
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from layout.errors import BadValueError
from layout.geometry import XY, Disc, Footprint, PlacedDisc, Segment, as_polygon, cos_sin
from layout.model import Cavity, CavityId, Master, Project, RoundBox
from layout.regions import inner_polygon, inner_size_mm, placed_cavity, placed_holes
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import parse_length_mm
from layout.volumes import freeboard_mm, level_error_mm, pour_height_mm, side_height_mm, tallest_mm

Span = tuple[float, float]

_ARC_POINTS: Final = 33


@dataclass(frozen=True, slots=True)
class Cut:
    """One master where the line crosses it.

    Parameters
    ----------
    cavity : CavityId
    start_mm, end_mm : float
        Along the line.
    height_mm : float
        Its highest point on the line.
    profile : tuple of (s_mm, z_mm)
        Its outline in the section, from the base at ``start_mm`` to the base at ``end_mm``.
    empty : bool
        The position is kept but no master is glued there today.
    """

    cavity: CavityId
    start_mm: float
    end_mm: float
    height_mm: float
    profile: tuple[XY, ...]
    empty: bool


@dataclass(frozen=True, slots=True)
class Section:
    """The section along a line through the box, heights over the base, mm.

    Parameters
    ----------
    line : Segment
        From where it enters the inside of the box to where it leaves it; distances count from its start.
    inside : tuple of (start_mm, end_mm)
        Where the line is inside the box; more than one in a box with a bay.
    cuts : tuple of Cut
        By their start.
    tallest_mm, floor_mm, level_mm : float
        Highest master of the mold, silicone over it, and what the bench out of level adds.
    pour_height_mm, freeboard_mm, side_height_mm : float
    base_mm : float
        Thickness of the panel.
    """

    line: Segment
    inside: tuple[Span, ...]
    cuts: tuple[Cut, ...]
    tallest_mm: float
    floor_mm: float
    level_mm: float
    pour_height_mm: float
    freeboard_mm: float
    side_height_mm: float
    base_mm: float

    @property
    def length_mm(self) -> float:
        """From the first side to the last."""
        return self.inside[-1][1]


def middle_line(project: Project, axis: str = "x") -> Segment:
    """Return the line through the middle of the box along ``x``, or along ``y``."""
    length, width = inner_size_mm(project.box.shape)
    if axis == "x":
        return (0.0, width / 2.0), (length, width / 2.0)
    return (length / 2.0, 0.0), (length / 2.0, width)


def section(project: Project, line: Segment) -> Section:
    """Return the section along the straight line through two points.

    Parameters
    ----------
    line : Segment
        Two points it goes through, box coordinates; it is lengthened to the sides of the box.

    Raises
    ------
    BadValueError
        If the points are one, or the line misses the box.

    Notes
    -----
    A master is drawn by its footprint without its through holes, and its height; simple solids with a dome by their
    true profile. Discs, rings and round boxes are cut exactly.
    """
    (ax, ay), (bx, by) = line
    size = math.hypot(bx - ax, by - ay)
    if not math.isfinite(size) or size < 1e-6:
        raise BadValueError("section", "its two points are one", "draw a longer line")
    way = ((bx - ax) / size, (by - ay) / size)
    spans = _inside(project, (ax, ay), way)
    if not spans:
        raise BadValueError("section", "the line misses the box", "draw it through the box")
    first, last = spans[0][0], spans[-1][1]
    start = (ax + way[0] * first, ay + way[1] * first)
    cuts = [c for cavity in _near(project, start, way) for c in _cuts(project, cavity, start, way)]
    return Section(
        line=(start, (ax + way[0] * last, ay + way[1] * last)),
        inside=tuple((a - first, b - first) for a, b in spans),
        cuts=tuple(sorted(cuts, key=lambda c: (c.start_mm, c.end_mm))),
        tallest_mm=tallest_mm(project),
        floor_mm=project.rules.floor_mm,
        level_mm=level_error_mm(project),
        pour_height_mm=pour_height_mm(project),
        freeboard_mm=freeboard_mm(project),
        side_height_mm=side_height_mm(project),
        base_mm=project.box.thickness_mm,
    )


def _near(project: Project, at: XY, way: XY) -> list[Cavity]:
    """Return the cavities that a line may meet: their places lie no farther from it than their masters reach."""
    reach = {m.id: _reach_mm(m.footprint) for m in project.masters}
    return [
        c
        for c in project.cavities
        if abs((c.x_mm - at[0]) * way[1] - (c.y_mm - at[1]) * way[0]) <= reach[c.master] + CLEARANCE_TOL_MM
    ]


def _reach_mm(footprint: Footprint) -> float:
    if isinstance(footprint, Disc):
        return footprint.radius_mm
    return max(math.hypot(x, y) for x, y in footprint.points)


def _inside(project: Project, at: XY, way: XY) -> list[Span]:
    shape = project.box.shape
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        return _chord(PlacedDisc(r, r, r), at, way)
    return _spans(inner_polygon(shape), at, way)


def _chord(disc: PlacedDisc, at: XY, way: XY) -> list[Span]:
    dx, dy = disc.x_mm - at[0], disc.y_mm - at[1]
    along, aside = dx * way[0] + dy * way[1], dx * way[1] - dy * way[0]
    if abs(aside) >= disc.radius_mm - CLEARANCE_TOL_MM:
        return []
    half = math.sqrt(disc.radius_mm**2 - aside**2)
    return [(along - half, along + half)]


def _spans(polygon: Polygon, at: XY, way: XY) -> list[Span]:
    x0, y0, x1, y1 = polygon.bounds
    far = math.hypot(x1 - x0, y1 - y0) + math.hypot(at[0] - x0, at[1] - y0) + 1.0
    ray = LineString([(at[0] - way[0] * far, at[1] - way[1] * far), (at[0] + way[0] * far, at[1] + way[1] * far)])
    spans = []
    for piece in shapely.get_parts(polygon.intersection(ray)):
        if piece.geom_type != "LineString" or piece.length <= CLEARANCE_TOL_MM:
            continue
        ends = [(x - at[0]) * way[0] + (y - at[1]) * way[1] for x, y in np.asarray(piece.coords)]
        spans.append((min(ends), max(ends)))
    return sorted(spans)


def _cuts(project: Project, cavity: Cavity, at: XY, way: XY) -> list[Cut]:
    placed = placed_cavity(project, cavity)
    spans = _chord(placed, at, way) if isinstance(placed, PlacedDisc) else _spans(as_polygon(placed), at, way)
    master = project.master(cavity.master)
    made: list[Cut] = []
    for start, end in spans:
        for a, b in _without(_holes(project, cavity, at, way), (start, end)):
            profile = _profile(master, cavity, at, way, (a, b))
            made.append(Cut(cavity.id, a, b, max(z for _, z in profile), profile, cavity.empty))
    return made


def _solid(source: str, word: str) -> tuple[float, ...]:
    """The dimensions after a word of a simple solid as typed, mm; empty if it has none or is a file."""
    match = re.search(rf"(?:^|\+)\s*{word}\s*:([^+]+)", source, re.IGNORECASE)
    if match is None:
        return ()
    try:
        return tuple(parse_length_mm(part, source) for part in re.split(r"[xX×]", match.group(1)))
    except BadValueError:
        return ()


def _holes(project: Project, cavity: Cavity, at: XY, way: XY) -> list[Span]:
    """Where the line runs through holes of a master, in its order: a ring's exactly."""
    ring = _solid(project.master(cavity.master).source, "ring")
    if len(ring) == 3:
        return _chord(PlacedDisc(cavity.x_mm, cavity.y_mm, ring[1] / 2.0), at, way)
    return sorted(span for hole in placed_holes(project, cavity) for span in _spans(hole, at, way))


def _without(holes: list[Span], span: Span) -> list[Span]:
    left, start = [], span[0]
    for a, b in holes:
        if start < b and a < span[1]:
            if a - start > CLEARANCE_TOL_MM:
                left.append((start, a))
            start = b
    return [*left, (start, span[1])] if span[1] - start > CLEARANCE_TOL_MM else left


def _profile(master: Master, cavity: Cavity, at: XY, way: XY, span: Span) -> tuple[XY, ...]:
    start, end = span
    dome = _solid(master.source, "dome")
    if len(dome) != 2 or not 0.0 < dome[1] < master.height_mm:
        h = master.height_mm
        return (start, 0.0), (start, h), (end, h), (end, 0.0)
    base, rise = dome[0] / 2.0, dome[1]
    top = master.height_mm - rise
    flat: list[XY] = [(start, 0.0), (start, top)]
    middle = _top_middle(master, cavity)
    for a, b in _chord(PlacedDisc(*middle, base), at, way):
        flat += _arc(middle, at, way, (a, b), top, (base, rise))
    return (*flat, (end, top), (end, 0.0))


def _top_middle(master: Master, cavity: Cavity) -> XY:
    """Where a dome stands: on a polygon of odd corners not in the middle of its bounding box, which it is placed by."""
    match = re.match(r"\s*poly(\d+)\s*:([^x×+]+)", master.source, re.IGNORECASE)
    corners = int(match.group(1)) if match else 0
    if match is None or corners < 3 or corners % 2 == 0:
        return cavity.x_mm, cavity.y_mm
    lift = parse_length_mm(match.group(2), master.source) / 4.0 * (1.0 - math.cos(math.pi / corners))
    cos, sin = cos_sin(cavity.angle_deg)
    return cavity.x_mm + lift * sin, cavity.y_mm - lift * cos


def _arc(middle: XY, at: XY, way: XY, span: Span, top: float, cap: tuple[float, float]) -> list[XY]:
    """The cut of a spherical cap on a flat top."""
    base, rise = cap
    ball = (base * base + rise * rise) / (2.0 * rise)
    points = []
    for s in np.linspace(*span, _ARC_POINTS):
        away = math.hypot(at[0] + way[0] * s - middle[0], at[1] + way[1] * s - middle[1])
        points.append((float(s), top + math.sqrt(max(ball * ball - away * away, 0.0)) - (ball - rise)))
    return points
