"""Single molds, gang molds, or gang molds from a rigid master mold: what each costs, and from how many parts on."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from layout.model import Project
from layout.order.boxes import one_cavity
from layout.order.chain import chain
from layout.order.cost import cost_of_parts, rigid_pays_from
from layout.order.kinds import kinds, parts_of_kinds
from layout.order.needs import Needs, needs

ROUTES: Final = {"single": "Single molds", "gang": "Gang molds", "rigid": "Rigid master mold"}
MOST_PARTS: Final = 100_000


@dataclass(frozen=True, slots=True)
class Curve:
    """Cost of one route.

    Parameters
    ----------
    route : str
        Of `ROUTES`.
    points : tuple of (parts, money)
    """

    route: str
    points: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class Routes:
    """The three routes compared.

    Parameters
    ----------
    curves : tuple of Curve
    gang_from, rigid_from : int or None
        From how many parts on gang molds are cheaper than single molds, and the rigid master mold cheaper than gang
        molds alone; None if not up to `MOST_PARTS`.
    rigid_from_molds : float or None
        The same in further molds, by the closed form.
    cheapest : str
        For the order's parts.
    """

    curves: tuple[Curve, ...]
    gang_from: int | None
    rigid_from: int | None
    rigid_from_molds: float | None
    cheapest: str


def routes(project: Project) -> Routes:
    """Return the three routes for a layout, over counts of parts up to four times the order's.

    Notes
    -----
    By single molds, each kind of part of a mixed box is an order of its own, in the shares of the layout.
    Each point is the cost of the whole chain with the fewest molds that last; the crossings are searched on it, not
    taken from the closed forms.
    """
    ways = _ways(project)
    parts = project.order.parts
    counts = sorted({max(1, round(parts * k / 40)) for k in range(1, 161)} | {1})
    curves = tuple(Curve(name, tuple((p, way.cost(p)) for p in counts)) for name, way in ways.items())
    order = project.order
    hour = order.wage_per_hour / order.availability
    tray_steps = ways["rigid"].tray_cost(needs(ways["gang"].project))
    saved = (order.box_min - order.remold_min) / 60.0 * hour + order.box_cost
    return Routes(
        curves,
        _cheaper_from(ways["single"], ways["gang"]),
        _cheaper_from(ways["gang"], ways["rigid"]),
        rigid_pays_from(tray_steps, saved),
        min(ways, key=lambda name: ways[name].cost(parts)),
    )


def _ways(project: Project) -> "dict[str, _Way]":
    order = project.order
    without = replace(order, skip=tuple(dict.fromkeys((*order.skip, "rigid_master"))))
    with_tray = replace(order, skip=tuple(s for s in order.skip if s != "rigid_master"))
    singles = [replace(one_cavity(project, k.master), order=without) for k in kinds(project)]
    return {
        "single": _Way(project, singles),
        "gang": _Way(replace(project, order=without)),
        "rigid": _Way(replace(project, order=with_tray)),
    }


class _Way:
    """One route; by single molds a layout for each kind of part."""

    def __init__(self, project: Project, singles: Sequence[Project] = ()) -> None:
        self.project = project
        self.layouts = [(p, needs(p)) for p in singles or (project,)]
        self.split = bool(singles)
        self.known: dict[int, float] = {}

    def cost(self, parts: int) -> float:
        if parts not in self.known:
            each = [n for _, n in parts_of_kinds(self.project, parts)] if self.split else [parts]
            self.known[parts] = math.fsum(
                cost_of_parts(layout, needed, n).total for (layout, needed), n in zip(self.layouts, each, strict=True)
            )
        return self.known[parts]

    def tray_cost(self, needed: Needs) -> float:
        """The tray itself, hands and material."""
        order = self.project.order
        step = next(s for s in chain(self.project, needed, 2, 2) if s.id == "rigid_master")
        return step.cost + step.hands_min / 60.0 / order.availability * order.wage_per_hour


def _cheaper_from(old: _Way, new: _Way) -> int | None:
    """Return the least count of parts at which the new way is cheaper and stays so on the grid that was searched."""
    before = 0
    counts = list(_grid())
    for index, parts in enumerate(counts):
        if new.cost(parts) < old.cost(parts) - 1e-9 and all(
            new.cost(p) <= old.cost(p) + 1e-9 for p in counts[index : index + 8]
        ):
            return _first_cheaper(old, new, before, parts)
        before = parts
    return None


def _first_cheaper(old: _Way, new: _Way, not_at: int, at: int) -> int:
    """Return a count of parts at which the new way is cheaper and one part fewer is not."""
    while at - not_at > 1:
        middle = (at + not_at) // 2
        if new.cost(middle) < old.cost(middle) - 1e-9:
            at = middle
        else:
            not_at = middle
    return at


def _grid() -> Iterator[int]:
    parts = 1
    while parts <= MOST_PARTS:
        yield parts
        parts = max(parts + 1, round(parts * 1.12))
