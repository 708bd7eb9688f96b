"""Rows of one part: plain, or every second part turned by 180 degrees and raised; what rows a width can hold."""

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

import numpy as np

from layout.fill.nofit import OUT_OF_REACH, NoFit
from layout.fill.parts import part_of
from layout.geometry import FloatArray, Footprint, turned

STEP_MM: Final = 0.15
"""Step of the tables of contact heights; errs by about STEP^2 / 8 wall, and every stack is rebuilt exactly."""

SLACK_STEPS: Final = 6
"""A row that leaves room is tried at this many steps of it, and one more."""

LEAST_STEP_MM: Final = 1.0
"""... but no closer together than this."""

ALIKE_MM: Final = 0.25
"""Offsets no farther apart are one."""

FIT_TOL_MM: Final = 1e-7
"""Rows may pass the width by this: exact fits must not fail by rounding. A tenth of the check's tolerance."""


@dataclass(frozen=True, slots=True)
class Kind:
    """How a row is laid.

    Parameters
    ----------
    angle_deg, other_deg : float
        Of the first, third, ... and of the second, fourth, ... part.
    rise_mm : float
        How much higher the others stand.
    there_mm, back_mm : float
        Steps along x from a part to the next other one, and from that to the next.
    density : float
        Parts per mm2 when stacked on itself, by the tables.
    shift_mm : float
        The shift along x that stacks it on itself best.
    """

    angle_deg: float
    other_deg: float
    rise_mm: float
    there_mm: float
    back_mm: float
    density: float = 0.0
    shift_mm: float = 0.0

    @property
    def pitch_mm(self) -> float:
        """The row repeats after this."""
        return self.there_mm + self.back_mm

    @property
    def plain(self) -> bool:
        """Whether all parts stand alike."""
        return self.angle_deg == self.other_deg and self.rise_mm == 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """Parts in a row: places relative to the row's base line, angles."""

    x_mm: FloatArray
    y_mm: FloatArray
    angle_deg: FloatArray
    bottom_mm: float
    top_mm: float

    @property
    def count(self) -> int:
        """How many parts."""
        return len(self.x_mm)


@dataclass(slots=True)
class Tables:
    """Contact heights of every pair of angles on a grid, made when first asked for."""

    nofit: NoFit
    kinds: dict[tuple[float, bool, int], list[Kind]] = field(default_factory=dict)
    _tables: dict[tuple[float, float], FloatArray] = field(default_factory=dict)
    _extents: dict[float, tuple[float, float, float, float]] = field(default_factory=dict)

    @property
    def half(self) -> int:
        """The tables reach from -half to half steps."""
        return int(self.nofit.reach_mm() / STEP_MM) + 3

    def table(self, lower_deg: float, upper_deg: float) -> FloatArray:
        """Return `NoFit.highest` at x = (-half .. half) * STEP_MM."""
        key = (lower_deg % 360.0, upper_deg % 360.0)
        if key not in self._tables:
            x = np.arange(-self.half, self.half + 1) * STEP_MM
            self._tables[key] = self.nofit.highest(key[0], key[1], x)
        return self._tables[key]

    def look_up(self, lower_deg: float, upper_deg: float, x_mm: FloatArray) -> FloatArray:
        """Return contact heights, interpolated; `OUT_OF_REACH` beyond the table."""
        table = self.table(lower_deg, upper_deg)
        at = x_mm / STEP_MM + self.half
        low = np.floor(at)
        k = np.clip(low, 0, len(table) - 2).astype(np.intp)
        share = at - low
        value = table[k] * (1.0 - share) + table[k + 1] * share
        return np.where((at < 0) | (at >= len(table) - 1), OUT_OF_REACH, value)

    def extents(self, angle_deg: float) -> tuple[float, float, float, float]:
        """Return least x, least y, greatest x, greatest y of the core at this angle, mm."""
        key = angle_deg % 360.0
        if key not in self._extents:
            xy = turned(self.nofit.part.points, key)
            (x0, y0), (x1, y1) = xy.min(axis=0), xy.max(axis=0)
            self._extents[key] = (float(x0), float(y0), float(x1), float(y1))
        return self._extents[key]


