"""Where on a cavity its number, its arrow and its glue go, so that none of them hides another."""

import math
from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from layout.geometry import XY, Placed, PlacedDisc, as_polygon, cos_sin
from layout.model import Cavity, Project
from layout.numbering import numbered
from layout.regions import placed_cavity, placed_holes, placed_material
from layout.tolerances import ARC_CHORD_TOL_MM

GLUE_INSET_MM: Final = 1.5
"""The glue stays this far inside the edge: glue that squeezes out would be copied. Common practice, no source."""

LARGEST_MM: Final = 5.0
LEAST_MM: Final = 1.2
WIDEST_MM: Final = 9.0
"""Size of the numbers' letters, and the most room a number takes along: less than two pages overlap, so that it is
whole on one of them."""

_LETTER: Final = 0.64
_TALL: Final = 0.74
"""Width of a figure and height of figures over the size of the text."""

_CLEAR_MM: Final = 0.3


@dataclass(frozen=True, slots=True)
class Number:
    """A number where it is written: the middle of its figures, base coordinates, and its size, mm."""

    words: str
    x_mm: float
    y_mm: float
    size_mm: float

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """The room it takes."""
        across, up = _half_extents(self.words, self.size_mm)
        return self.x_mm - across, self.y_mm - up, self.x_mm + across, self.y_mm + up


def _half_extents(words: str, size: float) -> XY:
    return 0.5 * _LETTER * size * len(words), 0.5 * _TALL * size


@dataclass(frozen=True, slots=True)
class Spot:
    """One cavity with what is drawn on it: base coordinates, mm.

    Parameters
    ----------
    cavity : Cavity
    placed : Placed
    glue : tuple of Placed
        The lines the glue keeps inside of, or round a hole outside of; none for a part too small for it.
    cross_mm : float
        Arm of the cross at its centre; 0 where the centre lies over a hole, or too near to one.
    arrow : tuple of ((x, y), (x, y))
        Lines of the arrow; none for a disc, which has no right.
    number : Number
    holes : tuple of Polygon
        Through holes of the master, where silicone must come down to the base.
    """

    cavity: Cavity
    placed: Placed
    glue: tuple[Placed, ...]
    cross_mm: float
    arrow: tuple[tuple[XY, XY], ...]
    number: Number
    holes: tuple[Polygon, ...] = ()


def spots(project: Project) -> tuple[Spot, ...]:
    """Return every cavity with what is drawn on it, in the pouring order."""
    return tuple(_spot(project, cavity, number) for number, cavity in numbered(project))


def _spot(project: Project, cavity: Cavity, number: int) -> Spot:
    placed = placed_cavity(project, cavity)
    reach = reach_mm(placed)
    cross = min(2.0, 0.2 * reach)
    at, holes, material = (cavity.x_mm, cavity.y_mm), placed_holes(project, cavity), placed_material(project, cavity)
    turn = None if _is_round(placed, holes) else cavity.angle_deg
    lines = () if turn is None else arrow(at, turn, reach)
    if holes and _taken(at, cross, lines).dwithin(shapely.union_all(holes), _CLEAR_MM):
        # what stands about the centre would stand in a hole: it goes where the part is widest, without the cross
        widest = shapely.maximum_inscribed_circle(material, tolerance=0.05 * reach)
        (x, y), reach, cross = widest.coords[0], 0.8 * widest.length, 0.0
        at = (float(x), float(y))
        lines = () if turn is None else arrow(at, turn, reach)
    taken = _taken(at, cross, lines)
    figure = _number_at(material, (at, turn), str(number), (cross, reach), taken)
    return Spot(cavity, placed, glue_lines(placed, holes), cross, lines, figure, holes)


def _is_round(placed: Placed, holes: tuple[Polygon, ...]) -> bool:
    """Whether a part looks the same at every turn: a disc, or one with round holes about its own middle."""
    if not isinstance(placed, PlacedDisc):
        return False
    rims = [[math.dist(p, (placed.x_mm, placed.y_mm)) for p in hole.exterior.coords] for hole in holes]
    return all(max(rim) - min(rim) <= 2.0 * ARC_CHORD_TOL_MM for rim in rims)


