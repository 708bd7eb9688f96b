"""A box for every count of cavities: quick ones from the rows of the fill, cut down to what the cavities need."""

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout import edits
from layout.errors import BadValueError
from layout.fill.fill import FillOptions, fill
from layout.geometry import footprint_size_mm
from layout.model import Cavity, Master, Project, RectBox
from layout.regions import inner_size_mm, placed_cavities

STEPS: Final = 24
"""Sides tried between the least box of one cavity and the largest allowed, along x and along y."""

PATIENCE: Final = 8
"""How often a quick fill may ask whether to stop before it is told to: it asks after each angle.

Measured on 53 hexagons and 52 angles of 40 x 30 mm: twice as much brings under 1 % less silicone, half as much loses
four counts of the second.
"""

LARGEST_PATIENCE: Final = 40
"""The same for the largest box, which says how many fit at all."""


@dataclass(frozen=True, slots=True)
class Boxed:
    """A real layout.

    Parameters
    ----------
    project : Project
        The box, the cavities in it.
    count : int
    area_mm2 : float
        Inner area: the least silicone for a count is the least area.
    """

    project: Project
    count: int
    area_mm2: float


def largest_size_mm(project: Project) -> tuple[float, float]:
    """Return the largest inner size allowed: the order's, else that of the project's own box."""
    length, width = inner_size_mm(project.box.shape)
    return project.order.max_length_mm or length, project.order.max_width_mm or width


def in_box(project: Project, length_mm: float, width_mm: float) -> Project:
    """Return the project with an empty rectangular box of this inner size; keep-outs and pins belong to the old one."""
    box = replace(project.box, shape=RectBox(length_mm, width_mm))
    return replace(project, box=box, cavities=(), keep_outs=(), pour_order=())


def cut_down(project: Project) -> Project:
    """Return the project with its rectangular box made as small as its cavities and the edge allow."""
    placed = placed_cavities(project).values()
    edge = project.rules.edge_mm
    bounds = [p.bounds for p in placed]
    if not bounds or not isinstance(project.box.shape, RectBox):
        return project
    x0, y0 = min(b[0] for b in bounds) - edge, min(b[1] for b in bounds) - edge
    x1, y1 = max(b[2] for b in bounds) + edge, max(b[3] for b in bounds) + edge
    # a hair, so that what is measured from the moved cavities is not short of the edge by rounding
    shape = RectBox(x1 - x0 + 1e-7, y1 - y0 + 1e-7)

    def move(cavity: Cavity) -> Cavity:
        return replace(cavity, x_mm=cavity.x_mm - x0, y_mm=cavity.y_mm - y0)

    moved = edits.change_cavities(project, [c.id for c in project.cavities], move)
    return replace(moved, box=replace(project.box, shape=shape))


def first_of(project: Project, count: int) -> Boxed:
    """Return the layout with its first cavities only, in a box cut down to them."""
    kept = edits.remove_cavities(project, [c.id for c in project.cavities[count:]])
    small = cut_down(kept)
    length, width = inner_size_mm(small.box.shape)
    return Boxed(small, count, length * width)


def one_cavity(project: Project, master: Master | None = None) -> Project:
    """Return the project with one cavity of a master, else its first, in the least box for it."""
    only = master or project.masters[0]
    length, width = footprint_size_mm(only.footprint)
    edge = project.rules.edge_mm
    empty = in_box(project, length + 2.0 * edge, width + 2.0 * edge)
    return edits.add_cavities(empty, [(only.id, length / 2.0 + edge, width / 2.0 + edge, 0.0)])[0]


def quick_boxes(
    project: Project,
    most: int | None = None,
    should_stop: Callable[[], bool] | None = None,
    on_progress: Callable[[float], None] | None = None,
    steps: int = STEPS,
) -> dict[int, Boxed]:
    """Return the best box found for every count, by filling boxes of many sizes with rows.

    Parameters
    ----------
    project : Project
        Its first master is laid out; the largest box is the order's or its own.
    most : int, optional
        No count above this.
    should_stop : callable, optional
        Asked between fills; once True what was found is returned.
    on_progress : callable, optional
        Called with the share done, 0 to 1.
    steps : int, optional
        Sides tried along x and along y; few of them give a first answer at once.

    Returns
    -------
    dict
        From every count 1 to the most that fits, to its layout. More cavities never stand in a smaller box than fewer.

    Raises
    ------
    BadValueError
        If not one cavity fits.
    """
    best: dict[int, tuple[float, Project]] = {}
    tries = list(_sizes(project, steps))
    for number, (length, width) in enumerate(tries):
        found = fill(
            in_box(project, length, width),
            FillOptions(rounds=0),
            should_stop=_patience(LARGEST_PATIENCE if number == 0 else PATIENCE),
        ).project
        for ordered in _orders(found):
            for count, area in enumerate(_areas_mm2(ordered)[:most], start=1):
                if count not in best or area < best[count][0] - 1e-6:
                    best[count] = area, ordered
        if on_progress:
            on_progress((number + 1) / len(tries))
        if should_stop and should_stop():
            break
    if not best:
        raise BadValueError("--max", "not one cavity fits in the largest box", "give a larger box")
    return {count: first_of(ordered, count) for count, (_, ordered) in _falling(best).items()}


def _patience(asks: int) -> Callable[[], bool]:
    asked = itertools.count()
    return lambda: next(asked) >= asks


def _orders(project: Project) -> Iterator[Project]:
    """The layout with its cavities along x and along y: what is dropped from the end leaves a small box."""
    by_x = sorted(project.cavities, key=lambda c: (round(c.x_mm, 3), c.y_mm))
    by_y = sorted(project.cavities, key=lambda c: (round(c.y_mm, 3), c.x_mm))
    for cavities in (by_y, by_x):
        yield replace(project, cavities=tuple(cavities))


def _areas_mm2(project: Project) -> list[float]:
    """Inner area that the first 1, 2, 3 ... cavities need."""
    edge = project.rules.edge_mm
    bounds = np.array([p.bounds for p in placed_cavities(project).values()]).reshape(-1, 4)
    low = np.minimum.accumulate(bounds[:, :2], axis=0)
    high = np.maximum.accumulate(bounds[:, 2:], axis=0)
    areas: list[float] = np.prod(high - low + 2.0 * edge, axis=1).tolist()
    return areas


def _falling(best: dict[int, tuple[float, Project]]) -> dict[int, tuple[float, Project]]:
    """Let every count use the box of a larger count where that one is smaller."""
    out: dict[int, tuple[float, Project]] = {}
    least: tuple[float, Project] | None = None
    for count in range(max(best), 0, -1):
        if least is None or (count in best and best[count][0] < least[0]):
            least = best[count]
        out[count] = least
    return dict(sorted(out.items()))


def _sizes(project: Project, steps: int) -> Iterator[tuple[float, float]]:
    """The largest box, then narrower ones of full length and shorter ones of full width."""
    length, width = largest_size_mm(project)
    small = 2.0 * project.rules.edge_mm + min(_extents(project))
    yield length, width
    for x, y in itertools.zip_longest(_sides(small, length, steps), _sides(small, width, steps)):
        if y is not None:
            yield length, y
        if x is not None:
            yield x, width


def _extents(project: Project) -> tuple[float, float]:
    return footprint_size_mm(project.masters[0].footprint)


def _sides(small: float, large: float, most: int) -> list[float]:
    if small >= large:
        return [large]
    steps = max(1, min(most, math.ceil((large - small) / 2.0)))
    return [large - (large - small) * k / steps for k in range(1, steps + 1)]
