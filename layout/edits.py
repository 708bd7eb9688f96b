"""Project to Project: the only way to change one. Pure; legal or not is for `checks` to say."""

import math
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace

from layout.errors import BadValueError, UnknownNameError
from layout.geometry import XY, cos_sin
from layout.model import (
    Box,
    Cavity,
    CavityId,
    KeepOut,
    KeepOutId,
    Master,
    MasterId,
    Mix,
    Override,
    Project,
    Rules,
)
from layout.numbering import pour_order
from layout.regions import placed_bounds
from layout.tolerances import LONGEST_LENGTH_MM
from layout.units import plain_text


def _next_number(prefix: str, taken: Iterable[str]) -> int:
    numbers = [int(t[len(prefix) :]) for t in taken if t.startswith(prefix) and t[len(prefix) :].isdigit()]
    return max(numbers, default=0) + 1


def _require_cavities(project: Project, ids: Collection[CavityId]) -> None:
    known = {c.id for c in project.cavities}
    missing = [i for i in ids if i not in known]
    if missing:
        raise UnknownNameError(missing[0], "the project has no cavity of this name", "use an id that `show` prints")


def _finite(where: str, *values: float) -> None:
    for value in values:
        if not math.isfinite(value) or abs(value) > 10 * LONGEST_LENGTH_MM:
            raise BadValueError(where, f"{plain_text(value, 12)} is no place in a box", "give a length in mm")


def add_master(project: Project, master: Master) -> Project:
    """Return the project with one more master; its id is made unique if it is taken."""
    taken = {m.id for m in project.masters}
    if master.id in taken:
        number = 2
        while f"{master.id}-{number}" in taken:
            number += 1
        master = replace(master, id=MasterId(f"{master.id}-{number}"))
    return replace(project, masters=(*project.masters, master))


def replace_master(project: Project, master: Master) -> Project:
    """Return the project with the master of the same id exchanged; its cavities stay where they are.

    Raises
    ------
    UnknownNameError
        If the project has no such master.
    """
    if master.id not in {m.id for m in project.masters}:
        raise UnknownNameError(master.id, "the project has no master of this name", "add it first")
    return replace(project, masters=tuple(master if m.id == master.id else m for m in project.masters))


def remove_master(project: Project, master_id: MasterId) -> Project:
    """Return the project without a master and its cavities.

    Raises
    ------
    UnknownNameError
        If the project has no such master.
    """
    if master_id not in {m.id for m in project.masters}:
        raise UnknownNameError(master_id, "the project has no master of this name", "use a name that `show` prints")
    gone = [c.id for c in project.cavities if c.master == master_id]
    project = remove_cavities(project, gone)
    return replace(project, masters=tuple(m for m in project.masters if m.id != master_id))


def add_cavities(
    project: Project, places: Iterable[tuple[MasterId, float, float, float]]
) -> tuple[Project, tuple[CavityId, ...]]:
    """Return the project with more cavities, and their new ids.

    Parameters
    ----------
    project : Project
    places : iterable of (master id, x_mm, y_mm, angle_deg)

    Raises
    ------
    UnknownNameError
        If a master is not in the project.
    BadValueError
        If a coordinate is not finite.
    """
    known = {m.id for m in project.masters}
    number = _next_number("c", (c.id for c in project.cavities))
    new: list[Cavity] = []
    for master_id, x, y, angle in places:
        if master_id not in known:
            names = ", ".join(sorted(known)) or "none"
            raise UnknownNameError(master_id, "the project has no master of this name", f"use one of: {names}")
        _finite(master_id, x, y, angle)
        new.append(Cavity(CavityId(f"c{number + len(new)}"), master_id, x, y, angle % 360.0))
    return replace(project, cavities=(*project.cavities, *new)), tuple(c.id for c in new)


def remove_cavities(project: Project, ids: Collection[CavityId]) -> Project:
    """Return the project without these cavities.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    """
    _require_cavities(project, ids)
    gone = set(ids)
    if not gone:
        return project
    return replace(
        project,
        cavities=tuple(c for c in project.cavities if c.id not in gone),
        pour_order=tuple(i for i in project.pour_order if i not in gone),
    )


