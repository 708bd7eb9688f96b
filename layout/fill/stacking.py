"""The method of rows: at each angle, along x and along y, the lowest stacks; cropped lattices in any other room."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from typing import Final

import numpy as np

from layout.fill.frames import Frame, frames, row_angles
from layout.fill.lattices import cropped_at, crops, lattice_of
from layout.fill.pairs import SIDE_BY_SIDE, Pairs
from layout.fill.parts import Part
from layout.fill.room import Room
from layout.fill.rows import FIT_TOL_MM, Kind, Row, Tables, kinds_at, rows_of
from layout.fill.search import Place, Search
from layout.fill.stacks import Plan, Stack, build, pair_heights, plan
from layout.fill.warm import ROWS, Kernels

KINDS_AN_ANGLE: Final = 3
"""How many kinds of row of one angle are stacked with each other."""

KINDS_KEPT: Final = 10
"""How many kinds of row of one angle are kept to draw from later."""

ANGLES_TOGETHER: Final = 4
"""How many angles are stacked with each other; each pair asks for no-fit regions of its own."""

KINDS_TOGETHER: Final = 2
"""How many kinds of row of each of these angles."""

WIDER_MM: Final = (0.0, 2.0)
"""Rows are also made for frames this much wider: near misses along the rows, for the squeeze."""

TOO_HIGH_MM: Final = 14.0
"""Stacks higher than the frame by no more than this are near misses."""

COSTLY_PIECES: Final = 150
"""A region united from more pairs of pieces takes a tenth of a second."""

MOST_BUILDS: Final = 12
"""Stacks of one plan that are built exactly before it is given up."""

PLAIN_ANGLES: Final = 3
"""The first angles are tried without compiled kernels: their layouts are on the screen before those are loaded."""

BIG: Final = 700
"""Boxes for more parts than this are searched with fewer kinds of row, to answer in time."""

MOST_PARTS: Final = 4000
"""No box is filled with more; keeps the tables of the dynamic program small."""


@dataclass(frozen=True, slots=True)
class FramePlan:
    """A dynamic program's finds in a frame that was taken so much wider than it is."""

    frame: Frame
    plan: Plan
    wider_mm: float


@dataclass(frozen=True, slots=True)
class Look:
    """What one angle brought: kinds of row, near misses, layouts to offer."""

    frame: Frame
    kinds: list[Kind]
    plans: list[FramePlan]
    layouts: list[tuple[Place, ...]]


