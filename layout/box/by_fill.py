"""Lay pieces on sheets by the fill of the cavities: the sheet is a box, the gap its wall, the margin its edge.

Each different piece is a master by the line that is cut round it, wanted as often as it is to be cut, in quarter turns.
A sheet that does not take all of them is filled again with the largest pieces first, the others round those.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from layout.box.cutting import CutSheet, Piece
from layout.box.shapes import Circle, Path, Shape, bounds_of_shapes, points_of, polygon_of
from layout.box.sheet_job import SheetJob, Stock
from layout.fill.fill import FillOptions, Progress, fill
from layout.geometry import Disc, Footprint, Outline
from layout.model import Box, Cavity, CavityId, Master, MasterId, Project, RectBox, Rules

_MOST_CORNERS: Final = 24
"""A contour with more corners, as one with tabs, is laid by its bounding rectangle: nothing goes between tabs."""


def lay_by_fill(
    job: SheetJob, leftovers: Sequence[Stock], kind: Stock | None, rounds: int, seed: int = 0
) -> tuple[CutSheet, ...] | None:
    """Return every piece laid on left-overs, the smallest first, then on whole sheets; None if one does not go on.

    Parameters
    ----------
    job : SheetJob
    leftovers : sequence of Stock
    kind : Stock or None
        The whole sheets, as many as wanted; None: the left-overs must do.
    rounds, seed : int
        Of the fill; 0 rounds: rows alone, which takes hundredths of a second.
    """
    waiting = list(range(len(job.panels)))
    if not all(any(_goes_on(job, i, s) for s in (*leftovers, *([kind] if kind else []))) for i in waiting):
        return None
    coming = sorted(leftovers, key=lambda s: s.length_mm * s.width_mm)
    sheets: list[CutSheet] = []
    while waiting:
        whole = not coming
        stock = kind if whole else coming.pop(0)
        if stock is None:
            return None
        pieces = _best_sheet(job, waiting, stock, rounds, seed)
        if pieces:
            laid = tuple(piece for _, piece in pieces)
            sheets.append(CutSheet(laid, stock.length_mm, stock.width_mm, stock.name, not whole))
            waiting = [i for i in waiting if i not in dict(pieces)]
        elif whole:
            return None
    return tuple(sheets)


_Laid = list[tuple[int, Piece]]


def _best_sheet(job: SheetJob, waiting: list[int], stock: Stock, rounds: int, seed: int) -> _Laid:
    """Return index and place of the pieces that go on one sheet: all of them, or those of the most area."""
    fitting = [i for i in waiting if _goes_on(job, i, stock)]
    if not fitting:
        return []
    best = _filled(job, fitting, stock, rounds, seed)
    if len(best) == len(fitting):
        return best
    fitting.sort(key=lambda i: -_area_mm2(job, i))
    for some in _large_first(job, fitting, stock):
        laid = _filled(job, some, stock, rounds, seed)
        if len(laid) == len(some):
            rest = [i for i in fitting if i not in some]
            if rounds:
                laid = _filled(job, rest, stock, rounds, seed, laid)
            if _laid_area(job, laid) > _laid_area(job, best):
                best = laid
            break
    return best


def _goes_on(job: SheetJob, index: int, stock: Stock) -> bool:
    (w, h), (room_w, room_h) = job.size(index), job.room(stock)
    return (w <= room_w + 1e-6 and h <= room_h + 1e-6) or (h <= room_w + 1e-6 and w <= room_h + 1e-6)


def _large_first(job: SheetJob, ordered: list[int], stock: Stock) -> list[list[int]]:
    """Return the largest pieces, as many as the sheet has area for, then fewer and fewer."""
    room, total, count = math.prod(job.room(stock)), 0.0, 0
    for index in ordered:
        total += _area_mm2(job, index)
        if total > room:
            break
        count += 1
    return [ordered[:k] for k in range(min(count, len(ordered) - 1), 0, -1)][:_TRIES]


_TRIES: Final = 2


def _area_mm2(job: SheetJob, index: int) -> float:
    return float(polygon_of(job.contour(index)).area)


def _laid_area(job: SheetJob, laid: _Laid) -> float:
    return sum(_area_mm2(job, index) for index, _ in laid)


def _filled(
    job: SheetJob, indices: list[int], stock: Stock, rounds: int, seed: int, before: Sequence[tuple[int, Piece]] = ()
) -> _Laid:
    """Return what the fill lays on a sheet that has some pieces already."""
    kinds: dict[Shape, list[int]] = {}
    for index in indices:
        kinds.setdefault(job.contour(index), []).append(index)
    if not kinds:
        return list(before)
    pinned: dict[Shape, int] = {}
    for index, _ in before:
        pinned[job.contour(index)] = pinned.get(job.contour(index), 0) + 1
    names = {shape: MasterId(f"piece {k}") for k, shape in enumerate(dict.fromkeys((*kinds, *pinned)))}
    cavities = [
        _as_cavity(job, index, piece, names[job.contour(index)], number) for number, (index, piece) in enumerate(before)
    ]
    masters = tuple(_master(names[shape], shape, len(kinds.get(shape, ())) + pinned.get(shape, 0)) for shape in names)
    rules = Rules(job.gap_mm, job.margin_mm, turn="90")
    box = Box(RectBox(stock.length_mm, stock.width_mm))
    project = Project("sheet", box, masters, rules, tuple(cavities))
    found = _fill_until_met(project, rounds, seed)
    laid = list(before)
    for shape, members in kinds.items():
        places = [c for c in found.cavities if c.master == names[shape] and not c.pinned]
        # more than wanted may lie there: those farthest from the lower left corner go
        places.sort(key=lambda c: (c.y_mm, c.x_mm))
        laid += [(index, _as_piece(job, index, place)) for index, place in zip(members, places, strict=False)]
    return laid


def _fill_until_met(project: Project, rounds: int, seed: int) -> Project:
    wanted = {master.id: master.wanted or 0 for master in project.masters}
    met = False

    def look(progress: Progress) -> None:
        nonlocal met
        counts = dict.fromkeys(wanted, 0)
        for cavity in progress.project.cavities:
            counts[cavity.master] += 1
        met = all(counts[m] >= n for m, n in wanted.items())

    # a single kind knows no wanted number, only the most there may be
    most = sum(wanted.values()) if len(wanted) == 1 else None
    return fill(project, FillOptions(rounds=rounds, seed=seed, most=most), look, lambda: met).project


def _master(name: MasterId, shape: Shape, wanted: int) -> Master:
    area = float(polygon_of(shape).area)
    return Master(name, "piece", "piece", _footprint(shape), 1.0, area / 1000.0, area, wanted=wanted)


def _footprint(shape: Shape) -> Footprint:
    if isinstance(shape, Circle):
        return Disc(shape.radius_mm)
    x0, y0, x1, y1 = bounds_of_shapes((shape,))
    cx, cy = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    if isinstance(shape, Path) and len(points_of(shape)) <= _MOST_CORNERS:
        return Outline(tuple((x - cx, y - cy) for x, y in points_of(shape)))
    w, h = (x1 - x0) / 2.0, (y1 - y0) / 2.0
    return Outline(((-w, -h), (w, -h), (w, h), (-w, h)))


def _as_piece(job: SheetJob, index: int, cavity: Cavity) -> Piece:
    x0, y0, x1, y1 = bounds_of_shapes((job.contour(index),))
    quarters = round(cavity.angle_deg / 90.0) % 4
    w, h = (y1 - y0, x1 - x0) if quarters % 2 else (x1 - x0, y1 - y0)
    return Piece(job.panels[index], cavity.x_mm - w / 2.0, cavity.y_mm - h / 2.0, quarters)


def _as_cavity(job: SheetJob, index: int, piece: Piece, master: MasterId, number: int) -> Cavity:
    shape = job.contour(index)
    x0, y0, x1, y1 = bounds_of_shapes((shape,))
    w, h = (y1 - y0, x1 - x0) if piece.quarter_turns % 2 else (x1 - x0, y1 - y0)
    at = Cavity(CavityId(f"c{number}"), master, piece.x_mm + w / 2.0, piece.y_mm + h / 2.0)
    return replace(at, angle_deg=90.0 * piece.quarter_turns, pinned=True)
