"""Panels to a file for a cutter: kerf, sheets, holes before outlines, each piece apart from the next."""

from dataclasses import dataclass
from typing import Final

from layout.box.panel import BoxParts, Panel
from layout.box.shapes import (
    Circle,
    Layer,
    Shape,
    bounds_of_shapes,
    moved,
    offset,
    on_layer,
    polygon_of,
    rectangle,
    turned_shape,
)
from layout.box.strokes import text_strokes
from layout.errors import BadValueError
from layout.units import MILLIMETRES, Units, fine_length_text

GAP_MM: Final = {"knife": 3.0, "laser": 5.0, "router": 5.0}
"""Least distance between two pieces on a sheet beside the kerf. Common practice, no source."""

SHEET_GAP_MM: Final = 20.0
"""Between two sheets in one file."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One panel laid on a sheet.

    Parameters
    ----------
    panel : Panel
    x_mm, y_mm : float
        Lower left corner of its cut outline on the sheet, kerf included.
    quarter_turns : int
        0 to 3, counter-clockwise.
    """

    panel: Panel
    x_mm: float
    y_mm: float
    quarter_turns: int = 0

    @property
    def turned(self) -> bool:
        """Whether its length lies along the sheet's width."""
        return self.quarter_turns % 2 == 1


@dataclass(frozen=True, slots=True)
class CutSheet:
    """One sheet with the pieces laid on it; sizes None for a sheet without an edge; or a left-over piece of one."""

    pieces: tuple[Piece, ...]
    length_mm: float | None = None
    width_mm: float | None = None
    name: str = ""
    leftover: bool = False


def cut_size_mm(panel: Panel, kerf_mm: float) -> tuple[float, float]:
    """Return the extent of what the cutter's line goes round, mm."""
    if isinstance(panel.outer, Circle):
        return panel.length_mm + kerf_mm, panel.width_mm + kerf_mm
    # a sharp corner, as of a letter, moves farther out than its sides
    x0, y0, x1, y1 = bounds_of_shapes((offset(panel.outer, kerf_mm / 2.0),))
    return x1 - x0, y1 - y0


def in_rows(parts: BoxParts, kerf_mm: float, gap_mm: float) -> CutSheet:
    """Return every piece on a sheet without an edge: in rows no wider than the widest piece, from below."""
    each = [panel for panel in parts.panels for _ in range(panel.pieces)]
    widest = max(cut_size_mm(panel, kerf_mm)[0] for panel in each)
    pieces: list[Piece] = []
    x = y = gap_mm
    row_height = 0.0
    for panel in each:
        length, width = cut_size_mm(panel, kerf_mm)
        if row_height and x + length > gap_mm + widest:
            x, y, row_height = gap_mm, y + row_height + gap_mm, 0.0
        pieces.append(Piece(panel, x, y))
        x, row_height = x + length + gap_mm, max(row_height, width)
    return CutSheet(tuple(pieces))


def refuse_wide_kerf(parts: BoxParts, kerf_mm: float, units: Units = MILLIMETRES) -> None:
    """Raise if the cutter can't get into a notch or a hole of a panel.

    Raises
    ------
    BadValueError
        If a contour moved by half the kerf crosses itself or vanishes.
    """
    for panel in parts.panels:
        for contour, by in ((panel.outer, kerf_mm / 2.0), *((hole, -kerf_mm / 2.0) for hole in panel.holes)):
            if isinstance(contour, Circle):
                if contour.radius_mm <= -by:
                    raise _narrow(panel, kerf_mm, units)
                continue
            cut, nominal = polygon_of(offset(contour, by)), polygon_of(contour)
            # a notch narrower than the cut closes up: the moved contour runs through itself or backwards
            grown = nominal.buffer(by, join_style="mitre", mitre_limit=10.0) if by else nominal
            if not cut.is_valid or abs(cut.area - grown.area) > 1e-3 * max(1.0, nominal.length * abs(by)):
                raise _narrow(panel, kerf_mm, units)


def _narrow(panel: Panel, kerf_mm: float, units: Units) -> BadValueError:
    return BadValueError(
        "--kerf",
        f"a notch or hole of the {panel.name} is narrower than a cut of {fine_length_text(kerf_mm, units)}",
        "use a finer cutter, or wider tabs",
    )


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
    if piece.quarter_turns:
        shapes = [turned_shape(shape, 90.0 * piece.quarter_turns) for shape in shapes]
    x0, y0, _, _ = bounds_of_shapes((shapes[-1],))
    return tuple(moved(shape, piece.x_mm - x0, piece.y_mm - y0) for shape in shapes)


def file_shapes(sheets: tuple[CutSheet, ...], kerf_mm: float, notes: tuple[str, ...] = ()) -> tuple[Shape, ...]:
    """Return all lines of sheets side by side, in the order they are cut, and on the notes layer edges and notes.

    Returns
    -------
    tuple of Shape
        On each layer in turn: drawn, half cut, holes, outlines, so that nothing is cut on a piece already free.
    """
    drawn: list[Shape] = []
    half: list[Shape] = []
    holes: list[Shape] = []
    outlines: list[Shape] = []
    edges: list[Shape] = []
    x = 0.0
    for sheet in sheets:
        for piece in sheet.pieces:
            *rest, outline = (moved(s, x, 0.0) for s in piece_shapes(piece, kerf_mm))
            outlines.append(outline)
            for shape in rest:
                {Layer.HALF: half, Layer.THROUGH: holes}.get(shape.layer, drawn).append(shape)
        if sheet.length_mm is not None and sheet.width_mm is not None:
            edges.append(rectangle(x, 0.0, sheet.length_mm, sheet.width_mm, Layer.NOTES))
            x += sheet.length_mm + SHEET_GAP_MM
    found = (*drawn, *half, *holes, *outlines)
    top = max(bounds_of_shapes([*found, *edges])[3], 0.0)
    return (*found, *edges, *_notes(notes, top))


def _notes(notes: tuple[str, ...], top_mm: float) -> list[Shape]:
    height = 4.0
    strokes: list[Shape] = []
    for i, text in enumerate(reversed(notes)):
        strokes.extend(text_strokes(text, (0.0, top_mm + 6.0 + i * 1.8 * height), height, layer=Layer.NOTES))
    return strokes
