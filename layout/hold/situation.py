"""What surrounds the dragged parts: built once as the drag begins, asked at every step."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import Polygon

from layout.geometry import FloatArray, Placed, PlacedDisc, as_polygon, distance_mm
from layout.hold.bodies import (
    MOVE_SLACK_MM,
    Body,
    Cores,
    Obstacle,
    body_of,
    cores_between,
    obstacle,
)
from layout.hold.overlap import Overlap
from layout.model import CavityId, OutlineBox, Project, RectBox, RoundBox
from layout.regions import inner_polygon, placed_cavities, placed_keep_out

_LEVEL_MM = 1e-9
"""A pair that begins the drag closer than it may by no more than rounding is no broken rule."""


@dataclass(frozen=True, slots=True)
class Field:
    """The bands near one movement, nearest first.

    Parameters
    ----------
    cores : Cores
    needs, gaps : array of shape (n,)
        The clearance each core asks for; how far beyond it ``centre`` is, rising.
    centre : array of shape (2,)
        The movement it was gathered about.
    reach_mm : float
        No band beyond this gap is in it.
    """

    cores: Cores
    needs: FloatArray
    gaps: FloatArray
    centre: FloatArray
    reach_mm: float

    def within(self, at: FloatArray, room_mm: float) -> tuple[Cores, FloatArray]:
        """Return the cores, and what they need, that a run of ``room_mm`` from ``at`` could meet."""
        far = float(np.hypot(*(at - self.centre)))
        count = int(np.searchsorted(self.gaps, far + room_mm + 1e-6, side="right"))
        return self.cores.first(count), self.needs[:count]

    def narrowed(self, at: FloatArray, reach_mm: float) -> "Field":
        """Return the part of the field within a reach of another movement, which must lie within this one's."""
        cores, needs = self.within(at, reach_mm)
        return _sorted_field(cores, needs, at, reach_mm)


