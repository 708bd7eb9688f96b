"""The broken rules of the project on the desk: after a small change only what changed is judged anew."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from layout.checks import check_placed
from layout.regions import placed_cavities

if TYPE_CHECKING:
    from layout.geometry import Placed
    from layout.model import Cavity, CavityId, Finding, Project


class Judged:
    """Remembers where the last project's cavities stand and what is broken there."""

    def __init__(self) -> None:
        self._project: Project | None = None
        self._cavities: dict[CavityId, Cavity] = {}
        self._placed: dict[CavityId, Placed] = {}
        self._of: Project | None = None
        self._findings: tuple[Finding, ...] = ()

    def placed(self, project: Project) -> dict[CavityId, Placed]:
        """Return every cavity where the project has it, in its order; those that stay are not placed anew."""
        if self._project is not project:
            changed = _changed(self._project, self._cavities, project)
            new = placed_cavities(_only(project, changed)) if len(changed) < len(project.cavities) else None
            if new is None:
                self._placed = placed_cavities(project)
            else:
                self._placed = {c.id: new[c.id] if c.id in new else self._placed[c.id] for c in project.cavities}
            self._project, self._cavities = project, {c.id: c for c in project.cavities}
        return self._placed

    def findings(self, project: Project) -> tuple[Finding, ...]:
        """Return what `checks.check` returns of a project."""
        if self._of is not project:
            before = self._of
            was = {c.id: c for c in before.cavities} if before is not None else {}
            placed = self.placed(project)
            changed = _changed(before, was, project)
            in_order = [i for i in was if i in placed] == [i for i in placed if i in was]
            alike = before is not None and in_order and _same_rules(before, project)
            if not alike or 2 * len(changed) > len(placed):
                self._findings = check_placed(project, placed, placed)
            else:
                gone = was.keys() - placed.keys()
                kept = [f for f in self._findings if not (changed | gone).intersection(f.cavities)]
                found = check_placed(project, placed, changed) if changed else ()
                self._findings = _in_order(project, (*kept, *found))
            self._of = project
        return self._findings


def _only(project: Project, ids: set[CavityId]) -> Project:
    return replace(project, cavities=tuple(c for c in project.cavities if c.id in ids))


def _changed(before: Project | None, was: dict[CavityId, Cavity], project: Project) -> set[CavityId]:
    """Return the cavities that are other than before, or all if their masters are."""
    if before is None or before.masters is not project.masters:
        return {c.id for c in project.cavities}
    return {c.id for c in project.cavities if was.get(c.id) is not c}


def _same_rules(before: Project, project: Project) -> bool:
    return (before.rules, before.box.shape) == (project.rules, project.box.shape) and (
        before.keep_outs is project.keep_outs
    )


def _in_order(project: Project, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return findings as a check of all lists them: walls by their pair, then each cavity's box and keep-outs."""
    rank = {c.id: k for k, c in enumerate(project.cavities)}
    areas = {str(area.id): k for k, area in enumerate(project.keep_outs)}

    def place(finding: Finding) -> tuple[int, int, int]:
        ids = [rank[i] for i in finding.cavities]
        if len(ids) > 1:
            return 0, min(ids), max(ids)
        return 1, ids[0], areas.get(finding.detail, -1)

    return tuple(sorted(findings, key=place))
