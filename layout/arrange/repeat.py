"""Repeat cavities in rows and columns, staggered, or round a centre, as close as the wall allows."""

import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from layout import edits
from layout.checks import check
from layout.errors import BadValueError
from layout.geometry import XY, FloatArray, Placed, distance_mm, moved
from layout.hold.bodies import Body, Cores, body_of, cores_between
from layout.hold.flight import free_run_mm
from layout.model import Cavity, CavityId, Project
from layout.regions import inner_size_mm, placed_cavities
from layout.tolerances import CLEARANCE_TOL_MM, LONGEST_LENGTH_MM

_LEAST_WALL_MM: Final = 1e-9
"""Outlines that may touch are stopped this far apart: where they cross must not be left to rounding."""

_GRAIN_MM: Final = 1e-9
"""Pitches are rounded up to this: 24.35, not 24.349999999999998."""

_MOST: Final = 2000
"""Copies one repeat may make; more is a slip of the hand."""


def contact_shift_mm(moving: Sequence[Placed], still: Sequence[Placed], wall_mm: float, way: XY) -> float:
    """Return the least shift along a unit vector that clears everything, coming in from far.

    Returns
    -------
    float
        With ``moving`` shifted by this along ``way`` it keeps the wall from ``still``, exactly at it; and for every
        larger shift too. Minus infinity if they pass each other freely.
    """
    direction = np.array(way)
    wall = max(wall_mm, _LEAST_WALL_MM)
    far = 2.0 * _span_mm([*moving, *still]) + wall_mm + 1.0
    run = math.inf
    bodies, blocks = [body_of(p) for p in moving], [body_of(p) for p in still]
    starts_u, _, low, high = _along(moving, way)
    _, ends_u, other_low, other_high = _along(still, way)
    # those that reach farthest first: once they have met, most of the others can't meet any sooner
    for k in np.argsort(starts_u):
        clears = ends_u - starts_u[k] + wall + CLEARANCE_TOL_MM
        beside = (other_low - high[k] < wall + CLEARANCE_TOL_MM) & (low[k] - other_high < wall + CLEARANCE_TOL_MM)
        near = np.flatnonzero(beside)
        for j in near[np.argsort(-clears[near])]:
            if far - clears[j] >= run:
                break
            run = min(run, _run_mm(bodies[k], blocks[j], wall, far, direction))
    return far - run if run < 2.0 * far else -math.inf


def _along(parts: Sequence[Placed], way: XY) -> FloatArray:
    """Return for each part from where to where it reaches along a way, at most, and from where to where across it."""
    x0, y0, x1, y1 = np.array([p.bounds for p in parts]).T
    corners = np.array([(x0, y0), (x0, y1), (x1, y0), (x1, y1)])
    u = corners[:, 0] * way[0] + corners[:, 1] * way[1]
    v = corners[:, 1] * way[0] - corners[:, 0] * way[1]
    return np.array([u.min(axis=0), u.max(axis=0), v.min(axis=0), v.max(axis=0)])


def _run_mm(body: Body, block: Body, wall_mm: float, far_mm: float, direction: FloatArray) -> float:
    """Return how far one part comes in from far until it meets another."""
    starts, runs = cores_between(body, block)
    squares: FloatArray = np.maximum(np.einsum("ij,ij->i", runs, runs), 1e-300)
    cores = Cores(starts, runs, squares, np.zeros(len(starts), dtype=np.intp))
    need = np.full(len(starts), wall_mm + body.radius_mm + block.radius_mm)
    return free_run_mm(cores, need, far_mm * direction, -direction, 2.0 * far_mm)


def _span_mm(parts: Sequence[Placed]) -> float:
    x0, y0, x1, y1 = np.array([p.bounds for p in parts]).T
    return float(np.hypot(x1.max() - x0.min(), y1.max() - y0.min()))


def _up(pitch_mm: float) -> float:
    return math.ceil(pitch_mm / _GRAIN_MM - 1e-3) * _GRAIN_MM if math.isfinite(pitch_mm) else pitch_mm


def _unit(project: Project, ids: Collection[CavityId]) -> list[Placed]:
    edits.change_cavities(project, ids, lambda cavity: cavity)
    chosen = set(ids)
    unit = [p for i, p in placed_cavities(project).items() if i in chosen]
    if not unit:
        raise BadValueError("repeat", "no cavity is chosen", "choose at least one")
    return unit