@lru_cache(maxsize=4)  # filled with what never changes, and asked again for every box that `size` tries
def tables_of(footprint: Footprint, wall_mm: float) -> Tables:
    """Return the tables of a footprint at a wall between parts, mm; two fills at a time may share them."""
    part = part_of(footprint, wall_mm)
    return Tables(NoFit(part, wall_mm + 2.0 * part.rounding_mm))


def kinds_at(tables: Tables, angle_deg: float, half_turn: bool, rises: int = 25) -> list[Kind]:
    """Return the kinds of row at one angle, screened, densest first; remembered.

    Parameters
    ----------
    half_turn : bool
        Whether parts may also be turned by 180 degrees.
    rises : int
        How many heights to try for the turned parts.
    """
    key = (angle_deg, half_turn, rises)
    if key not in tables.kinds:
        tables.kinds[key] = _kinds_at(tables, angle_deg, half_turn, rises)
    return tables.kinds[key]


def _kinds_at(tables: Tables, angle_deg: float, half_turn: bool, rises: int) -> list[Kind]:
    nofit = tables.nofit
    zero = np.zeros(1)
    alike = float(nofit.rightmost(angle_deg, angle_deg, zero)[0])
    found = [Kind(angle_deg, angle_deg, 0.0, alike, alike)]
    if half_turn:
        other = (angle_deg + 180.0) % 360.0
        found.append(Kind(other, other, 0.0, alike, alike))
        low, high = tables.extents(angle_deg)[1::2]
        tall = high - low + nofit.wall_mm
        raises = np.unique(np.append(np.linspace(-tall, tall, rises), [0.0, high + low]))
        there = nofit.rightmost(angle_deg, other, raises)
        back = nofit.rightmost(other, angle_deg, -raises)
        for rise, b, c in zip(raises.tolist(), there.tolist(), back.tolist(), strict=True):
            # out of reach of each other they may stand anywhere: as far apart as two alike will do
            b, c = max(b, -0.5 * alike), max(c, -0.5 * alike)
            spare = alike - (b + c)
            if spare <= 1e-9:
                found.append(Kind(angle_deg, other, rise, b, c))
            else:
                found.extend(Kind(angle_deg, other, rise, b + k * spare, c + (1 - k) * spare) for k in (0.0, 0.5, 1.0))
    screened = [_screened(tables, kind) for kind in found]
    return sorted(screened, key=lambda kind: -kind.density)


def _screened(tables: Tables, kind: Kind) -> Kind:
    """Return the kind with its density and best shift when rows of it are stacked on each other."""
    pitch, reach = kind.pitch_mm, tables.half * STEP_MM
    period = pitch / 2.0 if kind.plain else pitch
    shifts = np.arange(max(4, min(120, int(period / 0.4)))) * (period / max(4, min(120, int(period / 0.4))))
    members = [(0.0, 0.0, kind.angle_deg)]
    if not kind.plain:
        members.append((kind.there_mm, kind.rise_mm, kind.other_deg))
    around = int(reach / period) + 2
    cells = np.arange(-around, around + 1) * period
    height = np.full(len(shifts), OUT_OF_REACH)
    for xi, yi, ai in members:
        for xj, yj, aj in members:
            x = shifts[:, None] + (xj - xi) + cells[None, :]
            height = np.maximum(height, tables.look_up(ai, aj, x).max(axis=1) + yi - yj)
    # up by s, then back by s: rows in a box go to and fro
    pair = (height + np.roll(height[::-1], 1)) / 2.0
    k = int(pair.argmin())
    return Kind(
        kind.angle_deg, kind.other_deg, kind.rise_mm, kind.there_mm, kind.back_mm,
        1.0 / (float(pair[k]) * (period if kind.plain else pitch / 2.0)), float(shifts[k]),
    )  # fmt: skip


def rows_of(tables: Tables, kind: Kind, width_mm: float) -> list[Row]:
    """Return rows of a kind for a width: as many as fit, or one fewer, at several offsets, or spread out."""
    rows: list[Row] = []
    starts = (False,) if kind.plain else (False, True)
    for turned_first in starts:
        steps = (kind.back_mm, kind.there_mm) if turned_first else (kind.there_mm, kind.back_mm)
        x, turn = _fitting(tables, kind, steps, turned_first, width_mm)
        for count in (len(x), len(x) - 1):
            if count < 1:
                continue
            rows.extend(_offsets(tables, kind, x[:count], turn[:count], width_mm))
        if len(x) > 2:
            rows.extend(_between(tables, kind, x, turn, width_mm))
    return rows


