"""What a fill is asked for: which masters it places, how many of each, in a sentence before and in one after."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from layout import edits
from layout.errors import BadValueError
from layout.fill.fill import DEFAULT_ROUNDS, FillOptions, FillResult, Progress, fill
from layout.model import Cavity, Master, Project

LEFT_OUT: Final = 0
"""The wanted number of a master that stays on the shelf."""


def to_place(project: Project) -> tuple[Master, ...]:
    """Return the masters that a fill places: all that are not left out."""
    return tuple(m for m in project.masters if m.wanted != LEFT_OUT)


def asks_for_numbers(project: Project) -> bool:
    """Return whether every master that a fill places has a wanted number, so that there is an end to it."""
    masters = to_place(project)
    return bool(masters) and all(m.wanted is not None for m in masters)


def met(project: Project) -> int:
    """Return how many of the wanted numbers' cavities are in the box."""
    counts = Counter(c.master for c in project.cavities)
    return sum(min(counts[m.id], m.wanted) for m in project.masters if m.wanted is not None)


def is_met(project: Project) -> bool:
    """Return whether every wanted number is in the box."""
    return met(project) == sum(m.wanted for m in project.masters if m.wanted is not None)


def only(project: Project, master: Master) -> Project:
    """Return the project with one master to be filled with, as many as fit, and all others left out."""
    return _with_wanted(project, {m.id: None if m.id == master.id else LEFT_OUT for m in project.masters})


def all_alike(project: Project) -> Project:
    """Return the project with as many as fit of every master, the same number of each."""
    return _with_wanted(project, dict.fromkeys((m.id for m in project.masters), None))


def _with_wanted(project: Project, wanted: dict[str, int | None]) -> Project:
    for master in project.masters:
        if master.wanted != wanted[master.id]:
            project = edits.replace_master(project, replace(master, wanted=wanted[master.id]))
    return project


def fill_as_asked(
    project: Project,
    options: FillOptions,
    on_progress: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
    *,
    no_more: bool = False,
) -> FillResult:
    """Fill a box: the wanted numbers first, then filled up, or no more than they.

    Parameters
    ----------
    project, options, on_progress, should_stop
        As in `fill`.
    no_more : bool
        End when the wanted numbers are there and leave no more in the box; for that every master needs one.

    Raises
    ------
    BadValueError
        As in `fill`, and where ``no_more`` is asked and a master has no wanted number.
    """
    if not no_more:
        return fill(project, options, on_progress, should_stop)
    endless = [m.name for m in to_place(project) if m.wanted is None]
    if endless:
        raise BadValueError("fill", f"as many {endless[0]} as fit are wanted", "give a number of each master first")
    if options.rounds is None and options.seconds is None and should_stop is None:
        # the question asked below is one that may never be answered by yes
        options = replace(options, rounds=DEFAULT_ROUNDS)
    done = False

    def look(progress: Progress) -> None:
        nonlocal done
        done = done or is_met(progress.project)
        trimmed = without_surplus(progress.project)
        if on_progress:
            on_progress(replace(progress, project=trimmed, count=len(trimmed.cavities)))

    result = fill(project, options, look, lambda: done or (should_stop is not None and should_stop()))
    after = without_surplus(result.project)
    best = result.proved_best and len(after.cavities) == result.count
    return replace(
        result,
        project=after,
        count=len(after.cavities),
        proved_best=best,
        stopped_early=result.stopped_early and not done,
    )


def without_surplus(project: Project) -> Project:
    """Return the project without the cavities over the wanted numbers: the farthest from the near left corner go."""
    surplus: list[Cavity] = []
    for master in project.masters:
        if master.wanted:
            free = [c for c in project.cavities if c.master == master.id and not c.pinned]
            pinned = sum(c.master == master.id and c.pinned for c in project.cavities)
            free.sort(key=lambda c: (c.y_mm, c.x_mm))
            surplus += free[max(0, master.wanted - pinned) :]
    return edits.remove_cavities(project, [c.id for c in surplus])


def asked_sentence(project: Project) -> str:
    """Return what a fill of this project will do; empty where there is but one master and nothing asked of it."""
    masters = to_place(project)
    if not masters:
        return "No master is to be filled with: all are left out." if project.masters else ""
    if len(project.masters) == 1 and masters[0].wanted is None:
        return ""
    numbered = ", ".join(f"{m.wanted} x {m.name}" for m in masters if m.wanted is not None)
    open_ended = ", ".join(m.name for m in masters if m.wanted is None)
    kinds = sum(m.wanted is None for m in masters)
    sentence = _sentence(numbered, len(masters) - kinds, open_ended, kinds)
    out = ", ".join(m.name for m in project.masters if m.wanted == LEFT_OUT)
    return f"{sentence} Left out: {out}." if out else sentence


def _sentence(numbered: str, kinds_numbered: int, open_ended: str, kinds: int) -> str:
    if not open_ended:
        if kinds_numbered == 1:
            return f"A fill puts in {numbered}, then as many more as fit."
        return f"A fill puts in {numbered}, then as many more as fit, in the same proportion."
    if kinds == 1:
        return (
            f"A fill puts in {numbered}, then as many {open_ended} as fit."
            if numbered
            else (f"A fill puts in as many {open_ended} as fit.")
        )
    alike = f"as many as fit, the same number of each: {open_ended}."
    return f"A fill puts in {numbered}, then {alike}" if numbered else f"A fill puts in {alike}"


def outcome_sentence(project: Project) -> str:
    """Return what is there of the wanted numbers; empty without any."""
    counts = Counter(c.master for c in project.cavities)
    asked = [m for m in to_place(project) if m.wanted is not None]
    if not asked:
        return ""
    if is_met(project):
        listed = ", ".join(f"{counts[m.id]} x {m.name}" for m in project.masters if counts[m.id])
        if any(counts[m.id] > (m.wanted or 0) for m in asked):
            return f"All that is wanted is in the box, and more: {listed}."
        return f"All that is wanted is in the box: {listed}."
    short = ", ".join(f"{counts[m.id]} of {m.wanted} {m.name}" for m in asked if counts[m.id] < (m.wanted or 0))
    return f"Not all that is wanted was placed: {short}."
