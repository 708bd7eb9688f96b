"""What may be asked of `size`, what it answers, and how many of each part so many cavities are."""

import math
from dataclasses import dataclass, replace
from typing import Final

from layout import edits
from layout.errors import BadValueError
from layout.fill.mixed import MixedSearch
from layout.fill.search import Task
from layout.model import MasterId, Project, RectBox, RoundBox

MOST_CAVITIES: Final = 400


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
        Boxes filled, or some boxes pressed, after the rows: the same box on every machine; None: until told to stop, or
        `size_box.DEFAULT_ROUNDS`.
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
        Rounds of pressing and filling done after the rows.
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


def require(project: Project, cavities: int, options: SizeOptions) -> None:
    """Raise `BadValueError` if what is asked makes no sense."""
    if not project.masters:
        raise BadValueError("size", "the project has no master to size a box for", "add a master first")
    if not 1 <= cavities <= MOST_CAVITIES:
        raise BadValueError("--cavities", f"{cavities} is out of range", f"give 1 to {MOST_CAVITIES}")
    pinned = sum(1 for c in project.cavities if c.pinned)
    if cavities < pinned:
        raise BadValueError("--cavities", f"{pinned} cavities are pinned already", "unpin some, or ask for more")
    for value in (options.max_length_mm, options.max_width_mm, *(options.proportion or ())):
        if value is not None and not (math.isfinite(value) and value > 0.0):
            raise BadValueError("size", f"{value!r} is no size", "give lengths and proportions above 0")
    if options.proportion and not isinstance(project.box.shape, RectBox):
        what = "a round box has none" if isinstance(project.box.shape, RoundBox) else "a drawn outline keeps its own"
        raise BadValueError("--proportion", what, "leave it out")
    if options.rounds is not None and options.rounds < 0:
        raise BadValueError("--rounds", f"{options.rounds} is below 0", "give a whole number from 0 up")


def shares(project: Project, cavities: int) -> dict[MasterId, int]:
    """Return how many of each master so many cavities are: wanted numbers first, then equal shares.

    Parameters
    ----------
    project : Project
        With its pinned cavities only; they count, also those of masters that are left out. If all masters have wanted
        numbers, what is beyond them is shared in their proportion.
    """
    masters = tuple(m for m in project.masters if m.wanted != 0)
    if not masters:
        raise BadValueError("size", "every master is left out", "give one a number above 0, or none")
    search = MixedSearch(Task(project, masters[0]), lambda: False, masters=masters)
    counts = search.pinned | search.counts(())
    for _ in range(cavities - sum(counts.values())):
        counts[search.ranked(counts)[0].id] += 1
    return {master: count for master, count in counts.items() if count}


def with_wanted(project: Project, counts: dict[MasterId, int]) -> Project:
    """Return the project with wanted numbers that come to just these, for the fill; one part needs none."""
    if len(project.masters) == 1:
        return project
    for master in project.masters:
        if master.wanted != 0:
            project = edits.replace_master(project, replace(master, wanted=counts.get(master.id, 0)))
    return project