@dataclass(slots=True)
class Situation:
    """The dragged parts, everything they keep clear of, and the rules that were broken already.

    Parameters
    ----------
    parts : list of Placed
        The dragged parts where the drag began.
    obstacles : list of Obstacle
    full_low, full_high : array of shape (2,)
        Span of movements that keeps the sides of a rectangular box; infinite in other boxes.
    centres, full_radii : arrays of shape (m, 2) and (m,)
        Discs the movement must stay in: a round box.
    low, high, radii : arrays
        The same, but as wide as the parts were out of the box already; they only shrink.
    slacks : array of shape (n,)
        Of each obstacle, what its clearance is less than the rule.
    relaxed : dict
        Pair -> clearance of a pair closer than it may be: what it measures now; it only rises.
    overlaps : list of Overlap
    cores : dict
        Pair -> its cores, of the pairs that have come near.
    bodies : dict
        Part -> its body, of the parts that have come near something: of many moved together few ever do.
    """

    parts: list[Placed]
    ids: tuple[CavityId, ...]
    obstacles: list[Obstacle]
    full_low: FloatArray
    full_high: FloatArray
    centres: FloatArray
    full_radii: FloatArray
    tree: shapely.STRtree
    boxes: FloatArray
    widest_mm: float
    low: FloatArray = field(init=False)
    high: FloatArray = field(init=False)
    radii: FloatArray = field(init=False)
    slacks: FloatArray = field(init=False)
    relaxed: dict[int, float] = field(default_factory=dict)
    overlaps: list[Overlap] = field(default_factory=list)
    cores: dict[int, tuple[FloatArray, FloatArray]] = field(default_factory=dict)
    bodies: dict[int, Body] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.low, self.high = np.minimum(self.full_low, 0.0), np.maximum(self.full_high, 0.0)
        self.radii = np.maximum(self.full_radii, np.hypot(self.centres[:, 0], self.centres[:, 1]))
        self.slacks = np.array([block.slack_mm for block in self.obstacles])

    @property
    def is_broken(self) -> bool:
        """Whether a rule is broken that the drag began with."""
        sides = bool((self.low < self.full_low).any() or (self.high > self.full_high).any())
        return sides or bool(self.relaxed or self.overlaps or (self.radii > self.full_radii).any())

    def are_within(self, at: FloatArray) -> bool:
        """Return whether a movement keeps the sides of a rectangular or round box."""
        away = at - self.centres
        return bool((at >= self.low).all() and (at <= self.high).all() and (np.hypot(*away.T) <= self.radii).all())

    def pair(self, part: int, other: int) -> int:
        """Return the number of a pair of a part and an obstacle."""
        return part * len(self.obstacles) + other

    def near_pairs(self, at: FloatArray, reach_mm: float) -> list[tuple[int, int]]:
        """Return parts and obstacles whose bounding boxes come within a reach and the widest clearance."""
        if not self.obstacles:
            return []
        grow = reach_mm + self.widest_mm
        shift = np.array([at[0] - grow, at[1] - grow, at[0] + grow, at[1] + grow])
        grown = self.boxes + shift
        found = self.tree.query(shapely.box(grown[:, 0], grown[:, 1], grown[:, 2], grown[:, 3]))
        return [(int(i), int(j)) for i, j in found.T]

    def need_mm(self, part: int, other: int) -> float:
        """Return the distance of cores that a pair must keep, mm."""
        own = self.relaxed.get(self.pair(part, other))
        return self.full_need_mm(part, other) if own is None else own

    def full_need_mm(self, part: int, other: int) -> float:
        """Return the distance of cores that the rules ask of a pair."""
        block = self.obstacles[other]
        return block.clearance_mm + self._body(part).radius_mm + block.radius_mm

    def cores_of(self, pair: int) -> tuple[FloatArray, FloatArray]:
        """Return the cores of a pair, made when it first comes near."""
        known = self.cores.get(pair)
        if known is None:
            part, other = divmod(pair, len(self.obstacles))
            known = self.cores[pair] = cores_between(self._body(part), self.obstacles[other].body)
        return known

    def may_touch(self, part: int, other: int, at: FloatArray) -> bool:
        """Return whether a pair might be no farther apart than the rules ask, told by its cores or not to be told."""
        pair = self.pair(part, other)
        if any(overlap.pair == pair for overlap in self.overlaps):
            return True
        reach = self.full_need_mm(part, other) + 5 * MOVE_SLACK_MM
        return core_distance_mm(*self.cores_of(pair), at) <= reach

    def field_about(self, at: FloatArray, reach_mm: float) -> Field:
        """Return the bands within a reach of a movement."""
        apart = {o.pair for o in self.overlaps}
        starts, runs, needs, pairs = [np.zeros((0, 2))], [np.zeros((0, 2))], [np.zeros(0)], [np.zeros(0, dtype=np.intp)]
        for part, other in self.near_pairs(at, reach_mm):
            pair = self.pair(part, other)
            if pair in apart:
                continue
            need = self.need_mm(part, other)
            start, run = self.cores_of(pair)
            starts.append(start)
            runs.append(run)
            needs.append(np.full(len(start), need))
            pairs.append(np.full(len(start), pair, dtype=np.intp))
        run = np.concatenate(runs)
        cores = Cores(np.concatenate(starts), run, _squares(run), np.concatenate(pairs))
        return _sorted_field(cores, np.concatenate(needs), at, reach_mm)

    def learn(self, at: FloatArray) -> None:
        """Let what got better stay better: raise relaxed clearances, and forget overlaps that are over."""
        for overlap in [o for o in self.overlaps if o.is_over(at)]:
            self.overlaps.remove(overlap)
            self.relaxed[overlap.pair] = self._measured(overlap.pair, at)
        for pair in list(self.relaxed):
            part, other = divmod(pair, len(self.obstacles))
            now = self._measured(pair, at)
            if now >= self.full_need_mm(part, other):
                del self.relaxed[pair]
            else:
                self.relaxed[pair] = max(self.relaxed[pair], now)
        self.low = np.minimum(self.full_low, np.maximum(self.low, at))
        self.high = np.maximum(self.full_high, np.minimum(self.high, at))
        away = at - self.centres
        self.radii = np.maximum(self.full_radii, np.minimum(self.radii, np.hypot(away[:, 0], away[:, 1])))

    def _body(self, part: int) -> Body:
        known = self.bodies.get(part)
        if known is None:
            known = self.bodies[part] = body_of(self.parts[part])
        return known

    def _measured(self, pair: int, at: FloatArray) -> float:
        return core_distance_mm(*self.cores_of(pair), at)


def core_distance_mm(starts: FloatArray, runs: FloatArray, at: FloatArray) -> float:
    """Return the least distance of a movement to cores, mm."""
    cores = Cores(starts, runs, _squares(runs), np.zeros(len(starts), dtype=np.intp))
    offsets = cores.offsets(at)
    return float(np.hypot(offsets[:, 0], offsets[:, 1]).min())


def _squares(runs: FloatArray) -> FloatArray:
    squares: FloatArray = np.maximum(np.einsum("ij,ij->i", runs, runs), 1e-300)
    return squares


