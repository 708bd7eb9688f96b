"""Lay panels on the user's sheets: different rectangles with quarter turns, a gap between them, a margin round them.

Each sheet is filled by keeping the list of all largest free rectangles. Many orders of the pieces are tried, the last
ones drawn from a seeded generator, and every result is judged by an exact check before it counts.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout.box.cutting import CutSheet, Piece, cut_size_mm
from layout.box.panel import Panel
from layout.errors import BadValueError
from layout.geometry import XY
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import MILLIMETRES, MM_PER_INCH, Units, length_text, size_text

ORDERS_TRIED: Final = 60
MORE_ORDERS_TRIED: Final = 600
"""Orders tried in any case, and while the areas alone would still allow a sheet less."""

_MOST_SHEETS: Final = 500


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
    return Stock(length * MM_PER_INCH, width * MM_PER_INCH, f"{length:g} x {width:g} in")


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
class _Free:
    x: float
    y: float
    w: float
    h: float


@dataclass(frozen=True, slots=True)
class _Job:
    """Sizes with the gap added, so that pieces may touch; sheets likewise, margin taken off."""

    panels: tuple[Panel, ...]
    kerf_mm: float
    gap_mm: float
    margin_mm: float

    def size(self, index: int) -> tuple[float, float]:
        length, width = cut_size_mm(self.panels[index], self.kerf_mm)
        return length + self.gap_mm, width + self.gap_mm

    def room(self, stock: Stock) -> tuple[float, float]:
        inset = 2.0 * self.margin_mm - self.gap_mm
        return stock.length_mm - inset, stock.width_mm - inset


_Rule = Callable[[_Free, float, float], tuple[float, float]]
_RULES: Final[tuple[_Rule, ...]] = (
    lambda f, w, h: (f.y + h, f.x + w),
    lambda f, w, h: (f.x + w, f.y + h),
    lambda f, w, h: (min(f.w - w, f.h - h), max(f.w - w, f.h - h)),
)
"""Where a piece goes first: lowest, leftmost, where it fits most tightly."""


def lay_on_sheets(
    panels: Sequence[Panel],
    stock: Sequence[Stock],
    *,
    kerf_mm: float = 0.0,
    gap_mm: float = 3.0,
    margin_mm: float = 5.0,
    seed: int = 0,
    units: Units = MILLIMETRES,
) -> tuple[CutSheet, ...]:
    """Return every piece laid on sheets: left-over pieces first, then the kind of sheet that wastes least.

    Parameters
    ----------
    panels : sequence of Panel
        Each counts as often as it is to be cut.
    stock : sequence of Stock
        Left-over pieces have a number; of the other kinds one is chosen.
    kerf_mm, gap_mm, margin_mm : float
        The cutter's width; least distance between two cut lines; from a cut line to the sheet's edge.
    units : Units
        What a refusal tells lengths in.

    Raises
    ------
    BadValueError
        If a piece is larger than every sheet, or the pieces and the left-overs do not suffice.
    """
    if gap_mm < 0.0 or margin_mm < 0.0:
        raise BadValueError("--gap", "a gap or margin is negative", "give 0 mm or more")
    pieces = tuple(panel for panel in panels for _ in range(panel.pieces))
    job = _Job(pieces, kerf_mm, gap_mm, margin_mm)
    leftovers = [s for s in stock for _ in range(s.pieces or 0)]
    kinds: list[Stock | None] = [s for s in stock if s.pieces is None]
    tried = [laid for kind in kinds or [None] if (laid := _lay(job, leftovers, kind, seed)) is not None]
    if not tried:
        raise _too_large(job, [*leftovers, *(k for k in kinds if k)], units)
    best = min(tried, key=_cost)
    _assert_apart(best, job)
    return best


def _cost(sheets: tuple[CutSheet, ...]) -> tuple[float, float]:
    return _bought_mm2(sheets), sum(s.length_mm * s.width_mm for s in sheets if s.length_mm and s.width_mm)


def _bought_mm2(sheets: tuple[CutSheet, ...]) -> float:
    return sum(s.length_mm * s.width_mm for s in sheets if s.length_mm and s.width_mm and not s.leftover)


def _too_large(job: _Job, sheets: list[Stock], units: Units) -> BadValueError:
    largest = max(sheets, key=lambda s: s.length_mm * s.width_mm, default=Stock(0.0, 0.0))
    worst = max(job.panels, key=lambda p: max(p.length_mm, p.width_mm))
    return BadValueError(
        "--stock",
        f"the {worst.name} ({size_text(worst.length_mm, worst.width_mm, units)}) and the other panels do not go on"
        f" {size_text(largest.length_mm, largest.width_mm, units)} with a margin of"
        f" {length_text(job.margin_mm, units)}",
        "give a larger sheet",
    )


def _lay(job: _Job, leftovers: list[Stock], kind: Stock | None, seed: int) -> tuple[CutSheet, ...] | None:
    rng = np.random.default_rng(seed)
    count = len(job.panels)
    orders: list[list[int]] = [
        sorted(range(count), key=key)
        for key in (
            lambda i: -max(job.size(i)),
            lambda i: -job.size(i)[0] * job.size(i)[1],
            lambda i: -sum(job.size(i)),
            lambda i: -min(job.size(i)),
        )
    ]
    best: tuple[CutSheet, ...] | None = None
    plain = len(orders) * len(_RULES)
    fewest = _fewest_whole(job, leftovers, kind)
    for attempt in range(MORE_ORDERS_TRIED):
        if attempt >= max(ORDERS_TRIED, plain) and (best is None or _whole(best) <= fewest):
            break
        order = orders[attempt // len(_RULES) % len(orders)]
        order = order if attempt < plain else _shuffled(order, rng)
        laid = _lay_in_order(job, order, leftovers, kind, _RULES[attempt % len(_RULES)])
        if laid is not None and (best is None or _rank(laid, job) < _rank(best, job)):
            best = laid
    return best


def _whole(sheets: tuple[CutSheet, ...]) -> int:
    return sum(not sheet.leftover for sheet in sheets)


def _fewest_whole(job: _Job, leftovers: list[Stock], kind: Stock | None) -> int:
    """Return the whole sheets that the areas alone ask for."""
    if kind is None:
        return 0
    area = sum(math.prod(job.size(i)) for i in range(len(job.panels)))
    area -= sum(math.prod(job.room(piece)) for piece in leftovers)
    return max(0, math.ceil(area / max(1e-9, math.prod(job.room(kind))) - 1e-9))


def _rank(sheets: tuple[CutSheet, ...], job: _Job) -> tuple[float, float, float]:
    # among as many sheets: the one whose rest is the largest single piece
    rest = largest_rest_mm(sheets[-1], job.kerf_mm, job.gap_mm) or (0.0, 0.0)
    return _bought_mm2(sheets), float(len(sheets)), -rest[0] * rest[1]


def _shuffled(order: list[int], rng: np.random.Generator) -> list[int]:
    # large pieces stay early: each place may slip by a few
    keys = np.arange(len(order)) + rng.uniform(0.0, 0.6 * len(order) + 1.0, len(order))
    return [order[i] for i in np.argsort(keys)]


def _lay_in_order(
    job: _Job, order: list[int], leftovers: list[Stock], kind: Stock | None, rule: _Rule
) -> tuple[CutSheet, ...] | None:
    waiting = list(order)
    sheets: list[CutSheet] = []
    coming = sorted(leftovers, key=lambda s: s.length_mm * s.width_mm)
    while waiting:
        whole = not coming
        stock = kind if whole else coming.pop(0)
        if stock is None or len(sheets) > _MOST_SHEETS:
            return None
        pieces, waiting = _fill_sheet(job, waiting, stock, rule)
        if pieces:
            sheets.append(CutSheet(tuple(pieces), stock.length_mm, stock.width_mm, stock.name, not whole))
        elif whole:
            return None
    return tuple(sheets)


def _fill_sheet(job: _Job, waiting: list[int], stock: Stock, rule: _Rule) -> tuple[list[Piece], list[int]]:
    room = job.room(stock)
    free = [_Free(0.0, 0.0, *room)]
    pieces: list[Piece] = []
    rest: list[int] = []
    for index in waiting:
        found = _best_place(free, job.size(index), rule)
        if found is None:
            rest.append(index)
            continue
        place, turned = found
        pieces.append(Piece(job.panels[index], place.x + job.margin_mm, place.y + job.margin_mm, turned))
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


def piece_bounds(piece: Piece, kerf_mm: float) -> tuple[XY, XY]:
    """Return the lower left and upper right corner of a piece's cut line on its sheet, mm."""
    length, width = cut_size_mm(piece.panel, kerf_mm)
    w, h = (width, length) if piece.turned else (length, width)
    return (piece.x_mm, piece.y_mm), (piece.x_mm + w, piece.y_mm + h)


