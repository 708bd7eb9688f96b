"""All that the Box page shows of a project, worked out without a widget: a large one is worked out in a thread."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from app.aside import Stop
from app.pages.box_views import SheetsDrawing, sheets_drawing
from app.words import counted, said, short, tr
from layout.box.cutters import cautions
from layout.box.estimates import estimate_lines
from layout.box.job import CutJob, cut_job
from layout.box.notices import remarks_of, sheets_line, warnings_of
from layout.box.picture import Facet, picture_of
from layout.box.stock import largest_rest_mm, waste_pct
from layout.documents.cut_list import CutLine, cut_lines
from layout.errors import LayoutError
from layout.materials import Sheet
from layout.model import Project
from layout.units import length_text


@dataclass(frozen=True, slots=True)
class BoxAnswer:
    """The cutting job and what is drawn and told of it; without a job only what is in the way."""

    job: CutJob | None
    problem: str
    told: str
    facets: tuple[Facet, ...] = ()
    drawing: SheetsDrawing | None = None
    lines: tuple[CutLine, ...] = ()
    advice: str = ""


def box_answer(project: Project, relief: str, known: tuple[Sheet, ...], stop: Stop) -> BoxAnswer | None:
    """Work out the box; None if that is no longer asked for."""
    try:
        job = cut_job(project, relief or None, known)
    except LayoutError as error:
        problem = plain_sentence(error)
        return BoxAnswer(None, problem, problem)
    if stop():
        return None
    facets = picture_of(job.project, job.parts)
    if stop():
        return None
    drawing = sheets_drawing(job)
    lines = tuple(cut_lines(job.parts, job.sheets, project.box.sheet))
    return BoxAnswer(job, "", "\n".join(warnings_of(job)), facets, drawing, lines, _advice(project, job))


def plain_sentence(error: LayoutError) -> str:
    """Return an error for the window: without the name of a command line's option."""
    words = short(error) if error.where.startswith("--") else said(error)
    return words[:1].upper() + words[1:]


def _advice(project: Project, job: CutJob) -> str:
    parts = [
        (tr("Sheets"), _sheet_lines(project, job)),
        (tr("Put it together"), [*job.parts.steps, *remarks_of(job)]),
        (tr("What it will stand"), list(estimate_lines(project))),
        (tr("Mind"), list(cautions(project.box.sheet, job.cutter, project.box.joint))),
    ]
    return "".join(f"<p><b>{escape(head)}</b><br>{_lines_html(lines)}</p>" for head, lines in parts)


def _sheet_lines(project: Project, job: CutJob) -> list[str]:
    waste = waste_pct(job.sheets)
    lines = [tr("Outside {size}.", size=" x ".join(length_text(v, project.units) for v in job.parts.outside_mm))]
    if waste is None:
        return [*lines, said(sheets_line(job)), tr("Tick the sheets you have to see how the panels go on them.")]
    count = counted(len(job.sheets), "One sheet", "{n} sheets")
    lines.append(tr("{count}, {waste} % waste.", count=count, waste=f"{waste:.0f}"))
    rest = largest_rest_mm(job.sheets[-1], job.kerf_mm, job.gap_mm)
    if rest is not None:
        size = f"{length_text(rest[0], project.units, decimals=0)} x {length_text(rest[1], project.units, decimals=0)}"
        lines.append(tr("Largest piece left over: {size}.", size=size))
    return lines


def _lines_html(lines: list[str]) -> str:
    return "<br>".join(escape(said(line)) for line in lines)
