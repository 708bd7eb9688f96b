"""Sides and strips longer than every sheet, cut in pieces that are butted end to end with a patch over the joint."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

import shapely
from shapely.geometry import LineString

from layout.box.cutting import cut_size_mm
from layout.box.panel import BoxParts, Panel, Pose, Solid
from layout.box.shapes import Path, Shape, bounds_of_shapes, is_closed, line_of, moved, points_of, polyline, rectangle
from layout.box.sheet_job import Stock
from layout.box.strokes import text_strokes, text_width_mm
from layout.errors import BadValueError
from layout.model import Project
from layout.units import length_text, size_text

PATCH_MM: Final = 50.0
"""Width of the patch that is glued over a joint, outside. Common practice, no source."""

_LEAST_PIECE_MM: Final = 20.0
_FLUSH_MM: Final = 1e-6


def with_splices(project: Project, parts: BoxParts, stock: Sequence[Stock], kerf_mm: float) -> BoxParts:
    """Return the parts with every side or strip that is longer than all sheets cut in as few equal pieces as do.

    Parameters
    ----------
    project : Project
    parts : BoxParts
    stock : sequence of Stock
        The sheets there are.
    kerf_mm : float

    Raises
    ------
    BadValueError
        If a panel that can't be put together from pieces goes on no sheet: a base, one with tabs, a folded box.
    """
    margin, units = project.cutting.margin_mm, project.units
    panels: list[Panel] = []
    words: list[str] = []
    for panel in parts.panels:
        if _fits(panel, stock, kerf_mm, margin):
            panels.append(panel)
            continue
        count = _count(panel, stock, kerf_mm, margin) if _may_be_cut(panel) else None
        if count is None:
            raise _too_large(project, panel, stock)
        panels += _pieces(panel, count)
        words.append(
            f"The {panel.name} is longer than the sheet and cut in {count} pieces: butt them end to end in the order of"
            f" their numbers, from the left on the face that is in, and glue a patch of the sheet"
            f" {length_text(PATCH_MM, units)} wide and as high as the side over each joint, outside."
        )
    return replace(parts, panels=tuple(panels), steps=(*words, *parts.steps))


def _room(stock: Stock, margin: float) -> tuple[float, float]:
    sides = stock.length_mm - 2.0 * margin, stock.width_mm - 2.0 * margin
    return max(sides), min(sides)


def _fits(panel: Panel, stock: Sequence[Stock], kerf: float, margin: float) -> bool:
    long, short = max(cut_size_mm(panel, kerf)), min(cut_size_mm(panel, kerf))
    rooms = [_room(s, margin) for s in stock]
    return any(long <= a + _FLUSH_MM and short <= b + _FLUSH_MM for a, b in rooms)


def _may_be_cut(panel: Panel) -> bool:
    """Return whether a panel is a plain upright rectangle: a side or a strip."""
    is_upright = panel.name.startswith(("long side", "short side", "side ", "strip"))
    return is_upright and isinstance(panel.outer, Path) and len(panel.outer.vertices) == 4 and not panel.holes


def _count(panel: Panel, stock: Sequence[Stock], kerf: float, margin: float) -> int | None:
    """Return in how many pieces a panel goes on the sheet that needs fewest; None if it is too high for all."""
    counts = []
    _, height = cut_size_mm(panel, kerf)
    for along, across in ((a, b) for s in stock for a, b in (_room(s, margin), _room(s, margin)[::-1])):
        if height <= across + _FLUSH_MM and (count := _fewest(panel, along - kerf)) is not None:
            counts.append(count)
    return min(counts, default=None)


def _fewest(panel: Panel, room_mm: float) -> int | None:
    """Return the fewest pieces none of which is longer than the room; None if a flat of a strip is too long for it."""
    if room_mm <= _LEAST_PIECE_MM:
        return None
    for count in itertools.count(math.ceil(panel.length_mm / room_mm - 1e-9)):
        lengths = [b - a for a, b in pairwise((0.0, *_joints(panel, count), panel.length_mm))]
        if max(lengths) <= room_mm + _FLUSH_MM:
            return count
        if min(lengths) <= 0.0:  # two joints in one flat
            break
    return None


def _hinges(panel: Panel) -> list[float]:
    return sorted(points_of(cut)[0][0] for cut in panel.half)


def _joints(panel: Panel, count: int) -> list[float]:
    """Return where a panel is cut: in equal pieces, in a strip at the middle of a flat."""
    wanted = [panel.length_mm * k / count for k in range(1, count)]
    if not panel.half:
        return wanted
    at = [0.0, *_hinges(panel), panel.length_mm]
    middles = [(a + b) / 2.0 for a, b in pairwise(at)]
    flats = [max(k for k, a in enumerate(at[:-1]) if a <= x) for x in wanted]
    return [middles[k] for k in flats]


def _pieces(panel: Panel, count: int) -> list[Panel]:
    ends = [0.0, *_joints(panel, count), panel.length_mm]
    found = []
    for k, (start, end) in enumerate(pairwise(ends), start=1):
        name = f"{panel.name}, piece {k} of {count}"
        poses = tuple(Pose(pose.at(start, 0.0, 0.0), pose.along, pose.up) for pose in panel.poses)
        half = tuple(
            shape for cut in panel.half if start < points_of(cut)[0][0] < end
            if isinstance(shape := moved(cut, -start, 0.0), Path)
        )  # fmt: skip
        found.append(
            replace(
                panel,
                name=name,
                outer=rectangle(0.0, 0.0, end - start, panel.width_mm),
                poses=poses,
                half=half,
                marks=_marks(panel, name, start, end),
                folded=_folded(panel, start, end, first=k == 1),
            )
        )
    return found


def _folded(panel: Panel, start: float, end: float, *, first: bool) -> tuple[Solid, ...]:
    """Return what stands of a piece: its stretch of a bevelled side; a strip's flats all stand with its first piece."""
    if panel.half or not panel.folded:
        return panel.folded if first else ()
    (solid,) = panel.folded
    x0, _, x1, _ = bounds_of_shapes([solid.outline])
    a, b = max(start, x0), min(end, x1)
    bevel = solid.bevel_mm[0] if a == x0 else 0.0, solid.bevel_mm[1] if b == x1 else 0.0
    return (replace(solid, outline=rectangle(a, 0.0, b - a, panel.width_mm), bevel_mm=bevel),)


