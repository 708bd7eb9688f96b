"""For any width of a box, the least height that rows of one part need to hold a number of them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from layout.fill.frames import row_angles
from layout.fill.parts import Part
from layout.fill.rows import FIT_TOL_MM, Kind, Row, Tables, kinds_at, rows_of, tables_of
from layout.fill.search import turns_of
from layout.fill.stacks import TABLE_ERROR_MM, Stack, build, pair_heights, plan
from layout.geometry import FloatArray
from layout.model import Master, Project

_MOST_KINDS: Final = 4
"""How many kinds of row of one angle are stacked with each other."""

_KINDS_TOGETHER: Final = 2
"""How many kinds of row of each angle are stacked with those of other angles."""

_ANGLES_TOGETHER: Final = 3
"""How many angles are looked at for one width."""

_COSTLY_PIECES: Final = 150
"""Angles of parts of so many pairs of pieces aren't stacked with each other: each pair of angles takes long."""

_TRIES: Final = 5
"""Stacks that turn out higher than the tables say are corrected so often."""

_NO_SHIFT_MM: Final = 0.5
"""Rows set in by less than this are taken for rows that aren't."""

_SHIFT_STEP_MM: Final = 0.4
"""Shifts of kinds are known to this."""

_NEVER_MM: Final = 1e8


@dataclass(frozen=True, slots=True)
class Guess:
    """How high rows of one angle would stand in a width that they just fill, worked out without stacking them."""

    width_mm: float
    height_mm: float
    angle: int


@dataclass(frozen=True, slots=True)
class _Spans:
    """Rows of one kind: how wide so many parts are, how far a row is set in, and what it adds to the height."""

    widths_mm: FloatArray
    shifts_mm: tuple[float, ...]
    row_mm: float
    step_mm: float
    angle: int

    def height_mm(self, a_row: FloatArray, count: int) -> FloatArray:
        """Return the height of rows of so many parts each, mm; half a part: every second row has one fewer."""
        return self.row_mm + (np.ceil(count / a_row) - 1.0) * self.step_mm


@dataclass(slots=True)
class Heights:
    """The lowest stacks of one number of one part.

    Parameters
    ----------
    tables : Tables
    kinds : list of list of Kind
        The kinds of row of every angle, each list the densest first.
    count : int
    """

    tables: Tables
    kinds: list[list[Kind]]
    count: int
    _spans: list[_Spans] = field(init=False)

    def __post_init__(self) -> None:
        self._spans = [
            spans for number, kinds in enumerate(self.kinds) for kind in kinds for spans in self._spans_of(kind, number)
        ]

    @property
    def part(self) -> Part:
        """What is laid."""
        return self.tables.nofit.part

    @property
    def square_mm(self) -> float:
        """The side of the square that so many take in endless rows."""
        return float(np.sqrt(self.count / max(kinds[0].density for kinds in self.kinds)))

    @property
    def reach_mm(self) -> float:
        """No two parts whose origins are farther apart touch."""
        return 2.0 * self.part.radius_mm + self.tables.nofit.wall_mm

    def guesses(self) -> list[Guess]:
        """Return a guess for every width that rows of any kind just fill, alone or every second row set in."""
        found: dict[tuple[float, int], Guess] = {}
        for spans in self._spans:
            a_row = np.arange(1.0, len(spans.widths_mm) + 1.0)
            level = spans.shifts_mm[0] < _NO_SHIFT_MM
            ways = [(0.0, spans.height_mm(a_row if level else np.maximum(a_row - 0.5, 1.0), self.count))]
            if not level:
                ways += [(shift, spans.height_mm(a_row, self.count)) for shift in spans.shifts_mm]
            for extra, heights in ways:
                for width, height in zip((spans.widths_mm + extra).tolist(), heights.tolist(), strict=True):
                    key = round(width, 2), spans.angle
                    if key not in found or height < found[key].height_mm:
                        found[key] = Guess(width, height, spans.angle)
        return list(found.values())

    def guessed_mm(self, widths_mm: FloatArray) -> FloatArray:
        """Return a guess at the least height for every width, mm; inf where not one part fits."""
        least = np.full(len(widths_mm), np.inf)
        for spans in self._spans:
            fitting = np.searchsorted(spans.widths_mm, widths_mm + FIT_TOL_MM, side="right")
            left = widths_mm - spans.widths_mm[np.maximum(fitting, 1) - 1]
            short = (spans.shifts_mm[0] >= _NO_SHIFT_MM) & (left < spans.shifts_mm[0])
            a_row = np.maximum(fitting - 0.5 * short, 1.0)
            least = np.where(fitting > 0, np.minimum(least, spans.height_mm(a_row, self.count)), least)
        return least

    def likely_angles(self, width_mm: float) -> list[int]:
        """Return the angles whose rows would be lowest at a width."""
        least: dict[int, float] = {}
        for spans in self._spans:
            fitting = int(np.searchsorted(spans.widths_mm, width_mm + FIT_TOL_MM, side="right"))
            if fitting:
                shift = spans.shifts_mm[0]
                short = shift >= _NO_SHIFT_MM and spans.widths_mm[fitting - 1] + shift > width_mm
                height = float(spans.height_mm(np.array([max(1.0, fitting - 0.5 * short)]), self.count)[0])
                least[spans.angle] = min(least.get(spans.angle, np.inf), height)
        return sorted(least, key=lambda angle: least[angle])[:_ANGLES_TOGETHER]

    def stack(self, width_mm: float, angles: Sequence[int]) -> Stack | None:
        """Return the lowest exact stack of rows at these angles; None if none holds so many.

        Parameters
        ----------
        width_mm : float
            Of the cores: a disc's is its centre.
        """
        most = _MOST_KINDS if len(angles) == 1 else _KINDS_TOGETHER
        chosen = [kind for angle in angles for kind in self.kinds[angle][:most]]
        rows = [row for kind in chosen for row in rows_of(self.tables, kind, width_mm)]
        return _lowest(self.tables, rows, width_mm, self.count) if rows else None

    def lowest(self, width_mm: float) -> Stack | None:
        """Return the lowest exact stack of the likeliest angles, each of two alone and all together."""
        angles = self.likely_angles(width_mm)
        sets = [[angle] for angle in angles[:2]]
        if len(angles) > 1 and len(self.part.pieces) ** 2 <= _COSTLY_PIECES:
            sets.append(angles)
        found = (self.stack(width_mm, angles) for angles in sets)
        return min((stack for stack in found if stack is not None), key=lambda stack: stack.height_mm, default=None)

    def _spans_of(self, kind: Kind, angle: int) -> list[_Spans]:
        one, other = self.tables.extents(kind.angle_deg), self.tables.extents(kind.other_deg)
        row = max(one[3], other[3] + kind.rise_mm) - min(one[1], other[1] + kind.rise_mm)
        period = kind.pitch_mm / 2.0
        step = 1.0 / (kind.density * period)
        every = period if kind.plain else kind.pitch_mm
        # the next row may begin with either part; the best shift was found in steps: half-way, or where the other part
        # stands, it's often exact
        begins = (0.0,) if kind.plain else (0.0, kind.there_mm)
        shift = min(min((kind.shift_mm - b) % every, (b - kind.shift_mm) % every) for b in begins)
        middle = every / 2.0 if kind.plain else min(kind.there_mm % every, -kind.there_mm % every)
        shifts = tuple(sorted({shift, min(every / 2.0, shift + _SHIFT_STEP_MM), middle}))
        found = []
        for first, second, steps in (
            (one, other, (kind.there_mm, kind.back_mm)),
            (other, one, (kind.back_mm, kind.there_mm)),
        ):
            x = np.concatenate(([0.0], np.cumsum(np.resize(np.array(steps), self.count - 1))))
            odd = np.arange(self.count) % 2 == 1
            left = np.minimum.accumulate(x + np.where(odd, second[0], first[0]))
            right = np.maximum.accumulate(x + np.where(odd, second[2], first[2]))
            found.append(_Spans(right - left, shifts, row, step, angle))
            if kind.plain:
                break
        return found


