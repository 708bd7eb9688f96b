"""`check`: every rule of a layout, and what the trade would say of it."""

import argparse
from typing import Final

from app.commands.answers import answer, finding_json
from app.commands.describe import wanted_json, wanted_text
from app.commands.run import DONE, RULES_BROKEN
from layout import checks, project_file
from layout.advice import layout_advice
from layout.model import Finding, Project, Severity
from layout.numbering import by_name
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import counted, measured_length_text
from layout.wording import head, message

HELP = "check every rule of a layout and give advice; exit code 1 if a rule is broken"
EXAMPLE = "manymold check bolts.manymold"

MOST_LINES: Final = 10
"""How many findings of one kind are printed; a layout with the wrong wall has hundreds."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    findings = all_findings(project)
    thinnest = checks.clearances(project)
    document = {
        "findings": [finding_json(f, project.units) for f in findings],
        "least_wall_mm": thinnest.least_wall_mm,
        "least_edge_mm": thinnest.least_edge_mm,
        "count": len(project.cavities),
        "wanted": wanted_json(project),
    }
    answer(args, document, _text(project, findings, thinnest))
    return RULES_BROKEN if any(f.severity == Severity.REFUSE for f in findings) else DONE


def all_findings(project: Project) -> tuple[Finding, ...]:
    """Return the broken rules of the layout, then the advice."""
    return (*checks.check(project), *layout_advice(project))


def _text(project: Project, findings: tuple[Finding, ...], thinnest: checks.Clearances) -> str:
    lines = [line for kind in dict.fromkeys(f.kind for f in findings) for line in _of_kind(project, findings, kind)]
    broken = sum(f.severity == Severity.REFUSE for f in findings)
    if broken:
        lines.append(f"Rules of the project are broken in {counted(broken, 'place')}.")
    else:
        lines.append("No rule of the project is broken." if project.cavities else "There are no cavities yet.")
    stops = sum(f.asks_reason for f in findings)
    if stops:
        points = "1 point of advice stops" if stops == 1 else f"{stops} points of advice stop"
        lines.append(f"{points} the pour sheet until mended or taken on with a reason; no rule of the project's own.")
    lines += [wanted_text(project)] if wanted_text(project) else []
    for name, value, none in (
        ("wall", thinnest.least_wall_mm, "none, for cavities overlap"),
        ("edge", thinnest.least_edge_mm, "none, for a cavity sticks out of the box"),
    ):
        if value is not None:
            lines.append(
                f"Least {name}: {none if value < -CLEARANCE_TOL_MM else measured_length_text(value, project.units)}"
            )
    return "\n".join(lines)


def _mark(finding: Finding) -> str:
    word = head(finding)
    return word.upper() if finding.severity == Severity.REFUSE else word


def _of_kind(project: Project, findings: tuple[Finding, ...], kind: str) -> list[str]:
    """Return the lines of one kind of finding, the worst first, the rest of a long list only counted."""
    taken = "".join(f" (accepted: {o.reason})" for o in project.overrides if o.kind == kind)
    of_kind = sorted((f for f in findings if f.kind == kind), key=_how_far)
    listed = by_name(of_kind[:MOST_LINES], project)
    lines = [f"{_mark(f):7s}{message(f, project.units)}{taken}" for f in listed]
    rest = len(of_kind) - MOST_LINES
    if rest > 0:
        lines.append(f"       ... and {rest} more like it, none worse; --json lists all.")
    return lines


def _how_far(finding: Finding) -> float:
    """Return the distance of the measured value from the allowed one, negative: the farthest sorts first."""
    if finding.measured is None or finding.required is None:
        return 0.0
    return -abs(finding.measured - finding.required)
