"""The box put together, seen from above at an angle: flat facets from back to front, in mm on the picture's plane."""

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Literal

import shapely
from shapely.geometry.polygon import orient

from layout.box.panel import XYZ, BoxParts, Pose, Solid
from layout.box.shapes import Circle, points_of, polygon_of, rectangle, ring_path
from layout.geometry import XY, as_polygon
from layout.model import OutlineBox, Project, RectBox, RoundBox
from layout.regions import placed_cavities
from layout.volumes import pour_height_mm

FacetKind = Literal["panel", "cavity", "fill line", "edge"]

_TURN: Final = math.radians(30.0)
_TILT: Final = math.radians(38.0)
"""The eye looks from the front right, this far turned and this far above the level."""

_LIGHT: Final = (0.25, -0.55, 0.8)
_TUBE_FLATS: Final = 72
_TOUCH_MM: Final = 0.01


@dataclass(frozen=True, slots=True)
class Facet:
    """A flat piece of the picture.

    Parameters
    ----------
    points : tuple of (x, y)
        mm, y up; a line if it is a fill line or an edge.
    kind : {"panel", "cavity", "fill line", "edge"}
    shade : float
        0 dark to 1 light.
    border : bool
        Drawn with an outline; not the facets that only make up a curve.
    """

    points: tuple[XY, ...]
    kind: FacetKind
    shade: float = 1.0
    border: bool = True


def _eye() -> XYZ:
    return (
        math.sin(_TURN) * math.cos(_TILT),
        -math.cos(_TURN) * math.cos(_TILT),
        math.sin(_TILT),
    )


def project_point(point: XYZ) -> XY:
    """Return where a point of the box is on the picture."""
    x, y, z = point
    across = x * math.cos(_TURN) + y * math.sin(_TURN)
    away = -x * math.sin(_TURN) + y * math.cos(_TURN)
    return across, away * math.sin(_TILT) + z * math.cos(_TILT)


def _dot(a: XYZ, b: XYZ) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _shade(normal: XYZ) -> float:
    length = math.sqrt(_dot(_LIGHT, _LIGHT))
    return max(0.0, min(1.0, 0.55 + 0.45 * _dot(normal, _LIGHT) / length))


def picture_of(project: Project, parts: BoxParts) -> tuple[Facet, ...]:
    """Return the facets of the box put together, from back to front: base, cavities, sides."""
    tube = _tube(parts)
    solids = [*parts.solids, *tube]
    flat = [s for s in solids if s.pose.outward[2] < -0.5]
    upright = [s for s in solids if s.pose.outward[2] >= -0.5]
    eye = _eye()
    upright.sort(key=lambda s: _dot(_middle(s), eye))
    found: list[Facet] = []
    for solid in flat:
        found += _facets(solid, eye)
    for placed in placed_cavities(project).values():
        ring = as_polygon(placed).exterior.coords[:-1]
        found.append(Facet(tuple(project_point((x, y, 0.0)) for x, y in ring), "cavity"))
    behind = [s for s in upright if _dot(s.pose.outward, eye) < 0.0]
    before = [s for s in upright if _dot(s.pose.outward, eye) >= 0.0]
    for solid in behind:
        found += _facets(_above_the_base(solid), eye, smooth=bool(tube))
        found += _fill_line_on(project, solid)
    found += _fill_lines(project, eye)
    for solid in before:
        found += _facets(solid, eye, smooth=bool(tube))
    return (*found, *_round_edges(project, parts, eye))


def _fill_line_on(project: Project, solid: Solid) -> list[Facet]:
    """Return the fill line on one side of an outlined box, which may hide that of another."""
    shape = project.box.shape
    if not isinstance(shape, OutlineBox):
        return []
    ends = shapely.LineString(solid.plan()[:2])
    # where a side laps its neighbour it is not inside
    seen = ends.intersection(shapely.Polygon(shape.points).buffer(_TOUCH_MM))
    z = pour_height_mm(project)
    return [
        Facet(tuple(project_point((x, y, z)) for x, y in part.coords), "fill line")
        for part in shapely.get_parts(seen)
        if part.length > 1.0
    ]


def _middle(solid: Solid) -> XYZ:
    centre = polygon_of(solid.outline).centroid
    return solid.pose.at(float(centre.x), float(centre.y), solid.thickness_mm / 2.0)


def _above_the_base(solid: Solid) -> Solid:
    """Return the part of an upright piece over the base's top: the rest is hidden by the base in front of it."""
    x0, y0, x1, y1 = polygon_of(solid.outline).bounds
    low = -solid.pose.origin[2]
    if y0 >= low:
        return solid
    rest = polygon_of(solid.outline).intersection(shapely.box(x0, low, x1, y1))
    if not isinstance(rest, shapely.Polygon) or rest.is_empty:
        return solid
    return replace(solid, outline=ring_path(rest.exterior))


