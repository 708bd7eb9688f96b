"""The batch log read: mold life, yield and the cavities that fail, each with the number of observations."""

import math
from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from layout.model import CavityId, LogEntry, Project
from layout.units import counted

DEFAULT_YIELD: Final = 0.97
DEFAULT_LIFE: Final = 40
LEAST_CASTS_TO_LEARN_YIELD: Final = 3
"""Fewer casts say little. Common practice, no source."""
EARLY_SHARE: Final = 0.5
"""A single mold retired before this share of the usual life is taken for torn, not worn. Common practice, no source."""
BAD_SHARE: Final = 0.2
"""A cavity that fails in this share of the casts it was in, at least twice, is bad. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Learned:
    """A value and where it comes from.

    Parameters
    ----------
    value : float
    observations : int
        0: a default.
    source : str
        One sentence for the screen.
    """

    value: float
    observations: int
    source: str


@dataclass(frozen=True, slots=True)
class MoldUse:
    """One mold of the log.

    Parameters
    ----------
    casts : int
    retired : bool
    share : float
        Casts used of the life expected.
    """

    mold: str
    casts: int
    retired: bool
    share: float


@dataclass(frozen=True, slots=True)
class BadCavity:
    """A cavity that keeps failing, how often, in how many casts, and the causes."""

    cavity: CavityId
    failed: int
    casts: int
    causes: tuple[str, ...]


def _casts(project: Project) -> list[LogEntry]:
    return [e for e in project.log if e.what == "cast"]


def casts_by_mold(project: Project) -> dict[str, int]:
    """Return how often each mold was cast."""
    return dict(Counter(e.mold for e in _casts(project)))


def retired_molds(project: Project) -> set[str]:
    """Return the molds that were taken out of use."""
    return {e.mold for e in project.log if e.retired}


def mold_life_of(project: Project) -> Learned:
    """Return the casts a mold lasts.

    Notes
    -----
    The mean over retired molds, rounded down. A mold still at work only says that it lasts at least so long: it counts
    where it has passed that mean. Without a retired mold the usual life stands, so that a mold past it is looked at; so
    it does with a single one retired before half of it: a mold that tore early says nothing of those that wear out.
    """
    counts = casts_by_mold(project)
    retired = retired_molds(project)
    worn = [counts.get(m, 0) for m in retired if counts.get(m, 0) > 0]
    default = project.resin.mold_life or DEFAULT_LIFE
    if len(worn) == 1 and worn[0] < EARLY_SHARE * default:
        early = f"one mold was retired after {counted(worn[0], 'cast')}, too early to tell from it alone"
        return Learned(default, 0, f"{counted(int(default), 'cast')} a mold, the usual value; {early}")
    if worn:
        passed = [n for m, n in counts.items() if m not in retired and n > sum(worn) / len(worn)]
        seen = worn + passed
        mean = math.floor(sum(seen) / len(seen))
        return Learned(
            mean, len(seen), f"{counted(mean, 'cast')} a mold, learned from {counted(len(seen), 'mold')} in the log"
        )
    of = f"the usual value of {project.resin.name}" if project.resin.mold_life else "common practice"
    return Learned(default, 0, f"{counted(int(default), 'cast')} a mold, {of}; the log holds no worn mold yet")


def mold_life(project: Project) -> int:
    """Return the casts of one mold: the order's, else the log's, else the resin's, else 40."""
    return project.order.mold_life or int(mold_life_of(project).value)


def good_share(project: Project) -> float:
    """Return good parts of those cast: the order's, else the log's, else 0.97."""
    return yield_of(project).value if project.order.yield_share is None else project.order.yield_share


def yield_of(project: Project) -> Learned:
    """Return good parts of those cast: all casts of the log together, else 0.97."""
    casts = [e for e in _casts(project) if e.good + e.scrap > 0]
    if len(casts) < LEAST_CASTS_TO_LEARN_YIELD:
        return Learned(DEFAULT_YIELD, 0, f"97 %, common practice; the log holds {counted(len(casts), 'counted cast')}")
    good, all_parts = sum(e.good for e in casts), sum(e.good + e.scrap for e in casts)
    share = max(good / all_parts, 0.01)
    return Learned(share, len(casts), f"{100 * share:.1f} %, learned from {counted(len(casts), 'cast')} in the log")


def mold_use(project: Project) -> tuple[MoldUse, ...]:
    """Return every mold of the log with the share of its life used, in the order of the log."""
    life, counts, retired = mold_life(project), casts_by_mold(project), retired_molds(project)
    names = dict.fromkeys(e.mold for e in project.log if e.mold)
    return tuple(MoldUse(m, counts.get(m, 0), m in retired, counts.get(m, 0) / life) for m in names)


def bad_cavities(project: Project) -> tuple[BadCavity, ...]:
    """Return the cavities that keep failing, the worst first."""
    failed: Counter[CavityId] = Counter()
    causes: dict[CavityId, Counter[str]] = defaultdict(Counter)
    casts = len(_casts(project))
    for entry in _casts(project):
        for cavity, cause in entry.bad_cavities:
            failed[cavity] += 1
            causes[cavity][cause] += 1
    present = {c.id for c in project.cavities}
    found = [
        BadCavity(cavity, n, casts, tuple(c for c, _ in causes[cavity].most_common()))
        for cavity, n in failed.most_common()
        if n >= 2 and n >= BAD_SHARE * casts and cavity in present
    ]
    return tuple(found)


def log_doubts(project: Project) -> tuple[str, ...]:
    """Return what can't be right in the log, a sentence each, with the number of its line."""
    cavities = sum(not c.empty for c in project.cavities)
    said = []
    for line, entry in enumerate(project.log, start=1):
        made = entry.good + entry.scrap
        if entry.what == "cast" and cavities and made > cavities:
            said.append(f"Line {line}: {made} parts of one cast, but the layout has {counted(cavities, 'cavity')}.")
        if entry.what == "cast" and len(entry.bad_cavities) > entry.scrap:
            said.append(f"Line {line}: {counted(len(entry.bad_cavities), 'failed cavity')}, but {entry.scrap} scrap.")
        if entry.when and not _is_date(entry.when):
            said.append(f"Line {line}: {entry.when!r} is no date; write year-month-day.")
        if entry.pot_life_min is not None and entry.pot_life_min <= 0.0:
            said.append(f"Line {line}: a pot life of 0 is left out of account.")
    return tuple(said)


def _is_date(text: str) -> bool:
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return True