def change_cavities(project: Project, ids: Collection[CavityId], change: Callable[[Cavity], Cavity]) -> Project:
    """Return the project with a change made to each of these cavities; the others are shared.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    """
    _require_cavities(project, ids)
    chosen = set(ids)
    cavities = tuple(change(c) if c.id in chosen else c for c in project.cavities)
    return project if cavities == project.cavities else replace(project, cavities=cavities)


def move_cavities(project: Project, ids: Collection[CavityId], dx_mm: float, dy_mm: float) -> Project:
    """Return the project with these cavities moved by (dx, dy) mm; see `change_cavities` for errors."""
    _finite("move", dx_mm, dy_mm)
    return change_cavities(project, ids, lambda c: replace(c, x_mm=c.x_mm + dx_mm, y_mm=c.y_mm + dy_mm))


def turn_cavities(project: Project, ids: Collection[CavityId], by_deg: float) -> Project:
    """Return the project with each of these cavities turned about its own centre; see `change_cavities`."""
    _finite("turn", by_deg)
    return change_cavities(project, ids, lambda c: replace(c, angle_deg=(c.angle_deg + by_deg) % 360.0))


def middle_of(project: Project, ids: Collection[CavityId]) -> XY:
    """Return what cavities turn about together: the middle of their bounding box; a single one's own centre.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    BadValueError
        If there are none.
    """
    _require_cavities(project, ids)
    wanted = set(ids)
    chosen = tuple(c for c in project.cavities if c.id in wanted)
    if not chosen:
        raise BadValueError("cavities", "none is chosen", "choose at least one")
    if len(chosen) == 1:
        return chosen[0].x_mm, chosen[0].y_mm
    x0, y0, x1, y1 = zip(*placed_bounds(replace(project, cavities=chosen)).values(), strict=True)
    return (min(x0) + max(x1)) / 2.0, (min(y0) + max(y1)) / 2.0


def turned_cavity(cavity: Cavity, by_deg: float, about: XY) -> Cavity:
    """Return a cavity turned about a point, counter-clockwise; exact at quarter turns."""
    c, s = cos_sin(by_deg)
    dx, dy = cavity.x_mm - about[0], cavity.y_mm - about[1]
    x, y = about[0] + dx * c - dy * s, about[1] + dx * s + dy * c
    return replace(cavity, x_mm=x, y_mm=y, angle_deg=(cavity.angle_deg + by_deg) % 360.0)


def turn_together(project: Project, ids: Collection[CavityId], by_deg: float, about: XY) -> Project:
    """Return the project with these cavities turned about one point as if glued to a plate; see `change_cavities`."""
    _finite("turn", by_deg, *about)
    if by_deg == 0.0:
        return change_cavities(project, ids, lambda c: c)
    return change_cavities(project, ids, lambda c: turned_cavity(c, by_deg, about))


def pin_cavities(project: Project, ids: Collection[CavityId], pinned: bool) -> Project:
    """Return the project with these cavities pinned or free; see `change_cavities` for errors."""
    return change_cavities(project, ids, lambda c: replace(c, pinned=pinned))


def add_keep_outs(project: Project, areas: Sequence[KeepOut]) -> Project:
    """Return the project with more keep-outs; each gets a new id.

    Raises
    ------
    BadValueError
        If a size is not above 0 or a number is not finite.
    """
    number = _next_number("k", (k.id for k in project.keep_outs))
    for area in areas:
        _require_area(area)
    new = (replace(area, id=KeepOutId(f"k{number + i}")) for i, area in enumerate(areas))
    return replace(project, keep_outs=(*project.keep_outs, *new))


def _require_area(area: KeepOut) -> None:
    _finite("keep-out", area.x_mm, area.y_mm, area.length_mm, area.width_mm)
    if area.length_mm <= 0 or area.width_mm <= 0:
        raise BadValueError("keep-out", "a side is not above 0", "give two lengths above 0")


