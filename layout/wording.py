"""Findings and numbers to the sentences a user reads: one place for the window, the paper and the command line."""

from collections.abc import Callable, Sequence
from typing import Final

from layout.model import CavityId, Finding, Severity
from layout.units import Units, measured_length_text

Say = Callable[[str], str]
"""Turns a whole text as `layout` writes it into the reader's language, before it is broken into lines."""


def as_written(text: str) -> str:
    """Return a text as `layout` writes it, in English."""
    return text


def _names(ids: Sequence[CavityId]) -> str:
    shown = [*ids[:3], f"{len(ids) - 3} more"] if len(ids) > 3 else [*ids]
    return " and ".join([", ".join(shown[:-1]), shown[-1]] if len(shown) > 1 else shown)


def _overlap(f: Finding, u: Units) -> str:
    return f"Cavities {_names(f.cavities)} overlap by {_mm(-(f.measured or 0.0), u)}."


def _thin_wall(f: Finding, u: Units) -> str:
    cavities = _names(f.cavities)
    return f"The wall between cavities {cavities} is {_mm(f.measured, u)}; the rule is {_mm(f.required, u)}."


def _outside(f: Finding, u: Units) -> str:
    return f"Cavity {_names(f.cavities)} sticks out of the box by {_mm(-(f.measured or 0.0), u)}."


def _thin_edge(f: Finding, u: Units) -> str:
    return (
        f"Cavity {_names(f.cavities)} is {_mm(f.measured, u)} from the side of the box;"
        f" the rule is {_mm(f.required, u)}."
    )


def _in_keep_out(f: Finding, u: Units) -> str:
    return f"Cavity {_names(f.cavities)} reaches {_mm(-(f.measured or 0.0), u)} into keep-out {f.detail}."


def _mm(value: float | None, units: Units) -> str:
    if value is None:
        return "unknown"
    return measured_length_text(value, units)


_SENTENCES: dict[str, Callable[[Finding, Units], str]] = {
    "overlap": _overlap,
    "thin_wall": _thin_wall,
    "outside_box": _outside,
    "thin_edge": _thin_edge,
    "in_keep_out": _in_keep_out,
}


def message(finding: Finding, units: Units) -> str:
    """Return what a finding says to the user, in one or two sentences, with lengths in the user's unit.

    Advice brings its own sentence in ``detail``; the geometric rules are worded here.
    """
    sentence = _SENTENCES.get(finding.kind)
    return sentence(finding, units) if sentence else finding.detail


RULES: Final = frozenset(_SENTENCES)
"""The kinds of finding that are rules of the project's own."""


def is_rule(finding: Finding) -> bool:
    """Return whether a finding is a broken rule of the project's own, rather than advice."""
    return finding.kind in RULES


def head(finding: Finding) -> str:
    """Return the word before a finding's sentence, the same on the screen, on paper and in every command.

    Notes
    -----
    ``Broken``: a rule of the project's own. ``Stop``: advice that the pour sheet asks a reason for. ``Mind``, ``Note``.
    """
    if is_rule(finding):
        return "Broken"
    if finding.asks_reason or finding.severity == Severity.REFUSE:
        return "Stop"
    return "Mind" if finding.severity == Severity.WARN else "Note"
