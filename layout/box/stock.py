"""Lay panels on the user's sheets: a gap between them, a margin round them, quarter turns, left-overs first.

Two ways are gone: the fill of the cavities, on the true contours, and the bounding rectangles in many orders. The
better one is kept, and every result is judged by an exact check before it counts.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import shapely
from shapely import Polygon

from layout.box.by_rectangles import (
    bought_mm2,
    fewest_whole,
    largest_rest_mm,
    lay_by_rectangles,
    rank_of,
)
from layout.box.cutting import CutSheet, Piece, piece_shapes
from layout.box.panel import Panel
from layout.box.shapes import polygon_of
from layout.box.sheet_job import USUAL_STOCK, SheetJob, Stock, as_leftover, piece_bounds
from layout.errors import BadValueError
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import MILLIMETRES, Units, length_text, size_text

__all__ = ["USUAL_STOCK", "Stock", "as_leftover", "largest_rest_mm", "lay_on_sheets", "piece_bounds", "waste_pct"]

FILL_ROUNDS: Final = 4
"""Rounds of the fill on each sheet where the areas alone would still allow a cheaper laying."""


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
    job = SheetJob(pieces, kerf_mm, gap_mm, margin_mm)
    leftovers = tuple(s for s in stock for _ in range(s.pieces or 0))
    kinds = tuple(s for s in stock if s.pieces is None)
    best = _laid(job, leftovers, kinds or (None,), seed)
    if best is None:
        raise _too_large(job, [*leftovers, *kinds], units)
    return best


_Sheets = tuple[CutSheet, ...]


@lru_cache(maxsize=64)
def _laid(job: SheetJob, leftovers: tuple[Stock, ...], kinds: tuple[Stock | None, ...], seed: int) -> _Sheets | None:
    """Return the cheapest laying over the kinds of sheets; the fill goes on where the areas allow a cheaper one."""
    best: _Sheets | None = None
    for kind in kinds:
        for laid in (lay_by_rectangles(job, leftovers, kind, seed), _by_fill(job, leftovers, kind, 0, seed)):
            if laid is not None and (best is None or _cost(laid, job) < _cost(best, job)):
                best = laid
    for kind in kinds:
        area = kind.length_mm * kind.width_mm if kind else 0.0
        cheapest = fewest_whole(job, leftovers, kind) * area
        if best is not None and bought_mm2(best) <= cheapest + 1e-6:
            continue
        laid = _by_fill(job, leftovers, kind, FILL_ROUNDS, seed)
        if laid is not None and (best is None or _cost(laid, job) < _cost(best, job)):
            best = laid
    if best is not None:
        _assert_apart(best, job)
    return best


def _by_fill(job: SheetJob, leftovers: tuple[Stock, ...], kind: Stock | None, rounds: int, seed: int) -> _Sheets | None:
    # the fill is loaded only where panels are laid
    from layout.box.by_fill import lay_by_fill

    return lay_by_fill(job, leftovers, kind, rounds, seed)


def _cost(sheets: _Sheets, job: SheetJob) -> tuple[float, float, float, float]:
    bought, count, rest = rank_of(sheets, job)
    return bought, sum(s.length_mm * s.width_mm for s in sheets if s.length_mm and s.width_mm), count, rest


def _too_large(job: SheetJob, sheets: list[Stock], units: Units) -> BadValueError:
    largest = max(sheets, key=lambda s: s.length_mm * s.width_mm, default=Stock(0.0, 0.0))
    worst = max(job.panels, key=lambda p: max(p.length_mm, p.width_mm))
    return BadValueError(
        "--stock",
        f"the {worst.name} ({size_text(worst.length_mm, worst.width_mm, units)}) and the other panels do not go on"
        f" {size_text(largest.length_mm, largest.width_mm, units)} with a margin of"
        f" {length_text(job.margin_mm, units)}",
        "give a larger sheet",
    )


def cut_polygon(piece: Piece, kerf_mm: float) -> Polygon:
    """Return what the cut line of a piece encloses where it lies on its sheet."""
    return polygon_of(piece_shapes(piece, kerf_mm)[-1])


def _assert_apart(sheets: _Sheets, job: SheetJob) -> None:
    for sheet in sheets:
        cut = [cut_polygon(piece, job.kerf_mm) for piece in sheet.pieces]
        low = job.margin_mm - CLEARANCE_TOL_MM
        inside = shapely.box(low, low, (sheet.length_mm or 0.0) - low, (sheet.width_mm or 0.0) - low)
        for i, one in enumerate(cut):
            apart = all(_are_apart(one, other, job.gap_mm) for other in cut[:i])
            if not (inside.covers(one) and apart):  # a method is wrong: never hand that to a cutter
                raise AssertionError("pieces on a sheet are too close")


def _are_apart(one: Polygon, other: Polygon, gap_mm: float) -> bool:
    # without a gap they may touch, and rounding may let them overlap by less than the tolerance
    overlap = one.intersection(other).area
    return bool(one.distance(other) >= gap_mm - CLEARANCE_TOL_MM and overlap <= CLEARANCE_TOL_MM * one.length)


def waste_pct(sheets: Sequence[CutSheet]) -> float | None:
    """Return how much of the sheets is not panel, per cent; None for sheets without an edge."""
    whole = sum(s.length_mm * s.width_mm for s in sheets if s.length_mm and s.width_mm)
    if not whole:
        return None
    used = sum(polygon_of(p.panel.outer, p.panel.holes).area for s in sheets for p in s.pieces)
    return 100.0 * (1.0 - used / whole)
