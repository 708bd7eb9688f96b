"""What is drawn on panels: outlines, numbers and centres of cavities, the fill line, names. Nothing that would copy.

Silicone copies a scored or burned line. A pen leaves none, so with a knife everything is drawn, by pen. A laser or a
router would burn or score its lines, so with those a line goes only where no silicone comes: under a master, inside its
outline; under the sides; above the fill line.
"""

import math
from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from layout.box.panel import Cutter
from layout.box.shapes import Circle, Layer, Shape, line, moved, ring_path, without_doubles
from layout.box.strokes import text_strokes, text_width_mm
from layout.geometry import XY, Placed, PlacedDisc, footprint_area_mm2
from layout.model import Master, Project
from layout.numbering import numbered
from layout.regions import placed_cavity, placed_holes, placed_material

BURN_INSET_MM: Final = 0.5
"""How far a burned outline stays inside the rim, so that half a line's width and the glue line lie between."""

_WHOLE_BACK: Final = 0.9
"""Share of the footprint that must be glued for a burned mark inside it to be surely covered."""

_LEAST_ROOM_MM: Final = 2.0
_TEXT_MM: Final = 5.0
_LEAST_TEXT_MM: Final = 1.5


@dataclass(frozen=True, slots=True)
class SideBand:
    """The drawn part of a side: from where to where it is inside, the height of the base's top on it, and its top."""

    start_mm: float
    end_mm: float
    floor_mm: float
    top_mm: float


def burns(cutter: Cutter) -> bool:
    """Return whether this cutter's drawn lines would be copied by silicone."""
    return cutter != "knife"


def cavity_marks(project: Project, cutter: Cutter) -> tuple[Shape, ...]:
    """Return outline, centre mark and number of every cavity, box coordinates, no stretch drawn twice.

    Notes
    -----
    By pen the outline is the footprint itself. A burned one lies `BURN_INSET_MM` inside it, and centre and number are
    left out of parts whose back does not cover their footprint, such as rings. In a through hole silicone comes down
    to the base: its outline is drawn like the outer one, and no mark stands in it.
    """
    outlines: list[Shape] = []
    inner: list[Shape] = []
    for number, cavity in numbered(project):
        master = project.master(cavity.master)
        placed = placed_cavity(project, cavity)
        holes, material = placed_holes(project, cavity), placed_material(project, cavity)
        inset = BURN_INSET_MM if burns(cutter) else 0.0
        outlines.extend(_holed_outline(material, placed, inset) if holes else _outline(placed, inset))
        if not burns(cutter) or _covers_its_footprint(master):
            centre = (cavity.x_mm, cavity.y_mm)
            room = _room_mm(material if holes else placed, centre)
            if room < _LEAST_ROOM_MM and (holes or not isinstance(placed, PlacedDisc)):
                # the centre of an L lies beside it: its number stands where it is widest, without a cross
                widest = shapely.maximum_inscribed_circle(material, tolerance=0.1).coords
                centre, room = (widest[0][0], widest[0][1]), math.dist(widest[0], widest[1])
                inner.extend(_centre_and_number(centre, room, str(number))[2:])
            else:
                inner.extend(_centre_and_number(centre, room, str(number)))
    return (*without_doubles(tuple(outlines)), *inner)


def _covers_its_footprint(master: Master) -> bool:
    return master.glued_area_mm2 >= _WHOLE_BACK * footprint_area_mm2(master.footprint)


def _outline(placed: Placed, inset_mm: float) -> list[Shape]:
    if isinstance(placed, PlacedDisc):
        radius = placed.radius_mm - inset_mm
        return [Circle(placed.x_mm, placed.y_mm, radius, Layer.DRAW)] if radius > 0.0 else []
    if inset_mm == 0.0:
        return [ring_path(placed.exterior, Layer.DRAW)]
    smaller = placed.buffer(-inset_mm, join_style="mitre")
    return [ring_path(part.exterior, Layer.DRAW) for part in shapely.get_parts(smaller) if not part.is_empty]


def _holed_outline(material: BaseGeometry, placed: Placed, inset_mm: float) -> list[Shape]:
    """Return the rims of a part and of its holes, burned ones so far under it; where it is too narrow, none."""
    if inset_mm == 0.0:
        inner = [Polygon(ring) for part in shapely.get_parts(material) for ring in part.interiors]
        return [*_outline(placed, 0.0), *(shape for hole in inner for shape in _outline(hole, 0.0))]
    parts = [part for part in shapely.get_parts(material.buffer(-inset_mm, join_style="mitre")) if not part.is_empty]
    return [ring_path(ring, Layer.DRAW) for part in parts for ring in (part.exterior, *part.interiors)]


