"""Where the numbers of a plan come from: typed, learned from the batch log, or a default."""

from layout.batch_log import Learned, mold_life_of, yield_of
from layout.model import Project
from layout.order.learned import pot_life_of
from layout.units import counted


def sources(project: Project) -> tuple[str, ...]:
    """Return a sentence each for yield, mold life and pot lives: the value, and whether it was given, learned or usual.

    Parameters
    ----------
    project : Project
        As the user has it or with its log's pot lives in it; the log says which were learned.
    """
    order = project.order
    return (
        "Good parts: "
        + _said(None if order.yield_share is None else f"{100 * order.yield_share:g} %", yield_of(project)),
        "Mold life: "
        + _said(None if order.mold_life is None else counted(order.mold_life, "cast"), mold_life_of(project)),
        f"Pot life of the resin: {pot_life_of(project, 'cast').source}.",
        f"Pot life of the silicone: {pot_life_of(project, 'pour').source}.",
    )


def _said(typed: str | None, learned: Learned) -> str:
    if typed is None:
        return f"{learned.source}."
    instead = f" in place of {learned.source}" if learned.observations else ""
    return f"{typed}, given{instead}."
