"""The method of rows: at each angle, along x and along y, the lowest stacks; cropped lattices in any other room."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from layout.fill.frames import Frame, frames, row_angles
from layout.fill.lattices import crops, lattice_of
from layout.fill.parts import Part
from layout.fill.room import Room
from layout.fill.rows import Kind, Row, Tables, kinds_at, rows_of
from layout.fill.search import Place, Search
from layout.fill.stacks import Plan, Stack, build, pair_heights, plan
from layout.fill.warm import Kernels

KINDS_AN_ANGLE: Final = 4
"""How many kinds of row of one angle are stacked with each other."""

KINDS_KEPT: Final = 10
"""How many kinds of row of one angle are kept to draw from later."""

ANGLES_TOGETHER: Final = 5
"""How many angles are stacked with each other; each pair asks for no-fit regions of its own."""

KINDS_TOGETHER: Final = 3
"""How many kinds of row of each of these angles."""

WIDER_MM: Final = (0.0, 1.5, 3.0)
"""Rows are also made for frames this much wider: near misses along the rows, for the squeeze."""

TOO_HIGH_MM: Final = 14.0
"""Stacks higher than the frame by no more than this are near misses."""

COSTLY_PIECES: Final = 150
"""A region united from more pairs of pieces takes a tenth of a second."""

MOST_BUILDS: Final = 12
"""Stacks of one plan that are built exactly before it is given up."""

PLAIN_ANGLES: Final = 3
"""The first angles are tried without compiled kernels: their layouts are on the screen before those are loaded."""

MOST_PARTS: Final = 4000
"""No box is filled with more; keeps the tables of the dynamic program small."""


@dataclass(frozen=True, slots=True)
class FramePlan:
    """A dynamic program's finds in a frame that was taken so much wider than it is."""

    frame: Frame
    plan: Plan
    wider_mm: float


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

    def run(self, kernels: Kernels, wait: bool) -> Iterator[None]:
        """Offer stacks and crops, the likeliest first; yield after each piece of work.

        Parameters
        ----------
        kernels : Kernels
        wait : bool
            Wait for them after the first few angles, so that the work done is the same on every machine.
        """
        allowed = self.search.task.angles_deg
        per_frame = [(frame, *row_angles(self.part, frame.angles_deg)) for frame in frames(self.room, allowed)]
        longest = max(len(angles) for _, angles, _ in per_frame)
        for k in range(longest):
            if k >= PLAIN_ANGLES and not self.fast:
                self.fast = kernels.wait(self.search.should_stop) if wait else kernels.ready()
            for frame, angles, half in per_frame:
                if k < len(angles):
                    yield from self._at_angle(frame, angles[k], half)
        self.fast = self.fast or kernels.wait(self.search.should_stop)
        if self.room.plain and self.fast:
            for frame, _, _ in per_frame:
                yield from self._all_angles(frame)

    def _at_angle(self, frame: Frame, angle_deg: float, half: bool) -> Iterator[None]:
        if frame.width_mm <= 0.0 or frame.height_mm <= 0.0:
            return
        known = kinds_at(self.tables, angle_deg, half)[:KINDS_KEPT]
        kinds = known[:KINDS_AN_ANGLE]
        self.kinds.extend((frame, kind) for kind in known)
        yield
        if self.room.plain or self.room.obstacles:
            rows = [row for kind in kinds for row in rows_of(self.tables, kind, frame.width_mm)]
            if rows:
                self._stack(frame, rows)
                yield
        if not self.room.plain:
            for kind in kinds[:2]:
                yield from self._crop(frame, kind)

    def _all_angles(self, frame: Frame) -> Iterator[None]:
        """Stack rows of the densest kinds, whatever their angles, at the frame's width and a little wider."""
        mine = sorted((kind for f, kind in self.kinds if f is frame), key=lambda kind: -kind.density)
        angles = list(dict.fromkeys(kind.angle_deg % 180.0 for kind in mine))[: 1 if self.costly else ANGLES_TOGETHER]
        chosen = [k for a in angles for k in [m for m in mine if m.angle_deg % 180.0 == a][:KINDS_TOGETHER]]
        for wider in WIDER_MM:
            rows = [row for kind in chosen for row in rows_of(self.tables, kind, frame.width_mm + wider)]
            if rows:
                self._stack(frame, rows, wider)
            yield

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
        rows = [row for kind in dict.fromkeys(chosen) for row in rows_of(self.tables, kind, frame.width_mm + wider)]
        return [FramePlan(frame, self._plan(frame, rows, wider), wider)] if rows else []

    def _plan(self, frame: Frame, rows: list[Row], wider_mm: float) -> Plan:
        heights = pair_heights(self.tables, rows, frame.width_mm + wider_mm, self.fast)
        most = min(MOST_PARTS, most_parts(frame, self.part, self.tables.nofit.wall_mm))
        return plan(rows, heights, frame.height_mm + TOO_HIGH_MM, most, self.fast)

    def _stack(self, frame: Frame, rows: list[Row], wider_mm: float = 0.0) -> None:
        found = self._plan(frame, rows, wider_mm)
        self.plans.append(FramePlan(frame, found, wider_mm))
        if wider_mm > 0.0:
            return
        for stack in best_stacks(self.tables, found, frame.height_mm, self.search.count):
            if self._offer(frame.places(stack, self.search.task.master.id)):
                return

    def _crop(self, frame: Frame, kind: Kind) -> Iterator[None]:
        for zigzag in (False, True):
            lattice = lattice_of(self.tables, kind, kind.shift_mm, zigzag)
            best: Stack | None = None
            for stack in crops(self.room, lattice, frame.quarter, 6):
                if best is None or stack.count > best.count:
                    best = stack
                if self.search.should_stop():
                    return
            if best is not None:
                places = zip(best.x_mm, best.y_mm, best.angle_deg, strict=True)
                master = self.search.task.master.id
                self._offer(tuple((master, float(x), float(y), float(a)) for x, y, a in places))
            yield

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
    least = found.least_height_mm()
    left = MOST_BUILDS
    # the tables may be a little off on either side: try what they put just above the height, too
    for count in np.flatnonzero(least <= height_mm + 0.1)[::-1].tolist():
        if count <= above or left <= 0:
            return
        order = np.argsort(found.total_mm[count], kind="stable")[:3]
        for last in order.tolist():
            if found.total_mm[count, last] > height_mm + 0.1:
                break
            left -= 1
            stack = build(tables.nofit, found, count, last)
            if stack.height_mm <= height_mm + 1e-7:
                yield stack
                break
