"""A fill as a background job: the best layout so far on the canvas, one undo step at the end."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.canvas.desk import Desk, Preview
from app.jobs import Control, Jobs
from app.pages.laying.readings import Bound
from app.words import said, tr

if TYPE_CHECKING:
    from layout.model import Project


class FillJob(QObject):
    """Starts fills and shows them; the project can't be edited meanwhile, stopping it can.

    Signals
    -------
    found(str)
        What there is so far, in words.
    ended(str)
        What came out, in a sentence.
    bound_known(Bound)
        How many can fit at most.
    """

    found = Signal(str)
    ended = Signal(str)
    bound_known = Signal(object)

    def __init__(self, desk: Desk, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._jobs = desk, jobs
        self._base: Project | None = None
        self._no_more = False
        self.bound: Bound | None = None

    def start(self, seconds: float, no_more: bool = False) -> bool:
        """Fill the box for as long as this, or with no more than is wanted; return whether it began."""
        base = self._desk.project

        def work(control: Control) -> object:
            from layout.fill.asked import fill_as_asked
            from layout.fill.fill import FillOptions

            options = FillOptions(seconds=seconds)
            return fill_as_asked(base, options, control.report, control.should_stop, no_more=no_more)

        if self._jobs.is_busy:
            return False
        # before the start: a fill that is done at once ends within it
        self._base, self._no_more = base, no_more
        return self._jobs.start(tr("Filling the box"), work, self._finish, self._progress, seconds)

    def _progress(self, progress: object) -> None:
        from layout.fill.fill import Progress

        if isinstance(progress, Progress) and self._is_same_mold():
            self._desk.show(Preview(progress.project))
            if self.bound is not None and self.bound.project is self._base:
                so_far = tr("{n} placed; nobody can place more than {most}", n=progress.count, most=self.bound.most)
                self.found.emit(so_far)
            else:
                self.found.emit(tr("{n} placed", n=progress.count))

    def _finish(self, result: object) -> None:
        from layout.fill.fill import FillResult

        if not isinstance(result, FillResult):
            return
        if not self._is_same_mold():
            self.ended.emit(tr("What the fill found is left out: its box or parts were changed meanwhile."))
            return
        from layout.fill.asked import met, outcome_sentence

        now = self._desk.project
        # materials and the order may have been changed meanwhile, on another page
        filled = replace(now, cavities=result.project.cavities, pour_order=result.project.pour_order)
        kept = len(now.cavities)
        before, after = (met(now), kept), (met(filled), result.count)
        worse = after[0] < before[0] if self._no_more else after < before
        if worse and not self._breaks_rules():
            # a search that was stopped at once must not throw away what was there
            self._desk.show(None)
            self.ended.emit(tr("Nothing better than the {n} cavities there are was found.", n=kept))
        else:
            self._desk.selection.clear()
            self._desk.commit(tr("Fill the box"), filled)
            outcome = said(outcome_sentence(filled))
            self.ended.emit(outcome or _outcome(result.count, result.upper_bound, result.proved_best))
        self.bound_known.emit(Bound(self._desk.project, result.upper_bound))
        self._base = None

    def _is_same_mold(self) -> bool:
        """Whether what a fill looks at is as it was when this one began."""
        base, now = self._base, self._desk.project
        return base is not None and (base.box, base.masters, base.rules, base.cavities, base.keep_outs) == (
            now.box, now.masters, now.rules, now.cavities, now.keep_outs,
        )  # fmt: skip

    def _breaks_rules(self) -> bool:
        from layout.checks import is_legal

        return not is_legal(self._desk.project)


def _outcome(count: int, most: int, proved: bool) -> str:
    if proved:
        return tr("{n} placed; this is the most possible.", n=count)
    return tr("{n} placed; nobody can place more than {most}.", n=count, most=most)


class BoundJob(QObject):
    """Works out how many can fit at most, while nothing else is to do; the last project asked for wins.

    Signals
    -------
    known(Bound)
    """

    known = Signal(object)

    def __init__(self, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._busy_elsewhere = jobs
        self._own = Jobs(self)
        self._wanted: Project | None = None
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(700)
        self._wait.timeout.connect(self._start)

    def ask(self, project: Project) -> None:
        """Ask for the limit of this project, soon."""
        self._wanted = project if project.masters else None
        self._wait.start()

    def close(self) -> None:
        """End the thread."""
        self._wait.stop()
        self._own.close()

    def _start(self) -> None:
        project = self._wanted
        if project is None:
            return
        if self._own.is_busy or self._busy_elsewhere.is_busy:
            self._wait.start()
            return

        def work(_control: Control) -> Bound:
            from layout import edits
            from layout.fill.asked import to_place
            from layout.fill.bounds import upper_bound_mixed

            free = [c.id for c in project.cavities if not c.pinned]
            masters = to_place(project) or project.masters
            return Bound(project, upper_bound_mixed(edits.remove_cavities(project, free), masters))

        self._own.start("", work, self._done)

    def _done(self, bound: Bound) -> None:
        if bound.project is self._wanted:
            self.known.emit(bound)
        else:
            self._wait.start()
