"""Turning in place with the wall kept: a turn stops where a neighbour, the side or a keep-out holds it."""

import math
from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from layout import edits
from layout.geometry import XY, Footprint, Placed, PlacedDisc, as_polygon, depth_mm, distance_mm, place
from layout.hold.bodies import REST_MARGIN_MM
from layout.model import BoxShape, Cavity, CavityId, Project
from layout.regions import edge_distance_mm, placed_cavities, placed_keep_out

_SAG_MM: Final = 2e-8
"""Between two looks at a pair the wall may dip by no more than this: a fiftieth of what the check forgives."""

_LOOKS: Final = 20_000
_ANGLE_DEG: Final = 1e-10


@dataclass(frozen=True, slots=True)
class HeldTurn:
    """Where a turn has come to.

    Parameters
    ----------
    by_deg : float
        How far the cavities have turned since the turn began, counter-clockwise.
    held : bool
        Whether that is less than was asked for.
    """

    by_deg: float
    held: bool


@dataclass(frozen=True, slots=True)
class _Part:
    """A turned cavity: where its footprint is after a turn, and how far its farthest corner is from the pivot."""

    footprint: Footprint
    cavity: Cavity
    about: XY
    sweep_mm: float
    start: Placed

    def placed(self, by_deg: float) -> Placed:
        if by_deg == 0.0:
            return self.start
        there = edits.turned_cavity(self.cavity, by_deg, self.about)
        return place(self.footprint, there.x_mm, there.y_mm, there.angle_deg)


@dataclass(frozen=True, slots=True)
class _Pair:
    """A turned cavity and one thing it keeps clear of: the silicone over what the rules ask, at a turn."""

    part: _Part
    spare_mm: Callable[[Placed], float]

    def spare_at_mm(self, by_deg: float) -> float:
        return self.spare_mm(self.part.placed(by_deg))


@dataclass(frozen=True, slots=True)
class _Watch:
    """A pair during one call: what is thinner than the rule as it begins need only not get thinner."""

    pair: _Pair
    start_deg: float
    least_mm: float
    first_mm: float

    @property
    def sweep_mm(self) -> float:
        return self.pair.part.sweep_mm

    def room_mm(self, gone_deg: float) -> float:
        return self.pair.spare_at_mm(self.start_deg + gone_deg) - self.least_mm


class Turning:
    """Cavities turned together about a point, held at the least wall.

    A turn goes on until the wall would become thinner than the rule and stops there, on the safe side; it never skips
    over an angle that is not free. Rules that are broken as it begins may be mended and never made worse.
    """

    def __init__(self, project: Project, ids: Collection[CavityId], about: XY) -> None:
        self._project = project
        self._ids = tuple(ids)
        self._about = about
        self._by = 0.0
        self._pairs = _pairs(project, set(ids), about)

    @classmethod
    def begin(cls, project: Project, ids: Collection[CavityId], about: XY | None = None) -> "Turning":
        """Return a turn of these cavities.

        Parameters
        ----------
        about : (x, y), optional
            What they turn about; by default the middle of a group, and what a single cavity is placed by.

        Raises
        ------
        UnknownNameError
            If one is not in the project.
        """
        edits.change_cavities(project, ids, lambda cavity: cavity)
        return cls(project, ids, edits.middle_of(project, ids) if about is None else about)

    def turn_to(self, by_deg: float) -> HeldTurn:
        """Turn on, from where the last call left off, to an angle counted from the beginning."""
        asked = by_deg - self._by
        watched = []
        for pair in self._pairs:
            spare = pair.spare_at_mm(self._by)
            least = min(spare, REST_MARGIN_MM) - 1e-10
            watched.append(_Watch(pair, self._by, least, spare - least))
        gone = _free_turn_deg(watched, asked)
        self._by = by_deg if gone == asked else self._by + gone
        return HeldTurn(self._by, gone != asked)

    def project(self) -> Project:
        """Return the project with the cavities turned as far as they have come."""
        return edits.turn_together(self._project, self._ids, self._by, self._about)


