"""Coats on the finished parts: how much by surface and coverage, the hands, and the window of each next coat."""

from dataclasses import dataclass

from layout.errors import BadValueError
from layout.model import Finding, Master, Project, Severity
from layout.order.kinds import kinds
from layout.shop import FinishCoat


@dataclass(frozen=True, slots=True)
class CoatNeed:
    """One coat on all parts of the order.

    Parameters
    ----------
    name : str
        With the number of the coat where there are several.
    volume_ml, hands_min, wait_min, cost : float
    """

    name: str
    volume_ml: float
    hands_min: float
    wait_min: float
    cost: float


def coated_mm2(master: Master) -> float:
    """Return the surface of a part that is coated, back included, mm2.

    Notes
    -----
    Where the surface is not known, the shell of a prism over the glued back of the same height is taken: the back, a
    top as large, and a side round a square of that area. An estimate.
    """
    if master.surface_mm2 is not None:
        return master.surface_mm2 + master.glued_area_mm2
    return float(2.0 * master.glued_area_mm2 + 4.0 * master.glued_area_mm2**0.5 * master.height_mm)


def mean_coated_mm2(project: Project) -> float:
    """Return the coated surface of a part, mm2: the mean over the kinds laid out, over all masters if none is."""
    laid = [(coated_mm2(k.master), k.cavities) for k in kinds(project)] or [(coated_mm2(m), 1) for m in project.masters]
    return sum(area * n for area, n in laid) / sum(n for _, n in laid)


def coats(project: Project, parts: int) -> list[CoatNeed]:
    """Return every coat of the order in turn; the kinds of a mixed box in the shares of its layout.

    Raises
    ------
    BadValueError
        If a coverage is not above 0, a count below 1, or a time negative.
    """
    if not project.masters:
        return []
    area = mean_coated_mm2(project)
    found: list[CoatNeed] = []
    for coat in project.order.coats:
        _require(coat)
        volume = parts * area / coat.coverage_mm2_per_ml
        for number in range(coat.coats):
            name = coat.name if coat.coats == 1 else f"{coat.name} {number + 1}"
            found.append(
                CoatNeed(name, volume, parts * coat.hands_min, coat.wait_min, volume / 1000.0 * coat.price_per_l)
            )
    return found


def coat_findings(project: Project, parts: int, hands: int) -> tuple[Finding, ...]:
    """Return the coats whose next one would come too late: hands for all parts and the wait, against the window."""
    found: list[Finding] = []
    for coat in project.order.coats:
        if coat.latest_min is None or coat.coats < 2:
            continue
        takes = max(coat.wait_min, parts * coat.hands_min / max(1, hands))
        if takes > coat.latest_min:
            found.append(
                Finding("coat_window", Severity.WARN, (), takes, coat.latest_min, "min",
                        detail=f"{coat.name}: the next coat must go on within {coat.latest_min:.0f} min, but all parts"
                        f" take {takes:.0f} min: finish in lots.")
            )  # fmt: skip
    return tuple(found)


def _require(coat: FinishCoat) -> None:
    good = coat.coverage_mm2_per_ml > 0.0 and coat.coats >= 1 and coat.hands_min >= 0.0 and coat.wait_min >= 0.0
    if not good:
        raise BadValueError(
            coat.name or "coat",
            "its coverage, count or times make no sense",
            "give a coverage above 0 and times from 0",
        )
