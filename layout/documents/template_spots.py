"""Where on a cavity its number, its arrow and its glue go, so that none of them hides another."""

from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry import LineString, Polygon

from layout.geometry import XY, Placed, PlacedDisc, as_polygon, cos_sin
from layout.model import Cavity, Project
from layout.numbering import numbered
from layout.regions import placed_cavity

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
    glue : Placed or None
        The line the glue keeps inside of; None for a part too small for it.
    cross_mm : float
        Arm of the cross at its centre.
    arrow : tuple of ((x, y), (x, y))
        Lines of the arrow; none for a disc, which has no right.
    number : Number
    """

    cavity: Cavity
    placed: Placed
    glue: Placed | None
    cross_mm: float
    arrow: tuple[tuple[XY, XY], ...]
    number: Number


def spots(project: Project) -> tuple[Spot, ...]:
    """Return every cavity with what is drawn on it, in the pouring order."""
    return tuple(_spot(project, cavity, number) for number, cavity in numbered(project))


def _spot(project: Project, cavity: Cavity, number: int) -> Spot:
    placed = placed_cavity(project, cavity)
    reach = reach_mm(placed)
    cross = min(2.0, 0.2 * reach)
    lines = () if isinstance(placed, PlacedDisc) else arrow(cavity, reach)
    return Spot(cavity, placed, glue_line(placed), cross, lines, _number_at(placed, cavity, str(number), cross, reach))


def reach_mm(placed: Placed) -> float:
    """Return how far the arrow reaches from the centre."""
    x0, y0, x1, y1 = placed.bounds
    return 0.4 * min(x1 - x0, y1 - y0)


def arrow(cavity: Cavity, reach_mm: float) -> tuple[tuple[XY, XY], ...]:
    """Return an arrow from a cavity's centre to where the right of its master points, as three lines."""
    c, s = cos_sin(cavity.angle_deg)
    tip = (cavity.x_mm + reach_mm * c, cavity.y_mm + reach_mm * s)
    barb = 0.3 * reach_mm

    def back(side: float) -> XY:
        return (tip[0] - barb * c - side * 0.5 * barb * s, tip[1] - barb * s + side * 0.5 * barb * c)

    return (((cavity.x_mm, cavity.y_mm), tip), (tip, back(1.0)), (tip, back(-1.0)))


def glue_line(placed: Placed) -> Placed | None:
    """Return the line the glue keeps inside of, or None for a part too small for it."""
    if isinstance(placed, PlacedDisc):
        r = placed.radius_mm - GLUE_INSET_MM
        return PlacedDisc(placed.x_mm, placed.y_mm, r) if r > 0.5 else None
    smaller = placed.buffer(-GLUE_INSET_MM, join_style="mitre")
    return smaller if isinstance(smaller, Polygon) and not smaller.is_empty else None


def _number_at(placed: Placed, cavity: Cavity, words: str, cross: float, reach: float) -> Number:
    """Return the number behind the arrow's foot, else beside it, else where the part is widest; smaller if it must be.

    It keeps inside the outline and off the arrow and the cross.
    """
    polygon = as_polygon(placed)
    taken = _taken(cavity, cross, 0.0 if isinstance(placed, PlacedDisc) else reach)
    c, s = cos_sin(cavity.angle_deg)
    directions = ((0.0, 1.0),) if isinstance(placed, PlacedDisc) else ((-c, -s), (-s, c), (s, -c))
    widest = shapely.maximum_inscribed_circle(polygon, tolerance=0.05 * reach).coords[0] if reach else None
    size = min(LARGEST_MM, 0.8 * reach, WIDEST_MM / (_LETTER * len(words)))
    while True:
        across, up = _half_extents(words, size)
        for dx, dy in directions:
            away = cross + _CLEAR_MM + across * abs(dx) + up * abs(dy)
            number = Number(words, cavity.x_mm + away * dx, cavity.y_mm + away * dy, size)
            if _fits(number, polygon, taken):
                return number
        if widest is not None:
            number = Number(words, float(widest[0]), float(widest[1]), size)
            if _fits(number, polygon, taken):
                return number
        if size <= LEAST_MM:
            return Number(words, cavity.x_mm, cavity.y_mm + cross + _CLEAR_MM + up, LEAST_MM)
        size = max(LEAST_MM, 0.85 * size)


def _taken(cavity: Cavity, cross: float, reach: float) -> shapely.geometry.base.BaseGeometry:
    x, y = cavity.x_mm, cavity.y_mm
    lines = [LineString([(x - cross, y), (x + cross, y)]), LineString([(x, y - cross), (x, y + cross)])]
    if reach:
        lines += [LineString(part) for part in arrow(cavity, reach)]
    return shapely.MultiLineString(lines)


def _fits(number: Number, polygon: Polygon, taken: shapely.geometry.base.BaseGeometry) -> bool:
    room = shapely.box(*number.bounds)
    return bool(polygon.contains(room) and not room.intersects(taken))
