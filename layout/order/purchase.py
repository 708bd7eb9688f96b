"""What has to be bought for an order: materials with their kits, sheets for the boxes, coats."""

import math
from dataclasses import dataclass

from layout.model import Mix, Project
from layout.order.chain import price_of, spare_molds
from layout.order.plan import Option
from layout.order.rigid_master import tray_resin
from layout.order.steps import Step
from layout.pour.mixing import dose, mixed_g_per_ml
from layout.pour.silicone import Kits, kits
from layout.units import counted


@dataclass(frozen=True, slots=True)
class Purchase:
    """One line of the purchase list.

    Parameters
    ----------
    name : str
    what_for : str
    need_g, a_g, b_g : float or None
        By weight, where it is a two-part material.
    amount : str
        What to ask for, as a person says it.
    kits : Kits or None
    price : float or None
        At the material's price, for what is used; None: not known.
    to_pay : float or None
        At the counter: whole kits, or what is used where no kit is known; None: no price.
    """

    name: str
    what_for: str
    amount: str
    need_g: float | None = None
    a_g: float | None = None
    b_g: float | None = None
    kits: Kits | None = None
    price: float | None = None
    to_pay: float | None = None


def purchases(option: Option) -> tuple[Purchase, ...]:
    """Return the purchase list of an order, each material once, with what the shelf still holds taken off its kits."""
    project = option.project
    silicone = sum(_grams(option, s) for s in ("single_mold", "gang_mold", "more_molds"))
    resin = sum(_grams(option, s) for s in ("copies", "casting"))
    lines = [
        _line(project.silicone, silicone, "molds"),
        _line(project.resin, resin, "masters and parts"),
    ]
    mixed = _step(option, "intermediate_mold")
    if not mixed.left_out:
        lines.append(Purchase("silicone and resin of the small gang mold", "masters", f"{mixed.amount:.0f} g in all",
                              price=mixed.cost, to_pay=mixed.cost))  # fmt: skip
    tray = _grams(option, "rigid_master")
    if tray > 0:
        lines.append(_line(tray_resin(project), tray, "rigid master mold"))
    lines.append(_sheets(option))
    finish = _step(option, "finish")
    if not finish.left_out:
        lines.append(
            Purchase(finish.material, "finish", f"{finish.amount:.0f} mL", price=finish.cost, to_pay=finish.cost)
        )
    lines.append(Purchase("release agent, sealer, hot glue, cups, gloves", "the bench", "as needed; not in the price"))
    return tuple(line for line in lines if line.need_g is None or line.need_g > 0)


def _step(option: Option, name: str) -> Step:
    return next(s for s in option.steps if s.id == name)


def _grams(option: Option, name: str) -> float:
    step = _step(option, name)
    return 0.0 if step.left_out else step.amount


def _line(mix: Mix, grams: float, what_for: str) -> Purchase:
    weighed = dose(mix, grams / mixed_g_per_ml(mix))
    found = kits(mix, weighed.a_g, weighed.b_g)
    amount = f"{weighed.a_g:.0f} g of A and {weighed.b_g:.0f} g of B"
    if found is not None and mix.kit_a_g is not None and mix.kit_b_g is not None:
        amount += f": {counted(found.count, 'kit')} of {mix.kit_a_g:.0f} + {mix.kit_b_g:.0f} g"
        if weighed.a_g > found.count * mix.kit_a_g or weighed.b_g > found.count * mix.kit_b_g:
            amount += " and what the shelf holds"
    price = None if mix.price_per_kg is None else price_of(mix, grams)
    to_pay = price
    if price is not None and found is not None and mix.kit_a_g is not None and mix.kit_b_g is not None:
        to_pay = price_of(mix, found.count * (mix.kit_a_g + mix.kit_b_g))
    return Purchase(mix.name, what_for, amount, grams, weighed.a_g, weighed.b_g, found, price, to_pay)


def _sheets(option: Option) -> Purchase:
    project, order = option.project, option.project.order
    with_tray = not _step(option, "rigid_master").left_out
    boxes = 1 if with_tray else option.molds + spare_molds(project)
    name = project.box.sheet
    price = boxes * order.box_cost + (order.tray_cost if with_tray else 0.0)
    return Purchase(
        name, "mold boxes", f"sheets for {counted(boxes, 'box')} (see the cut list)", price=price, to_pay=price
    )


def total_price(lines: tuple[Purchase, ...]) -> float:
    """Return the price of all lines whose price is known."""
    return math.fsum(line.price or 0.0 for line in lines)


def total_to_pay(lines: tuple[Purchase, ...]) -> float:
    """Return what is paid at the counter for all lines whose price is known."""
    return math.fsum(line.to_pay or 0.0 for line in lines)


def unknown_prices(project: Project) -> tuple[str, ...]:
    """Return the materials whose price is not known; the plan counts them as 0 and says so."""
    return tuple(m.name for m in (project.silicone, project.resin) if m.price_per_kg is None)
