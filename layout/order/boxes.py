"""A box for every count of cavities: quick ones from the rows of the fill, cut down to what the cavities need.

Boxes are of the project's own family: round ones for a round box, rectangles for every other.
"""

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from layout import edits
from layout.checks import is_legal
from layout.errors import BadValueError
from layout.fill.fill import FillOptions, fill
from layout.geometry import footprint_size_mm
from layout.model import Cavity, Master, OutlineBox, Project, RectBox, RoundBox
from layout.order.round_boxes import HAIR_MM, diameters, from_the_middle, round_about, round_areas_mm2, sides
from layout.regions import inner_area_mm2, inner_size_mm, placed_cavities
from layout.units import counted, length_text, size_text

STEPS: Final = 24
"""Sides tried between the least box of one cavity and the largest allowed, along x and along y."""


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
    """Return the largest inner size allowed: the order's, else that of the project's own box; of a round one, alike."""
    length, width = inner_size_mm(project.box.shape)
    length, width = project.order.max_length_mm or length, project.order.max_width_mm or width
    if isinstance(project.box.shape, RoundBox):
        length = width = min(length, width)
    return length, width


def inside_text(project: Project, decimals: int = 1) -> str:
    """Return the inside of a project's box as a person says it: ``203.2 mm x 129.0 mm``, ``180.0 mm across, round``."""
    sides_mm = inner_size_mm(project.box.shape)
    length, width = (length_text(v, project.units, decimals=decimals) for v in sides_mm)
    return f"{length} across, round" if isinstance(project.box.shape, RoundBox) else f"{length} x {width}"


def layout_notes(project: Project) -> tuple[str, ...]:
    """Return what must be known of the boxes that `quick_boxes` lays out: their family, and what is left aside."""
    size = size_text(*largest_size_mm(project), project.units)
    notes = []
    if len({c.master for c in project.cavities if not c.empty}) > 1:
        return ("A mixed box is planned as it is laid out: no other count of cavities is compared.",)
    if isinstance(project.box.shape, RoundBox):
        across = length_text(largest_size_mm(project)[0], project.units)
        notes.append(f"The counts are laid out in round boxes, up to {across} inside.")
    elif isinstance(project.box.shape, OutlineBox):
        notes.append(f"The counts are laid out in rectangular boxes up to {size}, not in your outline.")
    own = sum(not c.empty for c in project.cavities)
    pinned = sum(c.pinned for c in project.cavities)
    left_aside = [
        *([counted(len(project.keep_outs), "keep-out")] if project.keep_outs else []),
        *([counted(pinned, "pinned cavity")] if pinned else []),
    ]
    if left_aside:
        notes.append(f"Left aside in them: your {' and '.join(left_aside)}; leave room for them yourself.")
    if own and notes:
        notes.append(f"Your own layout of {counted(own, 'cavity')} stands as it is for its count.")
    return tuple(notes)


def in_box(project: Project, length_mm: float, width_mm: float) -> Project:
    """Return the project with an empty rectangular box of this inner size; keep-outs and pins belong to the old one."""
    return _empty(project, RectBox(length_mm, width_mm))


def _empty(project: Project, shape: RectBox | RoundBox) -> Project:
    return replace(project, box=replace(project.box, shape=shape), cavities=(), keep_outs=(), pour_order=())


def cut_down(project: Project) -> Project:
    """Return the project with its rectangular or round box made as small as its cavities and the edge allow."""
    placed = placed_cavities(project).values()
    edge = project.rules.edge_mm
    bounds = [p.bounds for p in placed]
    if not bounds or isinstance(project.box.shape, OutlineBox):
        return project
    if isinstance(project.box.shape, RoundBox):
        return round_about(project)
    x0, y0 = min(b[0] for b in bounds) - edge, min(b[1] for b in bounds) - edge
    x1, y1 = max(b[2] for b in bounds) + edge, max(b[3] for b in bounds) + edge
    shape = RectBox(x1 - x0 + HAIR_MM, y1 - y0 + HAIR_MM)

    def move(cavity: Cavity) -> Cavity:
        return replace(cavity, x_mm=cavity.x_mm - x0, y_mm=cavity.y_mm - y0)

    moved = edits.change_cavities(project, [c.id for c in project.cavities], move)
    return replace(moved, box=replace(project.box, shape=shape))


def first_of(project: Project, count: int) -> Boxed:
    """Return the layout with its first cavities only, in a box cut down to them."""
    kept = edits.remove_cavities(project, [c.id for c in project.cavities[count:]])
    small = cut_down(kept)
    return Boxed(small, count, inner_area_mm2(small.box.shape))


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
        Its first master is laid out; the largest box is the order's or its own, of its own family.
    most : int, optional
        No count above this.
    should_stop : callable, optional
        Asked often; once True what was found is returned.
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
    if _is_a_start(project):
        _take(best, replace(project, keep_outs=(), pour_order=()), most)
    tries: list[RectBox | RoundBox] = list(_sizes(project, steps))
    if isinstance(project.box.shape, RoundBox):
        tries = list(diameters(project, largest_size_mm(project)[0], steps))
    for number, shape in enumerate(tries):
        found = fill(_empty(project, shape), FillOptions(rounds=0), should_stop=should_stop).project
        _take(best, found, most)
        if on_progress:
            on_progress((number + 1) / len(tries))
        if should_stop and should_stop():
            break
    if not best:
        raise BadValueError("--max", "not one cavity fits in the largest box", "give a larger box")
    return {count: first_of(ordered, count) for count, (_, ordered) in _falling(best).items()}


def _is_a_start(project: Project) -> bool:
    """Whether the layout in hand may be cut down to smaller counts: of one master, by the rules, not too large."""
    laid = {c.master for c in project.cavities}
    if isinstance(project.box.shape, OutlineBox) or laid != {project.masters[0].id}:
        return False
    own, largest = inner_size_mm(project.box.shape), largest_size_mm(project)
    return all(a <= b + 1e-6 for a, b in zip(own, largest, strict=True)) and is_legal(project)


def _take(best: dict[int, tuple[float, Project]], found: Project, most: int | None) -> None:
    """Keep what a layout brings for every count up to its own, cavities dropped from the outside or the end."""
    is_round = isinstance(found.box.shape, RoundBox)
    for ordered in from_the_middle(found) if is_round else _orders(found):
        areas = round_areas_mm2(ordered) if is_round else _areas_mm2(ordered)
        for count, area in enumerate(areas[:most], start=1):
            if count not in best or area < best[count][0] - 1e-6:
                best[count] = area, ordered


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


def _sizes(project: Project, steps: int) -> Iterator[RectBox]:
    """The largest box, then narrower ones of full length and shorter ones of full width."""
    length, width = largest_size_mm(project)
    small = 2.0 * project.rules.edge_mm + min(footprint_size_mm(project.masters[0].footprint))
    yield RectBox(length, width)
    for x, y in itertools.zip_longest(sides(small, length, steps), sides(small, width, steps)):
        if y is not None:
            yield RectBox(length, y)
        if x is not None:
            yield RectBox(x, width)