def _sorted_field(cores: Cores, needs: FloatArray, at: FloatArray, reach_mm: float) -> Field:
    offsets = cores.offsets(at)
    gaps = np.hypot(offsets[:, 0], offsets[:, 1]) - needs
    near = np.flatnonzero(gaps <= reach_mm)
    order = near[np.argsort(gaps[near], kind="stable")]
    chosen = Cores(cores.starts[order], cores.runs[order], cores.squares[order], cores.pairs[order])
    return Field(chosen, needs[order], gaps[order], at.copy(), reach_mm)


def situation(
    project: Project, ids: Collection[CavityId], placed: Mapping[CavityId, Placed] | None = None
) -> Situation:
    """Return what surrounds these cavities in a project; ``placed`` as in `Hold.begin`."""
    placed = placed_cavities(project) if placed is None else placed
    asked = set(ids)
    chosen = tuple(i for i in placed if i in asked)
    parts = [placed[i] for i in chosen]
    wall = project.rules.wall_mm
    obstacles = [obstacle("cavity", i, p, wall) for i, p in placed.items() if i not in asked]
    obstacles += [obstacle("keep-out", k.id, placed_keep_out(k), 0.0) for k in project.keep_outs]
    if isinstance(project.box.shape, OutlineBox):
        obstacles.append(obstacle("side", "", inner_polygon(project.box.shape), project.rules.edge_mm))
    low, high = _span(project, parts)
    centres, radii = _discs(project, parts)
    outer = np.array([o.outline.bounds for o in obstacles]).reshape(-1, 4)
    made = Situation(
        parts,
        chosen,
        obstacles,
        low,
        high,
        centres,
        radii,
        shapely.STRtree(shapely.box(outer[:, 0], outer[:, 1], outer[:, 2], outer[:, 3])),
        np.array([p.bounds for p in parts]).reshape(-1, 4),
        max((o.clearance_mm for o in obstacles), default=0.0),
    )
    _find_broken(made)
    return made


def _span(project: Project, parts: list[Placed]) -> tuple[FloatArray, FloatArray]:
    """Movements that keep a rectangular box's edge; parts over it already may stay as far over, no farther."""
    shape = project.box.shape
    if not isinstance(shape, RectBox) or not parts:
        return np.full(2, -np.inf), np.full(2, np.inf)
    edge = project.rules.edge_mm - MOVE_SLACK_MM
    x0, y0, x1, y1 = np.array([p.bounds for p in parts]).T
    low = np.array([edge - x0.min(), edge - y0.min()])
    high = np.array([shape.length_mm - edge - x1.max(), shape.width_mm - edge - y1.max()])
    return low, high


def _discs(project: Project, parts: list[Placed]) -> tuple[FloatArray, FloatArray]:
    shape = project.box.shape
    if not isinstance(shape, RoundBox) or not parts:
        return np.zeros((0, 2)), np.zeros(0)
    r = shape.diameter_mm / 2.0
    room = r - project.rules.edge_mm + MOVE_SLACK_MM
    polygons = [p for p in parts if isinstance(p, Polygon)]
    discs = [p for p in parts if isinstance(p, PlacedDisc)]
    points, radii = np.zeros((0, 2)), np.zeros(0)
    if polygons:
        # only the outermost corners can meet the tube
        hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipolygons(polygons)))
        points, radii = hull, np.full(len(hull), room)
    if discs:
        points = np.concatenate((points, [[d.x_mm, d.y_mm] for d in discs]))
        radii = np.concatenate((radii, [room - d.radius_mm for d in discs]))
    centres = r - points
    return centres, radii


def _find_broken(made: Situation) -> None:
    """Note the rules that are broken as the drag begins."""
    start = np.zeros(2)
    for part, other in made.near_pairs(start, 0.0):
        block, placed = made.obstacles[other], made.parts[part]
        pair = made.pair(part, other)
        if not block.is_hollow and distance_mm(placed, block.outline) > block.clearance_mm + _LEVEL_MM:
            continue
        if _overlaps(placed, block):
            still = as_polygon(block.outline)
            made.overlaps.append(Overlap(as_polygon(placed), still, block.is_hollow, pair))
            continue
        now = core_distance_mm(*made.cores_of(pair), start)
        if now < made.full_need_mm(part, other) - _LEVEL_MM:
            made.relaxed[pair] = now


def _overlaps(placed: Placed, block: Obstacle) -> bool:
    """Whether the cores of a pair say nothing of its distance, since the one reaches into the other."""
    body = block.body
    if isinstance(placed, PlacedDisc):
        if body.is_point:
            return False
        inside = bool(Polygon(body.corners).covers(shapely.points(placed.x_mm, placed.y_mm)))
        return not inside if block.is_hollow else inside
    if body.is_point:
        return bool(placed.covers(shapely.points(body.corners[0])))
    still = Polygon(body.corners)
    return not still.contains(placed) if block.is_hollow else bool(still.intersects(placed))
