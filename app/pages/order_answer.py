"""What the Order page shows of a project, worked out without a widget: a large order is worked out in a thread."""

from __future__ import annotations

from dataclasses import dataclass, replace
from html import escape

from app.aside import Stop, is_heavy
from app.pages.order_words import limit_lines, warning_lines
from app.words import said, tr
from layout.batch_log import good_share
from layout.errors import LayoutError
from layout.model import Project
from layout.order.kinds import casts_of
from layout.order.limits import order_limits
from layout.order.plan import Option, Plan, calendar_of, compared, option_of
from layout.order.stints import Schedule

MOST_CASTS_AT_ONCE = 1500
"""Up to so many casts the layout in hand is planned while the user types."""

_MANY_CASTS = 300


@dataclass(frozen=True, slots=True)
class OrderAnswer:
    """The order planned with the layout in hand, or what is in the way."""

    option: Option | None = None
    problem: str = ""
    told: str = ""
    found: Schedule | None = None
    advice: str = ""


def is_heavy_order(project: Project) -> bool:
    """Whether the order is planned aside: for many cavities, or many casts."""
    return is_heavy(project) or _casts(project) > _MANY_CASTS


def _casts(project: Project) -> int:
    filled = sum(not c.empty for c in project.cavities)
    try:
        return casts_of(project, filled, project.order.parts, good_share(project)) if filled else 0
    except LayoutError:
        return 0


def order_answer(project: Project, plan: Plan | None, stop: Stop) -> OrderAnswer | None:
    """Plan the order; None if that is no longer asked for."""
    try:
        filled = sum(not c.empty for c in project.cavities)
        if not filled:
            return OrderAnswer()
        if casts_of(project, filled, project.order.parts, good_share(project)) > MOST_CASTS_AT_ONCE:
            return OrderAnswer(told=tr("So many casts are planned when counts are compared."))
        option = option_of(project)
    except LayoutError as error:
        return OrderAnswer(problem=said(error))
    if stop():
        return None
    found = calendar_of(option.project, option.needs, option.cycles, option.molds)
    return OrderAnswer(option, found=found, advice=advice_html(option, plan))


def advice_html(option: Option, plan: Plan | None) -> str:
    """Return what binds an order and what to mind; ``plan`` is the comparison it is part of, if there is one."""
    mine = replace(plan or compared([option]), best=option)
    limits = order_limits(mine)
    parts = [
        (tr("What binds this order"), limit_lines(limits, binding=True)),
        (tr("Mind"), warning_lines(mine, limits)),
        (tr("Other limits"), limit_lines(limits, binding=False)),
    ]
    return "".join(
        f"<p><b>{escape(head)}</b><br>{'<br>'.join(map(escape, lines))}</p>" for head, lines in parts if lines
    )
