"""The box for a wanted number of cavities with the least silicone, and the cavities in it."""

import math
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import islice
from typing import Final

from layout import edits
from layout.checks import is_legal
from layout.fill.aside import Teller, run_aside
from layout.fill.bounds import upper_bound_mixed
from layout.fill.compiled import made_ready
from layout.fill.fill import FillOptions, Progress, fill
from layout.fill.mixed import warm_mixed
from layout.fill.pairs import Pairs
from layout.fill.search import Task, at_allowed_turns, laid
from layout.fill.size_asked import SizeOptions, SizeResult, require, shares, with_wanted
from layout.fill.size_rows import row_layouts
from layout.fill.size_shapes import Shapes, Start, start_of
from layout.fill.size_strips import strip_layouts
from layout.fill.warm import Kernels
from layout.geometry import footprint_area_mm2
from layout.model import BoxShape, Master, Project, RectBox
from layout.regions import inner_area_mm2, inner_size_mm
from layout.tolerances import LONGEST_LENGTH_MM
from layout.volumes import volumes

DEFAULT_ROUNDS: Final = 30
"""Fills tried to make the box of rows smaller, where neither rounds nor a stop are given."""

PATIENCE: Final = 60
"""Rounds without a smaller box after which a search ends by itself; of few parts, sooner (`_patience`)."""

_ROUNDS_A_FILL: Final = 12
"""... of many parts; of few, where rounds take a moment, more."""

_FIRST_CUT: Final = 0.03
_LAST_CUT: Final = 0.0008
"""Shares of the area by which the next box is tried smaller."""

_ROOMY: Final = 1.6
"""Times the least area thinkable: a first box, which is easy to fill."""

_COARSE_CUT: Final = 0.12
"""Share of the area by which the first boxes are made smaller."""

_PRESSES_A_FILL: Final = 3
"""Rounds of pressing between two fills."""

_PROPORTIONS: Final = (1.0, 1.6, 1.25, 1.95, 2.4, 3.0, 1.1, 1.4, 4.0, 1.75, 2.15, 5.0)
"""Longer side to shorter one of the boxes that are filled, the likeliest first and far apart."""

_MOST_NEAR: Final = 24
"""Near misses of the rows, the smallest boxes, that are pressed."""


