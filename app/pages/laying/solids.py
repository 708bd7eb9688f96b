"""Simple solids as fields: what each is measured by, and the text the readers of masters take."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final


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
    start : tuple of float
        Sizes to begin with, mm.
    corners : bool
        Whether the number of corners is typed too.
    """

    word: str
    name: str
    sizes: tuple[str, ...]
    start: tuple[float, ...]
    corners: bool = False


KINDS: Final[tuple[SolidKind, ...]] = (
    SolidKind("disc", "Disc", ("Diameter", "Height"), (20.0, 5.0)),
    SolidKind("hex", "Hexagon", ("Across flats", "Height"), (19.05, 6.35)),
    SolidKind("square", "Square", ("Side", "Height"), (18.0, 5.0)),
    SolidKind("rect", "Rectangle", ("Length", "Width", "Height"), (30.0, 12.0, 8.0)),
    SolidKind("oval", "Oval", ("Length", "Width", "Height"), (30.0, 16.0, 6.0)),
    SolidKind("ring", "Ring", ("Outside", "Hole", "Height"), (30.0, 18.0, 6.0)),
    SolidKind("poly", "Regular shape", ("Across corners", "Height"), (22.0, 8.0), corners=True),
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
