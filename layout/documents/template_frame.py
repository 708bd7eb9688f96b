"""What stands round the drawing on a page of the template: title, check bars, words, and the marks that align pages."""

from collections.abc import Sequence
from typing import Final

import shapely

from layout.box.shapes import Bounds
from layout.documents.page import GREY, Line, Mark, Paper, Round, Text
from layout.documents.pour_sheet.lines import fitted, width_em
from layout.documents.template_spots import GLUE_INSET_MM
from layout.documents.template_tiles import FOOT_MM, MARGIN_MM, OVERLAP_MM, SIDE_MM, Tile
from layout.geometry import XY
from layout.mirror import AS_GLUED
from layout.model import Project
from layout.units import fine_length_text
from layout.wording import Say, as_written

CHECK_BARS: Final = ((100.0, "100 mm"), (101.6, "4 in"))
SIDE_UP: Final = "This side up: lay it on the base and glue the masters on it as drawn."
MIRRORED: Final = "The finished mold, seen from its open face, is the mirror image of this sheet."
TRUE_SIZE: Final = "Print at 100 %, not fitted to the page, and measure both bars before use."

_CROSS_MM: Final = 4.0
_SHARES: Final = tuple(k / 40.0 for k in range(2, 39))


def frame(
    project: Project, paper: Paper, tile: Tile, number: int, windows: Sequence[Tile], say: Say = as_written
) -> list[Mark]:
    """Return title, check bars and words of a page."""
    title = say(f"Placement template: {project.name}")
    where = f"page {number} of {len(windows)}"
    if len(windows) > 1:
        where = f"page {number} of {len(windows)}, column {tile.column}, row {tile.row} from below"
    words = say(_words(project))
    round_it = _side if tile.at_side else _head_and_foot
    return round_it(paper, title, say(where), words)


def _words(project: Project) -> str:
    glue = fine_length_text(GLUE_INSET_MM, project.units)
    return (
        f"{SIDE_UP} {MIRRORED} {TRUE_SIZE} Thick line: inside of the sides; thin line round it: edge of the base."
        f" Arrow: the master's right. Dashed line in a part: glue stays inside it ({glue} from the edge)."
        f" {AS_GLUED.capitalize()}."
    )


def _head_and_foot(paper: Paper, title: str, where: str, words: str) -> list[Mark]:
    left, right = MARGIN_MM, paper.width_mm - MARGIN_MM
    top = paper.height_mm - MARGIN_MM - FOOT_MM
    title, size = fitted(title, right - left - 3.2 * width_em(where) - 3.0, 4.0, 3.0)
    marks: list[Mark] = [
        Text((left, MARGIN_MM + 3.5), title, size, bold=True),
        Text((right, MARGIN_MM + 3.5), where, 3.2, "right"),
        Line((left, top + 2.0), (right, top + 2.0), 0.1, GREY),
    ]
    for i, (length, shown) in enumerate(CHECK_BARS):
        y = top + 8.0 + i * 9.0
        marks += _bar((left, y), (left + length, y), shown)
    x = left + CHECK_BARS[1][0] + 5.0
    room = right - x
    marks.append(Text((x, top + 6.0), words, 2.6 if room > 80.0 else 2.3, width_mm=room))
    return marks


def _side(paper: Paper, title: str, where: str, words: str) -> list[Mark]:
    """Return the strip on the right: title and words above, the bars upright below."""
    left, low = paper.width_mm - MARGIN_MM - SIDE_MM + 3.0, paper.height_mm - MARGIN_MM
    room = SIDE_MM - 3.0
    # a long name takes three lines at the most: the bars stand below
    title, _ = fitted(title, 2.5 * room, 2.5, 2.5, bold=False)
    marks: list[Mark] = [
        Line((left - 1.5, MARGIN_MM), (left - 1.5, low), 0.1, GREY),
        Text((left, MARGIN_MM + 3.5), f"{title}\n{where}\n\n{words}", 2.5, width_mm=room),
    ]
    for i, (length, size) in enumerate(CHECK_BARS):
        x = left + 8.0 + i * 12.0
        marks += _bar((x, low), (x, low - length), size)
    return marks


def _bar(start: XY, end: XY, words: str) -> list[Mark]:
    """Return a bar with a tick at both ends, lying or upright, its length written beside it."""
    upright = start[0] == end[0]
    dx, dy = (2.0, 0.0) if upright else (0.0, 2.0)
    middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
    at = (middle[0] - 1.0, middle[1]) if upright else (middle[0], middle[1] - 1.0)
    ticks = [Line((x - dx, y - dy), (x + dx, y + dy), 0.3) for x, y in (start, end)]
    return [Line(start, end, 0.3), *ticks, Text(at, words, 3.0, "middle", angle_deg=90.0 if upright else 0.0)]


def seams(tile: Tile, windows: Sequence[Tile], taken: shapely.STRtree) -> list[Mark]:
    """Return crosses in the middle of every overlap, on both pages that share it, and where the next page goes on.

    Parameters
    ----------
    tile : Tile
    windows : sequence of Tile
    taken : STRtree
        Outlines of the cavities: the crosses stand clear of them where there is room.
    """
    marks: list[Mark] = []
    for other in windows:
        beside = abs(other.column - tile.column) + abs(other.row - tile.row) == 1
        if not beside:
            continue
        start, end = _seam(tile, other)
        marks.append(Line(tile.to_page(start), tile.to_page(end), 0.08, GREY, dash_mm=(0.6, 2.4)))
        for x, y in _clear_spots(start, end, taken):
            px, py = tile.to_page((x, y))
            marks += [
                Line((px - _CROSS_MM, py), (px + _CROSS_MM, py), 0.2),
                Line((px, py - _CROSS_MM), (px, py + _CROSS_MM), 0.2),
                Round((px, py), 2.0, 0.2),
            ]
    return marks


def _seam(tile: Tile, other: Tile) -> tuple[XY, XY]:
    """Return the middle line of the overlap of two neighbours, the same for both."""
    half = OVERLAP_MM / 2.0
    if other.row == tile.row:
        x = max(tile.x_mm, other.x_mm) + half
        return (x, tile.y_mm), (x, tile.y_mm + tile.height_mm)
    y = max(tile.y_mm, other.y_mm) + half
    return (tile.x_mm, y), (tile.x_mm + tile.width_mm, y)


def _clear_spots(start: XY, end: XY, taken: shapely.STRtree) -> list[XY]:
    """Return two places on a seam, as far apart as can be, where a cross lies on no cavity; else the clearest."""

    def at(share: float) -> XY:
        return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])

    def clear(share: float) -> float:
        point = shapely.Point(at(share))
        nearest = taken.nearest(point) if len(taken.geometries) else None
        if nearest is None:
            return _CROSS_MM
        return min(_CROSS_MM, float(point.distance(taken.geometries[nearest])))

    halves = [share for share in _SHARES if share < 0.45], [share for share in _SHARES[::-1] if share > 0.55]
    # of equally clear places the first, which is the one nearest the end of the seam
    return [at(max(half, key=clear)) for half in halves]


def outside(bounds: Bounds, tile: Tile) -> bool:
    """Return whether a page shows nothing of these bounds."""
    x0, y0, x1, y1 = bounds
    across = x1 >= tile.x_mm and x0 <= tile.x_mm + tile.width_mm
    return not (across and y1 >= tile.y_mm and y0 <= tile.y_mm + tile.height_mm)