def size_box(
    project: Project,
    cavities: int,
    options: SizeOptions | None = None,
    on_progress: Callable[[SizeResult], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> SizeResult:
    """Return the project with the box that holds this many cavities with the least silicone.

    Parameters
    ----------
    project : Project
        A rectangular box stays rectangular, a round one round, and an outline keeps its proportions. Pinned cavities
        and keep-outs stay where they are and count; the other cavities are replaced.
    cavities : int
        1 to 400, pinned ones included.
    options : SizeOptions, optional
    on_progress : callable, optional
        Called with every better box, in the caller's thread.
    should_stop : callable, optional
        Asked in the caller's thread some thirty times a second; once True the best box so far is returned.

    Raises
    ------
    BadValueError
        If a number makes no sense or the project has no master.

    Notes
    -----
    For one part in a plain rectangle the rows are stacked to exactly this number for many widths, at their least
    heights; any other box is grown by filling until the number fits. Then boxes a little smaller than the best are
    tried: the best and the near misses of the rows are drawn together into them and pressed, or parts are scattered
    and hop; between that, boxes of many proportions are filled.
    """
    options = options or SizeOptions()
    require(project, cavities, options)
    return _Sizing(project, cavities, options, on_progress, should_stop).result()


def _patience(cavities: int) -> int:
    """Return after how many rounds in vain a search ends: few parts can lie in few ways."""
    return min(PATIENCE, 20 + 4 * cavities)


@dataclass(slots=True)
class _Family:
    """Boxes of one proportion. ``cut`` is the next share of the area to try to save."""

    share: float
    cut: float = _FIRST_CUT


class _Sizing:
    def __init__(
        self,
        project: Project,
        cavities: int,
        options: SizeOptions,
        on_progress: Callable[[SizeResult], None] | None,
        should_stop: Callable[[], bool] | None,
    ) -> None:
        self.wanted = cavities
        self.options = options
        self.on_progress = on_progress
        self.ask_stop = should_stop or (lambda: False)
        self.stopped = False
        self.rounds = 0
        self.most_rounds = options.rounds
        if self.most_rounds is None and should_stop is None:
            self.most_rounds = DEFAULT_ROUNDS
        self.given = project
        free = [c.id for c in project.cavities if not c.pinned]
        self.counts = shares(edits.remove_cavities(project, free), cavities)
        self.base = with_wanted(edits.remove_cavities(project, free), self.counts)
        self.shapes = Shapes(self.base, options.max_length_mm, options.max_width_mm, options.proportion)
        self.best: Project | None = None
        self.best_ml = math.inf
        self.near: list[Start] = []
        self.teller: Teller[tuple[Project, bool]] = Teller()
        self._halted = self.teller.should_stop
        pinned = Counter(c.master for c in self.base.cavities)
        self.laid = tuple((m, self.counts[m.id] - pinned[m.id]) for m in self.base.masters if m.id in self.counts)
        self.laid = tuple((master, count) for master, count in self.laid if count > 0)

    # ---------------------------------------------------------------------------------------- in the caller's thread

    def result(self) -> SizeResult:
        best = [(self.given, False)]

        def hear(better: tuple[Project, bool]) -> None:
            best[0] = better
            if self.on_progress and better[1]:
                self.on_progress(self._result(*better))

        run_aside(self.teller, self._search, self._stop, hear)
        return self._result(*best[0])

    def _result(self, project: Project, reached: bool) -> SizeResult:
        for master in self.given.masters:
            project = edits.replace_master(project, master)
        count, ml = len(project.cavities), volumes(project).net_ml
        return SizeResult(project, count, ml, self.rounds, self.stopped, reached)

    def _stop(self) -> bool:
        self.stopped = self.stopped or self.ask_stop()
        return self.stopped

    # --------------------------------------------------------------------------------------- in the search's own thread

    def _search(self) -> None:
        """Tell of ever better boxes; or of the fullest of the largest, where the number is out of reach."""
        if not self._made_ready():
            return
        if isinstance(self.shapes.given, RectBox) and not self.shapes.fixed:
            self._from_rows()
        if self.best is None:
            self._grow()
        if self.best is not None:
            self._shrink()
        else:
            self._fill_the_largest()

    def _made_ready(self) -> bool:
        """Load the kernels; return False if stopped meanwhile."""
        rows, *others = (Kernels.of(Task(self.base, master)) for master, _ in self.laid or self._any())
        if others and not made_ready(warm_mixed, self._halted):
            return False
        return rows.wait(self._halted)

    def _any(self) -> tuple[tuple[Master, int], ...]:
        """Return what stands for the parts where all of them are pinned."""
        return ((self.base.masters[0], 0),)

    def _take(self, project: Project) -> bool:
        """Keep a layout, its box drawn tight round it, if it's legal and takes less silicone than the best."""
        moved = self.shapes.fitted(project)
        if moved is None:
            return False
        ml = volumes(moved).net_ml
        if ml < self.best_ml - 1e-9 and is_legal(moved):
            self.best, self.best_ml = moved, ml
            self.teller.tell((moved, True))
            return True
        self.near.append(start_of(moved))
        return False

    def _from_rows(self) -> None:
        if len(self.laid) == 1:
            master, count = self.laid[0]
            layouts = row_layouts(self.base, master, count, self._area_round, self._best_area)
        else:
            layouts = strip_layouts(self.base, list(self.laid), self._area_round, self._best_area)
        for places in layouts:
            layout = at_allowed_turns(self.base, places)
            if layout:
                before = self.best
                if self._take(laid(self.base, layout)) and before is not None:
                    self.near.append(start_of(before))
            if self._halted():
                return

    def _area_round(self, length: float, width: float) -> float:
        """Return how large the box round a layout of this extent is, mm2; inf if it isn't allowed."""
        edge = self.base.rules.edge_mm
        size = length + 2.0 * edge, width + 2.0 * edge
        shape = self.shapes.rect(*size) if math.isfinite(length + width) else None
        return math.inf if shape is None else inner_area_mm2(shape)

    def _best_area(self) -> float:
        return math.inf if self.best is None else inner_area_mm2(self.best.box.shape)

    # ---------------------------------------------------------------------------------------------------- by filling

    @property
    def _masters(self) -> tuple[Master, ...]:
        return tuple(master for master, _ in self.laid or self._any())

    def _fill(self, shape: BoxShape, rounds: int | None = None) -> bool:
        """Fill a box; return whether it holds the wanted number with less silicone than the best."""
        if rounds is None:
            rounds = min(30, max(_ROUNDS_A_FILL, 300 // self.wanted)) if len(self.laid) == 1 else _ROUNDS_A_FILL
        project = edits.set_box(self.base, replace(self.base.box, shape=shape))
        if upper_bound_mixed(project, self._masters) < self.wanted:
            return False
        self.rounds += 1
        options = FillOptions(rounds=rounds, seed=self.options.seed + self.rounds, most=self.wanted)
        found = fill(project, options, should_stop=self._halted)
        return Counter(c.master for c in found.project.cavities) == self.counts and self._take(found.project)

    @property
    def _lies_either_way(self) -> bool:
        """Whether a box is as good turned by a quarter: where the parts may be, so may it."""
        one, other = self.options.max_length_mm, self.options.max_width_mm
        return one == other and all(self.base.turn_of(m) in ("free", "90") for m in self._masters)

    def _families(self) -> list[_Family]:
        if not self.shapes.free:
            return [_Family(1.0)]
        either = self._lies_either_way
        shares = [share for p in _PROPORTIONS for share in ((p,) if either or p == 1.0 else (p, 1.0 / p))]
        if self.best is not None:
            length, width = inner_size_mm(self.best.box.shape)
            shares = [length / width, *shares, 1.03 * length / width, 0.97 * length / width]
        return [_Family(share) for share in shares]

    def _grow(self) -> None:
        """Find a first box: one with room to spare, which fills at once, then smaller ones until one doesn't.

        Notes
        -----
        A fill that fails has tried all it can, which takes ten times as long as one that finds the number; so the
        search comes from above.
        """
        area = self._least_area() * _ROOMY
        families = self._families()
        for _ in range(60):
            shapes = [s for s in (self.shapes.of(area, f.share) for f in families) if s is not None]
            if not shapes:
                break
            for shape in dict.fromkeys(shapes[:3]):
                if self._halted():
                    return
                if self._fill(shape, 0):
                    self._cut_down()
                    return
            area *= _ROOMY
        largest = self.shapes.largest()
        if largest is not None and self._fill(largest):
            self._cut_down()

    def _cut_down(self) -> None:
        """Fill ever smaller boxes of the best one's proportion as long as a first try holds the number."""
        while self.best is not None and not self._halted():
            length, width = inner_size_mm(self.best.box.shape)
            shape = self.shapes.of(self._best_area() * (1.0 - _COARSE_CUT), length / width)
            if shape is None or not self._fill(shape, 0):
                return

    def _least_area(self) -> float:
        """Return an area at which the bound allows the wanted number at least in one family, mm2."""
        families = self._families()
        # no box is smaller than the parts in it
        area = self.wanted * min(footprint_area_mm2(m.footprint) for m in self._masters)
        while area < LONGEST_LENGTH_MM**2:
            for shape in (self.shapes.of(area, f.share) for f in families):
                if shape is not None:
                    project = edits.set_box(self.base, replace(self.base.box, shape=shape))
                    if upper_bound_mixed(project, self._masters) >= self.wanted:
                        return area * 1.05
            area *= 1.1
        return area

    def _shrink(self) -> None:
        """Try boxes a little smaller than the best, in turn by filling and by pressing, until none gets smaller."""
        if self.most_rounds == 0:
            return
        with Pairs(self._halted) as pairs:
            presses = self._presses(pairs)
            # a mixed fill tries, at length, what the presses try
            fills = self._fills() if len(self.laid) == 1 else iter(())
            idle = 0
            while idle < _patience(self.wanted) and not self._halted():
                before = self.best_ml
                steps = [*islice(presses, _PRESSES_A_FILL), *islice(fills, 1)]
                if not steps:
                    return
                idle = 0 if self.best_ml < before else idle + len(steps)

    def _presses(self, pairs: Pairs) -> Iterator[None]:
        """Press boxes, some in a round; yield after each."""
        # numba comes with this
        from layout.fill.size_press import Presser
        from layout.fill.size_trials import TrialsOfMany, TrialsOfOne

        near = sorted(self.near, key=lambda start: inner_area_mm2(start.shape))[:_MOST_NEAR]
        free = self.wanted - len(self.base.cavities)
        if not free:
            return
        trials = (
            TrialsOfOne(self.base, *self.laid[0], pairs)
            if len(self.laid) == 1
            else TrialsOfMany(self.base, self.laid, pairs)
        )
        presser = Presser(self.base, free, trials, self.shapes.of, pairs, self.options.seed, near)
        while self._round_left():
            self.rounds += 1
            presser.round(lambda: start_of(self.best or self.base), self._take)
            yield

    def _round_left(self) -> bool:
        return not self._halted() and (self.most_rounds is None or self.rounds < self.most_rounds)

    def _fills(self) -> Iterator[None]:
        """Fill boxes, the most hopeful families first, until none gets smaller; yield after each."""
        families, by_hand = self._families(), self.shapes.by_hand(self._best_area, self._lies_either_way)
        while families and self._round_left():
            shape = next(by_hand, None)
            if shape is not None:
                self._fill(shape)
                yield
            family = max(families, key=lambda f: f.cut)
            shape = self.shapes.of(self._best_area() * (1.0 - family.cut), family.share)
            if shape is None or inner_area_mm2(shape) >= self._best_area() or not self._fill(shape):
                family.cut /= 2.0
                if shape is None or family.cut < _LAST_CUT:
                    families.remove(family)
            yield

    def _fill_the_largest(self) -> None:
        """Fill the largest box allowed, if any is the largest, and tell of it where it holds more than before."""
        shape = self.shapes.largest()
        if self._halted() or shape is None:
            return
        project = edits.set_box(self.base, replace(self.base.box, shape=shape))
        options = FillOptions(rounds=_ROUNDS_A_FILL, seed=self.options.seed, most=self.wanted)

        def tell(found: Progress) -> None:
            if found.count > len(self.given.cavities):
                self.teller.tell((found.project, False))

        fill(project, options, tell, self._halted)
