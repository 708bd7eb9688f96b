"""Equal rectangles at quarter turns: whole numbers of them along and across, found by cutting the box into L-shapes."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from layout.fill.bounds_rectangles import rectangle_bound, whole_sides
from layout.fill.compiled import made_meanwhile, made_ready
from layout.fill.search import Place, Search
from layout.geometry import FloatArray, Outline
from layout.model import RectBox

METHOD: Final = "rectangles"

_MOST_STATES: Final = 12_000_000
_WORK_A_ROUND: Final = 50_000
"""Ls looked into in a round: half a second. What was learnt stays; no published case takes more than one."""

_MOST_ROUNDS: Final = 40

_MOST_SUMS: Final = 400
"""Sums of sides up to which straight cuts are tried where the tables of Ls would be too large."""

_SUM_TOL_MM: Final = 1e-7
"""Sums of sides this near to each other, or this little above the box, are one: well inside what the check forgives."""

Block = tuple[float, float, bool]
"""Lower left corner of a grown rectangle, mm, and whether it's turned by a quarter."""


def rectangle_rounds(search: Search, wait: bool = True) -> Iterator[None]:
    """Offer ever better layouts of a rectangle at quarter turns; yield after each.

    Nothing is offered for other parts, boxes that aren't rectangles, or boxes with keep-outs or pinned cavities.

    Parameters
    ----------
    search : Search
    wait : bool
        Wait for what is compiled, so that the turns taken with other works are the same on every machine; else yield.

    Notes
    -----
    The wall is taken as a frame round each rectangle, so with a wall above 0 it's a way to lay them out, not a bound:
    a round wall lets corners come nearer on the diagonal. It asks ``search.should_stop`` by itself.
    """
    frame = _framed(search)
    if frame is None:
        return
    length, width, a, b, offer = frame
    turns = search.task.angles_deg is None or 90.0 in search.task.angles_deg
    for turned in (False, True) if turns else (False,):
        offer(_grid(length, width, a, b, turned))
        yield
    if not turns or math.isclose(a, b):
        return
    cutting = Cutting.of(length, width, a, b)
    if cutting is None:
        yield from _straight(length, width, a, b, offer)
        return
    if not wait:
        yield from made_meanwhile(cutting.compile)
    if made_ready(cutting.compile, search.should_stop):
        bound = rectangle_bound(length, width, a, b, quarter_turns=True, slack_mm=_SUM_TOL_MM)
        most = min(search.task.most, cutting.area_bound() if bound is None else bound)
        yield from _cut(search, cutting, most, offer)


def _framed(search: Search) -> tuple[float, float, float, float, Callable[[list[Block]], None]] | None:
    """Return the box inside the edge and the part, both with a wall more, and how to offer blocks; None if not ours."""
    task = search.task
    shape, footprint = task.project.box.shape, task.master.footprint
    sides = rectangle_sides(footprint) if isinstance(footprint, Outline) else None
    if sides is None or not isinstance(shape, RectBox) or task.obstacles:
        return None
    wall, edge = task.project.rules.wall_mm, task.project.rules.edge_mm
    a, b = sides[0] + wall, sides[1] + wall

    def offer(blocks: list[Block]) -> None:
        places: list[Place] = []
        for x, y, turned in blocks:
            w, h = (b, a) if turned else (a, b)
            angle = 90.0 if turned else 0.0
            places.append((task.master.id, x + w / 2.0 - wall / 2.0 + edge, y + h / 2.0 - wall / 2.0 + edge, angle))
        search.offer(places, METHOD)

    return shape.length_mm - 2.0 * edge + wall, shape.width_mm - 2.0 * edge + wall, a, b, offer


def _cut(search: Search, cutting: "Cutting", most: int, offer: Callable[[list[Block]], None]) -> Iterator[None]:
    for _ in range(_MOST_ROUNDS):
        if search.count >= most:
            return
        found = cutting.blocks(search, search.count + 1)
        if found:
            offer(found)
            if len(found) > search.count:
                return
        elif cutting.state[0] > 0:
            return
        yield


