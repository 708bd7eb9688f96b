"""The pages of the window, in the order of the job. A page that is not written yet is not in the table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from app.jobs import Jobs
    from app.store import Store
    from layout.model import Project

Factory = Callable[["Store", "Jobs"], "QWidget"]


@dataclass(frozen=True, slots=True)
class Page:
    """One page.

    Parameters
    ----------
    id : str
    title : str
        One word of the trade.
    factory : callable
        Makes the page, when it is first shown; import its module inside.
    answer : callable, optional
        The page's one-line answer for the strip at the top, from the Project alone; quick.
    """

    id: str
    title: str
    factory: Factory
    answer: Callable[[Project], str] | None = None


def _cavities(store: Store, jobs: Jobs) -> QWidget:
    from app.pages.cavities import CavitiesPage

    return CavitiesPage(store, jobs)


def _cavities_answer(project: Project) -> str:
    from app.words import counted, tr

    count = len(project.cavities)
    return counted(count, "{n} cavity", "{n} cavities") if count else tr("nothing in the box yet")


def _box(store: Store, jobs: Jobs) -> QWidget:
    from app.pages.box import BoxPage

    return BoxPage(store, jobs)


def _box_answer(project: Project) -> str:
    from app.words import tr
    from layout.box.panels import outside_mm
    from layout.units import length_text

    x, y, z = (length_text(v, project.units, decimals=0) for v in outside_mm(project))
    return tr("{x} x {y} x {z} outside", x=x, y=y, z=z)


def _pour(store: Store, jobs: Jobs) -> QWidget:
    from app.pages.pour import PourPage

    return PourPage(store, jobs)


def _pour_answer(project: Project) -> str:
    from app.words import counted, said
    from layout.pour.silicone import silicone_pour

    pour = silicone_pour(project)
    if pour.batching.count is None:
        return said(pour.why_none)
    grams = pour.dose.mass_g
    mass = f"{grams:.0f} g" if grams < 10_000 else f"{grams / 1000.0:,.1f} kg".replace(",", " ")
    return counted(pour.batching.count, "{mass} in one batch", "{mass} in {n} batches", mass=mass)


def _order(store: Store, jobs: Jobs) -> QWidget:
    from app.pages.order import OrderPage

    return OrderPage(store, jobs)


def _order_answer(project: Project) -> str:
    from app.words import counted
    from layout.batch_log import good_share
    from layout.order.kinds import casts_of

    filled = sum(not c.empty for c in project.cavities)
    parts = counted(project.order.parts, "one part", "{n} parts")
    if not filled:
        return parts
    casts = casts_of(project, filled, project.order.parts, good_share(project))
    return f"{parts}, {counted(casts, 'one cast', '{n} casts')}"


PAGES: list[Page] = [
    Page("cavities", "Cavities", _cavities, _cavities_answer),
    Page("box", "Box", _box, _box_answer),
    Page("pour", "Pour", _pour, _pour_answer),
    Page("order", "Order", _order, _order_answer),
]
