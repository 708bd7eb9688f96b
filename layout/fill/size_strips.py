"""Boxes for a mix of parts: a strip of rows for each kind, one on the other, at the width that brings the least box."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.fill.frames import Frame
from layout.fill.search import Place
from layout.fill.size_heights import Heights, heights_of, lies_either_way
from layout.fill.size_rows import NEAR, AreaOf, Widths
from layout.fill.stacks import Stack
from layout.geometry import FloatArray
from layout.model import Master, MasterId, Project

_MOST_GUESSES: Final = 24
"""Widths tried because rows of one kind would just fill them."""


def strip_layouts(
    project: Project, counts: list[tuple[Master, int]], area_of: AreaOf, best: Callable[[], float]
) -> Iterator[tuple[Place, ...]]:
    """Yield layouts of exactly so many of each master; see `size_rows.row_layouts`.

    Parameters
    ----------
    counts : list of (Master, int)
        Each at least 1.
    """
    both_ways = all(lies_either_way(project, master) for master, _ in counts)
    for quarter in (False,) if both_ways else (False, True):
        kinds = [(master.id, heights_of(project, master, count, quarter)) for master, count in counts]
        yield ()
        ways = (False, True) if both_ways else (quarter,)
        yield from _Strips(kinds, project.rules.wall_mm, ways, area_of, best).run()


@dataclass(frozen=True, slots=True)
class _Strips:
    kinds: list[tuple[MasterId, Heights]]
    wall_mm: float
    ways: tuple[bool, ...]
    area_of: AreaOf
    best: Callable[[], float]

    def run(self) -> Iterator[tuple[Place, ...]]:
        filled = self._filled()
        heights = self._guessed(filled)
        order = sorted(range(len(filled)), key=lambda k: self._area(float(filled[k]), float(heights[k])))
        for k in order[:_MOST_GUESSES]:
            if math.isinf(self._area(float(filled[k]), float(heights[k]))):
                break
            yield self._near(float(filled[k]), self._stacks(float(filled[k])))
        square = math.sqrt(sum(heights.square_mm**2 for _, heights in self.kinds))
        reach = max(heights.reach_mm + 2.0 * heights.part.rounding_mm for _, heights in self.kinds)
        widths = Widths(square, reach, filled.tolist(), self._area, self.best)
        for width in widths.run():
            stacks = self._stacks(width)
            widths.tell(width, math.inf if stacks is None else self._height(stacks))
            yield self._near(width, stacks)

    def _filled(self) -> FloatArray:
        """Return the widths that rows of one kind just fill, in tenths of a millimetre up."""
        found = [
            math.ceil(10.0 * (guess.width_mm + 2.0 * heights.part.rounding_mm) - 1e-6) / 10.0
            for _, heights in self.kinds
            for guess in heights.guesses()
        ]
        return np.unique(np.array(found))

    def _guessed(self, widths: FloatArray) -> FloatArray:
        total = np.full(len(widths), (len(self.kinds) - 1) * self.wall_mm)
        for _, heights in self.kinds:
            around = 2.0 * heights.part.rounding_mm
            total += heights.guessed_mm(widths - around) + around
        return total

    def _stacks(self, width: float) -> list[Stack] | None:
        """Return the lowest strip of each kind, in their order; None if one has none."""
        found: list[Stack] = []
        for _, heights in self.kinds:
            across = width - 2.0 * heights.part.rounding_mm
            stack = heights.lowest(across) if across >= 0.0 else None
            if stack is None:
                return None
            found.append(stack)
        return found

    def _height(self, stacks: list[Stack]) -> float:
        parts = (heights.part for _, heights in self.kinds)
        strips = (stack.height_mm + 2.0 * part.rounding_mm for stack, part in zip(stacks, parts, strict=True))
        return sum(strips) + (len(stacks) - 1) * self.wall_mm

    def _area(self, width: float, height: float) -> float:
        return min(self.area_of(*((height, width) if way else (width, height))) for way in self.ways)

    def _near(self, width: float, stacks: list[Stack] | None) -> tuple[Place, ...]:
        """Return the places of strips if their box is hardly larger than the best; empty if not."""
        if stacks is None or self._area(width, self._height(stacks)) >= self.best() * NEAR:
            return ()
        height = self._height(stacks)
        way = min(self.ways, key=lambda way: self.area_of(*((height, width) if way else (width, height))))
        frame = Frame(0.0, 0.0, width, height, way, None)
        places: list[Place] = []
        base = 0.0
        for (master, heights), stack in zip(self.kinds, stacks, strict=True):
            r = heights.part.rounding_mm
            lifted = Stack(stack.x_mm + r, stack.y_mm + r + base, stack.angle_deg, stack.height_mm)
            places += frame.places(lifted, master)
            base += stack.height_mm + 2.0 * r + self.wall_mm
        return tuple(places)