def least_pitch_mm(project: Project, ids: Collection[CavityId], angle_deg: float = 0.0) -> float:
    """Return the least distance between copies of a group along a direction that keeps the wall, mm.

    Returns
    -------
    float
        Exact, rounded up to 1e-9 mm.

    Notes
    -----
    Found by bringing a copy in from far until it meets the wall, so copies are never interlocked by passing through
    each other; every multiple of the pitch keeps the wall too.
    """
    unit = _unit(project, ids)
    way = (math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))
    return _up(contact_shift_mm(unit, unit, project.rules.wall_mm, way))


def row_pitch_mm(
    project: Project, ids: Collection[CavityId], column_mm: float, columns: int, *, staggered: bool = False
) -> float:
    """Return the least distance between rows of copies that keeps the wall, mm.

    Parameters
    ----------
    column_mm, columns : float, int
        The distance between columns and how many there are.
    staggered : bool
        Every second row is set off by half a column.
    """
    unit = _unit(project, ids)
    wall = project.rules.wall_mm
    row = [moved(p, k * column_mm, 0.0) for k in range(1 - columns, columns) for p in unit]
    up: XY = (0.0, 1.0)
    straight = contact_shift_mm(unit, row, wall, up)
    if not staggered:
        return _up(straight)
    aside = [[moved(p, side * column_mm / 2.0, 0.0) for p in unit] for side in (1.0, -1.0)]
    # the row after the next stands straight above: it must clear as well
    return _up(max(straight / 2.0, *(contact_shift_mm(a, row, wall, up) for a in aside)))


def repeat_grid(
    project: Project,
    ids: Collection[CavityId],
    columns: int | None,
    rows: int | None,
    *,
    pitch_mm: tuple[float | None, float | None] = (None, None),
    staggered: bool = False,
    leave_out: bool = False,
) -> tuple[Project, tuple[CavityId, ...]]:
    """Return the project with a group repeated to the right and up, and the ids of the copies.

    Parameters
    ----------
    columns, rows : int or None
        With the group itself, at least 1 each; None: as many as there is length for up to the edge of the box.
    pitch_mm : (float or None, float or None)
        Between columns and between rows; None: as close as the wall allows.
    staggered : bool
        Every second row is set off by half a column.
    leave_out : bool
        Copies that would break a rule are not made.

    Raises
    ------
    UnknownNameError
        If a cavity is not in the project.
    BadValueError
        If a count is below 1, there would be more than 2000 copies, or a pitch is not above 0.
    """
    _check_counts(1 if columns is None else columns, 1 if rows is None else rows, len(set(ids)))
    for value in pitch_mm:
        if value is not None and not 0.0 < value <= LONGEST_LENGTH_MM:
            raise BadValueError("pitch", f"{value!r} is no pitch", "give a length above 0")
    across = least_pitch_mm(project, ids) if pitch_mm[0] is None else pitch_mm[0]
    offset = across / 2.0 if staggered else 0.0
    length, width = _room_mm(project, ids)
    if columns is None:
        columns = 1 + max(0, math.floor((length + CLEARANCE_TOL_MM) / across))
    up = pitch_mm[1]
    if up is None:
        up = row_pitch_mm(project, ids, across, columns, staggered=staggered and rows != 1)
    if rows is None:
        rows = 1 + max(0, math.floor((width + CLEARANCE_TOL_MM) / up))
    _check_counts(columns, rows, len(set(ids)))
    chosen = [c for c in project.cavities if c.id in set(ids)]
    places = [
        (c.master, c.x_mm + i * across + (offset if j % 2 else 0.0), c.y_mm + j * up, c.angle_deg)
        for j in range(rows)
        for i in range(columns)
        if (i, j) != (0, 0)
        for c in chosen
    ]
    after, new = edits.add_cavities(project, places)
    return _without_broken(after, new, len(chosen)) if leave_out else (after, new)


def _room_mm(project: Project, ids: Collection[CavityId]) -> XY:
    """How far a group may be moved to the right and up before it is beyond the edge of the box's bounding box."""
    length, width = inner_size_mm(project.box.shape)
    edge = project.rules.edge_mm
    _, _, x1, y1 = np.array([p.bounds for p in _unit(project, ids)]).T
    return length - edge - float(x1.max()), width - edge - float(y1.max())


