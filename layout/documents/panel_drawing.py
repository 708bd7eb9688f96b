"""A panel drawn with its distances, for one who measures and cuts by hand: every corner, hinge, fill line and brace."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from layout.box.panel import Panel
from layout.box.shapes import Circle, Path, Shape, bounds_of_shapes, is_closed, points_of
from layout.documents.page import GREY, Area, Line, Mark, Text
from layout.geometry import XY
from layout.units import MM_PER_INCH, Units, inch_fraction, length_text
from layout.wording import Say, as_written

LABEL_MM: Final = 2.4
_APART_MM: Final = 2.7
"""Size of the distances' figures, and how close two of them may stand."""

LEFT_MM: Final = 38.0
BELOW_MM: Final = 42.0
"""Room for the distances beside and below the drawing: for ``112-31/32 (2869.41) half-cut`` in the widest letters."""

SCALES: Final = (1.0, 2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 16.0, 20.0, 25.0, 40.0, 50.0, 100.0)
_TALLEST_MM: Final = 110.0
_SAME_MM: Final = 0.005
_LETTERS_MM: Final = 5.0
"""Drawn loops no larger than this are letters: too small to read here."""


@dataclass(frozen=True, slots=True)
class Distances:
    """What is measured from a panel's left edge and from its lower edge, mm, in order, each with a word or none."""

    along: tuple[tuple[float, str], ...]
    up: tuple[tuple[float, str], ...]


def distances_of(panel: Panel) -> Distances:
    """Return all that must be measured to cut a panel and draw its lines, on the face that is in."""
    x0, y0, x1, y1 = panel.bounds
    along: dict[float, str] = {0.0: "", x1 - x0: ""}
    up: dict[float, str] = {0.0: "", y1 - y0: ""}
    for contour in (panel.outer, *panel.holes):
        if isinstance(contour, Path):
            for x, y in contour.vertices:
                along.setdefault(x - x0, "")
                up.setdefault(y - y0, "")
    for cut in panel.half:
        (ax, ay), (bx, by) = points_of(cut)[0], points_of(cut)[-1]
        if abs(ax - bx) <= _SAME_MM:
            along[ax - x0] = "half-cut"
        if abs(ay - by) <= _SAME_MM:
            up[ay - y0] = "half-cut"
    for mark in panel.marks:
        _add_mark(mark, panel, along, up)
    return Distances(_in_order(along), _in_order(up))


def _add_mark(mark: Shape, panel: Panel, along: dict[float, str], up: dict[float, str]) -> None:
    """Add the fill line and the braces; other marks, such as letters, are not measured."""
    if not isinstance(mark, Path) or mark.closed or len(mark.vertices) != 2:
        return
    x0, y0, x1, y1 = panel.bounds
    (ax, ay), (bx, by) = mark.vertices
    if abs(ay - by) <= _SAME_MM and abs(ax - bx) > 0.5 * (x1 - x0):
        up.setdefault(ay - y0, "fill line")
    elif abs(ax - bx) <= _SAME_MM:
        long, to_top = abs(ay - by) > 0.5 * (y1 - y0), abs(max(ay, by) - y1) <= _SAME_MM
        if long:
            along[ax - x0] = "bevel" if to_top else "fill line"
        elif to_top:
            along.setdefault(ax - x0, "brace")


def _in_order(found: dict[float, str]) -> tuple[tuple[float, str], ...]:
    kept: list[tuple[float, str]] = []
    for value, word in sorted(found.items()):
        if kept and value - kept[-1][0] <= _SAME_MM:
            kept[-1] = kept[-1][0], kept[-1][1] or word
        else:
            kept.append((value, word))
    return tuple(kept)


def distance_text(value_mm: float, units: Units) -> str:
    """Return a distance without its unit: ``28.40``, or in inches with the true mm: ``1-1/8 (28.40)``."""
    if units.length == "mm":
        return f"{round(value_mm, 9):.2f}"
    inches = value_mm / MM_PER_INCH
    words = inch_fraction(inches, units.denominator) if units.denominator else f"{inches:.3f}"
    return f"{words} ({round(value_mm, 9):.2f})"


def scale_of(panel: Panel, room_mm: float) -> float:
    """Return how many times smaller a panel is drawn so that it goes on the paper."""
    down = max(panel.length_mm / (room_mm - LEFT_MM), panel.width_mm / _TALLEST_MM)
    return next((s for s in SCALES if s >= down), down)


def drawing_height_mm(panel: Panel, scale: float) -> float:
    """Return the room a drawing takes, its distances below and its heading included."""
    return panel.width_mm / scale + BELOW_MM + 8.0


