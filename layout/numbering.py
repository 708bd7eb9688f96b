"""The order cavities are poured in and the numbers that follow from it: serpentine by rows, unless the user says else.

A serpentine walks the lowest row from left to right, the next from right to left: the cup never swings back across the
mold. The same numbers stand on the canvas, the template, the labels and the batch log.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial
from itertools import takewhile
from typing import Final

from layout.model import Cavity, CavityId, Finding, Project
from layout.regions import placed_bounds
from layout.tolerances import CLEARANCE_TOL_MM

_ROW_SHARE: Final = 0.5
"""A cavity belongs to a row while its middle is no higher over the row's lowest middle than this share of the lower of
the two parts. Common practice, no source: staggered rows stand at least 0.86 diameters apart, rows laid by hand waver
by less than half a part."""


@dataclass(frozen=True, slots=True)
class _Spot:
    id: CavityId
    x_mm: float
    y_mm: float
    tall_mm: float
    place: int


def _spots(project: Project) -> list[_Spot]:
    spots = []
    for place, (cavity_id, (x0, y0, x1, y1)) in enumerate(placed_bounds(project).items()):
        spots.append(_Spot(cavity_id, (x0 + x1) / 2.0, (y0 + y1) / 2.0, y1 - y0, place))
    return spots


def rows(project: Project) -> tuple[tuple[CavityId, ...], ...]:
    """Return the rows of the layout from the lowest up, each from left to right.

    Notes
    -----
    The lowest cavity not yet in a row starts one; all whose middle is at most half a part higher join it. So every
    cavity is in exactly one row, however the layout is staggered or scattered.
    """
    waiting = sorted(_spots(project), key=lambda s: (s.y_mm, s.x_mm, s.place))
    found: list[tuple[CavityId, ...]] = []
    while waiting:
        seed = waiting[0]
        # they are sorted: none beyond the first that is too high even for the seed can be in the row
        row = [s for s in takewhile(partial(_may_be_in_row, seed), waiting) if _in_row(seed, s)]
        members = {s.place for s in row}
        waiting = [s for s in waiting if s.place not in members]
        found.append(tuple(s.id for s in sorted(row, key=lambda s: (s.x_mm, s.y_mm, s.place))))
    return tuple(found)


def _may_be_in_row(seed: _Spot, other: _Spot) -> bool:
    return other.y_mm - seed.y_mm <= _ROW_SHARE * seed.tall_mm + CLEARANCE_TOL_MM


def _in_row(seed: _Spot, other: _Spot) -> bool:
    return other.y_mm - seed.y_mm <= _ROW_SHARE * min(seed.tall_mm, other.tall_mm) + CLEARANCE_TOL_MM


def serpentine(project: Project) -> tuple[CavityId, ...]:
    """Return all cavities row by row from the lower left, every second row from right to left."""
    order: list[CavityId] = []
    for index, row in enumerate(rows(project)):
        order.extend(row if index % 2 == 0 else reversed(row))
    return tuple(order)


def pour_order(project: Project) -> tuple[CavityId, ...]:
    """Return all cavities in the order they are poured.

    Returns
    -------
    tuple of CavityId
        The user's own order first (ids the project no longer has, or has twice, count once at most), then the rest in
        serpentine order.
    """
    present = {c.id for c in project.cavities}
    own = tuple(i for i in dict.fromkeys(project.pour_order) if i in present)
    chosen = set(own)
    if len(chosen) == len(present):
        return own
    return (*own, *(i for i in serpentine(project) if i not in chosen))


def numbers(project: Project) -> dict[CavityId, int]:
    """Return the number of each cavity, from 1, in pouring order."""
    return {cavity_id: number for number, cavity_id in enumerate(pour_order(project), start=1)}


def numbered(project: Project) -> tuple[tuple[int, Cavity], ...]:
    """Return the cavities in pouring order, each with its number."""
    by_id = {c.id: c for c in project.cavities}
    return tuple((n, by_id[i]) for i, n in numbers(project).items())


def names(project: Project) -> dict[CavityId, str]:
    """Return what each cavity is called where ids are typed: its id, and its number where that is another one."""
    return {i: i if i == f"c{number}" else f"{i} (number {number})" for i, number in numbers(project).items()}


def by_number(findings: Iterable[Finding], project: Project) -> tuple[Finding, ...]:
    """Return findings that call cavities by their numbers, as template, canvas and pour sheet do."""
    return _called(findings, lambda: {i: str(n) for i, n in numbers(project).items()})


def by_name(findings: Iterable[Finding], project: Project) -> tuple[Finding, ...]:
    """Return findings that call cavities as the command line does, by `names`."""
    return _called(findings, lambda: names(project))


def _called(findings: Iterable[Finding], names_of: Callable[[], dict[CavityId, str]]) -> tuple[Finding, ...]:
    told = tuple(findings)
    called = names_of() if told else {}
    return tuple(replace(f, cavities=tuple(CavityId(called.get(i, i)) for i in f.cavities)) for f in told)


def cavity_of(project: Project, typed: str) -> CavityId:
    """Return the id of the cavity that is called so, by its number or its id; what is neither comes back as it is."""
    if typed.isascii() and typed.isdigit():
        order = pour_order(project)
        if 1 <= int(typed) <= len(order):
            return order[int(typed) - 1]
    return CavityId(typed)
