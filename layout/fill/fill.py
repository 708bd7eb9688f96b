"""The face of the fill: runs the methods one after the other, keeps the best legal layout, puts a bound beside it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Final

from layout import edits
from layout.errors import BadValueError
from layout.fill.aside import Teller, run_aside
from layout.fill.bounds import upper_bound_mixed
from layout.fill.compiled import made_ready
from layout.fill.discs import disc_lattices, disc_rounds
from layout.fill.insertion import inserted
from layout.fill.mixed import MixedSearch, mixed_rounds, mixed_strips, warm_mixed
from layout.fill.pairs import Pairs
from layout.fill.rectangles import rectangle_rounds
from layout.fill.room import room_of
from layout.fill.rows import tables_of
from layout.fill.search import NO_LIMIT, Place, Search, Task, in_pouring_order, in_the_middle, legal_part
from layout.fill.stacking import Rows
from layout.fill.warm import DISCS, SQUEEZE, Kernels
from layout.model import Project

DEFAULT_ROUNDS: Final = 40
"""Rounds of a fill that is told neither rounds nor when to stop."""

PIECES_BEFORE_BOUND: Final = 12
"""After so many pieces of work without a layout the bound is asked whether any cavity fits at all."""

DISC_ROUNDS: Final = 12
"""Descents of the discs' own method between two rounds of the others."""


@dataclass(frozen=True, slots=True)
class FillOptions:
    """What the user asks of a fill.

    Parameters
    ----------
    seconds : float or None
        How long it may take. The caller makes ``should_stop`` say so: nothing here reads a clock.
    rounds : int or None
        Rounds of improvement after the rows, in place of seconds: the same layout on every machine and run. 0: rows
        alone.
    seed : int
        Another seed, another search.
    most : int or None
        No more cavities than this in the box, pinned ones included.
    """

    seconds: float | None = None
    rounds: int | None = None
    seed: int = 0
    most: int | None = None


@dataclass(frozen=True, slots=True)
class Progress:
    """How a fill is doing.

    Parameters
    ----------
    project : Project
        With the best layout so far.
    count : int
        Its cavities, pinned ones included.
    method : str
        What found it.
    rounds : int
        Rounds done.
    """

    project: Project
    count: int
    method: str
    rounds: int


@dataclass(frozen=True, slots=True)
class FillResult:
    """What a fill found.

    Parameters
    ----------
    project : Project
        With the cavities in it; legal wherever the pinned cavities were.
    count : int
        Cavities in the box, pinned ones included.
    upper_bound : int
        No legal layout with these pinned cavities has more; proven.
    method : str
        What found the layout: ``rows``, ``squeeze``, ...; ``pinned`` if nothing could be added.
    rounds : int
        Rounds of improvement done.
    seed : int
    proved_best : bool
        The count equals the bound.
    stopped_early : bool
        ``should_stop`` ended it.
    """

    project: Project
    count: int
    upper_bound: int
    method: str
    rounds: int
    seed: int
    proved_best: bool
    stopped_early: bool