def reach_mm(placed: Placed) -> float:
    """Return how far the arrow reaches from the centre."""
    x0, y0, x1, y1 = placed.bounds
    return 0.4 * min(x1 - x0, y1 - y0)


def arrow(at: XY, angle_deg: float, reach_mm: float) -> tuple[tuple[XY, XY], ...]:
    """Return an arrow from a point on a cavity to where the right of its master points, as three lines."""
    c, s = cos_sin(angle_deg)
    tip = (at[0] + reach_mm * c, at[1] + reach_mm * s)
    barb = 0.3 * reach_mm

    def back(side: float) -> XY:
        return (tip[0] - barb * c - side * 0.5 * barb * s, tip[1] - barb * s + side * 0.5 * barb * c)

    return ((at, tip), (tip, back(1.0)), (tip, back(-1.0)))


def glue_lines(placed: Placed, holes: tuple[Polygon, ...] = ()) -> tuple[Placed, ...]:
    """Return the borders of the area the glue keeps to: off the part's edge, and as far off the edges of its holes."""
    outer = glue_line(placed)
    if outer is None:
        return ()
    if not holes:
        return (outer,)
    around = shapely.union_all([hole.buffer(GLUE_INSET_MM, join_style="mitre") for hole in holes])
    lines: list[Placed] = []
    whole = as_polygon(outer).contains_properly(around)
    for part in shapely.get_parts(as_polygon(outer).difference(around)):
        if isinstance(part, Polygon):
            lines += [outer if whole else Polygon(part.exterior), *map(Polygon, part.interiors)]
    return tuple(lines)


def glue_line(placed: Placed) -> Placed | None:
    """Return the line the glue keeps inside of, or None for a part too small for it."""
    if isinstance(placed, PlacedDisc):
        r = placed.radius_mm - GLUE_INSET_MM
        return PlacedDisc(placed.x_mm, placed.y_mm, r) if r > 0.5 else None
    smaller = placed.buffer(-GLUE_INSET_MM, join_style="mitre")
    return smaller if isinstance(smaller, Polygon) and not smaller.is_empty else None


def _number_at(
    material: MultiPolygon,
    pose: tuple[XY, float | None],
    words: str,
    marks_mm: tuple[float, float],
    taken: BaseGeometry,
) -> Number:
    """Return the number behind the arrow's foot, else beside it, else where the part is widest; smaller if it must be.

    It keeps inside the outline, out of the holes and off the arrow and the cross.
    """
    ((x, y), turn_deg), (cross, reach) = pose, marks_mm
    c, s = cos_sin(turn_deg or 0.0)
    directions = ((0.0, 1.0),) if turn_deg is None else ((-c, -s), (-s, c), (s, -c))
    widest = shapely.maximum_inscribed_circle(material, tolerance=0.05 * reach).coords[0] if reach else None
    size = min(LARGEST_MM, 0.8 * reach, WIDEST_MM / (_LETTER * len(words)))
    while True:
        across, up = _half_extents(words, size)
        for dx, dy in directions:
            away = cross + _CLEAR_MM + across * abs(dx) + up * abs(dy)
            number = Number(words, x + away * dx, y + away * dy, size)
            if _fits(number, material, taken):
                return number
        if widest is not None:
            number = Number(words, float(widest[0]), float(widest[1]), size)
            if _fits(number, material, taken):
                return number
        if size <= LEAST_MM:
            return Number(words, x, y + cross + _CLEAR_MM + up, LEAST_MM)
        size = max(LEAST_MM, 0.85 * size)


def cross_lines(at: XY, arm_mm: float) -> tuple[tuple[XY, XY], ...]:
    """Return the two lines of a cross; none if its arm is 0."""
    x, y = at
    return (((x - arm_mm, y), (x + arm_mm, y)), ((x, y - arm_mm), (x, y + arm_mm))) if arm_mm else ()


def _taken(at: XY, cross: float, lines: tuple[tuple[XY, XY], ...]) -> BaseGeometry:
    return shapely.MultiLineString([LineString(part) for part in (*cross_lines(at, cross), *lines)])


def _fits(number: Number, material: MultiPolygon, taken: BaseGeometry) -> bool:
    room = shapely.box(*number.bounds)
    return bool(material.contains(room) and not room.intersects(taken))
