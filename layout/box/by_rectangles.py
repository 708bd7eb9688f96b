"""Lay pieces on sheets by their bounding rectangles, keeping the list of all largest free rectangles.

Many orders of the pieces are tried, the last ones drawn from a seeded generator.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.box.cutting import CutSheet, Piece
from layout.box.shapes import polygon_of
from layout.box.sheet_job import SheetJob, Stock, piece_bounds
from layout.tolerances import CLEARANCE_TOL_MM

ORDERS_TRIED: Final = 60
MORE_ORDERS_TRIED: Final = 600
"""Orders tried in any case, and while the areas alone would still allow a sheet less."""

_MOST_SHEETS: Final = 500


@dataclass(frozen=True, slots=True)
class _Free:
    x: float
    y: float
    w: float
    h: float


_Sizes = Sequence[tuple[float, float]]
_Rule = Callable[[_Free, float, float], tuple[float, float]]
_RULES: Final[tuple[_Rule, ...]] = (
    lambda f, w, h: (f.y + h, f.x + w),
    lambda f, w, h: (f.x + w, f.y + h),
    lambda f, w, h: (min(f.w - w, f.h - h), max(f.w - w, f.h - h)),
)
"""Where a piece goes first: lowest, leftmost, where it fits most tightly."""


def lay_by_rectangles(
    job: SheetJob, leftovers: Sequence[Stock], kind: Stock | None, seed: int = 0
) -> tuple[CutSheet, ...] | None:
    """Return every piece laid on left-overs, the smallest first, then on whole sheets; None if one does not go on."""
    rng = np.random.default_rng(seed)
    # asked for at every place tried, so measured once
    sizes = [job.size(i) for i in range(len(job.panels))]
    orders: list[list[int]] = [
        sorted(range(len(sizes)), key=key)
        for key in (
            lambda i: -max(sizes[i]),
            lambda i: -sizes[i][0] * sizes[i][1],
            lambda i: -sum(sizes[i]),
            lambda i: -min(sizes[i]),
        )
    ]
    best: tuple[CutSheet, ...] | None = None
    best_rank = (math.inf, math.inf, math.inf)
    plain = len(orders) * len(_RULES)
    fewest = fewest_whole(job, leftovers, kind)
    for attempt in range(MORE_ORDERS_TRIED):
        if attempt >= max(ORDERS_TRIED, plain) and (best is None or whole_sheets(best) <= fewest):
            break
        order = orders[attempt // len(_RULES) % len(orders)]
        order = order if attempt < plain else _shuffled(order, rng)
        laid = _lay_in_order(job, sizes, order, leftovers, kind, _RULES[attempt % len(_RULES)])
        if laid is not None and (rank := rank_of(laid, job)) < best_rank:
            best, best_rank = laid, rank
    return best


def whole_sheets(sheets: tuple[CutSheet, ...]) -> int:
    """Return how many sheets are no left-overs."""
    return sum(not sheet.leftover for sheet in sheets)


def fewest_whole(job: SheetJob, leftovers: Sequence[Stock], kind: Stock | None) -> int:
    """Return the whole sheets that the areas alone ask for: pieces grown by half the gap do not overlap."""
    if kind is None:
        return 0
    grown = (polygon_of(job.contour(i)).buffer(job.gap_mm / 2.0) for i in range(len(job.panels)))
    area = sum(float(piece.area) for piece in grown)
    area -= sum(math.prod(job.room(piece)) for piece in leftovers)
    return max(0, math.ceil(area / max(1e-9, math.prod(job.room(kind))) - 1e-9))


def bought_mm2(sheets: tuple[CutSheet, ...]) -> float:
    """Return the area of the sheets that are no left-overs."""
    return sum(s.length_mm * s.width_mm for s in sheets if s.length_mm and s.width_mm and not s.leftover)


def rank_of(sheets: tuple[CutSheet, ...], job: SheetJob) -> tuple[float, float, float]:
    """Return what a better laying has less of: area bought, sheets, and the largest single rest the other way."""
    rest = largest_rest_mm(sheets[-1], job.kerf_mm, job.gap_mm) or (0.0, 0.0)
    return bought_mm2(sheets), float(len(sheets)), -rest[0] * rest[1]


def _shuffled(order: list[int], rng: np.random.Generator) -> list[int]:
    # large pieces stay early: each place may slip by a few
    keys = np.arange(len(order)) + rng.uniform(0.0, 0.6 * len(order) + 1.0, len(order))
    return [order[i] for i in np.argsort(keys)]


def _lay_in_order(
    job: SheetJob, sizes: _Sizes, order: list[int], leftovers: Sequence[Stock], kind: Stock | None, rule: _Rule
) -> tuple[CutSheet, ...] | None:
    waiting = list(order)
    sheets: list[CutSheet] = []
    coming = sorted(leftovers, key=lambda s: s.length_mm * s.width_mm)
    while waiting:
        whole = not coming
        stock = kind if whole else coming.pop(0)
        if stock is None or len(sheets) > _MOST_SHEETS:
            return None
        pieces, waiting = _fill_sheet(job, sizes, waiting, stock, rule)
        if pieces:
            sheets.append(CutSheet(tuple(pieces), stock.length_mm, stock.width_mm, stock.name, not whole))
        elif whole:
            return None
    return tuple(sheets)


def _fill_sheet(
    job: SheetJob, sizes: _Sizes, waiting: list[int], stock: Stock, rule: _Rule
) -> tuple[list[Piece], list[int]]:
    room = job.room(stock)
    free = [_Free(0.0, 0.0, *room)]
    pieces: list[Piece] = []
    rest: list[int] = []
    for index in waiting:
        found = _best_place(free, sizes[index], rule)
        if found is None:
            rest.append(index)
            continue
        place, turned = found
        pieces.append(Piece(job.panels[index], place.x + job.margin_mm, place.y + job.margin_mm, int(turned)))
        free = _without(free, place)
    return pieces, rest


def _best_place(free: list[_Free], size: tuple[float, float], rule: _Rule) -> tuple[_Free, bool] | None:
    best: tuple[tuple[float, float], _Free, bool] | None = None
    for turned in (False, True):
        w, h = (size[1], size[0]) if turned else size
        for f in free:
            if w <= f.w + CLEARANCE_TOL_MM / 4 and h <= f.h + CLEARANCE_TOL_MM / 4:
                rank = rule(f, w, h)
                if best is None or rank < best[0]:
                    best = rank, _Free(f.x, f.y, w, h), turned
    return None if best is None else (best[1], best[2])


def _without(free: list[_Free], taken: _Free) -> list[_Free]:
    left: list[_Free] = []
    for f in free:
        if taken.x >= f.x + f.w or taken.x + taken.w <= f.x or taken.y >= f.y + f.h or taken.y + taken.h <= f.y:
            left.append(f)
            continue
        if taken.x > f.x:
            left.append(_Free(f.x, f.y, taken.x - f.x, f.h))
        if taken.x + taken.w < f.x + f.w:
            left.append(_Free(taken.x + taken.w, f.y, f.x + f.w - taken.x - taken.w, f.h))
        if taken.y > f.y:
            left.append(_Free(f.x, f.y, f.w, taken.y - f.y))
        if taken.y + taken.h < f.y + f.h:
            left.append(_Free(f.x, taken.y + taken.h, f.w, f.y + f.h - taken.y - taken.h))
    return [f for i, f in enumerate(left) if not any(_covers(g, f, k < i) for k, g in enumerate(left) if k != i)]


def _covers(g: _Free, f: _Free, earlier: bool) -> bool:
    if g == f:
        return earlier
    return g.x <= f.x and g.y <= f.y and g.x + g.w >= f.x + f.w and g.y + g.h >= f.y + f.h


def largest_rest_mm(sheet: CutSheet, kerf_mm: float, gap_mm: float) -> tuple[float, float] | None:
    """Return the largest rectangle left over on a sheet, length and width in mm; None without an edge or a rest."""
    if sheet.length_mm is None or sheet.width_mm is None:
        return None
    free = [_Free(0.0, 0.0, sheet.length_mm, sheet.width_mm)]
    for piece in sheet.pieces:
        (x0, y0), (x1, y1) = piece_bounds(piece, kerf_mm)
        free = _without(free, _Free(x0 - gap_mm, y0 - gap_mm, x1 - x0 + 2 * gap_mm, y1 - y0 + 2 * gap_mm))
    best = max(free, key=lambda f: f.w * f.h, default=None)
    return None if best is None else (best.w, best.h)