def _without_broken(project: Project, new: Sequence[CavityId], group: int) -> tuple[Project, tuple[CavityId, ...]]:
    """Remove copies that break a rule; a group goes as a whole, and of two copies too close the later one.

    One by one in the order they were made, so that a copy that goes makes room for the next.
    """
    copy_of = {cavity_id: index // group for index, cavity_id in enumerate(new)}
    against: dict[int, set[int]] = {}
    for finding in check(project, only=new):
        met = {copy_of[i] for i in finding.cavities if i in copy_of}
        # alone in a finding: it meets what is no copy, or breaks a rule by itself
        against.setdefault(max(met), set()).add(min(met))
    out: set[int] = set()
    for copy in sorted(against):
        if any(other == copy or other not in out for other in against[copy]):
            out.add(copy)
    gone = [i for i in new if copy_of[i] in out]
    return edits.remove_cavities(project, gone), tuple(i for i in new if copy_of[i] not in out)


def _check_counts(columns: int, rows: int, group: int) -> None:
    if columns < 1 or rows < 1:
        raise BadValueError("repeat", f"{columns} x {rows} is no count", "give at least 1 column and 1 row")
    if columns * rows * max(group, 1) > _MOST:
        raise BadValueError("repeat", f"{columns * rows * group} cavities are too many", f"make at most {_MOST}")


def repeat_round(
    project: Project,
    ids: Collection[CavityId],
    about: XY,
    count: int | None = None,
    *,
    turning: bool = True,
) -> tuple[Project, tuple[CavityId, ...]]:
    """Return the project with a group repeated evenly round a centre, and the ids of the copies.

    Parameters
    ----------
    about : (x, y)
        The centre, mm.
    count : int or None
        With the group itself; None: the most that keep the wall between them.
    turning : bool
        Whether copies turn with the circle or keep their angle.

    Raises
    ------
    UnknownNameError
        If a cavity is not in the project.
    BadValueError
        If a count is below 1, or above 2000 in all, or the group lies on the centre.
    """
    _unit(project, ids)
    chosen = [c for c in project.cavities if c.id in set(ids)]
    if all(math.hypot(c.x_mm - about[0], c.y_mm - about[1]) < CLEARANCE_TOL_MM for c in chosen):
        raise BadValueError("repeat", "the chosen cavity lies on the centre", "choose another centre")
    if count is None:
        count = _most_round(project, chosen, about, turning)
    _check_counts(count, 1, len(chosen))
    places = [
        (turned.master, turned.x_mm, turned.y_mm, turned.angle_deg)
        for k in range(1, count)
        for turned in (_round(c, 360.0 * k / count, about, turning) for c in chosen)
    ]
    return edits.add_cavities(project, places)


def _round(cavity: Cavity, by_deg: float, about: XY, turning: bool) -> Cavity:
    there = edits.turned_cavity(cavity, by_deg, about)
    return there if turning else replace(there, angle_deg=cavity.angle_deg)


def _most_round(project: Project, chosen: list[Cavity], about: XY, turning: bool) -> int:
    reach = max(math.hypot(c.x_mm - about[0], c.y_mm - about[1]) for c in chosen)
    smallest = min(min(_sides(project, c)) for c in chosen)
    most = min(_MOST // len(chosen), int(2.0 * math.pi * (reach + smallest) / max(smallest, 1e-3)) + 1)
    for count in range(max(most, 1), 1, -1):
        if _keeps_wall_round(project, chosen, about, turning, count):
            return count
    return 1


def _sides(project: Project, cavity: Cavity) -> tuple[float, float]:
    x0, y0, x1, y1 = placed_cavities(replace(project, cavities=(cavity,)))[cavity.id].bounds
    return x1 - x0, y1 - y0


def _keeps_wall_round(project: Project, chosen: list[Cavity], about: XY, turning: bool, count: int) -> bool:
    """Whether no copy comes closer to the group, or to the group of a neighbour, than the wall."""
    wall = project.rules.wall_mm
    shown = {k: _placed(project, [_round(c, 360.0 * k / count, about, turning) for c in chosen]) for k in range(count)}
    pairs = [(0, k) for k in range(1, count // 2 + 1)]
    if not turning:
        pairs += [(j, (j + 1) % count) for j in range(1, count)]
    for j, k in pairs:
        for a in shown[j]:
            for b in shown[k]:
                gap = distance_mm(a, b)
                if gap < wall - CLEARANCE_TOL_MM / 2.0 or gap <= 0.0:
                    return False
    return True


def _placed(project: Project, cavities: list[Cavity]) -> list[Placed]:
    numbered = tuple(replace(c, id=CavityId(str(i))) for i, c in enumerate(cavities))
    return list(placed_cavities(replace(project, cavities=numbered)).values())