def fill(
    project: Project,
    options: FillOptions | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> FillResult:
    """Return the project with as many cavities in its box as could be found.

    Parameters
    ----------
    project : Project
        Pinned cavities stay; the others are replaced. A master whose wanted number is 0 is left out.
    options : FillOptions, optional
    on_progress : callable, optional
        Called with every better layout, in the caller's thread.
    should_stop : callable, optional
        Asked in the caller's thread some thirty times a second, whatever is being worked on; once True the best layout
        so far is returned.

    Raises
    ------
    BadValueError
        If there is no master to fill with, or an option makes no sense.
    """
    options = options or FillOptions()
    _require(project, options)
    run = _Run(project, options, on_progress, should_stop)
    return run.result()


def _require(project: Project, options: FillOptions) -> None:
    if not project.masters:
        raise BadValueError("fill", "the project has no master to fill the box with", "add a master first")
    if all(m.wanted == 0 for m in project.masters):
        raise BadValueError("fill", "every master is left out", "give one a number above 0, or none")
    if options.rounds is not None and options.rounds < 0:
        raise BadValueError("--rounds", f"{options.rounds} is below 0", "give a whole number from 0 up")
    if options.most is not None and options.most < 0:
        raise BadValueError("--most", f"{options.most} is below 0", "give a whole number from 0 up")


@dataclass(frozen=True, slots=True)
class _Found:
    """A better layout, as the search tells of it."""

    places: tuple[Place, ...]
    method: str
    rounds: int


class _Run:
    """One fill: its base project, its search, its count of rounds."""

    def __init__(
        self,
        project: Project,
        options: FillOptions,
        on_progress: Callable[[Progress], None] | None,
        should_stop: Callable[[], bool] | None,
    ) -> None:
        free = [c for c in project.cavities if not c.pinned]
        self.masters = tuple(m for m in project.masters if m.wanted != 0)
        placed = {m.id for m in self.masters}
        self.before: tuple[Place, ...] = tuple(
            (c.master, c.x_mm, c.y_mm, c.angle_deg) for c in free if c.master in placed
        )
        self.base = edits.remove_cavities(project, [c.id for c in free])
        self.options = options
        self.on_progress = on_progress
        self.ask_stop = should_stop or (lambda: False)
        self.stopped = False
        self.rounds = 0
        self.pinned = len(self.base.cavities)
        self.teller: Teller[_Found] = Teller()
        self.best = _Found((), "", 0)
        self.search = self._new_search()
        self.bound = NO_LIMIT
        endless = options.rounds is None and (options.seconds is not None or should_stop is not None)
        self.most_rounds = None if endless else DEFAULT_ROUNDS if options.rounds is None else options.rounds

    def _new_search(self) -> Search:
        most = NO_LIMIT if self.options.most is None else max(0, self.options.most - self.pinned)
        task = Task(self.base, self.masters[0], most)
        stop, seed = self.teller.should_stop, self.options.seed
        if len(self.masters) == 1:
            return Search(task, stop, seed, self._better)
        return MixedSearch(task, stop, seed, self._better, masters=self.masters)

    # ---------------------------------------------------------------------------------------- in the caller's thread

    def result(self) -> FillResult:
        run_aside(self.teller, self._search_on, self._stop, self._heard)
        bound = self.bound
        if bound == NO_LIMIT:
            bound = max(self.pinned, upper_bound_mixed(self.base, self.masters, quick=True))
        found, method = self.best.places, self.best.method
        judge = self._new_search()
        # a fill that was stopped at once must not throw away the better layout that was there; what was found has
        # been admitted already, and judging it again would take a tenth of a second with thousands of parts
        if judge.score_of(self.before) > judge.score_of(found):
            judge.offer(legal_part(self.base, self.before), "as it was")
            if judge.score_of(judge.best) > judge.score_of(found):
                found, method = judge.best, judge.method
        project = edits.add_cavities(self.base, found)[0]
        if found != self.before:
            project = in_the_middle(project)
        count = self.pinned + len(found)
        return FillResult(
            project, count, bound, method or "pinned", self.rounds, self.options.seed, count >= bound,
            self.stopped,
        )  # fmt: skip

    def _stop(self) -> bool:
        self.stopped = self.stopped or self.ask_stop()
        return self.stopped

    def _heard(self, found: _Found) -> None:
        self.best = found
        if self.on_progress:
            project = in_the_middle(edits.add_cavities(self.base, found.places)[0])
            self.on_progress(Progress(project, self.pinned + len(found.places), found.method, found.rounds))

    # --------------------------------------------------------------------------------------- in the search's own thread

    def _better(self, places: tuple[Place, ...], method: str) -> None:
        self.teller.tell(_Found(in_pouring_order(self.base, places), method, self.rounds))

    def _search_on(self) -> None:
        for piece, _ in enumerate(self._work()):
            # a first layout comes before the bound, which may take a moment
            if self.bound == NO_LIMIT and (self.search.count or piece == PIECES_BEFORE_BOUND):
                self.bound = max(self.pinned, upper_bound_mixed(self.base, self.masters))
            if self._enough() or self.teller.stopped:
                break
        if self.bound == NO_LIMIT and not self.teller.stopped:
            self.bound = max(self.pinned, upper_bound_mixed(self.base, self.masters))

    def _enough(self) -> bool:
        return self.search.count >= min(self.search.task.most, self.bound - self.pinned)

    def _work(self) -> Iterator[None]:
        if isinstance(self.search, MixedSearch):
            yield from self._mixed(self.search)
            return
        task = self.search.task
        tables = tables_of(task.master.footprint, task.project.rules.wall_mm)
        part = tables.nofit.part
        rows = Rows(self.search, part, room_of(task, part), tables)
        kernels = Kernels.of(task)
        try:
            with Pairs(self.teller.should_stop) as pairs:
                yield from self._with_pairs(rows, pairs, kernels)
        finally:
            kernels.close()

    def _mixed(self, search: MixedSearch) -> Iterator[None]:
        yield from mixed_strips(search)
        if self.most_rounds == 0 or not made_ready(warm_mixed, self.teller.should_stop):
            return
        with Pairs(self.teller.should_stop) as pairs:
            for _ in mixed_rounds(search, pairs):
                self.rounds += 1
                yield
                if self.most_rounds is not None and self.rounds >= self.most_rounds:
                    return

    def _with_pairs(self, rows: Rows, pairs: Pairs, kernels: Kernels) -> Iterator[None]:
        wait = self.options.rounds is not None
        yield from _in_turn(
            disc_lattices(self.search), rows.run(kernels, wait, pairs), rectangle_rounds(self.search, wait)
        )
        if not rows.room.plain:
            # rows are laid for an empty rectangle
            yield from inserted(self.search, lambda: self.masters)
        if self.most_rounds == 0:
            return
        discs = disc_rounds(self.search)
        if kernels.for_discs and not wait and kernels.wait(self.teller.should_stop, DISCS):
            # a new user's machine compiles the squeeze meanwhile
            while not kernels.ready(SQUEEZE) and next(discs, True) is None:
                yield
        if not kernels.wait(self.teller.should_stop, SQUEEZE):
            return
        # numba comes with this: only now, so that the first layouts come at once
        from layout.fill.rounds import Rounds

        rounds = Rounds(rows, pairs)
        for _ in rounds.run():
            for _ in islice(discs, DISC_ROUNDS):
                yield
            self.rounds = rounds.done
            yield
            if self.most_rounds is not None and self.rounds >= self.most_rounds:
                return


def _in_turn(*works: Iterator[None]) -> Iterator[None]:
    """Do a piece of each work in turn until all are done."""
    alive = list(works)
    while alive:
        for work in tuple(alive):
            try:
                next(work)
            except StopIteration:
                alive.remove(work)
            yield
