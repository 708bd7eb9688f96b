"""Simple solids as fields: what each is measured by, what can't be, and the text the readers of masters take."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.fields import length_field_text
from app.words import tr
from layout.errors import BadValueError
from layout.tolerances import SHORTEST_PART_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

    from layout.units import Units

ODD_SMALL_MM: Final = 0.5
ODD_LARGE_MM: Final = 500.0
"""A size beyond these is asked about: it looks like a slip of the unit or of the point. Common practice, no source."""

DOME_SIZES: Final = ("Dome across", "Dome rise")


@dataclass(frozen=True, slots=True)
class SolidKind:
    """One simple solid.

    Parameters
    ----------
    word : str
        As the readers know it.
    name : str
        As the user knows it.
    sizes : tuple of str
        What each size is.
    start, start_in : tuple of float
        Sizes to begin with, mm and in.
    corners : bool
        Whether the number of corners is typed too.
    """

    word: str
    name: str
    sizes: tuple[str, ...]
    start: tuple[float, ...]
    start_in: tuple[float, ...]
    corners: bool = False

    def start_mm(self, units: Units) -> tuple[float, ...]:
        """Return round sizes to begin with, in mm: round in the user's unit."""
        return tuple(25.4 * size for size in self.start_in) if units.length == "in" else self.start


KINDS: Final[tuple[SolidKind, ...]] = (
    SolidKind("disc", "Disc", ("Diameter", "Height"), (20.0, 5.0), (3 / 4, 3 / 16)),
    SolidKind("hex", "Hexagon", ("Across flats", "Height"), (19.05, 6.35), (3 / 4, 1 / 4)),
    SolidKind("square", "Square", ("Side", "Height"), (18.0, 5.0), (3 / 4, 3 / 16)),
    SolidKind("rect", "Rectangle", ("Length", "Width", "Height"), (30.0, 12.0, 8.0), (5 / 4, 1 / 2, 5 / 16)),
    SolidKind("oval", "Oval", ("Length", "Width", "Height"), (30.0, 16.0, 6.0), (5 / 4, 5 / 8, 1 / 4)),
    SolidKind("ring", "Ring", ("Outside", "Hole", "Height"), (30.0, 18.0, 6.0), (5 / 4, 3 / 4, 1 / 4)),
    SolidKind("poly", "Regular shape", ("Across corners", "Height"), (22.0, 8.0), (7 / 8, 5 / 16), corners=True),
)

_SOURCE: Final = re.compile(r"^([a-z]+?)(\d*):([^+]+?)(?:\+dome:(.+))?$")


@dataclass(frozen=True, slots=True)
class SolidText:
    """A simple solid in its parts; sizes as typed, each a length."""

    kind: SolidKind
    sizes: tuple[str, ...]
    corners: int = 5
    dome: tuple[str, str] | None = None

    def source(self) -> str:
        """Return the text the readers take.

        Examples
        --------
        >>> SolidText(KINDS[1], ("19.05", "6.35"), dome=("16", "3")).source()
        'hex:19.05x6.35+dome:16x3'
        """
        corners = str(self.corners) if self.kind.corners else ""
        dome = f"+dome:{self.dome[0]}x{self.dome[1]}" if self.dome else ""
        return f"{self.kind.word}{corners}:{'x'.join(self.sizes)}{dome}"


def parse_source(source: str) -> SolidText | None:
    """Return the parts of a simple solid's text; None if it is something else, such as a file's name.

    Examples
    --------
    >>> parse_source("poly5:22x8").corners, parse_source("bracket.dxf@8")
    (5, None)
    """
    match = _SOURCE.match(source.strip().lower())
    if match is None:
        return None
    word, corners, sizes_text, dome_text = match.groups()
    kind = next((k for k in KINDS if k.word == word), None)
    sizes = tuple(re.split(r"[x×]", sizes_text))
    if kind is None or len(sizes) != len(kind.sizes) or kind.corners != bool(corners):
        return None
    dome = tuple(re.split(r"[x×]", dome_text)) if dome_text else ()
    if dome_text and len(dome) != 2:
        return None
    return SolidText(kind, sizes, int(corners or 5), (dome[0], dome[1]) if dome_text else None)


def made_solid(
    kind: SolidKind, sizes_mm: Sequence[float], units: Units, corners: int = 5, dome_mm: Sequence[float] = ()
) -> SolidText:
    """Return the solid of these sizes.

    Raises
    ------
    BadValueError
        If there is no such solid; ``where`` is the name of the field at fault, lengths are in the user's unit.
    """
    names = [tr(name) for name in (*kind.sizes, *DOME_SIZES[: len(dome_mm)])]
    for name, size in zip(names, (*sizes_mm, *dome_mm), strict=True):
        if size < SHORTEST_PART_MM:
            shown = length_field_text(size, units)
            raise BadValueError(name, tr("{name} is {size}", name=name, size=shown), tr("type more than 0"))
    if kind.word == "ring" and sizes_mm[0] - sizes_mm[1] < 2.0 * SHORTEST_PART_MM:
        hole, outside = length_field_text(sizes_mm[1], units), length_field_text(sizes_mm[0], units)
        problem = tr("the hole is {hole} and the outside {outside}", hole=hole, outside=outside)
        raise BadValueError(names[1], problem, tr("make the hole smaller"))
    if dome_mm:
        _refuse_dome(kind, sizes_mm, units, corners, dome_mm[0])
    texts = tuple(f"{size:.12g}" for size in sizes_mm)
    return SolidText(kind, texts, corners, (f"{dome_mm[0]:.12g}", f"{dome_mm[1]:.12g}") if dome_mm else None)


def _refuse_dome(kind: SolidKind, sizes_mm: Sequence[float], units: Units, corners: int, across_mm: float) -> None:
    name = tr(DOME_SIZES[0])
    if kind.word == "ring":
        raise BadValueError(name, tr("no dome stands over a hole"), tr("take the dome off"))
    widest = min(sizes_mm[:-1]) * (math.cos(math.pi / corners) if kind.corners else 1.0)
    if across_mm > widest * (1.0 + 1e-9):
        shown, room = length_field_text(across_mm, units), length_field_text(widest, units)
        problem = tr("the dome is {across} across and the top it stands on {room}", across=shown, room=room)
        raise BadValueError(name, problem, tr("make the dome smaller"))


def odd_size(name: str, size_mm: float, units: Units) -> str:
    """Return a question about a size that no part has that is cast many at a time; empty for any other."""
    shown = length_field_text(size_mm, units)
    if size_mm > ODD_LARGE_MM:
        return tr("{name} {size}: is the part really that large?", name=name, size=shown)
    if size_mm < ODD_SMALL_MM:
        return tr("{name} {size}: is the part really that small?", name=name, size=shown)
    return ""