@dataclass(slots=True)
class Rows:
    """What the method of rows learns about one part in one room, for the methods that come after it.

    Parameters
    ----------
    search : Search
    part : Part
    room : Room
    tables : Tables
    plans : list of FramePlan
        Near misses wait in them.
    kinds : list of (frame, kind)
        The best kinds of row of every angle.
    fast : bool
        Compiled kernels are used: all but the first few angles, which must not wait for them.
    """

    search: Search
    part: Part
    room: Room
    tables: Tables
    plans: list[FramePlan] = field(default_factory=list)
    kinds: list[tuple[Frame, Kind]] = field(default_factory=list)
    fast: bool = False

    @property
    def costly(self) -> bool:
        """Whether a no-fit region takes long: then angles are not mixed, for each pair of angles asks for one."""
        return len(self.part.pieces) ** 2 > COSTLY_PIECES

    def run(self, kernels: Kernels, wait: bool, pairs: Pairs) -> Iterator[None]:
        """Offer stacks and crops, the likeliest first; yield after each piece of work.

        Parameters
        ----------
        kernels : Kernels
        wait : bool
            Wait for them after the first few angles, so that the work done is the same on every machine.
        pairs : Pairs
            Two angles are looked at side by side once the kernels are loaded.
        """
        allowed = self.search.task.angles_deg
        per_frame = [(frame, *row_angles(self.part, frame.angles_deg)) for frame in frames(self.room, allowed)]
        per_frame = [f for f in per_frame if f[0].width_mm > 0.0 and f[0].height_mm > 0.0]
        longest = max((len(angles) for _, angles, _ in per_frame), default=0)
        turns = [
            (frame, angles[k], half) for k in range(longest) for frame, angles, half in per_frame if k < len(angles)
        ]
        first = PLAIN_ANGLES * len(per_frame)
        for turn in turns[:first]:
            yield from self._take(self._look(*self._screened(*turn), self.search.count, pairs.halted))
            kernels.start()
        screened: list[tuple[Frame, list[Kind]]] = []
        for k in range(first, len(turns), SIDE_BY_SIDE):
            screened += pairs.run([partial(self._screened, *turn) for turn in turns[k : k + SIDE_BY_SIDE]])
            yield
        if not self.fast:
            self.fast = kernels.wait(self.search.should_stop, ROWS) if wait else kernels.ready(ROWS)
        worth = self._worth_stacking(screened)
        for k in range(0, len(worth), SIDE_BY_SIDE):
            self.fast = self.fast or kernels.ready(ROWS)
            above = self.search.count
            works = [partial(self._look, *pair, above, pairs.halted) for pair in worth[k : k + SIDE_BY_SIDE]]
            for look in pairs.run(works):
                yield from self._take(look)
        self.fast = self.fast or kernels.wait(self.search.should_stop, ROWS)
        if self.room.plain and self.fast:
            yield from self._all_angles([frame for frame, _, _ in per_frame], pairs)

    def _screened(self, frame: Frame, angle_deg: float, half: bool) -> tuple[Frame, list[Kind]]:
        return frame, kinds_at(self.tables, angle_deg, half)[:KINDS_KEPT]

    def _worth_stacking(self, screened: list[tuple[Frame, list[Kind]]]) -> list[tuple[Frame, list[Kind]]]:
        """Return the angles whose rows are dense enough to be the fullest, the densest first.

        Notes
        -----
        In a large box only the densest can win; in a small one a looser row may end better at the sides.
        """
        if not screened:
            return []
        densest = max(kinds[0].density for _, kinds in [*screened, *((f, [k]) for f, k in self.kinds)])
        frame = screened[0][0]
        ends = densest**-0.5 * (1.0 / frame.width_mm + 1.0 / frame.height_mm)
        least = densest * (0.97 - 0.5 * ends)
        worth = [pair for pair in screened if pair[1][0].density >= least]
        return sorted(worth, key=lambda pair: -pair[1][0].density)

    def _look(self, frame: Frame, kinds: list[Kind], above: int, halted: Callable[[], bool]) -> Look:
        """Return what one angle brings; changes nothing but the tables."""
        look = Look(frame, kinds, [], [])
        if halted():
            return look
        if self.room.plain or self.room.obstacles:
            big = self._most(frame) > BIG
            few = (1 if big else KINDS_AN_ANGLE) if not self.fast else 2 if big else KINDS_AN_ANGLE
            rows = [row for kind in kinds[:few] for row in rows_of(self.tables, kind, frame.width_mm)]
            if rows:
                self._stack(look, rows, 0.0, above, halted)
        if not self.room.plain:
            for kind in kinds[:2]:
                look.layouts.extend(self._crop(frame, kind, halted))
        return look

    def _take(self, look: Look) -> Iterator[None]:
        """Offer what an angle brought, and keep the rest for later."""
        self.kinds.extend((look.frame, kind) for kind in look.kinds)
        self.plans.extend(look.plans)
        for places in look.layouts:
            self._offer(places)
        yield

    def _all_angles(self, both: list[Frame], pairs: Pairs) -> Iterator[None]:
        """Stack rows of the densest kinds, whatever their angles, at the frame's width and a little wider."""
        for wider in WIDER_MM:
            above = self.search.count
            works = [partial(self._mixed, frame, wider, above, pairs.halted) for frame in both]
            for look in pairs.run(works):
                yield from self._take(look)

    def _mixed(self, frame: Frame, wider_mm: float, above: int, halted: Callable[[], bool]) -> Look:
        mine = sorted((kind for f, kind in self.kinds if f is frame), key=lambda kind: -kind.density)
        angles = list(dict.fromkeys(kind.angle_deg % 180.0 for kind in mine))
        angles = angles[: 1 if self.costly else 2 if self._most(frame) > BIG else ANGLES_TOGETHER]
        chosen = [k for a in angles for k in [m for m in mine if m.angle_deg % 180.0 == a][:KINDS_TOGETHER]]
        rows = [row for kind in chosen for row in rows_of(self.tables, kind, frame.width_mm + wider_mm)]
        look = Look(frame, [], [], [])
        if rows and not halted():
            self._stack(look, rows, wider_mm, above, halted)
        return look

    def drawn(self, rng: np.random.Generator) -> list[FramePlan]:
        """Return the plan of rows of kinds drawn at random, the denser the likelier, for a frame a little wider."""
        frame = self.kinds[int(rng.integers(len(self.kinds)))][0]
        mine = sorted((kind for f, kind in self.kinds if f is frame), key=lambda kind: -kind.density)
        angles = list(dict.fromkeys(kind.angle_deg % 180.0 for kind in mine))
        chosen: list[Kind] = []
        for _ in range(1 if self.costly else int(rng.integers(1, 4))):
            angle = angles[min(int(rng.exponential(len(angles) / 4.0)), len(angles) - 1)]
            of_angle = [kind for kind in mine if kind.angle_deg % 180.0 == angle]
            chosen.extend(of_angle[k] for k in rng.permutation(len(of_angle))[: int(rng.integers(1, 5))])
        wider = float(rng.choice([0.0, rng.uniform(0.0, 4.0)]))
        kept = list(dict.fromkeys(chosen))[: 2 if self._most(frame) > BIG else None]
        rows = [row for kind in kept for row in rows_of(self.tables, kind, frame.width_mm + wider)]
        return [FramePlan(frame, self._plan(frame, rows, wider, None), wider)] if rows else []

    def cropped_too_full(self, count: int, rng: np.random.Generator) -> tuple[Place, ...]:
        """Return a lattice of so many places that the box nearly allows, drawn at random; none if it has fewer."""
        frame, kind = self.kinds[min(int(rng.exponential(len(self.kinds) / 4.0)), len(self.kinds) - 1)]
        lattice = lattice_of(self.tables, kind, kind.shift_mm, bool(rng.random() < 0.5))
        stack = cropped_at(self.room, lattice, frame.quarter, count, rng)
        return self._placed(stack) if stack is not None else ()

    def round_obstacles(self, count: int, rng: np.random.Generator) -> tuple[Place, ...]:
        """Return so many places of a fuller stack, without those most in the way of obstacles; none if none is."""
        origin = self.plans[int(rng.integers(len(self.plans)))]
        fuller = [choice for choice in origin.plan.choices if choice.count > count]
        if not fuller:
            return ()
        # the lowest stacks most often
        fuller.sort(key=lambda choice: choice.total_mm)
        choice = fuller[min(int(rng.exponential(len(fuller) / 4.0)), len(fuller) - 1)]
        stack = build(self.tables.nofit, origin.plan, choice)
        upward = min(1.0, origin.frame.height_mm / stack.height_mm)
        pressed = Stack(stack.x_mm, stack.y_mm * upward, stack.angle_deg, origin.frame.height_mm)
        places = origin.frame.places(pressed, self.search.task.master.id)
        x, y, angle = (np.array([p[k] for p in places]) for k in (1, 2, 3))
        clear = np.sort(np.argsort(self.room.crowding_mm(x, y, angle), kind="stable")[:count])
        return tuple(places[k] for k in clear)

    def _most(self, frame: Frame) -> int:
        return min(MOST_PARTS, most_parts(frame, self.part, self.tables.nofit.wall_mm))

    def _plan(self, frame: Frame, rows: list[Row], wider_mm: float, halted: Callable[[], bool] | None) -> Plan:
        heights = pair_heights(self.tables, rows, frame.width_mm + wider_mm, self.fast)
        return plan(rows, heights, frame.height_mm, TOO_HIGH_MM, self._most(frame), self.fast, halted)

    def _stack(self, look: Look, rows: list[Row], wider_mm: float, above: int, halted: Callable[[], bool]) -> None:
        frame = look.frame
        found = self._plan(frame, rows, wider_mm, halted)
        look.plans.append(FramePlan(frame, found, wider_mm))
        if wider_mm > 0.0:
            return
        for stack in best_stacks(self.tables, found, frame.height_mm, above):
            places = frame.places(stack, self.search.task.master.id)
            look.layouts.append(places)
            if self.room.plain or halted():
                return

    def _crop(self, frame: Frame, kind: Kind, halted: Callable[[], bool]) -> Iterator[tuple[Place, ...]]:
        for zigzag in (False, True):
            lattice = lattice_of(self.tables, kind, kind.shift_mm, zigzag)
            best: Stack | None = None
            for stack in crops(self.room, lattice, frame.quarter, 6):
                if best is None or stack.count > best.count:
                    best = stack
                if halted():
                    break
            if best is not None:
                yield self._placed(best)

    def _placed(self, stack: Stack) -> tuple[Place, ...]:
        """Return the places of a stack that is in box coordinates."""
        master = self.search.task.master.id
        return tuple(
            (master, x, y, angle)
            for x, y, angle in zip(stack.x_mm.tolist(), stack.y_mm.tolist(), stack.angle_deg.tolist(), strict=True)
        )

    def _offer(self, places: tuple[Place, ...]) -> bool:
        if self.room.obstacles and places:
            x, y, angle = (np.array([p[k] for p in places]) for k in (1, 2, 3))
            places = tuple(p for p, ok in zip(places, self.room.allows(x, y, angle), strict=True) if ok)
        return self.search.offer(places, "rows")


def most_parts(frame: Frame, part: Part, wall_mm: float) -> int:
    """Return a count that the frame can't hold, by the area of the grown part."""
    # a disc's core is a point: its own size is in the wall
    core = part.area_mm2 if part.rounding_mm == 0.0 else 0.0
    cell = max(core + 3.0 * wall_mm * wall_mm / 4.0, 1e-9)
    return int((frame.width_mm + wall_mm) * (frame.height_mm + wall_mm) / cell) + 2


def best_stacks(tables: Tables, found: Plan, height_mm: float, above: int) -> Iterator[Stack]:
    """Yield exact stacks that fit, of more parts than ``above``, the largest count first."""
    left = MOST_BUILDS
    for choice in found.choices:
        # the tables may be a little off on either side: try what they put just above the height, too
        if choice.count <= above or choice.total_mm > height_mm + 0.1:
            continue
        if left == 0:
            return
        left -= 1
        stack = build(tables.nofit, found, choice)
        if stack.height_mm <= height_mm + FIT_TOL_MM:
            yield stack
