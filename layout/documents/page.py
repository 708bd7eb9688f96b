"""A printed page as data: lines, polygons, text and tables in mm, y down from the page's upper left corner.

The documents make these; `app.printing` paints them on paper, into a PDF and on the screen, all from the same data.
"""

from dataclasses import dataclass
from typing import Final, Literal

from layout.geometry import XY

Align = Literal["left", "middle", "right"]

BLACK: Final = "#000000"
GREY: Final = "#6b6b6b"
PALE: Final = "#e4e4e4"


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper upright, by its size in mm."""

    name: str
    width_mm: float
    height_mm: float


A4: Final = Paper("A4", 210.0, 297.0)
LETTER: Final = Paper("Letter", 215.9, 279.4)
PAPERS: Final = {paper.name.lower(): paper for paper in (A4, LETTER)}


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line.

    Parameters
    ----------
    start, end : (x, y)
    width_mm : float
    colour : str
        ``#rrggbb``.
    dash_mm : tuple of float
        Lengths drawn and left out in turn; empty for a full line.
    """

    start: XY
    end: XY
    width_mm: float = 0.2
    colour: str = BLACK
    dash_mm: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Area:
    """A polygon, or an open line of many points.

    Parameters
    ----------
    points : tuple of (x, y)
    width_mm : float
        Of its border; 0 for none.
    fill : str or None
    closed : bool
    hatch : bool
        Filled with thin slanted lines, for what must be told apart without colour.
    """

    points: tuple[XY, ...]
    width_mm: float = 0.2
    colour: str = BLACK
    fill: str | None = None
    dash_mm: tuple[float, ...] = ()
    closed: bool = True
    hatch: bool = False


@dataclass(frozen=True, slots=True)
class Round:
    """A circle, exact."""

    centre: XY
    radius_mm: float
    width_mm: float = 0.2
    colour: str = BLACK
    fill: str | None = None
    dash_mm: tuple[float, ...] = ()
    hatch: bool = False


@dataclass(frozen=True, slots=True)
class Text:
    """Text of one line, or several with ``width_mm``.

    Parameters
    ----------
    at : (x, y)
        Left end (or middle, or right end) of the base line of the first line.
    words : str
    size_mm : float
        Height of the letters' body; 3.5 mm is about 10 points.
    width_mm : float or None
        Break lines at this width.
    angle_deg : float
        Counter-clockwise about ``at``.
    """

    at: XY
    words: str
    size_mm: float = 3.5
    align: Align = "left"
    bold: bool = False
    colour: str = BLACK
    width_mm: float | None = None
    angle_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a head.

    Parameters
    ----------
    at : (x, y)
        Upper left corner.
    columns_mm : tuple of float
        Widths of the columns.
    head : tuple of str
    rows : tuple of tuple of str
    aligns : tuple of {"left", "middle", "right"}
        One for each column; empty: all left.
    row_mm : float
        Height of a row.
    """

    at: XY
    columns_mm: tuple[float, ...]
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    aligns: tuple[Align, ...] = ()
    row_mm: float = 6.0
    size_mm: float = 3.2

    @property
    def height_mm(self) -> float:
        """Height of the whole table."""
        return self.row_mm * (len(self.rows) + (1 if self.head else 0))

    def primitives(self) -> tuple[Line | Area | Text, ...]:
        """Return the table as lines and texts."""
        x0, y0 = self.at
        edges = [x0]
        for width in self.columns_mm:
            edges.append(edges[-1] + width)
        found: list[Line | Area | Text] = []
        lines = ([self.head] if self.head else []) + list(self.rows)
        for i, cells in enumerate(lines):
            top = y0 + i * self.row_mm
            is_head = bool(self.head) and i == 0
            if is_head:
                corners = ((x0, top), (edges[-1], top), (edges[-1], top + self.row_mm), (x0, top + self.row_mm))
                found.append(Area(corners, 0.0, fill=PALE))
            for k, words in enumerate(cells):
                align: Align = self.aligns[k] if self.aligns else "left"
                left, right = edges[k] + 1.2, edges[k + 1] - 1.2
                x = {"left": left, "middle": (left + right) / 2.0, "right": right}[align]
                base = top + 0.5 * self.row_mm + 0.36 * self.size_mm
                found.append(Text((x, base), words, self.size_mm, align, is_head))
            found.append(Line((x0, top + self.row_mm), (edges[-1], top + self.row_mm), 0.1, GREY))
        return tuple(found)


Mark = Line | Area | Round | Text | Table


@dataclass(frozen=True, slots=True)
class Page:
    """One printed page.

    Parameters
    ----------
    width_mm, height_mm : float
        The paper, upright or across.
    marks : tuple of Mark
        In the order they are painted.
    """

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