def _marks(panel: Panel, name: str, start: float, end: float) -> tuple[Shape, ...]:
    """Return the lines on a piece, those over a joint cut there, and its own name in place of the whole panel's."""
    window = shapely.box(start, -1.0, end, panel.width_mm + 1.0)
    found: list[Shape] = []
    fill = 0.0
    for mark in panel.marks:
        if is_closed(mark) or not _is_line(mark, panel):
            continue
        seen = line_of(mark).intersection(window)
        if isinstance(seen, LineString) and seen.length > _FLUSH_MM:
            points = [(x - start, y) for x, y in seen.coords]
            found.append(polyline(points, mark.layer, closed=False))
            fill = max(fill, min(y for _, y in points)) if points[0][1] == points[-1][1] else fill
    words = f"{name} - this face in"
    free = panel.width_mm - fill
    height = min(5.0, 0.5 * free, 0.9 * (end - start) / text_width_mm(words, 1.0))
    if height >= 1.5 and panel.marks:
        found += text_strokes(words, ((end - start) / 2.0, fill + (free - height) / 2.0), height, anchor="middle")
    return tuple(found)


def _is_line(mark: Shape, panel: Panel) -> bool:
    """Return whether a mark is the fill line, a brace or a bevel, not a stroke of a letter."""
    points = points_of(mark)
    (ax, ay), (bx, by) = points[0], points[-1]
    across = ay == by and abs(ax - bx) > 0.5 * panel.length_mm
    return len(points) == 2 and (across or (ax == bx and abs(max(ay, by) - panel.width_mm) < _FLUSH_MM))


def _too_large(project: Project, panel: Panel, stock: Sequence[Stock]) -> BadValueError:
    units = project.units
    largest = max(stock, key=lambda s: s.length_mm * s.width_mm)
    remedy = "give a larger sheet"
    if project.box.joint != "butt" and panel.name != "base":
        remedy += ", or use butt joints, whose sides may be cut in pieces"
    return BadValueError(
        "--stock",
        f"the {panel.name} ({size_text(panel.length_mm, panel.width_mm, units)}) does not go on"
        f" {size_text(largest.length_mm, largest.width_mm, units)} with a margin of"
        f" {length_text(project.cutting.margin_mm, units)}",
        remedy,
    )