def drawing(panel: Panel, units: Units, scale: float, corner: XY, say: Say = as_written) -> list[Mark]:
    """Return the drawing with its heading.

    Parameters
    ----------
    panel : Panel
    units : Units
    scale : float
        How many times smaller.
    corner : (x, y)
        Upper left corner of its room on the page, mm.
    """
    x0, y0, _, y1 = panel.bounds
    left, top = corner[0] + LEFT_MM, corner[1] + 8.0
    low = top + (y1 - y0) / scale

    def at(x: float, y: float) -> XY:
        return left + (x - x0) / scale, low - (y - y0) / scale

    marks: list[Mark] = [Text((corner[0], corner[1] + 4.0), say(_heading(panel, units, scale)), 3.3, bold=True)]
    found = distances_of(panel)
    marks += _outlines(panel, at)
    marks += _below([(at(x0 + v, y0)[0], v, word) for v, word in found.along], low, units, say)
    marks += _beside([(at(x0, y0 + v)[1], v, word) for v, word in found.up], left, units, say)
    return marks


def crowded_words(panel: Panel, units: Units, scale: float) -> str:
    """Return all half-cuts of a strip in a sentence, where they stand too close for the drawing to name each."""
    along = distances_of(panel).along
    cuts = [value for value, word in along if word == "half-cut"]
    if len(_spread([(value / scale, value, word) for value, word in along])) == len(along) or not cuts:
        return ""
    return f"Half-cuts from the left: {', '.join(distance_text(value, units) for value in cuts)}."


def _heading(panel: Panel, units: Units, scale: float) -> str:
    pieces = "1 piece" if panel.pieces == 1 else f"{panel.pieces} pieces"
    where = f"on the face that is in, from its lower left; drawn 1:{scale:g}."
    if isinstance(panel.outer, Circle):
        return f"{panel.name}, {pieces}, round, {length_text(panel.length_mm, units)} across: {where}"
    return f"{panel.name}, {pieces}: {where}"


def _outlines(panel: Panel, at: Callable[[float, float], XY]) -> list[Mark]:
    marks: list[Mark] = []
    for mark in panel.marks:
        # of what is drawn only the long lines and the cavities are seen at this size
        if not _is_measured(mark, panel) and not is_large_loop(mark):
            continue
        dash = (2.0, 1.0) if not is_closed(mark) else ()
        points = tuple(at(x, y) for x, y in points_of(mark))
        marks.append(Area(points, 0.1, GREY, dash_mm=dash, closed=is_closed(mark)))
    marks += [
        Area(tuple(at(x, y) for x, y in points_of(cut)), 0.2, dash_mm=(1.0, 1.0), closed=False) for cut in panel.half
    ]
    marks += [Area(tuple(at(x, y) for x, y in points_of(c)), 0.3) for c in (*panel.holes, panel.outer)]
    return marks


def is_large_loop(shape: Shape) -> bool:
    """Return whether a drawn line is the outline of a cavity: large enough to be seen at the scale of a page."""
    x0, y0, x1, y1 = bounds_of_shapes((shape,))
    return is_closed(shape) and max(x1 - x0, y1 - y0) > _LETTERS_MM


def _is_measured(mark: Shape, panel: Panel) -> bool:
    along: dict[float, str] = {}
    up: dict[float, str] = {}
    _add_mark(mark, panel, along, up)
    return bool(along or up)


def _spread(places: Sequence[tuple[float, float, str]]) -> list[tuple[float, float, str]]:
    """Return the distances that have room for their figures: the last in any case, of crowded ones the first."""
    kept: list[tuple[float, float, str]] = []
    for place in places:
        if not kept or abs(place[0] - kept[-1][0]) >= _APART_MM:
            kept.append(place)
    if places and kept[-1] != places[-1]:
        while kept and abs(places[-1][0] - kept[-1][0]) < _APART_MM:
            kept.pop()
        kept.append(places[-1])
    return kept


def _below(places: Sequence[tuple[float, float, str]], low: float, units: Units, say: Say) -> list[Mark]:
    marks: list[Mark] = []
    for x, value, word in _spread(places):
        marks.append(Line((x, low + 0.5), (x, low + 2.5), 0.1, GREY))
        words = f"{distance_text(value, units)} {say(word)}" if word else distance_text(value, units)
        marks.append(Text((x + 0.35 * LABEL_MM, low + 3.0), words, LABEL_MM, "right", angle_deg=90.0))
    return marks


def _beside(places: Sequence[tuple[float, float, str]], left: float, units: Units, say: Say) -> list[Mark]:
    marks: list[Mark] = []
    for y, value, word in _spread(places):
        marks.append(Line((left - 2.5, y), (left - 0.5, y), 0.1, GREY))
        words = f"{say(word)} {distance_text(value, units)}" if word else distance_text(value, units)
        marks.append(Text((left - 3.0, y + 0.35 * LABEL_MM), words, LABEL_MM, "right"))
    return marks
