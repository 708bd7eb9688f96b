"""What the trade would say of a project: every limit of the table in one place, as Findings with the nearest remedy.

Only this package decides the severity of advice. Geometry is judged by `checks`, by the project's own rules; a wall as
thin as the project's own rule allows is warned of here at most.
"""

from dataclasses import replace
from typing import Final

from layout.advice.bench import bench_advice
from layout.advice.mold import mold_advice
from layout.advice.order import deadline_finding, order_advice
from layout.advice.resin import resin_advice
from layout.advice.saying import RANK, finding
from layout.advice.silicone import silicone_advice
from layout.advice.stock import stock_advice
from layout.advice.turns import turn_advice
from layout.limits import TABLE
from layout.model import Finding, Project, Severity

__all__ = ["KINDS", "advice", "deadline_finding", "layout_advice"]

KINDS: Final = frozenset(
    {row.kind for row in TABLE}
    | {
        "undercut", "small_container", "small_scale", "silicone_batches", "coat_time", "filler", "ratio",
        "unequal_heights", "empty_positions", "degas_needed", "degas_not_needed", "damp_degassing", "gear_too_small",
        "resin_cups", "hot_batch", "thick_pour", "kit_short", "kit_tight", "assumed_numbers", "old_lot", "learned",
        "bad_cavity", "stray_keep_out", "no_cavities", "turned",
    }
)  # fmt: skip
"""Every kind of finding that advice makes."""


def advice(project: Project, today: str = "", *, bulge: bool = True) -> tuple[Finding, ...]:
    """Return all advice on a project, the gravest first.

    Parameters
    ----------
    project : Project
    today : str
        ISO date, to judge what was opened long ago; empty: not judged.
    bulge : bool
        Also judge the bulge of the sides: a new size of side takes some tenths of a second, the rest a hundredth.

    Notes
    -----
    Without cavities the box is only a slab of silicone: that is all there is to say.
    """
    if not project.cavities or not project.masters:
        return (_no_cavities(),)
    found = (
        *mold_advice(project, bulge=bulge),
        *silicone_advice(project),
        *resin_advice(project),
        *bench_advice(project),
        *stock_advice(project, today),
        *order_advice(project),
    )
    return tuple(sorted(found, key=lambda f: -RANK[f.severity]))


def _no_cavities() -> Finding:
    sentence = (
        "There is no cavity: what is reckoned here is the bare box, filled up to the line. Fill the box first, or place"
        " the masters."
    )
    return finding("no_cavities", Severity.WARN, sentence, measured=0.0, required=1.0, unit="cavities")


def layout_advice(project: Project) -> tuple[Finding, ...]:
    """Return the advice on the layout (walls, floor, box, parts, worn molds and bad cavities), none of it a refusal.

    Notes
    -----
    This is what `check` shows beside the project's own rules: it changes no exit code. What the pour sheet refuses is a
    warning here with ``asks_reason`` set, and bears the same word before the same sentence; see `wording.head`.
    """
    laid = project.cavities and project.masters
    found = (*mold_advice(project), *order_advice(project), *turn_advice(project)) if laid else ()
    capped = (replace(f, severity=Severity.WARN) if f.severity == Severity.REFUSE else f for f in found)
    return tuple(sorted(capped, key=lambda f: (not f.asks_reason, -RANK[f.severity])))
