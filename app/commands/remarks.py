"""What `new` and `set` say beside their answer: where a typed rule may not mean, or not do, what it seems to."""

import argparse
import re
from typing import Final

from layout import checks
from layout.model import Project
from layout.units import Units, counted, measured_length_text, parse_length_mm

_FRACTION: Final = re.compile(r"(?:\d+[- ]+)?\d+/\d+")
_HAS_UNIT: Final = re.compile(r"[A-Za-z\"]\s*$")
_SOLID: Final = re.compile(r"^\s*[A-Za-z]+\d*\s*:")

_LENGTHS: Final = (
    "box", "round", "wall", "edge", "floor", "freeboard", "tab", "fit", "tube", "kerf", "gap", "margin", "stock",
    "leftover",
)  # fmt: skip


def bare_fractions(args: argparse.Namespace) -> list[str]:
    """Return a line for each option in which a fraction without a unit was typed: it is mm, and rarely meant so."""
    typed: list[tuple[str, str]] = []
    for option in _LENGTHS:
        value = getattr(args, option, None)
        values = value if isinstance(value, list) else [value]
        typed += [(f"--{option}", str(v)) for v in values if v is not None]
    if getattr(args, "panel", None) is not None:
        typed.append(("--panel", args.panel.rpartition(":")[2]))
    for master in getattr(args, "masters", None) or []:
        typed += [("--master", part) for part in _lengths_of(master.spec)]
        if master.height is not None:
            typed.append(("--height", master.height))
    return list(dict.fromkeys(line for option, text in typed for line in _of_text(option, text)))


def _lengths_of(spec: str) -> list[str]:
    """Return the parts of a spec in which lengths stand, without the name of a file."""
    if _SOLID.match(spec) and "@" not in spec:
        return [part.partition(":")[2] for part in spec.split("+")]
    return [spec.rpartition("@")[2]] if "@" in spec else []


def _of_text(option: str, text: str) -> list[str]:
    # 20x3/4in reads the last unit for both
    if _HAS_UNIT.search(text):
        return []
    found = (m[0] for part in re.split(r"[xX×]", text) for m in [_FRACTION.fullmatch(part.strip())] if m)
    return [
        f"{option}: {fraction} has no unit and was read as {measured_length_text(mm, Units())};"
        f" for inches write {fraction.replace(' ', '-')}in."
        for fraction in found
        for mm in [parse_length_mm(fraction, option)]
    ]


def own_turns(project: Project) -> list[str]:
    """Return a line that says which parts have a turn of their own, which the project's does not change."""
    own = [f"{m.id} ({m.turn})" for m in project.masters if m.turn not in (None, project.rules.turn)]
    if not own:
        return []
    keep = "keeps its own turn" if len(own) == 1 else "keep their own turn"
    return [f"{', '.join(own)} {keep}; change it by --master NAME --turn {project.rules.turn}."]


def now_broken(project: Project, file: str) -> list[str]:
    """Return a line that says how many cavities break a rule as the project is now."""
    ids = {cavity for finding in checks.check(project) for cavity in finding.cavities}
    if not ids:
        return []
    breaks = "breaks" if len(ids) == 1 else "break"
    return [f"{counted(len(ids), 'cavity')} of {len(project.cavities)} {breaks} a rule now: run check {file}."]