def _pairs(project: Project, chosen: set[CavityId], about: XY) -> list[_Pair]:
    """All that turned cavities could ever meet: what is nearer to the pivot than they reach."""
    placed = placed_cavities(project)
    still = [(p, project.rules.wall_mm) for i, p in placed.items() if i not in chosen]
    still += [(placed_keep_out(k), 0.0) for k in project.keep_outs]
    tree = shapely.STRtree([as_polygon(p) for p, _ in still])
    pivot = shapely.points(about)
    turning = [c for c in project.cavities if c.id in chosen]
    footprints = {m.id: m.footprint for m in project.masters}
    found: list[_Pair] = []
    for cavity, (sweep, own) in zip(turning, _reaches_mm([placed[c.id] for c in turning], about), strict=True):
        if sweep == 0.0:
            continue  # a disc about its own centre goes nowhere
        part = _Part(footprints[cavity.master], cavity, about, sweep, placed[cavity.id])
        reach = sweep + own + project.rules.wall_mm + 0.01
        near = tree.query(pivot, predicate="dwithin", distance=reach) if still else ()
        found += [_Pair(part, _over_wall(*still[int(k)])) for k in sorted(near)]
        found.append(_Pair(part, _over_edge(project.box.shape, project.rules.edge_mm)))
    return found


def _reaches_mm(parts: list[Placed], about: XY) -> list[tuple[float, float]]:
    """How far from the pivot the corners of each part reach, or the centre of a disc; and the disc's radius."""
    outlines = [p for p in parts if not isinstance(p, PlacedDisc)]
    corners, owner = shapely.get_coordinates(outlines, return_index=True)
    far = np.zeros(len(outlines))
    np.maximum.at(far, owner, np.hypot(corners[:, 0] - about[0], corners[:, 1] - about[1]))
    farthest = iter(far.tolist())
    return [
        (math.hypot(p.x_mm - about[0], p.y_mm - about[1]), p.radius_mm)
        if isinstance(p, PlacedDisc)
        else (next(farthest), 0.0)
        for p in parts
    ]


def _over_wall(other: Placed, wall_mm: float) -> Callable[[Placed], float]:
    def spare_mm(placed: Placed) -> float:
        gap = distance_mm(placed, other)
        return gap - wall_mm if gap > 0.0 else -depth_mm(placed, other)[0] - wall_mm

    return spare_mm


def _over_edge(shape: BoxShape, edge_mm: float) -> Callable[[Placed], float]:
    return lambda placed: edge_distance_mm(shape, placed) - edge_mm


def _free_turn_deg(watched: list[_Watch], asked_deg: float) -> float:
    """How much of a turn is free: each pair is looked at again when it could have met, and no sooner."""
    sign, whole = math.copysign(1.0, asked_deg), abs(asked_deg)
    # where they begin they are free, by how much is known
    free = [0.0] * len(watched)
    due = [_next_look_deg(0.0, watch.first_mm, watch) for watch in watched]
    for _ in range(_LOOKS):
        now = min(due, default=whole)
        if now >= whole:
            break
        index = due.index(now)
        watch = watched[index]
        room = watch.room_mm(sign * now)
        if room < 0.0:
            return sign * _last_free_deg(watch, sign, free[index], now)
        free[index] = now
        due[index] = _next_look_deg(now, room, watch)
    else:
        return sign * min(free)
    # a look may have been due only beyond the whole turn: its end is looked at too
    stops = [
        _last_free_deg(watch, sign, last, whole)
        for watch, last in zip(watched, free, strict=True)
        if watch.room_mm(asked_deg) < 0.0
    ]
    return sign * min(stops) if stops else asked_deg


def _next_look_deg(now: float, room_mm: float, watch: _Watch) -> float:
    """When a pair with so much room could meet."""
    return now + math.degrees(max(room_mm / watch.sweep_mm, math.sqrt(8.0 * _SAG_MM / watch.sweep_mm)))


def _last_free_deg(watch: _Watch, sign: float, free: float, held: float) -> float:
    while held - free > _ANGLE_DEG:
        middle = (free + held) / 2.0
        if watch.room_mm(sign * middle) < 0.0:
            held = middle
        else:
            free = middle
    return free
