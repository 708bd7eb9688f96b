"""The part of a project round chosen cavities: what a step of a drag has to look at, whatever the size of the mold."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from layout.geometry import Disc, Footprint

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from layout.geometry import Segment
    from layout.model import CavityId, Project


@lru_cache(maxsize=256)
def reach_mm(footprint: Footprint) -> float:
    """Return how far a footprint reaches from the point it is placed by, at any angle."""
    if isinstance(footprint, Disc):
        return footprint.radius_mm
    return max(math.hypot(x, y) for x, y in footprint.points)


def with_those_between(project: Project, part: Project, segments: Iterable[Segment]) -> Project:
    """Return the part of a project with those cavities, too, that may stand across these lines."""
    reach = {m.id: reach_mm(m.footprint) for m in project.masters}
    boxes = [(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in segments]
    if not boxes:
        return part
    there = {c.id for c in part.cavities}
    kept = tuple(
        c
        for c in project.cavities
        if c.id in there
        or any(
            x0 - (r := reach[c.master]) <= c.x_mm <= x1 + r and y0 - r <= c.y_mm <= y1 + r for x0, y0, x1, y1 in boxes
        )
    )
    return part if len(kept) == len(there) else replace(project, cavities=kept)


def near(project: Project, ids: Collection[CavityId], within_mm: float) -> Project:
    """Return the project with these cavities and only those others that may be this near to one of them."""
    reach = {m.id: reach_mm(m.footprint) for m in project.masters}
    chosen = set(ids)
    spots = [(c.x_mm, c.y_mm, reach[c.master] + within_mm) for c in project.cavities if c.id in chosen]
    if not spots:
        return project
    x0 = min(x - r for x, _, r in spots)
    x1 = max(x + r for x, _, r in spots)
    y0 = min(y - r for _, y, r in spots)
    y1 = max(y + r for _, y, r in spots)
    kept = tuple(
        c
        for c in project.cavities
        if c.id in chosen
        or (x0 <= c.x_mm + (r := reach[c.master]) and c.x_mm - r <= x1 and y0 <= c.y_mm + r and c.y_mm - r <= y1)
    )
    return replace(project, cavities=kept)