def heights_of(project: Project, master: Master, count: int, quarter: bool = False) -> Heights:
    """Return the lowest stacks of so many of a master; the compiled kernels of rows must be loaded (`warm.Kernels`).

    Parameters
    ----------
    quarter : bool
        The rows run along the box's y.
    """
    tables = tables_of(master.footprint, project.rules.wall_mm)
    allowed = turns_of(project, master)
    turns = allowed if not quarter or allowed is None else tuple((a - 90.0) % 360.0 for a in allowed)
    angles, half = row_angles(tables.nofit.part, turns)
    return Heights(tables, [kinds_at(tables, a, half)[:_MOST_KINDS] for a in angles], count)


def lies_either_way(project: Project, master: Master) -> bool:
    """Return whether layouts of a master may be turned by 90 degrees as a whole."""
    allowed = turns_of(project, master)
    return allowed is None or len(allowed) == 4


def _lowest(tables: Tables, rows: Sequence[Row], width_mm: float, count: int) -> Stack | None:
    """Return the lowest exact stack of so many.

    Notes
    -----
    The dynamic program looks at neighbouring rows alone. Where a row but one holds another up, what lies between is
    put as much higher, and the program is asked again.
    """
    # two rows that can't touch may have any heights: the base of the upper one at least that of the lower
    first = np.maximum(pair_heights(tables, rows, width_mm, fast=True), 0.0)
    heights, best = first, None
    for _ in range(_TRIES):
        found = plan(rows, heights, 0.0, _NEVER_MM, count, fast=True, only=count)
        if not found.choices or (best is not None and found.choices[0].total_mm >= best.height_mm - TABLE_ERROR_MM):
            break
        choice = found.choices[0]
        stack = build(tables.nofit, found, choice)
        if best is None or stack.height_mm < best.height_mm:
            best = stack
        if stack.height_mm <= choice.total_mm + TABLE_ERROR_MM:
            break
        heights = _corrected(first, heights, choice.order)
    return best


def _corrected(first: FloatArray, heights: FloatArray, order: tuple[int, ...]) -> FloatArray:
    """Return the heights raised between rows that others hold apart."""
    raised = heights.copy()
    base = np.zeros(len(order))
    for k in range(1, len(order)):
        over = base[:k] + first[list(order[:k]), order[k]]
        holder = int(over.argmax())
        base[k] = over[holder]
        lack = float(over[holder] - base[k - 1] - heights[order[k - 1], order[k]])
        if holder < k - 1 and lack > 0.0:
            for m in range(holder, k):
                pair = order[m], order[m + 1]
                raised[pair] = max(raised[pair], heights[pair] + lack / (k - holder))
    return raised
