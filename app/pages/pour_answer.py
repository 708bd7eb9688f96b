"""All that the Pour page shows of a project, worked out without a widget: a large one is worked out in a thread."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from PySide6.QtCore import QDate, Qt

from app.aside import Stop
from app.pages.pour_plan import PlanViews, plan_views
from app.words import said, tr
from layout import checks
from layout.advice import advice
from layout.documents.pour_sheet.content import Reading, SheetContent, sheet_content
from layout.model import Finding, Project, Severity
from layout.pour.timeline import Timeline, resin_timeline, silicone_timeline

_RANK = (Severity.REFUSE, Severity.WARN, Severity.INFO)


@dataclass(frozen=True, slots=True)
class PourAnswer:
    """What is to mind, what is weighed and when, and the views of the layout if they are others than before."""

    findings: tuple[Finding, ...]
    content: SheetContent
    silicone_times: Timeline
    resin_times: Timeline
    views: PlanViews | None


def ranked(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return findings, the gravest first."""
    return tuple(sorted(findings, key=lambda f: _RANK.index(f.severity)))


def today() -> str:
    """Return the date, as files have it."""
    return QDate.currentDate().toString(Qt.DateFormat.ISODate)


def named_readings(content: SheetContent) -> list[tuple[Reading, str]]:
    """Return what is read off the scale, cup by cup, with what each cup is called."""
    rows = [(reading, tr("silicone {cup}", cup=said(reading.name))) for reading in content.silicone]
    return [*rows, *((reading, tr("resin {cup}", cup=said(reading.name))) for reading in content.resin)]


def facts_html(content: SheetContent) -> str:
    """Return the figures of the pour as a table."""
    facts = [(escape(said(name)), escape(said(value))) for name, value in content.facts]
    lines = "".join(f"<tr><td>{n}&nbsp;&nbsp;</td><td><b>{v}</b></td></tr>" for n, v in facts)
    return f"<table cellspacing='2'>{lines}</table>"


def pour_answer(
    project: Project, day: str, name: str, kept: tuple[Finding, ...], stop: Stop, *, bulge: bool, draw: bool
) -> PourAnswer | None:
    """Work out the pour; None if that is no longer asked for.

    Parameters
    ----------
    day, name : str
        The date, and what the file is called, as the sheet has them.
    kept : tuple of Finding
        Shown as well until they are judged anew.
    bulge : bool
        Also judge the bulge of the sides, which is slow.
    draw : bool
        Also work out the views.
    """
    findings = ranked((*checks.check(project), *advice(project, day, bulge=bulge), *kept))
    if stop():
        return None
    content = sheet_content(project, findings, day, name)
    if stop():
        return None
    views = plan_views(project) if draw else None
    return PourAnswer(findings, content, silicone_timeline(project), resin_timeline(project), views)
