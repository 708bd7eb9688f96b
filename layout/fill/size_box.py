"""The box for a wanted number of cavities with the least silicone, and the cavities in it."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout import edits
from layout.checks import is_legal
from layout.errors import BadValueError, NotYetError
from layout.fill.aside import Teller, run_aside
from layout.fill.bounds import upper_bound_mixed
from layout.fill.fill import FillOptions, Progress, fill
from layout.fill.search import at_allowed_turns, laid
from layout.fill.size_rows import row_layouts
from layout.fill.size_shapes import STEP_MM, circle_round, rounded_up_mm
from layout.fill.warm import Kernels
from layout.geometry import footprint_area_mm2
from layout.model import BoxShape, OutlineBox, Project, RectBox, RoundBox
from layout.regions import inner_area_mm2, inner_size_mm, placed_cavities, placed_keep_out
from layout.tolerances import LONGEST_LENGTH_MM
from layout.volumes import volumes

MOST_CAVITIES: Final = 400

DEFAULT_ROUNDS: Final = 30
"""Fills tried to make the box of rows smaller, where neither rounds nor a stop are given."""

_ROUNDS_A_FILL: Final = 12
_FIRST_CUT: Final = 0.03
_LAST_CUT: Final = 0.0008
"""Shares of the area by which the next box is tried smaller."""

"""Sizes are rounded up to this: far below a cut, and a typed size then still holds the layout."""

_PROPORTIONS: Final = (1.0, 1.3, 0.77, 1.6, 0.625, 2.1, 0.476)


@dataclass(frozen=True, slots=True)
class SizeOptions:
    """What the user asks of the box.

    Parameters
    ----------
    max_length_mm, max_width_mm : float or None
        The box is no longer, and no wider.
    proportion : (float, float) or None
        Length to width, exactly.
    rounds : int or None
        Fills tried after the rows: the same box on every machine; None: until told to stop, or `DEFAULT_ROUNDS`.
    seed : int
    """

    max_length_mm: float | None = None
    max_width_mm: float | None = None
    proportion: tuple[float, float] | None = None
    rounds: int | None = None
    seed: int = 0


@dataclass(frozen=True, slots=True)
class SizeResult:
    """The box found.

    Parameters
    ----------
    project : Project
        With that box and its cavities; as it was where none was found.
    count : int
        Cavities in it; below the wanted number only if no box within the limits was found for it.
    silicone_ml : float
        Net, to the pour height, before losses.
    rounds : int
        Fills tried.
    stopped_early : bool
    reached : bool
        A box for the wanted number was found; without it ``project`` may be as it was given.
    """

    project: Project
    count: int
    silicone_ml: float
    rounds: int
    stopped_early: bool
    reached: bool


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
        A rectangular box stays rectangular, a round one round. Pinned cavities and keep-outs stay where they are and
        count; the other cavities are replaced.
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
    NotYetError
        If the box is an outline, which has no size to vary.

    Notes
    -----
    For one part in a plain rectangle the rows are stacked to exactly this number for many widths, at their least
    heights. Then, and for all other boxes from the start, boxes a little smaller than the best are filled, by many
    proportions in turn, until none of them can be made smaller.
    """
    options = options or SizeOptions()
    _require(project, cavities, options)
    return _Sizing(project, cavities, options, on_progress, should_stop).result()


def _require(project: Project, cavities: int, options: SizeOptions) -> None:
    if not project.masters:
        raise BadValueError("size", "the project has no master to size a box for", "add a master first")
    if not 1 <= cavities <= MOST_CAVITIES:
        raise BadValueError("--cavities", f"{cavities} is out of range", f"give 1 to {MOST_CAVITIES}")
    pinned = sum(1 for c in project.cavities if c.pinned)
    if cavities < pinned:
        raise BadValueError("--cavities", f"{pinned} cavities are pinned already", "unpin some, or ask for more")
    if isinstance(project.box.shape, OutlineBox):
        raise NotYetError(
            "size", "the box is a drawn outline", "set a rectangular or a round box with --box or --round"
        )
    for value in (options.max_length_mm, options.max_width_mm, *(options.proportion or ())):
        if value is not None and not (math.isfinite(value) and value > 0.0):
            raise BadValueError("size", f"{value!r} is no size", "give lengths and proportions above 0")
    if options.proportion and isinstance(project.box.shape, RoundBox):
        raise BadValueError("--proportion", "a round box has none", "leave it out")
    if options.rounds is not None and options.rounds < 0:
        raise BadValueError("--rounds", f"{options.rounds} is below 0", "give a whole number from 0 up")


