"""Panels to a file for a cutter: kerf, sheets, holes before outlines, each piece apart from the next."""

from dataclasses import dataclass
from typing import Final

from layout.box.panel import BoxParts, Panel
from layout.box.shapes import Circle, Layer, Path, Shape, bounds_of_shapes, moved, offset, on_layer, turned_shape
from layout.box.strokes import text_strokes

GAP_MM: Final = {"knife": 3.0, "laser": 5.0, "router": 5.0}
"""Least distance between two pieces on a sheet beside the kerf. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One panel laid on a sheet.

    Parameters
    ----------
    panel : Panel
    x_mm, y_mm : float
        Lower left corner of its cut outline on the sheet, kerf included.
    turned : bool
        A quarter turn counter-clockwise.
    """

    panel: Panel
    x_mm: float
    y_mm: float
    turned: bool = False


@dataclass(frozen=True, slots=True)
class CutSheet:
    """One sheet with the pieces laid on it; sizes None for a sheet without an edge."""

    pieces: tuple[Piece, ...]
    length_mm: float | None = None
    width_mm: float | None = None
    name: str = ""


def cut_size_mm(panel: Panel, kerf_mm: float) -> tuple[float, float]:
    """Return the extent of what the cutter's line goes round, mm."""
    return panel.length_mm + kerf_mm, panel.width_mm + kerf_mm


def in_a_column(parts: BoxParts, kerf_mm: float, gap_mm: float) -> CutSheet:
    """Return every piece above the one before it, on a sheet without an edge."""
    pieces: list[Piece] = []
    y = gap_mm
    for panel in parts.panels:
        for _ in range(panel.pieces):
            pieces.append(Piece(panel, gap_mm, y))
            y += cut_size_mm(panel, kerf_mm)[1] + gap_mm
    return CutSheet(tuple(pieces))


def piece_shapes(piece: Piece, kerf_mm: float) -> tuple[Shape, ...]:
    """Return all lines of a piece where it lies on its sheet: marks, half cuts, holes, and the outline last.

    Notes
    -----
    Outer contours stand half a kerf outside the nominal one, holes half a kerf inside. Half cuts and marks are nominal.
    """
    panel = piece.panel
    half = kerf_mm / 2.0
    cut: list[Shape] = [offset(on_layer(hole, Layer.THROUGH), -half) for hole in panel.holes]
    cut.append(offset(on_layer(panel.outer, Layer.THROUGH), half))
    shapes: list[Shape] = [*panel.marks, *panel.half, *cut]
    if piece.turned:
        shapes = [turned_shape(shape, 90.0) for shape in shapes]
    x0, y0, _, _ = bounds_of_shapes((shapes[-1],))
    return tuple(moved(shape, piece.x_mm - x0, piece.y_mm - y0) for shape in shapes)


def sheet_shapes(sheet: CutSheet, kerf_mm: float, notes: tuple[str, ...] = ()) -> tuple[Shape, ...]:
    """Return all lines of a sheet in the order they are cut, and the notes above the sheet.

    Returns
    -------
    tuple of Shape
        Drawn first, then half cuts, then holes, then outlines, so that nothing is cut on a piece already free.
    """
    found = [shape for piece in sheet.pieces for shape in piece_shapes(piece, kerf_mm)]
    outlines = {id(s) for s in _outlines(found)}
    rank = {Layer.DRAW: 0, Layer.HALF: 1, Layer.THROUGH: 2, Layer.NOTES: 4}
    found.sort(key=lambda shape: 3 if id(shape) in outlines else rank[shape.layer])
    return (*found, *_notes(sheet, found, notes))


def _outlines(shapes: list[Shape]) -> list[Shape]:
    # a contour that lies inside another one is a hole
    through = [(s, bounds_of_shapes((s,))) for s in shapes if s.layer == Layer.THROUGH]
    return [s for s, b in through if not any(o is not s and _inside(b, c) for o, c in through)]


def _inside(inner: tuple[float, float, float, float], outer: tuple[float, float, float, float]) -> bool:
    return inner[0] > outer[0] and inner[1] > outer[1] and inner[2] < outer[2] and inner[3] < outer[3]


def _notes(sheet: CutSheet, shapes: list[Shape], notes: tuple[str, ...]) -> list[Path | Circle]:
    if not shapes or not notes:
        return []
    _, _, _, top = bounds_of_shapes(shapes)
    top = max(top, sheet.width_mm or 0.0)
    height = 4.0
    strokes: list[Path | Circle] = []
    for i, text in enumerate(reversed(notes)):
        strokes.extend(text_strokes(text, (0.0, top + 6.0 + i * 1.8 * height), height, layer=Layer.NOTES))
    return strokes
