"""Boxes for a number of cavities, from rows: the widths at which the least height brings the least box."""

import bisect
import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Final

from layout.fill.frames import Frame
from layout.fill.search import Place
from layout.fill.size_heights import Guess, Heights, heights_of, lies_either_way
from layout.fill.stacks import Stack
from layout.model import Master, MasterId, Project

NEAR: Final = 1.05
"""Layouts of rows in boxes up to this much larger than the best may win when they're pressed."""

_MOST_GUESSES: Final = 150
"""Widths and angles that are tried because rows would just fill them."""

_MOST_OVER: Final = 0.3
"""... as long as the box guessed is no larger than the best by more than this share over the root of the number: the
fewer parts, the less a guess is worth."""

_FIRST_WIDTHS: Final = 12
_MOST_WIDTHS: Final = 40
"""Widths tried between, whatever fills them: at first, and in all."""

_LEAST_GAIN: Final = 2e-4
"""Widths between two others are tried only if they may save this share of the box's area."""

_CLOSE_MM: Final = 0.2
"""Widths no farther apart than this have nothing between them."""

AreaOf = Callable[[float, float], float]
"""Told length and width of a layout, mm, it says how large the box round it is, mm2; inf where none is allowed."""


@dataclass(slots=True)
class Widths:
    """Which widths to try: the wider, the lower, so what two of them bring says what can be between them.

    Parameters
    ----------
    square_mm : float
        About the width of a square box.
    reach_mm : float
        About the width of a part.
    filled : list of float
        Widths that parts just fill, ascending: the likeliest between others.
    area : callable
        Told width and height, it says how large the box would be.
    best : callable
        How large the best box is.
    """

    square_mm: float
    reach_mm: float
    filled: list[float]
    area: AreaOf
    best: Callable[[], float]
    tried: list[tuple[float, float]] = field(default_factory=list)

    def run(self) -> Iterator[float]:
        """Yield widths, the likeliest first; after each, `tell` must be told what it brought."""
        yield from self._first()
        while len(self.tried) < _MOST_WIDTHS:
            between = self._between()
            if between is None:
                return
            yield between

    def tell(self, width_mm: float, height_mm: float) -> None:
        """Note the least height found at a width, mm; inf where nothing lies in it."""
        bisect.insort(self.tried, (width_mm, height_mm))

    def _first(self) -> list[float]:
        narrow = max(min(0.3 * self.square_mm, 0.5 * self.reach_mm), 1e-3)
        wide = 1.6 * self.square_mm + 2.0 * self.reach_mm
        steps = [narrow * (wide / narrow) ** (k / (_FIRST_WIDTHS - 1)) for k in range(_FIRST_WIDTHS)]
        likely = [self._nearest(a, b) for a, b in itertools.pairwise(steps)]
        # a single part, or a single column, may be as narrow as a point
        return sorted({0.0, *likely, wide}, key=lambda w: abs(math.log(max(w, 1e-3) / max(self.square_mm, 1e-3))))

    def _nearest(self, low_mm: float, high_mm: float) -> float:
        """Return the filled width nearest the middle between two; the middle if there is none."""
        middle = (low_mm + high_mm) / 2.0
        first = bisect.bisect_left(self.filled, low_mm + 1e-3)
        last = bisect.bisect_left(self.filled, high_mm - 1e-3)
        return min(self.filled[first:last], key=lambda w: abs(w - middle), default=middle)

    def _between(self) -> float | None:
        """Return a width between the two that leave room for the least box; None if none leaves any."""
        gaps: list[tuple[float, float, float]] = []
        for (low, one), (high, other) in itertools.pairwise(self.tried):
            if high - low > _CLOSE_MM:
                gaps.append((self.area(low, min(one, other)), low, high))
        least, low, high = min(gaps, default=(math.inf, 0.0, 0.0))
        return None if least >= self.best() * (1.0 - _LEAST_GAIN) else self._nearest(low, high)


def row_layouts(
    project: Project, master: Master, cavities: int, area_of: AreaOf, best: Callable[[], float]
) -> Iterator[tuple[Place, ...]]:
    """Yield layouts of exactly this many cavities in rows; they need no box yet.

    The compiled kernels of rows must be loaded (`warm.Kernels`).

    Parameters
    ----------
    project : Project
        Its wall and turns count; its box, pinned cavities and keep-outs are looked past.
    master : Master
    cavities : int
        At least 1.
    area_of : callable
        See `AreaOf`.
    best : callable
        How large the best box so far is, mm2; inf if there is none.

    Yields
    ------
    tuple of Place
        Anywhere in the plane; empty after a piece of work that found nothing, so that the caller may stop.
    """
    both_ways = lies_either_way(project, master)
    for quarter in (False,) if both_ways else (False, True):
        ways = (False, True) if both_ways else (quarter,)
        rows = _Rows(heights_of(project, master, cavities, quarter), ways, master.id, area_of, best)
        yield ()
        yield from rows.guessed()
        yield from rows.between()


@dataclass(frozen=True, slots=True)
class _Rows:
    """Rows that run one way or both ways; ``ways`` says, each, whether along the box's y."""

    heights: Heights
    ways: tuple[bool, ...]
    master: MasterId
    area_of: AreaOf
    best: Callable[[], float]

    def guessed(self) -> Iterator[tuple[Place, ...]]:
        """Yield layouts in widths that rows just fill, the best guess first."""
        likely = 1.0 + _MOST_OVER / math.sqrt(self.heights.count)
        for guess in self._guesses()[:_MOST_GUESSES]:
            area = self._area(guess.width_mm, guess.height_mm)
            if math.isinf(area) or area > self.best() * likely:
                return
            yield self._near(guess.width_mm, self.heights.stack(guess.width_mm, [guess.angle]))

    def between(self) -> Iterator[tuple[Place, ...]]:
        """Yield layouts in the widths that may be best by what others brought."""
        filled = sorted({guess.width_mm for guess in self._guesses()})
        widths = Widths(self.heights.square_mm, self.heights.reach_mm, filled, self._area, self.best)
        for width in widths.run():
            stack = self.heights.lowest(width)
            widths.tell(width, math.inf if stack is None else stack.height_mm)
            yield self._near(width, stack)

    def _guesses(self) -> list[Guess]:
        return sorted(self.heights.guesses(), key=lambda guess: self._area(guess.width_mm, guess.height_mm))

    def _sized(self, width: float, height: float, along_y: bool) -> float:
        around = 2.0 * self.heights.part.rounding_mm
        size = (height, width) if along_y else (width, height)
        return self.area_of(size[0] + around, size[1] + around)

    def _area(self, width: float, height: float) -> float:
        return min(self._sized(width, height, way) for way in self.ways)

    def _near(self, width: float, stack: Stack | None) -> tuple[Place, ...]:
        """Return the places of a stack if its box is hardly larger than the best; empty if not."""
        if stack is None:
            return ()
        height = stack.height_mm
        way = min(self.ways, key=lambda way: self._sized(width, height, way))
        if self._sized(width, height, way) >= self.best() * NEAR:
            return ()
        return Frame(0.0, 0.0, width, height, way, None).places(stack, self.master)
