"""The way of the dragged parts: straight toward the pointer while it is free, then along what holds them.

A step is the nearest point to the pointer that the tangents of all near bands allow. A band is convex and lies behind
its tangent, so every such step, and the straight way to it, is legal: nothing is ever passed through. Steps go on until
none comes closer to the pointer.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from layout.geometry import FloatArray
from layout.hold.bodies import MOVE_SLACK_MM, REST_MARGIN_MM, THIN_MM
from layout.hold.flight import free_run_mm, run_in_discs_mm, run_in_span_mm
from layout.hold.nearest import Limits, nearest_allowed
from layout.hold.situation import Field, Situation

_STILL_MM: Final = 1e-9
"""A step shorter than this is none: it could not be seen, measured or cut."""

_STEPS: Final = 400
_LEAST_ROOM_MM: Final = 1.0
_MOST_ROOM_MM: Final = 4.0
"""One step goes no farther than its room. It doubles while it is used up."""

_WIDE_MARGIN_MM: Final = 4.0
_BROKEN_ROOM_MM: Final = 0.5
"""Parts that overlap are moved in steps no longer than this, so that none is pulled through another."""

_DELICATE_ROOM_MM: Final = 0.25
"""Round a corner that may be touched, the tangent is known to a ten-millionth: a long step would cut into it."""

_NUDGE_MM: Final = (0.3, 1.0)
"""A part held head-on is tried this far to each side: what looks like a stop may be the top of a rounding."""

_AHEAD: Final = 0.9999
"""A step whose direction is this near to the pointer's (its cosine) was hardly held: the next may be a flight."""

_PATIENCE: Final = 10
"""After so many steps they are stretched, each twice the one before, as long as that comes closer."""

_CREEP_MM: Final = 0.05
"""After a step shorter than this a rounding is looked for, that tangents only creep along."""

_MOST_BACK_MM: Final = 1e-3
"""In a corner of a few degrees a hair more wall is many hairs back; more than this is not drawn back."""

_BACK_MM: Final = (1e-7, 4e-7, 1e-6, 4e-6, 1e-5, 1e-4, 1e-3)
"""How far a wedged part is drawn back the way it came, tried one after the other."""

_TOUCH_MM: Final = 1e-7
_CORNER: Final = 0.15
"""Sine of the angle from head-on beyond which two holds, one to each side, make a corner."""