def _assert_apart(sheets: tuple[CutSheet, ...], job: _Job) -> None:
    for sheet in sheets:
        boxes = [piece_bounds(p, job.kerf_mm) for p in sheet.pieces]
        for i, ((x0, y0), (x1, y1)) in enumerate(boxes):
            low, tol = job.margin_mm - CLEARANCE_TOL_MM, CLEARANCE_TOL_MM
            inside = x0 >= low and y0 >= low
            inside = inside and x1 <= (sheet.length_mm or x1) - job.margin_mm + tol
            inside = inside and y1 <= (sheet.width_mm or y1) - job.margin_mm + tol
            apart = all(max(x0 - q[0], p[0] - x1, y0 - q[1], p[1] - y1) >= job.gap_mm - tol for p, q in boxes[:i])
            if not (inside and apart):  # the free-rectangle list is wrong: never hand that to a cutter
                raise AssertionError("pieces on a sheet are too close")


def waste_pct(sheets: Sequence[CutSheet]) -> float | None:
    """Return how much of the sheets is not panel, per cent; None for sheets without an edge."""
    from layout.box.shapes import polygon_of

    whole = sum(s.length_mm * s.width_mm for s in sheets if s.length_mm and s.width_mm)
    if not whole:
        return None
    used = sum(polygon_of(p.panel.outer, p.panel.holes).area for s in sheets for p in s.pieces)
    return 100.0 * (1.0 - used / whole)


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


def as_leftover(length_mm: float, width_mm: float) -> Stock:
    """Return one left-over piece of this size."""
    return replace(Stock(length_mm, width_mm), name="left-over", pieces=1)
