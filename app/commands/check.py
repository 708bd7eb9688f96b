"""`check`: every rule of a layout, and what the trade would say of it."""

import argparse

from app.commands.answers import answer, finding_json
from layout import checks, project_file
from layout.advice import layout_advice
from layout.model import Finding, Project, Severity
from layout.units import length_text
from layout.wording import message

HELP = "check every rule of a layout and give advice; exit code 1 if a rule is broken"
EXAMPLE = "manymold check bolts.manymold"

_MARKS = {Severity.REFUSE: "BROKEN", Severity.WARN: "mind", Severity.INFO: "note"}


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
    }
    answer(args, document, _text(project, findings, thinnest))
    return 1 if any(f.severity == Severity.REFUSE for f in findings) else 0


def all_findings(project: Project) -> tuple[Finding, ...]:
    """Return the broken rules of the layout, then the advice."""
    return (*checks.check(project), *layout_advice(project))


def _text(project: Project, findings: tuple[Finding, ...], thinnest: checks.Clearances) -> str:
    reasons = {o.kind: o.reason for o in project.overrides}
    lines = []
    for finding in findings:
        taken = f" (accepted: {reasons[finding.kind]})" if finding.kind in reasons else ""
        lines.append(f"{_MARKS[finding.severity]:7s}{message(finding, project.units)}{taken}")
    if not any(f.severity == Severity.REFUSE for f in findings):
        lines.append("No rule of the project is broken." if project.cavities else "There are no cavities yet.")
    for name, value in (("wall", thinnest.least_wall_mm), ("edge", thinnest.least_edge_mm)):
        if value is not None:
            lines.append(f"Least {name}: {length_text(value, project.units, decimals=3)}")
    return "\n".join(lines)