def _straight(length: float, width: float, a: float, b: float, offer: Callable[[list[Block]], None]) -> Iterator[None]:
    """Offer the best layout of straight cuts through and through; yield after each width."""
    tables = Sums.of(length, width, a, b)
    if tables is None:
        return
    n, across = tables.box[0] + 1, tables.box[1] + 1
    most = np.zeros((n, across), dtype=np.int64)
    most[tables.one[0] :, tables.one[1] :] = 1
    most[tables.one[1] :, tables.one[0] :] = 1
    upright, level = np.zeros((2, n, across), dtype=np.int64)
    for i in range(n):
        cuts = np.unique(tables.less[i, 1 : i // 2 + 1])
        for p in cuts[cuts > 0]:
            both = most[p] + most[tables.less[i, p]]
            better = both > most[i]
            most[i, better], upright[i, better] = both[better], p
        for j in range(across):
            halves = most[i, 1 : j + 1] + most[i, tables.less[j, 1 : j + 1]]
            if len(halves) and halves.max() > most[i, j]:
                most[i, j], level[i, j] = halves.max(), 1 + int(halves.argmax())
        yield
    out: list[Block] = []
    waiting = [(n - 1, across - 1, 0.0, 0.0)]
    while waiting:
        i, j, x, y = waiting.pop()
        if level[i, j]:
            q = int(level[i, j])
            waiting += [(i, q, x, y), (i, int(tables.less[j, q]), x, y + float(tables.steps[q]))]
        elif upright[i, j]:
            p = int(upright[i, j])
            waiting += [(p, j, x, y), (int(tables.less[i, p]), j, x + float(tables.steps[p]), y)]
        elif most[i, j]:
            lying = i >= tables.one[0] and j >= tables.one[1]
            out.append((x, y, not lying))
    offer(out if tables.lying else [(y, x, not turned) for x, y, turned in out])
    yield


def rectangle_sides(footprint: Outline) -> tuple[float, float] | None:
    """Return the sides along x and y of a footprint that is a rectangle with its sides along the axes; else None.

    Examples
    --------
    >>> rectangle_sides(Outline(((-2.0, -1.0), (2.0, -1.0), (2.0, 1.0), (-2.0, 1.0))))
    (4.0, 2.0)
    """
    points = np.asarray(footprint.points)
    size = np.ptp(points, axis=0)
    corners = np.abs(np.abs(points) - size / 2.0) <= 1e-9
    return (float(size[0]), float(size[1])) if len(points) == 4 and bool(corners.all()) else None


def _grid(length: float, width: float, a: float, b: float, turned: bool) -> list[Block]:
    w, h = (b, a) if turned else (a, b)
    columns = math.floor((length + _SUM_TOL_MM) / w)
    rows = math.floor((width + _SUM_TOL_MM) / h)
    return [(i * w, j * h, turned) for j in range(rows) for i in range(columns)]


@dataclass(frozen=True, slots=True)
class Sums:
    """The lengths that count in one box: sums of the grown sides.

    Parameters
    ----------
    steps : array
        The sums i a + j b up to the longer side of the box, mm.
    less : array
        For two sums the index of the largest one no longer than their difference.
    one : array
        Indices of a and b.
    box : (int, int)
        Indices of the box's length and width, the longer first.
    lying : bool
        The length is the longer.
    """

    a: float
    b: float
    steps: FloatArray
    less: npt.NDArray[np.int64]
    one: npt.NDArray[np.int64]
    box: tuple[int, int]
    lying: bool

    @classmethod
    def of(cls, length: float, width: float, a: float, b: float) -> "Sums | None":
        """Return the sums; None where no rectangle fits or they are too many."""
        longer, shorter = max(length, width), min(length, width)
        if shorter + _SUM_TOL_MM < min(a, b) or longer > _MOST_SUMS * min(a, b):
            # the multiples of the shorter side alone would be too many
            return None
        i, j = np.mgrid[0 : int(longer / a + 1e-6) + 2, 0 : int(longer / b + 1e-6) + 2]
        sums = np.sort((i * a + j * b).ravel())
        sums = sums[sums <= longer + _SUM_TOL_MM]
        steps = sums[np.concatenate(([True], np.diff(sums) > _SUM_TOL_MM))]
        n = len(steps)
        across = int(np.searchsorted(steps, shorter + _SUM_TOL_MM, side="right")) - 1
        if across < 1 or n < 2 or n > _MOST_SUMS:
            return None
        difference = steps[:, None] - steps[None, :]
        less = np.maximum(np.searchsorted(steps, difference + _SUM_TOL_MM, side="right") - 1, 0).astype(np.int64)
        one = np.searchsorted(steps, np.array([a, b]) - _SUM_TOL_MM).astype(np.int64)
        return cls(a, b, steps, less, one, (n - 1, across), length >= width)


@dataclass(frozen=True, slots=True)
class Cutting:
    """What is known about each L of one box.

    Parameters
    ----------
    sums : Sums
    raster : array
        Terno's raster points of each length: where a cut of it is worth trying.
    units, sides : array
        Sums and sides in whole units; sides 0 where they have no common measure.
    low, high, chosen, state : array
        See `rectangle_search.reach`.
    """

    sums: Sums
    raster: npt.NDArray[np.bool_]
    units: npt.NDArray[np.int64]
    sides: npt.NDArray[np.int64]
    low: npt.NDArray[np.int16]
    high: npt.NDArray[np.int16]
    chosen: npt.NDArray[np.int64]
    state: npt.NDArray[np.int64]

    @classmethod
    def of(cls, length: float, width: float, a: float, b: float) -> "Cutting | None":
        """Return the tables; None where no rectangle fits or they'd be too large."""
        sums = Sums.of(length, width, a, b)
        if sums is None:
            return None
        n, across = len(sums.steps), sums.box[1] + 1
        states = across * (across + 1) // 2 * (n * (n + 1) // 2)
        if states > _MOST_STATES:
            return None
        raster = np.zeros((n, n), dtype=np.bool_)
        for k in range(n):
            raster[k, sums.less[k, : k + 1]] = True
        whole = whole_sides(a, b)
        sides = np.array(whole[:2] if whole else (0, 0), dtype=np.int64)
        units = np.rint(sums.steps / whole[2]).astype(np.int64) if whole else np.zeros(n, dtype=np.int64)
        return cls(
            sums, raster, units, sides, np.zeros(states, dtype=np.int16), np.full(states, -1, dtype=np.int16),
            np.zeros(states, dtype=np.int64), np.zeros(2, dtype=np.int64),
        )  # fmt: skip

    def area_bound(self) -> int:
        """Return how many the area allows."""
        s = self.sums
        return int(s.steps[s.box[0]] * s.steps[s.box[1]] / (s.a * s.b) + 1e-9)

    def compile(self) -> None:
        """Load or compile the search."""
        self._reach(0)

    def _reach(self, need: int) -> bool:
        from layout.fill.rectangle_search import reach, tidy

        s = self.sums
        whole = tidy(s.box[0], s.box[1], s.box[0], s.box[1])
        n = len(s.steps)
        tables = (
            self.low, self.high, self.chosen, s.steps, s.less, self.raster, s.one, s.a * s.b, self.units, self.sides,
            n * (n + 1) // 2, self.state,
        )  # fmt: skip
        return bool(reach(*whole, need, tables))

    def blocks(self, search: Search, need: int) -> list[Block]:
        """Return a layout of at least ``need`` rectangles; empty if there's none of this kind or the round is over.

        ``state[0]`` is above 0 afterwards if nothing is left to try.
        """
        self.state[0] = _WORK_A_ROUND
        found: list[bool] = []
        if not made_ready(lambda: found.append(self._reach(need)), search.should_stop):
            self.state[1] = 1
            return []
        if not found[0]:
            return []
        out: list[Block] = []
        self._lay(self.sums.box[0], self.sums.box[1], *self.sums.box, _Frame(0.0, 0.0, 1, 1, False), out)
        if self.sums.lying:
            return out
        return [(y, x, not turned) for x, y, turned in out]

    def _lay(self, X: int, Y: int, x: int, y: int, frame: "_Frame", out: list[Block]) -> None:
        from layout.fill.rectangle_search import CUTS, piece, tidy

        key_of = tidy(X, Y, x, y)
        if min(key_of[:2]) == 0:
            return
        # tidy may lie the L down: then the frame goes along
        plain = _untidied(X, Y, x, y)
        if key_of != plain:
            frame = frame.swapped()
        X, Y, x, y = key_of
        s = self.sums.steps
        n = len(s)
        key = (Y * (Y + 1) // 2 + y) * (n * (n + 1) // 2) + X * (X + 1) // 2 + x
        if self.low[key] <= 0:
            return
        code = int(self.chosen[key])
        if code < 0:
            self._lay_one(X, Y, x, y, frame, out)
            return
        code, cut = divmod(code, CUTS)
        code, p = divmod(code, 4096)
        r, q = divmod(code, 4096)
        first = piece(cut, p, q, r, False, X, Y, x, y, self.sums.less)
        second = piece(cut, p, q, r, True, X, Y, x, y, self.sums.less)
        frames = _frames(cut, s[p], s[q], s[X], s[Y], s[x], s[y])
        self._lay(*first, frame.inside(*frames[0]), out)
        self._lay(*second, frame.inside(*frames[1]), out)

    def _lay_one(self, X: int, Y: int, x: int, y: int, frame: "_Frame", out: list[Block]) -> None:
        for turned, (i, j) in ((False, self.sums.one), (True, self.sums.one[::-1])):
            if (i <= X and y >= j) or (x >= i and j <= Y):
                w, h = float(self.sums.steps[i]), float(self.sums.steps[j])
                x0, y0, flipped = frame.box(w, h)
                out.append((x0, y0, turned != flipped))
                return


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where an L's own corner is and which way its axes go: x = x0 + sx u (or v where swapped)."""

    x0: float
    y0: float
    sx: int
    sy: int
    swap: bool

    def swapped(self) -> "_Frame":
        return _Frame(self.x0, self.y0, self.sx, self.sy, not self.swap)

    def at(self, u: float, v: float) -> tuple[float, float]:
        if self.swap:
            u, v = v, u
        return self.x0 + self.sx * u, self.y0 + self.sy * v

    def inside(self, u: float, v: float, su: int, sv: int) -> "_Frame":
        """Return the frame of a piece whose corner is at (u, v) and whose axes go su, sv."""
        x, y = self.at(u, v)
        if self.swap:
            su, sv = sv, su
        return _Frame(x, y, self.sx * su, self.sy * sv, self.swap)

    def box(self, w: float, h: float) -> tuple[float, float, bool]:
        x1, y1 = self.at(0.0, 0.0)
        x2, y2 = self.at(w, h)
        return min(x1, x2), min(y1, y2), self.swap


def _untidied(X: int, Y: int, x: int, y: int) -> tuple[int, int, int, int]:
    """Return what `tidy` does to an L but for lying it down."""
    if x == 0:
        x, Y = X, y
    if y == 0:
        y, X = Y, x
    if x == X or y == Y:
        x, y = X, Y
    return X, Y, x, y


def _frames(
    cut: int, p: float, q: float, X: float, Y: float, x: float, y: float
) -> tuple[tuple[float, float, int, int], tuple[float, float, int, int]]:
    """Return corner and directions of both pieces of a cut, in the L's own axes; see `rectangle_search.piece`."""
    plain = (0.0, 0.0, 1, 1)
    return {
        0: (plain, (p, q, 1, 1)),
        1: ((0.0, Y, 1, -1), (X, 0.0, -1, 1)),
        2: ((0.0, Y, 1, -1), (X, 0.0, -1, 1)),
        3: ((x, Y, -1, -1), plain),
        4: ((X, y, -1, -1), plain),
        5: ((0.0, Y, 1, -1), (X, 0.0, -1, 1)),
        6: ((X, 0.0, -1, 1), (0.0, Y, 1, -1)),
        7: (plain, (0.0, y, 1, 1)),
        8: (plain, (x, 0.0, 1, 1)),
        9: (plain, (p, 0.0, 1, 1)),
        10: (plain, (0.0, q, 1, 1)),
        11: (plain, (p, 0.0, 1, 1)),
        12: (plain, (0.0, q, 1, 1)),
    }[cut]
