"""Strips of rows, one kind of part in each, one above the other across the box."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.fill.frames import Frame, row_angles
from layout.fill.nofit import NoFit
from layout.fill.parts import part_of
from layout.fill.rows import FIT_TOL_MM, Tables, kinds_at, rows_of
from layout.fill.search import Place, turns_of
from layout.fill.stacks import Choice, Plan, Stack, build, pair_heights, plan
from layout.model import Master, MasterId, Project
from layout.regions import inner_size_mm

_ANGLES: Final = 3
"""The densest angles of each part that are stacked."""

_KINDS: Final = 3
"""The densest kinds of row of each angle."""

_MOST: Final = 400
"""Parts in one strip at most: keeps the tables of the dynamic program, in plain numpy here, small."""

Ranked = Callable[[dict[MasterId, int]], list[Master]]


@dataclass(frozen=True, slots=True)
class _Kind:
    """The least height for every count of one master at one width, and how to build it."""

    master: Master
    tables: Tables
    rounding_mm: float
    lowest: dict[int, tuple[Plan, Choice]]
    turns: tuple[float, ...] | None
    fold: int

    def height_mm(self, count: int) -> float:
        """Return the height of a strip of so many, rounding included; inf if none is known."""
        if count == 0:
            return 0.0
        found = self.lowest.get(count)
        return float("inf") if found is None else found[1].total_mm + 2.0 * self.rounding_mm

    def stack(self, count: int) -> Stack:
        """Return the exact stack of so many: of the rows of more, if those are no higher."""
        made = build(self.tables.nofit, *self.lowest[count])
        return Stack(made.x_mm[:count], made.y_mm[:count], made.angle_deg[:count], made.height_mm)


def strips(
    project: Project, masters: Sequence[Master], ranked: Ranked, counts: dict[MasterId, int]
) -> Iterator[tuple[Place, ...]]:
    """Yield layouts of strips along x and along y of the square round the box; empty after a piece of work.

    What they are laid over, pinned cavities, keep-outs and the corners of a box that is no rectangle, isn't looked at.

    Parameters
    ----------
    ranked : callable
        Told how many of each master there are, it says which to add next.
    counts : dict
        How many there are already.
    """
    edge, wall = project.rules.edge_mm, project.rules.wall_mm
    length, width = (size - 2.0 * edge for size in inner_size_mm(project.box.shape))
    for quarter in (False, True):
        frame = Frame(edge, edge, *((width, length) if quarter else (length, width)), quarter, None)
        kinds: dict[MasterId, _Kind] = {}
        for master in masters:
            kind = _kind(project, master, frame)
            if kind is not None:
                kinds[master.id] = kind
            yield ()
        yield _stacked(kinds, frame, wall, ranked, dict(counts))


def _kind(project: Project, master: Master, frame: Frame) -> _Kind | None:
    part = part_of(master.footprint, project.rules.wall_mm)
    r = part.rounding_mm
    across, up = frame.width_mm - 2.0 * r, frame.height_mm - 2.0 * r
    if across < 0.0 or up < 0.0:
        return None
    tables = Tables(NoFit(part, project.rules.wall_mm + 2.0 * r))
    allowed = turns_of(project, master)
    turns = tuple((a - 90.0) % 360.0 for a in allowed) if allowed is not None and frame.quarter else allowed
    angles, half = row_angles(part, turns)
    found = sorted(((a, kinds_at(tables, a, half)) for a in angles), key=lambda pair: -pair[1][0].density)
    lowest: dict[int, tuple[Plan, Choice]] = {}
    for _, kinds in found[:_ANGLES]:
        rows = [row for kind in kinds[:_KINDS] for row in rows_of(tables, kind, across)]
        if not rows:
            continue
        heights = np.maximum(pair_heights(tables, rows, across), 0.0)
        made = plan(rows, heights, 0.0, up + 0.1, _MOST)
        for choice in made.choices:
            known = lowest.get(choice.count)
            if known is None or choice.total_mm < known[1].total_mm:
                lowest[choice.count] = (made, choice)
    # rows hold so many or so many: where a number can't be had exactly, the next larger one stands for it
    for count in range(max(lowest, default=0) - 1, 0, -1):
        more = lowest[count + 1]
        if count not in lowest or lowest[count][1].total_mm > more[1].total_mm:
            lowest[count] = more
    return _Kind(master, tables, r, lowest, allowed, part.fold) if lowest else None


def _stacked(
    kinds: dict[MasterId, _Kind], frame: Frame, wall: float, ranked: Ranked, counts: dict[MasterId, int]
) -> tuple[Place, ...]:
    added = dict.fromkeys(kinds, 0)

    def height(numbers: dict[MasterId, int]) -> float:
        used = [kinds[k].height_mm(n) + wall for k, n in numbers.items() if n]
        return sum(used) - wall if used else 0.0

    grown = True
    while grown:
        grown = False
        for master in ranked(counts):
            more = added | {master.id: added.get(master.id, 0) + 1}
            if master.id in kinds and height(more) <= frame.height_mm + 1e-9:
                added, grown = more, True
                counts[master.id] += 1
                break
    places: list[Place] = []
    y0 = 0.0
    for master_id, number in added.items():
        if not number:
            continue
        kind = kinds[master_id]
        stack, count = _exact(kind, number, frame.height_mm - y0)
        if not count:
            continue
        r = kind.rounding_mm
        lifted = Stack(stack.x_mm + r, stack.y_mm + r + y0, stack.angle_deg, stack.height_mm)
        places += [_allowed(kind, place) for place in frame.places(lifted, master_id)]
        y0 += stack.height_mm + 2.0 * r + wall
    return tuple(places)


def _allowed(kind: _Kind, place: Place) -> Place:
    """Return a place at an allowed turn: a part that repeats itself may have been laid at one that looks alike."""
    if kind.turns is None or place[3] in kind.turns:
        return place
    step = 360.0 / max(kind.fold, 1)
    same = [t for t in kind.turns if min((place[3] - t) % step, (t - place[3]) % step) < 1e-6]
    return (*place[:3], same[0]) if same else place


def _exact(kind: _Kind, number: int, room_mm: float) -> tuple[Stack, int]:
    """Return the stack of so many, or of fewer where the tables were a hair off, and its number."""
    for count in range(number, 0, -1):
        if count in kind.lowest:
            stack = kind.stack(count)
            if stack.height_mm + 2.0 * kind.rounding_mm <= room_mm + FIT_TOL_MM:
                return stack, count
    return Stack(np.zeros(0), np.zeros(0), np.zeros(0), 0.0), 0
