"""Simple solids by their dimensions, as typed: ``disc:20x5``, ``hex:19.05x6.35+dome:16x3``; closed forms, no mesh."""

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely

from layout.errors import BadValueError
from layout.geometry import XY, Disc, FloatArray, Footprint, Outline, centred_outline, circle_around, circle_inside
from layout.tolerances import ARC_CHORD_TOL_MM, CLEARANCE_TOL_MM, SHORTEST_PART_MM
from layout.units import parse_length_mm

MOST_CORNERS: Final = 360
"""A regular polygon of more corners is meant as a disc."""

_SPEC: Final = re.compile(r"^\s*(?P<kind>[A-Za-z]+?)(?P<corners>\d*)\s*:(?P<sizes>[^+]*)(?:\+(?P<top>.*))?$")
_EXAMPLES: Final = {
    "disc": "disc:20x5",
    "hex": "hex:19.05x6.35",
    "square": "square:18x5",
    "rect": "rect:30x12x8",
    "oval": "oval:30x16x6",
    "ring": "ring:30x18x6",
    "poly": "poly5:22x8",
    "dome": "+dome:16x3",
}


@dataclass(frozen=True, slots=True)
class Solid:
    """A part as numbers, exact: what every reader returns before it gets a name.

    Parameters
    ----------
    footprint : Disc or Outline
    footprint_area_mm2 : float
        True area of the silhouette, holes filled.
    height_mm, volume_mm3, glued_area_mm2 : float
    surface_mm2 : float or None
        Without the glued back.
    undercut : float or None
    holes : tuple of outlines
        Through holes of the silhouette in the footprint's coordinates; each inside the true one.
    """

    footprint: Footprint
    footprint_area_mm2: float
    height_mm: float
    volume_mm3: float
    glued_area_mm2: float
    surface_mm2: float | None
    undercut: float | None = 0.0
    holes: tuple[tuple[XY, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class _Section:
    """The plan of a prism: its outline about the middle of its top face."""

    footprint: Footprint
    filled_mm2: float
    section_mm2: float
    perimeter_mm: float
    middle_radius_mm: float
    corners: tuple[XY, ...] = ()
    holes: tuple[tuple[XY, ...], ...] = ()


def is_simple(text: str) -> bool:
    """Return whether a text is meant as a simple solid: a known name, a colon and something behind it.

    Examples
    --------
    >>> is_simple("poly5:22x8"), is_simple("bracket.dxf@8"), is_simple("ball:20")
    (True, False, False)
    """
    match = _SPEC.match(text)
    return match is not None and match["kind"].lower() in _EXAMPLES


def read_simple(text: str, where: str) -> Solid:
    """Return the solid that a text like ``hex:19.05x6.35+dome:16x3`` describes.

    Parameters
    ----------
    text : str
        Dimensions are lengths as everywhere: bare numbers are mm, ``3/4in`` is read.
    where : str
        The option, for the error.

    Raises
    ------
    BadValueError
        If it can't be read, a size is absurd, a ring's hole or a dome's base is too wide.
    """
    match = _SPEC.match(text)
    kind = match["kind"].lower() if match else ""
    if not match or kind not in _SECTIONS or bool(match["corners"]) != (kind == "poly"):
        known = ", ".join(_EXAMPLES.values())
        raise BadValueError(where, f"{text!r} is no solid this program knows", f"write it like one of {known}")
    sizes = _sizes(match["sizes"], kind, text, where)
    corners = int(match["corners"][:9] or 0)
    section = _SECTIONS[kind](sizes[:-1], corners, where)
    solid = _prism(section, sizes[-1])
    if match["top"] is None:
        return solid
    return _with_dome(solid, section, match["top"], text, where)


def _sizes(typed: str, kind: str, text: str, where: str) -> list[float]:
    parts = re.split(r"[xX×]", typed)
    if len(parts) != _EXAMPLES[kind].partition(":")[2].count("x") + 1:
        raise BadValueError(where, f"{text!r} has the wrong number of sizes", f"write it like {_EXAMPLES[kind]}")
    sizes = [parse_length_mm(part, where) for part in parts]
    for size, part in zip(sizes, parts, strict=True):
        if size < SHORTEST_PART_MM:
            raise BadValueError(
                where, f"{part.strip()!r} in {text!r} is too small", f"give at least {SHORTEST_PART_MM:g} mm"
            )
    return sizes


def _prism(section: _Section, height_mm: float) -> Solid:
    return Solid(
        section.footprint,
        section.filled_mm2,
        height_mm,
        section.section_mm2 * height_mm,
        section.section_mm2,
        section.section_mm2 + section.perimeter_mm * height_mm,
        holes=section.holes,
    )


def _disc(sizes: Sequence[float], _corners: int, _where: str) -> _Section:
    r = sizes[0] / 2.0
    return _Section(Disc(r), math.pi * r * r, math.pi * r * r, 2.0 * math.pi * r, r)


def _ring(sizes: Sequence[float], _corners: int, where: str) -> _Section:
    outer, inner = sizes[0] / 2.0, sizes[1] / 2.0
    if outer - inner < SHORTEST_PART_MM:
        raise BadValueError(where, "the ring's hole is as wide as the ring", "give the outer diameter first")
    area = math.pi * (outer - inner) * (outer + inner)
    # no dome stands on a hole: the middle radius is 0
    perimeter, hole = 2.0 * math.pi * (outer + inner), _tuples(circle_inside(inner))
    return _Section(Disc(outer), math.pi * outer * outer, area, perimeter, 0.0, holes=(hole,))


def _rect(sizes: Sequence[float], _corners: int, _where: str) -> _Section:
    dx, dy = sizes[0] / 2.0, sizes[-1] / 2.0
    corners = ((-dx, -dy), (dx, -dy), (dx, dy), (-dx, dy))
    area = 4.0 * dx * dy
    return _Section(Outline(corners), area, area, 4.0 * (dx + dy), min(dx, dy), corners)


def _square(sizes: Sequence[float], _corners: int, _where: str) -> _Section:
    return _rect((sizes[0], sizes[0]), 0, _where)


def _hex(sizes: Sequence[float], _corners: int, _where: str) -> _Section:
    half = sizes[0] / 2.0
    side = 2.0 * half / math.sqrt(3.0)
    # two flats face left and right: the corners stand up and down
    corners = ((half, -side / 2), (half, side / 2), (0.0, side), (-half, side / 2), (-half, -side / 2), (0.0, -side))
    area = 2.0 * math.sqrt(3.0) * half * half
    return _Section(Outline(corners), area, area, 6.0 * side, half, corners)


def _poly(sizes: Sequence[float], corners: int, where: str) -> _Section:
    if not 3 <= corners <= MOST_CORNERS:
        raise BadValueError(where, f"a polygon of {corners} corners", f"give 3 to {MOST_CORNERS} corners, or a disc")
    r = sizes[0] / 2.0
    angles = math.pi / 2.0 + np.arange(corners) * (2.0 * math.pi / corners)
    points = np.column_stack((r * np.cos(angles), r * np.sin(angles)))
    area = corners / 2.0 * r * r * math.sin(2.0 * math.pi / corners)
    perimeter = 2.0 * corners * r * math.sin(math.pi / corners)
    return _Section(
        centred_outline(points, where), area, area, perimeter, r * math.cos(math.pi / corners), _tuples(points)
    )


def _oval(sizes: Sequence[float], _corners: int, where: str) -> _Section:
    a, b = sizes[0] / 2.0, sizes[1] / 2.0
    if a == b:
        return _disc(sizes, 0, where)
    points = ellipse_around(a, b)
    area = math.pi * a * b
    return _Section(centred_outline(points, where), area, area, ellipse_perimeter_mm(a, b), min(a, b), _tuples(points))


def _tuples(points: FloatArray) -> tuple[XY, ...]:
    return tuple((float(x), float(y)) for x, y in points)


def ellipse_around(a_mm: float, b_mm: float, tolerance_mm: float = ARC_CHORD_TOL_MM) -> FloatArray:
    """Return a polygon, shape (n, 2), that contains the ellipse of these half axes by at most the tolerance.

    Notes
    -----
    The tangent polygon of a circle stretched along one axis is the tangent polygon of the ellipse, and no point of it
    moves farther out than it stands out of the circle of the greater half axis.
    """
    greater = max(a_mm, b_mm)
    return circle_around(greater, tolerance_mm) * (np.array([a_mm, b_mm]) / greater)


def ellipse_perimeter_mm(a_mm: float, b_mm: float) -> float:
    """Return the perimeter of an ellipse by its half axes, to rounding, by the arithmetic-geometric mean (Gauss)."""
    a, b, weight = max(a_mm, b_mm), min(a_mm, b_mm), 1.0
    total = (a * a + b * b) / 2.0
    while a - b > 1e-15 * a and weight < 1e9:
        total -= weight * ((a - b) / 2.0) ** 2
        a, b, weight = (a + b) / 2.0, math.sqrt(a * b), 2.0 * weight
    return 2.0 * math.pi * total / a


_SECTIONS: Final[dict[str, Callable[[Sequence[float], int, str], _Section]]] = {
    "disc": _disc,
    "hex": _hex,
    "square": _square,
    "rect": _rect,
    "oval": _oval,
    "ring": _ring,
    "poly": _poly,
}


def _with_dome(solid: Solid, section: _Section, top: str, text: str, where: str) -> Solid:
    name, colon, typed = top.partition(":")
    if name.strip().lower() != "dome" or not colon:
        raise BadValueError(where, f"{'+' + top!r} in {text!r} is not known", "write a dome like +dome:16x3")
    base_mm, rise_mm = _sizes(typed, "dome", text, where)
    a = base_mm / 2.0
    if a > section.middle_radius_mm + CLEARANCE_TOL_MM:
        widest = f"{2.0 * section.middle_radius_mm:g} mm" if section.middle_radius_mm else "none: it has a hole"
        raise BadValueError(
            where, f"the dome's base of {base_mm:g} mm does not lie inside the top face", f"its widest is {widest}"
        )
    sphere = (a * a + rise_mm * rise_mm) / (2.0 * rise_mm)
    widest_mm = sphere if rise_mm > a else a
    footprint, area = _under_sphere(solid, section, widest_mm, where)
    return replace(
        solid,
        footprint=footprint,
        footprint_area_mm2=area,
        height_mm=solid.height_mm + rise_mm,
        volume_mm3=solid.volume_mm3 + math.pi * rise_mm * (3.0 * a * a + rise_mm * rise_mm) / 6.0,
        surface_mm2=(solid.surface_mm2 or 0.0) + math.pi * rise_mm * rise_mm,
        undercut=(widest_mm - a) / a,
    )


def _under_sphere(solid: Solid, section: _Section, radius_mm: float, where: str) -> tuple[Footprint, float]:
    """Return footprint and area of a part whose dome is more than half a ball and may stand out over its face."""
    if radius_mm <= section.middle_radius_mm + CLEARANCE_TOL_MM:
        return solid.footprint, solid.footprint_area_mm2
    if isinstance(solid.footprint, Disc):
        return Disc(radius_mm), math.pi * radius_mm**2
    both = shapely.Polygon(section.corners).union(shapely.Polygon(circle_around(radius_mm)))
    if both.equals(shapely.Polygon(circle_around(radius_mm))):
        return Disc(radius_mm), math.pi * radius_mm**2
    return centred_outline(shapely.get_coordinates(both), where), float(both.area)
