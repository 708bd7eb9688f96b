"""What is to be laid on sheets: the pieces with kerf, gap and margin, and the sheets the user has."""

from dataclasses import dataclass, replace
from typing import Final

from layout.box.cutting import Piece, cut_size_mm
from layout.box.panel import Panel
from layout.box.shapes import Shape, offset
from layout.geometry import XY
from layout.units import MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Stock:
    """A kind of sheet the user has.

    Parameters
    ----------
    length_mm, width_mm : float
    name : str
    pieces : int or None
        How many there are; None: as many as wanted. Left-over pieces are used before whole sheets.
    """

    length_mm: float
    width_mm: float
    name: str = ""
    pieces: int | None = None


def _inches(length: float, width: float) -> Stock:
    # rounded as typed lengths are: 24 in is 609.6 mm to the last digit
    return Stock(round(length * MM_PER_INCH, 6), round(width * MM_PER_INCH, 6), f"{length:g} x {width:g} in")


USUAL_STOCK: Final = (
    _inches(20, 30),
    _inches(32, 40),
    _inches(24, 12),
    _inches(24, 48),
    Stock(210.0, 297.0, "A4"),
    Stock(297.0, 420.0, "A3"),
    Stock(420.0, 594.0, "A2"),
    Stock(594.0, 841.0, "A1"),
    Stock(841.0, 1189.0, "A0"),
)
"""Foam board 20 x 30 and 32 x 40 in, acrylic 24 x 12 in: common trade sizes, no source. A sizes: ISO 216, from memory.
"""


@dataclass(frozen=True, slots=True)
class SheetJob:
    """The pieces to lay, each by its index, and the distances to keep, mm."""

    panels: tuple[Panel, ...]
    kerf_mm: float
    gap_mm: float
    margin_mm: float

    def contour(self, index: int) -> Shape:
        """Return the line that is cut round a piece, kerf included, in the panel's own coordinates."""
        return offset(self.panels[index].outer, self.kerf_mm / 2.0)

    def size(self, index: int) -> tuple[float, float]:
        """Return the extent of a piece with the gap added, so that pieces may touch."""
        length, width = cut_size_mm(self.panels[index], self.kerf_mm)
        return length + self.gap_mm, width + self.gap_mm

    def room(self, stock: Stock) -> tuple[float, float]:
        """Return the extent of a sheet with its margin taken off and the gap added, to go with `size`."""
        inset = 2.0 * self.margin_mm - self.gap_mm
        return stock.length_mm - inset, stock.width_mm - inset


def piece_bounds(piece: Piece, kerf_mm: float) -> tuple[XY, XY]:
    """Return the lower left and upper right corner of a piece's cut line on its sheet, mm."""
    length, width = cut_size_mm(piece.panel, kerf_mm)
    w, h = (width, length) if piece.turned else (length, width)
    return (piece.x_mm, piece.y_mm), (piece.x_mm + w, piece.y_mm + h)


def as_leftover(length_mm: float, width_mm: float) -> Stock:
    """Return one left-over piece of this size."""
    return replace(Stock(length_mm, width_mm), name="left-over", pieces=1)
