"""Money of an order, from its steps: hands at the wage, material at its price. Every coin is in one step."""

import math
from dataclasses import dataclass, replace

from layout.batch_log import good_share, mold_life
from layout.model import Project
from layout.order.chain import chain, price_of, spare_molds
from layout.order.kinds import casts_of
from layout.order.needs import Needs
from layout.order.steps import Step


@dataclass(frozen=True, slots=True)
class Money:
    """Where the money goes; the sum is the cost of the order."""

    hands: float
    silicone: float
    resin: float
    rest: float

    @property
    def total(self) -> float:
        """All together."""
        return self.hands + self.silicone + self.resin + self.rest


def money_of(project: Project, needed: Needs, steps: tuple[Step, ...], casts: int, molds: int) -> Money:
    """Return the money of an order.

    Notes
    -----
    Hands are paid for the whole time in the shop: their minutes over the share of the shift they are at the molds.
    ``silicone`` and ``resin`` are those of the gang molds and the casts; what else is bought is in ``rest``.
    """
    hands = math.fsum(s.hands_min for s in steps) / 60.0 / project.order.availability
    silicone = price_of(project.silicone, (molds + spare_molds(project)) * needed.silicone_g)
    resin = price_of(project.resin, casts * needed.resin_g)
    material = math.fsum(s.cost for s in steps)
    return Money(hands * project.order.wage_per_hour, silicone, resin, material - silicone - resin)


def cost_of_parts(project: Project, needed: Needs, parts: int) -> Money:
    """Return the money of so many parts with the fewest molds that last, whatever the date."""
    order = replace(project.order, parts=parts)
    wanted = replace(project, order=order)
    casts = casts_of(wanted, needed.cavities, parts, good_share(project))
    molds = math.ceil(casts / mold_life(project))
    return money_of(wanted, needed, chain(wanted, needed, casts, molds, each_mold=False), casts, molds)


def rigid_pays_from(tray_cost: float, saved_each: float) -> float | None:
    """Return from how many further gang molds on a rigid master mold pays: M = F_m / s; None if it never does.

    Examples
    --------
    >>> round(rigid_pays_from(68.8, 35.3), 2)
    1.95
    """
    return None if saved_each <= 0.0 else tray_cost / saved_each