def _facets(solid: Solid, eye: XYZ, *, smooth: bool = False) -> list[Facet]:
    """Return the faces of a solid that show; ``smooth``: it is one of many that make up a tube."""
    ring = points_of(solid.outline)
    curved = isinstance(solid.outline, Circle) or smooth
    if isinstance(solid.outline, Circle):
        ring = ring[:: max(1, len(ring) // 96)]
    ring = [(x, y) for x, y in orient(shapely.Polygon(ring)).exterior.coords[:-1]]
    pose, t = solid.pose, solid.thickness_mm
    found: list[Facet] = []
    for (ax, ay), (bx, by) in pairwise([*ring, ring[0]]):
        d = math.hypot(bx - ax, by - ay)
        nx, ny = (by - ay) / d, -(bx - ax) / d
        a, u = pose.along, pose.up
        normal = (a[0] * nx + u[0] * ny, a[1] * nx + u[1] * ny, a[2] * nx + u[2] * ny)
        if _dot(normal, eye) > 1e-9:
            corners = ((ax, ay, 0.0), (bx, by, 0.0), (bx, by, t), (ax, ay, t))
            points = tuple(project_point(solid.at(*c)) for c in corners)
            found.append(Facet(points, "panel", _shade(normal), not curved))
    outward = pose.outward
    shows_inner = _dot(outward, eye) < 0.0
    normal = (-outward[0], -outward[1], -outward[2]) if shows_inner else outward
    face = tuple(project_point(solid.at(x, y, 0.0 if shows_inner else t)) for x, y in ring)
    found.append(Facet(face, "panel", _shade(normal), not smooth))
    return found


def _tube(parts: BoxParts) -> list[Solid]:
    if parts.tube is None:
        return []
    radius = parts.tube.inner_diameter_mm / 2.0
    half = math.pi / _TUBE_FLATS
    flat = 2.0 * (radius + parts.tube.wall_mm) * math.tan(half)
    # the tube ends where the box does; the box's outside reaches a sheet's thickness below the base's top
    bottom = parts.outside_mm[2] - parts.panels[0].thickness_mm - parts.tube.length_mm
    found = []
    for k in range(_TUBE_FLATS):
        angle = (2 * k + 1) * half
        c, s = math.cos(angle), math.sin(angle)
        along = (s, -c, 0.0)
        origin = (radius + radius * c - along[0] * flat / 2.0, radius + radius * s - along[1] * flat / 2.0, bottom)
        outline = rectangle(0.0, 0.0, flat, parts.tube.length_mm)
        found.append(Solid(outline, parts.tube.wall_mm, Pose(origin, along, (0.0, 0.0, 1.0))))
    return found


def _round_edges(project: Project, parts: BoxParts, eye: XYZ) -> list[Facet]:
    """Return the edges of round things that show: the foot of the base in front; of a tube also rims and foot."""
    if not isinstance(project.box.shape, RoundBox):
        return []
    inner = project.box.shape.diameter_mm / 2.0
    # seen from the eye a cylinder turns away a quarter turn to either side of it
    first = math.atan2(eye[1], eye[0]) - math.pi / 2.0

    def arc(radius: float, z: float, share: float = 1.0) -> Facet:
        angles = [first + 2.0 * math.pi * share * k / _TUBE_FLATS for k in range(_TUBE_FLATS + 1)]
        points = ((inner + radius * math.cos(a), inner + radius * math.sin(a), z) for a in angles)
        return Facet(tuple(project_point(p) for p in points), "edge")

    base = parts.panels[0]
    found: list[Facet] = []
    if isinstance(base.outer, Circle) and project.box.base == "under":
        upper, lower = (arc(base.outer.radius_mm, z, 0.5) for z in (0.0, -base.thickness_mm))
        found += [lower, *_between(upper, lower)]
    if parts.tube is not None:
        outer, top = inner + parts.tube.wall_mm, parts.outside_mm[2] - base.thickness_mm
        upper, lower = (arc(outer, z, 0.5) for z in (top, top - parts.tube.length_mm))
        found += [arc(outer, top), arc(inner, top), lower, *_between(upper, lower)]
    return found


def _between(upper: Facet, lower: Facet) -> list[Facet]:
    return [Facet((upper.points[k], lower.points[k]), "edge") for k in (0, -1)]


def _fill_lines(project: Project, eye: XYZ) -> list[Facet]:
    shape = project.box.shape
    z = pour_height_mm(project)
    if isinstance(shape, RectBox):
        length, width = shape.length_mm, shape.width_mm
        corners = [(0.0, 0.0, z), (0.0, width, z), (length, width, z)]
        return [Facet(tuple(project_point(c) for c in corners), "fill line")]
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        # the inner face shows on the half away from the eye
        first = math.atan2(eye[1], eye[0]) + math.pi / 2.0
        angles = [first + math.pi * k / 48 for k in range(49)]
        ring = tuple(project_point((r + r * math.cos(a), r + r * math.sin(a), z)) for a in angles)
        return [Facet(ring, "fill line")]
    return []