@dataclass(slots=True)
class _Family:
    """Boxes that differ by one number: a proportion, or one side fixed. ``cut`` is the next share to try to save."""

    box_of_area: Callable[[float], BoxShape | None]
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
        self.base = edits.remove_cavities(project, free)
        self.round = isinstance(project.box.shape, RoundBox)
        self.fixed = bool(self.base.cavities or self.base.keep_outs)
        self.best: Project | None = None
        self.best_ml = math.inf
        self.teller: Teller[tuple[Project, bool]] = Teller()
        self._halted = self.teller.should_stop

    # ------------------------------------------------------------------------------------------------------- the run

    def result(self) -> SizeResult:
        best = [(self.given, False)]

        def hear(better: tuple[Project, bool]) -> None:
            best[0] = better
            if self.on_progress and better[1]:
                self.on_progress(self._result(*better))

        run_aside(self.teller, self._search, self._stop, hear)
        return self._result(*best[0])

    def _search(self) -> None:
        """Tell of ever better boxes; or of the fullest of the largest, where the number is out of reach."""
        if not self.round and not self.fixed and len(self.base.masters) == 1:
            self._from_rows()
        if self.best is None:
            self._grow()
        if self.best is not None:
            self._shrink()
        else:
            self._fill_the_largest()

    def _result(self, project: Project, reached: bool) -> SizeResult:
        count, ml = len(project.cavities), volumes(project).net_ml
        return SizeResult(project, count, ml, self.rounds, self.stopped, reached)

    def _stop(self) -> bool:
        self.stopped = self.stopped or self.ask_stop()
        return self.stopped

    def _take(self, project: Project) -> bool:
        """Keep a layout, its box drawn tight round it, if it's legal and takes less silicone than the best."""
        shape = self._tight(project)
        if shape is None:
            return False
        moved = self._moved(project, shape)
        ml = volumes(moved).net_ml
        if ml >= self.best_ml - 1e-9 or not is_legal(moved):
            return False
        self.best, self.best_ml = moved, ml
        self.teller.tell((moved, True))
        return True

    def _from_rows(self) -> None:
        if not Kernels().wait(self._halted):
            return
        for places in row_layouts(self.base, self.base.masters[0], self.wanted, self._may_beat):
            layout = at_allowed_turns(self.base, places)
            if layout:
                self._take(laid(self.base, layout))
            if self._halted():
                return

    def _may_beat(self, length: float, width: float) -> bool:
        """Return whether a box round a layout of this extent is allowed and smaller than the best."""
        edge = self.base.rules.edge_mm
        shape = self._rect(length + 2.0 * edge, width + 2.0 * edge)
        return shape is not None and (
            self.best is None or inner_area_mm2(shape) < inner_area_mm2(self.best.box.shape) * (1.0 - 1e-9)
        )

    # ---------------------------------------------------------------------------------------------------- by filling

    def _fill(self, shape: BoxShape, rounds: int = _ROUNDS_A_FILL) -> bool:
        """Fill a box; return whether it holds the wanted number with less silicone than the best."""
        project = edits.set_box(self.base, replace(self.base.box, shape=shape))
        if upper_bound_mixed(project, project.masters) < self.wanted:
            return False
        self.rounds += 1
        options = FillOptions(rounds=rounds, seed=self.options.seed + self.rounds, most=self.wanted)
        found = fill(project, options, should_stop=self._halted)
        return found.count >= self.wanted and self._take(found.project)

    def _families(self) -> list[_Family]:
        if self.round:
            return [_Family(self._tube)]
        if self.options.proportion:
            a, b = self.options.proportion
            return [_Family(self._by_proportion(a / b))]
        shares = list(_PROPORTIONS)
        if self.best is not None:
            length, width = inner_size_mm(self.best.box.shape)
            shares = [length / width, 1.03 * length / width, 0.97 * length / width, *shares]
        families = [_Family(self._by_proportion(share)) for share in shares]
        if self.options.max_length_mm:
            families.append(_Family(self._by_length(self.options.max_length_mm)))
        if self.options.max_width_mm:
            families.append(_Family(self._by_width(self.options.max_width_mm)))
        return families

    def _grow(self) -> None:
        """Find a first box by filling larger and larger ones."""
        area = self._least_area()
        families = self._families()
        # a mixed box is searched long: a first one comes from the strips alone
        rounds = _ROUNDS_A_FILL if len(self.base.masters) == 1 else 0
        for _ in range(60):
            shapes = [s for s in (f.box_of_area(area) for f in families) if s is not None]
            if not shapes and area > LONGEST_LENGTH_MM**2:
                return
            for shape in shapes[:3]:
                if self._halted() or self._fill(shape, rounds):
                    return
            if not any(f.box_of_area(area * 1.08) for f in families):
                return
            area *= 1.08

    def _least_area(self) -> float:
        """Return an area at which the bound allows the wanted number at least in one family, mm2."""
        families = self._families()
        # no box is smaller than the parts in it
        area = self.wanted * min(footprint_area_mm2(m.footprint) for m in self.base.masters)
        while area < LONGEST_LENGTH_MM**2:
            for shape in (f.box_of_area(area) for f in families):
                if shape is not None:
                    project = edits.set_box(self.base, replace(self.base.box, shape=shape))
                    if upper_bound_mixed(project, project.masters) >= self.wanted:
                        return area * 1.05
            area *= 1.1
        return area

    def _shrink(self) -> None:
        """Fill boxes a little smaller than the best, the most hopeful families first, until none gets smaller."""
        families = self._families()
        while families and not self._halted():
            if self.most_rounds is not None and self.rounds >= self.most_rounds:
                return
            family = max(families, key=lambda f: f.cut)
            assert self.best is not None
            shape = family.box_of_area(inner_area_mm2(self.best.box.shape) * (1.0 - family.cut))
            if shape is not None and self._fill(shape):
                continue
            family.cut /= 2.0
            if shape is None or family.cut < _LAST_CUT:
                families.remove(family)

    def _fill_the_largest(self) -> None:
        """Fill the largest box allowed, if any is the largest, and tell of it where it holds more than before."""
        length = self.options.max_length_mm or math.inf
        width = self.options.max_width_mm or math.inf
        shape: BoxShape = RoundBox(min(length, width)) if self.round else RectBox(length, width)
        if self.options.proportion and not self.round:
            a, b = self.options.proportion
            scale = min(length / a, width / b)
            shape = RectBox(a * scale, b * scale)
        if self._halted() or not math.isfinite(inner_area_mm2(shape)):
            return
        project = edits.set_box(self.base, replace(self.base.box, shape=shape))
        options = FillOptions(rounds=_ROUNDS_A_FILL, seed=self.options.seed, most=self.wanted)

        def tell(found: Progress) -> None:
            if found.count > len(self.given.cavities):
                self.teller.tell((found.project, False))

        fill(project, options, tell, self._halted)

    # --------------------------------------------------------------------------------------------------------- shapes

    def _tube(self, area: float) -> BoxShape | None:
        diameter = rounded_up_mm(math.sqrt(area * 4.0 / math.pi))
        most = min(self.options.max_length_mm or math.inf, self.options.max_width_mm or math.inf)
        return RoundBox(diameter) if diameter <= most else None

    def _rect(self, length: float, width: float) -> RectBox | None:
        """Return the smallest allowed box that is at least so large; None if the limits forbid it."""
        if self.options.proportion:
            a, b = self.options.proportion
            scale = max(length / a, width / b)
            length, width = a * scale, b * scale
        shape = RectBox(rounded_up_mm(length), rounded_up_mm(width))
        too_long = shape.length_mm > (self.options.max_length_mm or LONGEST_LENGTH_MM) + STEP_MM
        too_wide = shape.width_mm > (self.options.max_width_mm or LONGEST_LENGTH_MM) + STEP_MM
        return None if too_long or too_wide else shape

    def _by_proportion(self, share: float) -> Callable[[float], BoxShape | None]:
        return lambda area: self._rect(math.sqrt(area * share), math.sqrt(area / share))

    def _by_length(self, length: float) -> Callable[[float], BoxShape | None]:
        return lambda area: self._rect(length, area / length)

    def _by_width(self, width: float) -> Callable[[float], BoxShape | None]:
        return lambda area: self._rect(area / width, width)

    def _tight(self, project: Project) -> BoxShape | None:
        """Return the smallest allowed box of the kind round a layout; None if it's too large."""
        edge = self.base.rules.edge_mm
        if self.round:
            return self._tight_tube(project)
        bounds = np.array([p.bounds for p in placed_cavities(project).values()])
        if not self.fixed:
            length = float(bounds[:, 2].max() - bounds[:, 0].min()) + 2.0 * edge
            width = float(bounds[:, 3].max() - bounds[:, 1].min()) + 2.0 * edge
            return self._rect(length, width)
        ends = np.array([placed_keep_out(k).bounds for k in project.keep_outs]).reshape(-1, 4)
        length = max(float(bounds[:, 2].max()) + edge, float(ends[:, 2].max(initial=0.0)))
        width = max(float(bounds[:, 3].max()) + edge, float(ends[:, 3].max(initial=0.0)))
        return self._rect(length, width)

    def _tight_tube(self, project: Project) -> BoxShape | None:
        if self.fixed:
            return project.box.shape
        _, radius = circle_round(project)
        return self._tube(math.pi * (radius + self.base.rules.edge_mm) ** 2)

    def _moved(self, project: Project, shape: BoxShape) -> Project:
        """Return a layout in its tight box, in the middle of what room is left."""
        project = edits.set_box(project, replace(project.box, shape=shape))
        if self.fixed:
            return project
        length, width = inner_size_mm(shape)
        if self.round:
            (x, y), _ = circle_round(project)
        else:
            bounds = np.array([p.bounds for p in placed_cavities(project).values()])
            x = float(bounds[:, 0].min() + bounds[:, 2].max()) / 2.0
            y = float(bounds[:, 1].min() + bounds[:, 3].max()) / 2.0
        return edits.move_cavities(project, [c.id for c in project.cavities], length / 2.0 - x, width / 2.0 - y)