def _fitting(
    tables: Tables, kind: Kind, steps: tuple[float, float], turned_first: bool, width_mm: float
) -> tuple[FloatArray, FloatArray]:
    most = 4 + 2 * int(width_mm / max(kind.pitch_mm, 1e-6))
    turn = (np.arange(most) + int(turned_first)) % 2 == 1
    x = np.concatenate(([0.0], np.cumsum(np.resize(np.array(steps), most - 1))))
    fits = [n for n in range(1, most + 1) if _span(tables, kind, x[:n], turn[:n])[1] <= width_mm + FIT_TOL_MM]
    count = max(fits, default=0)
    return (x[:count] - _span(tables, kind, x[:count], turn[:count])[0] if count else x[:0]), turn[:count]


def _offsets(tables: Tables, kind: Kind, x: FloatArray, turn: FloatArray, width_mm: float) -> list[Row]:
    slack = max(0.0, width_mm - _span(tables, kind, x, turn)[1])
    period = kind.pitch_mm / 2.0 if kind.plain else kind.pitch_mm
    wanted = [period / 2.0, slack - period / 2.0, period / 4.0, slack - period / 4.0]
    wanted += [kind.shift_mm, period - kind.shift_mm, slack - kind.shift_mm, slack - period + kind.shift_mm]
    steps = max(1, min(SLACK_STEPS, int(slack / LEAST_STEP_MM)))
    fitting = [slack * k / steps for k in range(steps + 1)] + [o for o in wanted if -1e-9 <= o <= slack + 1e-9]
    distinct: list[float] = []
    for offset in fitting:
        if all(abs(offset - o) > ALIKE_MM for o in distinct):
            distinct.append(offset)
    layouts = [x + min(max(o, 0.0), slack) for o in distinct]
    if len(x) > 1 and slack > 0.01:
        layouts.append(_spread_out(x, slack))
    return [_row(tables, kind, places, turn) for places in layouts]


def _between(tables: Tables, kind: Kind, x: FloatArray, turn: FloatArray, width_mm: float) -> list[Row]:
    """Return rows of one fewer whose parts stand over the gaps of the spread-out row of as many as fit."""
    slack = max(0.0, width_mm - _span(tables, kind, x, turn)[1])
    spread = _spread_out(x, slack)
    step = 1 if kind.plain else 2
    rows = []
    for share in (0.25, 0.5, 0.75):
        places = spread[:-step] * (1.0 - share) + spread[step:] * share
        row = turn[:-step]
        left, width = _span(tables, kind, places, row)
        if left >= -FIT_TOL_MM and left + width <= width_mm + FIT_TOL_MM:
            rows.append(_row(tables, kind, places, row))
    return rows


def _spread_out(x: FloatArray, slack: float) -> FloatArray:
    return x + np.arange(len(x)) * (slack / (len(x) - 1))


def _span(tables: Tables, kind: Kind, x: FloatArray, turn: FloatArray) -> tuple[float, float]:
    """Return the left end and the width of parts at these places."""
    left = np.where(turn, tables.extents(kind.other_deg)[0], tables.extents(kind.angle_deg)[0])
    right = np.where(turn, tables.extents(kind.other_deg)[2], tables.extents(kind.angle_deg)[2])
    low = float((x + left).min())
    return low, float((x + right).max()) - low


def _row(tables: Tables, kind: Kind, x: FloatArray, turn: FloatArray) -> Row:
    y = np.where(turn, kind.rise_mm, 0.0)
    low = np.where(turn, tables.extents(kind.other_deg)[1], tables.extents(kind.angle_deg)[1])
    high = np.where(turn, tables.extents(kind.other_deg)[3], tables.extents(kind.angle_deg)[3])
    angles = np.where(turn, kind.other_deg, kind.angle_deg)
    return Row(x, y, angles, float((y + low).min()), float((y + high).max()))