def _room_mm(placed: PlacedDisc | BaseGeometry, centre: XY) -> float:
    if isinstance(placed, PlacedDisc):
        return placed.radius_mm
    point = Point(centre)
    return float(placed.boundary.distance(point)) if placed.contains(point) else 0.0


def _centre_and_number(centre: XY, room_mm: float, words: str) -> list[Shape]:
    x, y = centre
    # the cross keeps to a sixth of the room, the number stands above it
    arm = min(2.0, room_mm / 6.0)
    if arm < 0.2:
        return []
    marks: list[Shape] = [
        line((x - arm, y), (x + arm, y)),
        line((x, y - arm), (x, y + arm)),
    ]
    height = min(_TEXT_MM, 0.42 * room_mm, 1.2 * room_mm / text_width_mm(words, 1.0))
    if height >= _LEAST_TEXT_MM / 3.0:
        marks.extend(text_strokes(words, (x, y + 1.8 * arm), height, anchor="middle"))
    return marks


def side_marks(
    name: str, band: SideBand, fill_mm: float, cutter: Cutter, braces_mm: tuple[float, ...] = ()
) -> tuple[Shape, ...]:
    """Return the fill line, the name and the braces of a side, panel coordinates.

    Parameters
    ----------
    name : str
    band : SideBand
    fill_mm : float
        Pour height above the base.
    cutter : Cutter
        A laser or router leaves the fill line out: it would stand on the side of the mold.
    braces_mm : tuple of float
        Where braces stand on the outside, from the inner start of the side; ticks at its top.
    """
    marks: list[Shape] = []
    fill = band.floor_mm + fill_mm
    if not burns(cutter) and fill < band.top_mm:
        marks.append(line((band.start_mm, fill), (band.end_mm, fill)))
    free = band.top_mm - fill
    room = band.end_mm - band.start_mm
    words = f"{name} - this face in"
    height = min(_TEXT_MM, 0.5 * free, 0.9 * room / text_width_mm(words, 1.0))
    if height >= _LEAST_TEXT_MM:
        middle = ((band.start_mm + band.end_mm) / 2.0, fill + (free - height) / 2.0)
        marks.extend(text_strokes(words, middle, height, anchor="middle"))
    for at in braces_mm:
        x = band.start_mm + at
        marks.append(line((x, band.top_mm), (x, band.top_mm - max(0.2 * free, 1.0))))
        if not burns(cutter) and fill > band.floor_mm + 8.0:
            marks.extend(text_strokes("brace outside", (x, fill - 5.0), 3.0, anchor="middle"))
    return tuple(marks)


def rim_words(words: str, length_mm: float, rim_mm: float) -> tuple[Shape, ...]:
    """Return words along the lower rim of the base, under a side, panel coordinates; none if the rim is too thin."""
    height = min(_TEXT_MM, 0.6 * rim_mm, 0.9 * length_mm / text_width_mm(words, 1.0))
    if height < _LEAST_TEXT_MM:
        return ()
    return text_strokes(words, (length_mm / 2.0, (rim_mm - height) / 2.0), height, anchor="middle")


def edge_words(words: str, length_mm: float, edge_mm: float, cutter: Cutter) -> tuple[Shape, ...]:
    """Return words along the lower inner edge of a base without a rim, where the edge rule keeps cavities away.

    Silicone comes there, so only a pen writes them; from the inner corner at (0, 0).
    """
    low = 0.2 * edge_mm
    height = min(_TEXT_MM, 0.5 * edge_mm, 0.9 * length_mm / text_width_mm(words, 1.0))
    if burns(cutter) or height < _LEAST_TEXT_MM:
        return ()
    return text_strokes(words, (length_mm / 2.0, low), height, anchor="middle")


def base_marks(project: Project, cutter: Cutter, corner: XY) -> tuple[Shape, ...]:
    """Return the cavities' marks in the coordinates of a base whose lower left corner is at ``corner`` in the box."""
    return tuple(moved(shape, -corner[0], -corner[1]) for shape in cavity_marks(project, cutter))