@dataclass(slots=True)
class Slide:
    """One drag under way.

    Parameters
    ----------
    around : Situation
    at : array of shape (2,)
        How far the parts have moved, mm.
    steps : int
        How many steps the last `toward` took.
    way : list of array
        The corners of the legal way it went, from the last resting place to this one.
    """

    around: Situation
    at: FloatArray = field(default_factory=lambda: np.zeros(2))
    steps: int = 0
    way: list[FloatArray] = field(default_factory=list)
    _room: float = _LEAST_ROOM_MM
    _wide: Field | None = None
    _close: Field | None = None
    _delicate: bool = False
    _known: tuple[FloatArray, float, Limits] | None = None

    def toward(self, target: FloatArray) -> FloatArray:
        """Go as near to the target as the way there allows, settle at the wall, and return where that is."""
        self.steps, self.way = 0, [self.at]
        if not self.around.parts:
            return self.at
        self._room = max(_LEAST_ROOM_MM, self._room / 4.0)
        if self.around.overlaps:
            self._room = _BROKEN_ROOM_MM
        self._run(target)
        if not self.around.is_broken:
            self._run_over_crests(target)
        if float(np.hypot(*(target - self.at))) > 0.0 or self._is_close():
            self._settle()
        return self.at

    # -- the way there

    def _run(self, target: FloatArray) -> None:
        """Fly and slide until neither comes closer."""
        stretch, moved, free = 1.0, np.inf, True
        # the longest box takes many flights of one room each
        for count in range(_STEPS + int(float(np.hypot(*(target - self.at))) / _MOST_ROOM_MM)):
            self.steps += 1
            left = float(np.hypot(*(target - self.at)))
            if left <= _STILL_MM:
                if not self.around.overlaps and self._flown(target, left) >= left:
                    self._go(target.copy())
                return
            if free:
                free = self._fly(target)
                continue
            if moved < _CREEP_MM and self._round(target):
                continue
            start = self.at
            moved = self._step(target, stretch)
            if moved <= _STILL_MM:
                if stretch == 1.0 and not self._fly(target):
                    return
                stretch = 1.0
                continue
            free = float((self.at - start) @ (target - start)) > _AHEAD * moved * left
            stretch = min(64.0, 2.0 * stretch) if count > _PATIENCE else 1.0

    def _fly(self, target: FloatArray) -> bool:
        """Go straight on as far as it is free, or as the room goes; return whether that was any way at all."""
        left = float(np.hypot(*(target - self.at)))
        run = self._flown(target, left)
        if run <= _STILL_MM:
            return False
        self._go(target.copy() if run >= left else self.at + (target - self.at) * (run / left))
        if run >= self._room:
            self._widen()
        return True

    def _widen(self) -> None:
        """Give the next step more room; parts that overlap keep little, so that none is pulled through another."""
        self._room = min(2.0 * self._room, _BROKEN_ROOM_MM if self.around.overlaps else _MOST_ROOM_MM)

    def _flown(self, target: FloatArray, left: float) -> float:
        if left == 0.0:
            return 0.0
        around, way = self.around, (target - self.at) / left
        limits = self._limits(self._room)
        if bool(((limits.least > -_STILL_MM) & (limits.normals @ way < -1e-12)).any()):
            return 0.0
        room = min(left, self._room)
        run = min(
            room,
            run_in_span_mm(float(self.at[0]), float(way[0]), float(around.low[0]), float(around.high[0])),
            run_in_span_mm(float(self.at[1]), float(way[1]), float(around.low[1]), float(around.high[1])),
            run_in_discs_mm(self.at, way, around.centres, around.radii),
        )
        cores, needs = self._near(room).within(self.at, room)
        run = free_run_mm(cores, needs, self.at, way, run)
        for overlap in around.overlaps:
            if float(overlap.growth(self.at) @ way) > 1e-9:
                return 0.0
            run = _without_growth(overlap.area_mm2, self.at, way * run) * run
        return run

    def _step(self, target: FloatArray, stretch: float) -> float:
        """Take one step along what holds the parts; return its length."""
        room = self._room
        limits = self._limits(room)
        if self._delicate:
            room = min(room, _DELICATE_ROOM_MM)
        step = nearest_allowed(target - self.at, limits)
        if step is None:
            return 0.0
        length = float(np.hypot(*step))
        if length > room:
            # the whole wish, then cut: a wish cut first would creep toward where the wall is square to it
            step, length = step * (room / length), room
            self._widen()
        if stretch > 1.0 and _STILL_MM < length < room:
            longer = nearest_allowed(step * min(stretch, room / length), limits)
            if longer is not None and self._is_nearer(longer, step, target):
                step = longer
        share = 1.0
        for overlap in self.around.overlaps:
            share = min(share, _without_growth(overlap.area_mm2, self.at, step))
        self._go(self.at + share * step)
        return share * float(np.hypot(*step))

    def _round(self, target: FloatArray) -> bool:
        """Go straight to the end of a rounding that tangents would only creep toward; return whether that could be.

        The arc lies in the triangle of its ends and the meeting of their tangents. It is free if no other tangent cuts
        that triangle and the bands that share its middle do not reach its end.
        """
        cores, needs = self._near(self._room).within(self.at, self._room)
        ways, far, _ = cores.away(self.at)
        feet, gaps = self.at - ways * far[:, None], far - needs
        holding = np.flatnonzero((gaps < _TOUCH_MM) & (ways @ (target - self.at) < 0.0))
        if not len(holding):
            return False
        first = int(holding[0])
        middle, need = feet[first], float(needs[first])
        shared = np.hypot(*(feet - middle).T) < _STILL_MM
        inward = target - middle
        depth = float(np.hypot(*inward))
        if not shared[holding].all() or not _TOUCH_MM < depth < need:
            return False
        corner = _arc_end(ways[first], inward / depth, min(self._room / need, 1.0))
        goal, tip = middle + need * corner[0], middle + need * corner[1]
        cut = ways[~shared] @ (np.array([goal, tip]) - self.at).T < -gaps[~shared, None]
        ends = np.hypot(*cores.offsets(goal)[shared].T) < need - 1e-12
        sides = [self.around.are_within(point) for point in (goal, tip)]
        if cut.any() or ends.any() or not all(sides) or float(np.hypot(*(goal - self.at))) <= _STILL_MM:
            return False
        self._go(goal)
        return True

    def _is_nearer(self, longer: FloatArray, step: FloatArray, target: FloatArray) -> bool:
        """Whether the longer step leads nearer to the target, once it has dropped back to what holds the parts."""
        return self._dropped(longer, target) < self._dropped(step, target)

    def _dropped(self, step: FloatArray, target: FloatArray) -> float:
        start, self.at = self.at, self.at + step
        left = float(np.hypot(*(target - self.at)))
        run = self._flown(target, left)
        self.at = start
        return left - run

    def _run_over_crests(self, target: FloatArray) -> None:
        """Where the parts are held head-on, look to both sides for a way on."""
        for _ in range(8):
            left = float(np.hypot(*(target - self.at)))
            if left <= _STILL_MM or self._is_cornered(target, left) or not self._step_over(target, left):
                return
            self._run(target)

    def _is_cornered(self, target: FloatArray, left: float) -> bool:
        """Whether what holds the parts stands on two sides: then there is no crest to pass."""
        limits = self._limits(self._room)
        holding = limits.normals[(limits.least > -_TOUCH_MM) & (limits.normals @ (target - self.at) < 0.0)]
        if len(holding) < 2:
            return False
        across = holding @ np.array([self.at[1] - target[1], target[0] - self.at[0]]) / left
        return bool(across.max() > _CORNER and across.min() < -_CORNER)

    def _step_over(self, target: FloatArray, left: float) -> bool:
        way = (target - self.at) / left
        rest = self.at
        for size in _NUDGE_MM:
            if size > left:
                continue
            for side in (np.array([-way[1], way[0]]), np.array([way[1], -way[0]])):
                step = nearest_allowed(side * size, self._limits(max(size, self._room)))
                if step is None or float(np.hypot(*step)) <= _STILL_MM:
                    continue
                if self._dropped(step, target) < left - 1e-7:
                    self._go(rest + step)
                    self._fly(target)
                    return True
        return False

    # -- what is near

    def _near(self, room: float) -> Field:
        """The bands a step within the room could meet: few, sifted from a wider field that lasts for many steps."""
        close = self._close
        if close is not None and float(np.hypot(*(self.at - close.centre))) + room <= close.reach_mm:
            return close
        wide, reach = self._wide, 1.5 * room + 0.3
        if wide is None or float(np.hypot(*(self.at - wide.centre))) + reach > wide.reach_mm:
            wide = self._wide = self.around.field_about(self.at, reach + _WIDE_MARGIN_MM)
        close = self._close = wide.narrowed(self.at, reach)
        return close

    def _limits(self, room: float) -> Limits:
        """The tangents of all that could be met within a room, from where the parts are."""
        known = self._known
        if known is None or known[0] is not self.at or known[1] != room:
            known = self._known = self.at, room, self._tangents(room)
        return known[2]

    def _tangents(self, room: float, margin_mm: float = 0.0) -> Limits:
        """The limits; with a margin, more than the clearance is kept from all but rules that are broken already."""
        around = self.around
        cores, needs = self._near(room).within(self.at, room)
        ways, far, beside_core = cores.away(self.at)
        near = (far - needs < room) & (far > 0.0)
        gaps = far[near] - needs[near]
        self._delicate = bool(((needs[near] < THIN_MM) & (gaps < THIN_MM) & ~beside_core[near]).any())
        if margin_mm == 0.0:
            gaps = np.maximum(gaps, 0.0)
        margins = np.zeros(len(gaps))
        if margin_mm > 0.0 and len(gaps):
            slacks = around.slacks[cores.pairs[near] % len(around.obstacles)]
            margins = np.maximum(margin_mm - MOVE_SLACK_MM + slacks, 0.0)
        if around.relaxed:
            broken = np.isin(cores.pairs[near], list(around.relaxed))
            margins[broken], gaps[broken] = 0.0, np.maximum(gaps[broken], 0.0)
        sides = np.concatenate((self.at - around.low, around.high - self.at))
        kept = np.isfinite(sides)
        whole = np.concatenate((around.low == around.full_low, around.high == around.full_high))
        axes = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])[kept]
        lowered = [-g for o in around.overlaps if (g := o.growth(self.at)).any()]
        rows = [ways[near], axes, *(g.reshape(1, 2) for g in lowered)]
        beside = np.where(whole, margin_mm, 0.0)[kept] - np.maximum(sides[kept], 0.0)
        least = np.concatenate((margins - gaps, beside, np.zeros(len(lowered))))
        centres = around.centres - self.at
        radii = np.maximum(around.radii, np.hypot(centres[:, 0], centres[:, 1]))
        radii = radii - np.where(around.radii == around.full_radii, margin_mm, 0.0)
        return Limits(np.concatenate(rows), least, centres, radii)

    def _go(self, to: FloatArray) -> None:
        self.at = to
        self.way.append(to)
        if self.around.is_broken:
            self.around.learn(to)
            self._wide = self._close = None

    # -- at rest

    def _is_close(self) -> bool:
        """Whether the wall is thinner than the rule, though not thinner than the check forgives."""
        return bool((self._limits(0.1).least > -MOVE_SLACK_MM + _STILL_MM).any())

    def _settle(self) -> None:
        """Draw back by less than 1e-6 mm, so that every wall measures the rule or a hair more, where there is room."""
        if self.around.overlaps:
            return
        still = np.zeros(2)
        low, high = 0.0, MOVE_SLACK_MM + REST_MARGIN_MM
        step = nearest_allowed(still, self._tangents(0.1, high))
        if step is None:
            # a gap that just fits has no room for the margin on both sides: share what there is
            while high - low > _STILL_MM:
                middle = (low + high) / 2.0
                tried = nearest_allowed(still, self._tangents(0.1, middle))
                low, high, step = (low, middle, step) if tried is None else (middle, high, tried)
        if step is not None and float(np.hypot(*step)) < _MOST_BACK_MM:
            self._go(self.at + step)
        self._back_off()

    def _back_off(self) -> None:
        """Where the wall is still a hair thinner than the rule, as in a wedge, go back the way that led there.

        In a gap that just fits there is no thicker place, and nothing is changed.
        """
        spare = self._spare_mm(self.at)
        if spare >= 0.0 or self.around.is_broken:
            return
        for corner in reversed(self.way[:-1]):
            way = corner - self.at
            length = float(np.hypot(*way))
            if length <= _STILL_MM:
                continue
            for back in _BACK_MM:
                there = self.at + way * min(back / length, 1.0)
                if self._spare_mm(there) >= 0.0:
                    self._go(there)
                    return
            if length > _BACK_MM[-1]:
                return

    def _spare_mm(self, at: FloatArray) -> float:
        """The least silicone over the rules at a movement near by, mm, as the cores tell it."""
        around = self.around
        cores, needs = self._near(0.1).within(self.at, 0.05)
        spare = [np.minimum(at - around.full_low, around.full_high - at).min() - MOVE_SLACK_MM]
        if len(cores):
            _, far, _ = cores.away(at)
            spare.append(float((far - needs - around.slacks[cores.pairs % len(around.obstacles)]).min()))
        if len(around.full_radii):
            away = around.full_radii - np.hypot(*(at - around.centres).T)
            spare.append(float(away.min()) - MOVE_SLACK_MM)
        return float(min(spare))


def _arc_end(start: FloatArray, end: FloatArray, most_rad: float) -> tuple[FloatArray, FloatArray]:
    """The direction an arc ends at, from ``start`` toward ``end``, and where the tangents of its ends meet."""
    turn = float(np.arctan2(start[0] * end[1] - start[1] * end[0], start @ end))
    turn = max(-most_rad, min(most_rad, turn))
    ways = [
        np.array([start[0] * np.cos(a) - start[1] * np.sin(a), start[0] * np.sin(a) + start[1] * np.cos(a)])
        for a in (turn, turn / 2.0)
    ]
    return ways[0], ways[1] / np.cos(turn / 2.0)


def _without_growth(area_at: Callable[[FloatArray], float], start: FloatArray, step: FloatArray) -> float:
    """The share of a step after which an overlap is no larger than before."""
    before = area_at(start)
    share = 1.0
    for _ in range(12):
        if area_at(start + share * step) <= before + 1e-9:
            return share
        share /= 2.0
    return 0.0
