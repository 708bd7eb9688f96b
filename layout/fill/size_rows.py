"""Boxes for a number of cavities, from rows: for many widths the least height that holds exactly so many."""

from collections.abc import Callable, Iterator
from typing import Final

import numpy as np

from layout.fill.frames import Frame, row_angles
from layout.fill.parts import Part
from layout.fill.rows import Kind, Tables, kinds_at, rows_of, tables_of
from layout.fill.search import Place, Task
from layout.fill.stacks import build, pair_heights, plan
from layout.model import Master, Project

_MOST_KINDS: Final = 4
_MOST_ANGLES: Final = 4
_LEAST_DENSE: Final = 0.94
"""Angles whose endless rows are less dense than this share of the densest are left out."""

_WIDTHS: Final = 36
"""Widths tried between the narrowest sensible box and a square one, beside those that rows just fill."""

_NEVER_MM: Final = 1e8

_LIKELY: Final = 0.97
"""Share of the height of endless rows below which no stack of so many was ever seen."""


def row_layouts(
    project: Project, master: Master, cavities: int, worth: Callable[[float, float], bool]
) -> Iterator[tuple[Place, ...]]:
    """Yield layouts of exactly this many cavities in rows, likely ones first; they need no box yet.

    The compiled kernels of rows must be loaded (`warm.Kernels`).

    Parameters
    ----------
    project : Project
        Its wall and turns count; its box, pinned cavities and keep-outs are looked past.
    master : Master
    cavities : int
        At least 1.
    worth : callable
        Told length and width of a layout to be, mm, it says whether that's worth working out.

    Yields
    ------
    tuple of Place
        Anywhere in the plane; empty after a piece of work that found nothing, so that the caller may stop.
    """
    task = Task(project, master)
    tables = tables_of(master.footprint, project.rules.wall_mm)
    part = tables.nofit.part
    allowed = task.angles_deg
    both_ways = allowed is None or len(allowed) == 4
    for quarter in (False,) if both_ways else (False, True):
        turns = allowed if not quarter or allowed is None else tuple((a - 90.0) % 360.0 for a in allowed)
        ranked = _ranked_angles(tables, part, turns)
        yield ()
        per_part = 1.0 / ranked[0][1][0].density if ranked else 0.0
        for width in _widths(project, part, ranked, cavities, per_part):
            # no rows can be lower than the densest endless ones, but for what the box's sides save
            grown = width + project.rules.wall_mm + 2.0 * part.rounding_mm
            least = max(0.0, _LIKELY * cavities * per_part / grown - grown + width)
            for _, kinds in ranked:
                frame = Frame(0.0, 0.0, width, least, quarter, None)
                if worth(width, least) or (both_ways and worth(least, width)):
                    yield from _stacks(tables, kinds, frame, cavities, master, both_ways, worth)
            yield ()


def _ranked_angles(tables: Tables, part: Part, turns: tuple[float, ...] | None) -> list[tuple[float, list[Kind]]]:
    angles, half = row_angles(part, turns)
    found = [(a, kinds_at(tables, a, half)[:_MOST_KINDS]) for a in angles]
    ranked = sorted(found, key=lambda pair: -pair[1][0].density)[:_MOST_ANGLES]
    return [pair for pair in ranked if pair[1][0].density >= _LEAST_DENSE * ranked[0][1][0].density]


def _widths(
    project: Project, part: Part, ranked: list[tuple[float, list[Kind]]], cavities: int, per_part: float
) -> list[float]:
    """Return the widths of rows to try, mm, those of about square boxes first."""
    square = float(np.sqrt(cavities * per_part))
    reach = 2.0 * part.radius_mm + project.rules.wall_mm
    narrow, wide = min(0.3 * square, 0.5 * reach), 1.6 * square + 2.0 * reach
    widths = set(np.linspace(max(narrow, 1e-3), wide, _WIDTHS).tolist())
    for _, kinds in ranked[:2]:
        for kind in kinds[:2]:
            widths |= _filled_widths(part, kind, wide)
    near = sorted(widths, key=lambda w: abs(np.log(max(w, 1e-3) / max(square, 1e-3))))
    kept: list[float] = []
    for width in near:
        if width >= 0.0 and all(abs(width - k) > 1e-3 for k in kept):
            kept.append(width)
    return kept


def _filled_widths(part: Part, kind: Kind, wide: float) -> set[float]:
    """Return the widths that rows of a kind just fill, alone or set in by a shift for every second row."""
    c, s = np.cos(np.radians(kind.angle_deg)), np.sin(np.radians(kind.angle_deg))
    own = float(np.ptp(part.points[:, 0] * c - part.points[:, 1] * s))
    step = kind.pitch_mm / 2.0
    shift = min(kind.shift_mm % step, -kind.shift_mm % step) if kind.plain else kind.shift_mm % kind.pitch_mm
    found = set()
    for n in range(min(60, int(wide / max(step, 1e-6)) + 1)):
        for extra in (0.0, shift, step / 2.0 if kind.plain else kind.there_mm):
            found.add(own + n * step + extra)
    return {w for w in found if w <= wide}


def _stacks(
    tables: Tables,
    kinds: list[Kind],
    frame: Frame,
    cavities: int,
    master: Master,
    both_ways: bool,
    worth: Callable[[float, float], bool],
) -> Iterator[tuple[Place, ...]]:
    rows = [row for kind in kinds for row in rows_of(tables, kind, frame.width_mm)]
    if not rows:
        yield ()
        return
    # two rows that can't touch may have any heights: the base of the upper one at least that of the lower
    heights = np.maximum(pair_heights(tables, rows, frame.width_mm, fast=True), 0.0)
    found = plan(rows, heights, 0.0, _NEVER_MM, cavities, fast=True, only=cavities)
    if not found.choices:
        yield ()
        return
    lowest = found.choices[0]
    height = lowest.total_mm - 0.05
    for quarter in (False, True) if both_ways else (frame.quarter,):
        if worth(*((height, frame.width_mm) if quarter else (frame.width_mm, height))):
            stack = build(tables.nofit, found, lowest)
            turned = Frame(0.0, 0.0, frame.width_mm, stack.height_mm, quarter, None)
            yield turned.places(stack, master.id)