def remove_keep_outs(project: Project, ids: Collection[KeepOutId]) -> Project:
    """Return the project without these keep-outs."""
    gone = set(ids)
    return replace(project, keep_outs=tuple(k for k in project.keep_outs if k.id not in gone))


def move_keep_out(project: Project, keep_out: KeepOutId, dx_mm: float, dy_mm: float) -> Project:
    """Return the project with a keep-out moved by (dx, dy) mm."""
    _finite("keep-out", dx_mm, dy_mm)
    return replace(
        project,
        keep_outs=tuple(
            replace(k, x_mm=k.x_mm + dx_mm, y_mm=k.y_mm + dy_mm) if k.id == keep_out else k for k in project.keep_outs
        ),
    )


def change_keep_out(project: Project, changed: KeepOut) -> Project:
    """Return the project with the keep-out of the same id exchanged.

    Raises
    ------
    BadValueError
        If a size is not above 0 or a number is not finite.
    UnknownNameError
        If the project has no such keep-out.
    """
    _require_area(changed)
    if changed.id not in {k.id for k in project.keep_outs}:
        raise UnknownNameError(changed.id, "the project has no keep-out of this name", "draw it first")
    return replace(project, keep_outs=tuple(changed if k.id == changed.id else k for k in project.keep_outs))


def set_rules(project: Project, rules: Rules) -> Project:
    """Return the project with other rules.

    Raises
    ------
    BadValueError
        If a thickness is negative or not finite.
    """
    named = {"--wall": rules.wall_mm, "--edge": rules.edge_mm, "--floor": rules.floor_mm}
    if rules.freeboard_mm is not None:
        named["--freeboard"] = rules.freeboard_mm
    for option, value in named.items():
        if not math.isfinite(value) or not 0.0 <= value <= LONGEST_LENGTH_MM:
            raise BadValueError(option, f"{value!r} is no thickness", "give 0 mm or more")
    return replace(project, rules=rules)


def set_box(project: Project, box: Box) -> Project:
    """Return the project with another box; the cavities stay at their coordinates."""
    return replace(project, box=box)


def set_silicone(project: Project, mix: Mix) -> Project:
    """Return the project with another silicone."""
    return replace(project, silicone=mix)


def set_resin(project: Project, mix: Mix) -> Project:
    """Return the project with another resin."""
    return replace(project, resin=mix)


def set_pour_order(project: Project, order: Sequence[CavityId]) -> Project:
    """Return the project with the user's own pouring order; what it leaves out follows in serpentine order.

    Parameters
    ----------
    order : sequence of CavityId
        Empty: back to serpentine.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    BadValueError
        If one is named twice.
    """
    _require_cavities(project, order)
    if len(set(order)) != len(order):
        twice = next(i for i in order if list(order).count(i) > 1)
        raise BadValueError("pouring order", f"{twice} is named twice", "name each cavity once")
    return replace(project, pour_order=tuple(order))


def keep_numbers(before: Project, after: Project) -> Project:
    """Return a project with cavities added in which those of before keep their numbers, and the new ones follow.

    A template printed before shows the old numbers. Where the serpentine keeps them by itself the order stays its own.

    Parameters
    ----------
    before, after : Project
        ``after`` has every cavity of ``before``.
    """
    order = pour_order(before)
    return after if pour_order(after)[: len(order)] == order else set_pour_order(after, order)


def accept(project: Project, kind: str, reason: str) -> Project:
    """Return the project with a refusal taken on for a reason; a second reason for a kind replaces the first.

    Raises
    ------
    BadValueError
        If the reason is empty.
    """
    if not reason.strip():
        raise BadValueError("--accept", f"{kind} is given no reason", "write it like thin_wall=trial piece")
    kept = tuple(o for o in project.overrides if o.kind != kind)
    return replace(project, overrides=(*kept, Override(kind, reason.strip())))
