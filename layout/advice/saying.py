"""Findings of advice, and the words their sentences share."""

import math
from collections.abc import Collection

from layout.geometry import Segment
from layout.limits import limit
from layout.model import CavityId, Finding, Project, Severity
from layout.units import ML_PER_US_FL_OZ, ML_PER_US_GALLON, Units, measured_length_text, plain_text, temperature_text

RANK = {Severity.INFO: 0, Severity.WARN: 1, Severity.REFUSE: 2}
"""How grave a severity is."""


def finding(
    kind: str,
    severity: Severity,
    sentence: str,
    *,
    measured: float | None = None,
    required: float | None = None,
    unit: str = "",
    cavities: Collection[CavityId] = (),
    segment: Segment | None = None,
) -> Finding:
    """Return a finding of advice with its sentence."""
    return Finding(
        kind, severity, tuple(cavities), measured, required, unit, segment, sentence, severity == Severity.REFUSE
    )


def judged(
    project: Project,
    limit_kind: str,
    measured: float,
    sentence: str,
    *,
    kind: str = "",
    at_most: Severity = Severity.REFUSE,
    shown: tuple[float, float] | None = None,
    unit: str | None = None,
    cavities: Collection[CavityId] = (),
    segment: Segment | None = None,
) -> Finding | None:
    """Return a finding if a measured value passes a limit's warning, else None.

    Parameters
    ----------
    limit_kind : str
        The row of the table.
    kind : str
        The finding's own kind, if it is not the row's.
    at_most : Severity
        What it is never worse than.
    shown : (measured, required), optional
        Given to the user in place of the compared numbers, in ``unit``.
    """
    row = limit(project, limit_kind)
    severity = row.severity(measured)
    if severity == Severity.INFO:
        return None
    severity = min(severity, at_most, key=RANK.__getitem__)
    allowed = row.refuse if severity == Severity.REFUSE else row.warn
    shown_measured, shown_allowed = shown or (measured, allowed)
    return finding(
        kind or limit_kind,
        severity,
        sentence,
        measured=shown_measured,
        required=shown_allowed,
        unit=row.unit if unit is None else unit,
        cavities=cavities,
        segment=segment,
    )


def found(*findings: Finding | None) -> tuple[Finding, ...]:
    """Return those that are there."""
    return tuple(f for f in findings if f is not None)


def mm(value_mm: float, units: Units) -> str:
    """Return a measured length."""
    return measured_length_text(value_mm, units)


def at_least_text(volume_ml: float, units: Units) -> str:
    """Return a volume that is enough, rounded up: litres from 1 L on; with fluid ounces or quarts for inch users."""
    if volume_ml < 1000.0:
        shown = f"{math.ceil(volume_ml * 10.0 - 1e-9) / 10.0:.1f} mL"
        ounces = math.ceil(volume_ml / ML_PER_US_FL_OZ * 10.0 - 1e-9) / 10.0
        return shown if units.length == "mm" else f"{shown} ({ounces:.1f} fl oz)"
    litres = math.ceil(volume_ml / 10.0 - 1e-9) / 100.0
    if units.length == "mm":
        return f"{litres:.2f} L"
    quarts = math.ceil(litres * 1000.0 / ML_PER_US_GALLON * 4.0 * 10.0 - 1e-9) / 10.0
    return f"{litres:.2f} L ({quarts:.1f} qt)"


def at_today(project: Project) -> str:
    """Return the temperature of the parts today, as the user reads it."""
    return temperature_text(project.pour.temperature_c, project.units)


def begun(words: str) -> str:
    """Return words with a capital letter, to begin a sentence."""
    return words[:1].upper() + words[1:]


def about(value: float) -> str:
    """Return a number with two or three figures, no more than a bench can tell apart."""
    return f"{value:.0f}" if abs(value) >= 100 else plain_text(value, 3)
