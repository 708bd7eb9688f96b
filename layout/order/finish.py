"""Coats on the finished parts: how much by surface and coverage, the hands, and the window of each next coat."""

import re
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Final

from layout.errors import BadValueError
from layout.model import Finding, Master, Project, Severity
from layout.order.kinds import kinds
from layout.order.stints import Schedule
from layout.pour.coat import surface_mm2
from layout.shop import FinishCoat
from layout.units import ML_PER_US_GALLON, minutes_text, parse_minutes, parse_number


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
    """Return the surface of a part that is coated, back included, mm2; estimated where it is not known."""
    return surface_mm2(master) + master.glued_area_mm2


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
        cost = volume / 1000.0 * coat.price_per_l
        found += [CoatNeed(name, volume, parts * coat.hands_min, coat.wait_min, cost) for name in _names(coat)]
    return found


def coat_findings(project: Project, calendar: Schedule) -> tuple[Finding, ...]:
    """Return the coats whose next one comes too late: from a part's coat to its next as the calendar has them."""
    begun: dict[str, float] = {}
    for stint in calendar.stints:
        if stint.what in ("finish", "wait"):
            begun.setdefault(stint.name, stint.start_min)
    found: list[Finding] = []
    for coat in project.order.coats:
        starts = [begun[name] for name in _names(coat) if name in begun]
        takes = max((after - before for before, after in pairwise(starts)), default=0.0)
        if coat.latest_min is not None and takes > coat.latest_min:
            found.append(
                Finding("coat_window", Severity.WARN, (), takes, coat.latest_min, "min",
                        detail=f"{coat.name}: the next coat must go on within {minutes_text(coat.latest_min)}, but it"
                        f" is {minutes_text(takes)} from one to the next: finish in lots, and begin in the morning.")
            )  # fmt: skip
    return tuple(found)


def _names(coat: FinishCoat) -> list[str]:
    """What its coats are called in the calendar, with their numbers where there are several."""
    return [coat.name] if coat.coats == 1 else [f"{coat.name} {number + 1}" for number in range(coat.coats)]


MM2_PER_ML_OF_M2_PER_L: Final = 1000.0
MM2_PER_ML_OF_SQFT_PER_GAL: Final = 304.8**2 / ML_PER_US_GALLON
_COVERAGE: Final = re.compile(r"\s*([0-9]*\.?[0-9]+)\s*(m2/l|m²/l|sqft/gal|)\s*", re.IGNORECASE)
_COAT_EXAMPLE: Final = "write it like primer:8m2/l,coats=2,hands=0.2min,wait=30min,latest=4h,price=25"


def parse_coat(text: str, where: str) -> FinishCoat:
    """Return a typed coat: its name, what a litre covers, and what else is known.

    Parameters
    ----------
    text : str
        ``primer:8m2/l`` (a bare number is m2/l; ``sqft/gal`` is read too), then ``coats``, ``hands`` for one part and
        one coat, ``wait``, ``latest``, ``price`` of a litre.
    where : str
        The option, for the error.

    Raises
    ------
    BadValueError
        If it can't be read, or a coverage or a count makes no sense.

    Examples
    --------
    >>> parse_coat("primer:8,coats=2,latest=4h", "--coat").latest_min
    240.0
    >>> round(parse_coat("wax:400sqft/gal", "--coat").coverage_mm2_per_ml)
    9817
    """
    head, *rest = text.split(",")
    name, colon, covers = head.partition(":")
    match = _COVERAGE.fullmatch(covers)
    if not colon or not name.strip() or match is None or not float(match[1]) > 0.0:
        raise BadValueError(where, f"{text!r} is no coat", _COAT_EXAMPLE)
    factor = MM2_PER_ML_OF_SQFT_PER_GAL if match[2].lower() == "sqft/gal" else MM2_PER_ML_OF_M2_PER_L
    coat = FinishCoat(name.strip(), float(match[1]) * factor)
    for piece in rest:
        key, equals, value = (part.strip() for part in piece.partition("="))
        if key in ("hands", "wait", "latest") and equals:
            changed: dict[str, Any] = {f"{key}_min": parse_minutes(value, where)}
        elif key == "coats":
            changed = {"coats": int(parse_number(value, where, least=1.0, most=100.0))}
        elif key == "price":
            changed = {"price_per_l": parse_number(value, where, least=0.0, most=1e6)}
        else:
            raise BadValueError(where, f"{piece!r} is not readable", _COAT_EXAMPLE)
        coat = replace(coat, **changed)
    return coat


def _require(coat: FinishCoat) -> None:
    good = coat.coverage_mm2_per_ml > 0.0 and coat.coats >= 1 and coat.hands_min >= 0.0 and coat.wait_min >= 0.0
    if not good:
        raise BadValueError(
            coat.name or "coat",
            "its coverage, count or times make no sense",
            "give a coverage above 0 and times from 0",
        )
