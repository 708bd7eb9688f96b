"""The pages of the template: paper upright or across, words at the foot or at the side, and what each page shows."""

import math
from dataclasses import dataclass
from typing import Final

from layout.box.shapes import Bounds
from layout.documents.page import Paper
from layout.geometry import XY

OVERLAP_MM: Final = 10.0
MARGIN_MM: Final = 8.0
"""What a printer may leave white round a page. Common practice, no source."""

HEAD_MM: Final = 8.0
FOOT_MM: Final = 26.0
SIDE_MM: Final = 34.0
"""Room for title, check bars and words: above and below the drawing, or all in a strip on its right."""


@dataclass(frozen=True, slots=True)
class Tile:
    """What one page shows of the base.

    Parameters
    ----------
    x_mm, y_mm, width_mm, height_mm : float
        The window, base coordinates.
    column, row : int
        Its place in the grid of pages, from 1, rows from below.
    left_mm, top_mm : float
        Upper left corner of the window on the page.
    """

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    column: int
    row: int
    left_mm: float = MARGIN_MM
    top_mm: float = MARGIN_MM

    @property
    def at_side(self) -> bool:
        """Whether the words stand at the side of the drawing, not at its foot."""
        return self.top_mm == MARGIN_MM

    def to_page(self, point: XY) -> XY:
        """Return where a point of the base is on the page."""
        return self.left_mm + point[0] - self.x_mm, self.top_mm + self.height_mm - (point[1] - self.y_mm)

    def shows(self, x0: float, y0: float, x1: float, y1: float) -> bool:
        """Return whether a rectangle of the base lies on the page whole."""
        right, top = self.x_mm + self.width_mm, self.y_mm + self.height_mm
        return self.x_mm <= x0 and x1 <= right and self.y_mm <= y0 and y1 <= top


def tiles(bounds: Bounds, paper: Paper) -> tuple[Paper, tuple[Tile, ...]]:
    """Return the paper, upright or across, and the windows from the lower left: whichever takes fewest pages."""
    across = Paper(paper.name, paper.height_mm, paper.width_mm)
    choices = [(page, _tiles_on(bounds, page, at_side)) for at_side in (False, True) for page in (paper, across)]
    return min(choices, key=lambda c: len(c[1]))


def _tiles_on(bounds: Bounds, page: Paper, at_side: bool) -> tuple[Tile, ...]:
    x0, y0, x1, y1 = bounds
    w = page.width_mm - 2.0 * MARGIN_MM - (SIDE_MM if at_side else 0.0)
    h = page.height_mm - 2.0 * MARGIN_MM - (0.0 if at_side else HEAD_MM + FOOT_MM)
    columns, rows = _pages_along(x1 - x0, w), _pages_along(y1 - y0, h)
    # spread the spare room evenly round the base
    left = (x0 + x1 - (columns * (w - OVERLAP_MM) + OVERLAP_MM)) / 2.0
    low = (y0 + y1 - (rows * (h - OVERLAP_MM) + OVERLAP_MM)) / 2.0
    top = MARGIN_MM if at_side else MARGIN_MM + HEAD_MM
    return tuple(
        Tile(
            left + c * (w - OVERLAP_MM), low + r * (h - OVERLAP_MM), w, h, column=c + 1, row=r + 1, top_mm=top
        )
        for r in range(rows)
        for c in range(columns)
    )  # fmt: skip


def _pages_along(extent: float, window: float) -> int:
    # a line on the very edge must not be cut off by the printer: half a millimetre to spare on both sides
    return max(1, math.ceil((extent + 1.0 - OVERLAP_MM) / (window - OVERLAP_MM) - 1e-9))
