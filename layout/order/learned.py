"""What the batch log teaches: mold life, yield, pot life and the cavities that fail, each with its observations."""

import math
from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from typing import Final

from layout.model import CavityId, Finding, LogEntry, Project, Severity
from layout.pour.time import pot_life_min, temperature_factor

DEFAULT_YIELD: Final = 0.97
DEFAULT_LIFE: Final = 40
LEAST_CASTS_TO_LEARN_YIELD: Final = 3
"""Fewer casts say little. Common practice, no source."""
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


def mold_life_of(project: Project) -> Learned:
    """Return the casts a mold lasts.

    Notes
    -----
    The mean over retired molds, rounded down. A mold still at work only says that it lasts at least so long: it counts
    where it has passed that mean or the default.
    """
    counts = casts_by_mold(project)
    retired = {e.mold for e in project.log if e.retired}
    worn = [counts.get(m, 0) for m in retired if counts.get(m, 0) > 0]
    default = project.resin.mold_life or DEFAULT_LIFE
    if worn:
        passed = [n for m, n in counts.items() if m not in retired and n > sum(worn) / len(worn)]
        seen = worn + passed
        mean = math.floor(sum(seen) / len(seen))
        return Learned(mean, len(seen), f"{mean} casts a mold, learned from {_count(len(seen), 'mold')} in the log")
    best = max(counts.values(), default=0)
    if best > default:
        return Learned(best, 1, f"{best} casts a mold so far: a mold in the log has passed the usual {default}")
    of = f"the usual value of {project.resin.name}" if project.resin.mold_life else "common practice"
    return Learned(default, 0, f"{default} casts a mold, {of}; the log holds no worn mold yet")


def yield_of(project: Project) -> Learned:
    """Return good parts of those cast: all casts of the log together, else 0.97."""
    casts = [e for e in _casts(project) if e.good + e.scrap > 0]
    if len(casts) < LEAST_CASTS_TO_LEARN_YIELD:
        return Learned(DEFAULT_YIELD, 0, f"97 %, common practice; the log holds {_count(len(casts), 'counted cast')}")
    good, all_parts = sum(e.good for e in casts), sum(e.good + e.scrap for e in casts)
    share = max(good / all_parts, 0.01)
    return Learned(share, len(casts), f"{100 * share:.1f} %, learned from {_count(len(casts), 'cast')} in the log")


def pot_life_of(project: Project, what: str = "cast") -> Learned:
    """Return the pot life of the resin (``cast``) or the silicone (``pour``) at its reference temperature, minutes.

    Notes
    -----
    Each pot life in the log is brought to the reference temperature by the same rule as the pour sheet's, and the
    median is taken.
    """
    mix = project.resin if what == "cast" else project.silicone
    seen = sorted(
        e.pot_life_min / temperature_factor(e.temperature_c, mix.pot_life_at_c)
        for e in project.log
        if e.what == what and e.pot_life_min is not None and e.temperature_c is not None and e.pot_life_min > 0
    )
    if not seen:
        own = pot_life_min(mix, mix.pot_life_at_c)
        return Learned(own, 0, f"{own:.1f} min at {mix.pot_life_at_c:.0f} °C, from the material's entry")
    middle = len(seen) // 2
    value = seen[middle] if len(seen) % 2 else (seen[middle - 1] + seen[middle]) / 2.0
    return Learned(
        value, len(seen), f"{value:.1f} min at {mix.pot_life_at_c:.0f} °C, learned from {_count(len(seen), 'batch')}"
    )


def with_learned(project: Project) -> Project:
    """Return the project with the pot lives of its log in place of the data sheets', for planning."""
    changed = project
    for what, name in (("cast", "resin"), ("pour", "silicone")):
        known = pot_life_of(project, what)
        if known.observations:
            mix = project.resin if name == "resin" else project.silicone
            better = replace(mix, measured_pot_min=known.value, measured_pot_at_c=mix.pot_life_at_c)
            changed = replace(changed, resin=better) if name == "resin" else replace(changed, silicone=better)
    return changed


def mold_use(project: Project) -> tuple[MoldUse, ...]:
    """Return every mold of the log with the share of its life used, in the order of the log."""
    life = project.order.mold_life or max(1, int(mold_life_of(project).value))
    counts = casts_by_mold(project)
    retired = {e.mold for e in project.log if e.retired}
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


def log_findings(project: Project) -> tuple[Finding, ...]:
    """Return what the log warns of beside the life of molds, which the advice judges: cavities that keep failing."""
    found: list[Finding] = []
    for bad in bad_cavities(project):
        cause = f" ({', '.join(c for c in bad.causes if c)})" if any(bad.causes) else ""
        found.append(
            Finding("bad_cavity", Severity.WARN, (bad.cavity,), 100.0 * bad.failed / bad.casts, 100 * BAD_SHARE, "%",
                    detail=f"Cavity {bad.cavity} failed in {bad.failed} of {bad.casts} casts{cause}: plug it, or cut"
                    " the mold's next copy from another master.")
        )  # fmt: skip
    return tuple(found)


def _count(number: int, word: str) -> str:
    plural = "es" if word.endswith("ch") else "s"
    return f"1 {word}" if number == 1 else f"{number} {word}{plural}"
