"""The further pages of a pour sheet that is too long for one: nothing is left out, no letter is smaller."""

from dataclasses import dataclass, field, replace
from typing import Final

from layout.documents.page import BLACK, GREY, Area, Line, Mark, Page, Paper, Text
from layout.documents.pour_sheet.content import Reading, SheetContent, grams
from layout.documents.pour_sheet.lines import LINE, fitted, width_em, wrapped
from layout.documents.pour_sheet.plan import plans
from layout.model import Project
from layout.wording import Say, as_written

MARGIN_MM: Final = 11.0
SIZE_MM: Final = 3.4
PLANS_MM: Final = 110.0


@dataclass(slots=True)
class Left:
    """What found no room on the first page.

    Parameters
    ----------
    warnings : tuple of (str, bool)
        With whether they are refusals.
    times : tuple of tuple of Reading
        Cups that share a row, whose times (or cavities) are still to be listed.
    readings : tuple of (str, tuple of Reading)
        Whole tables, under their titles.
    plans, checklist, cautions : bool
    """

    warnings: tuple[tuple[str, bool], ...] = ()
    times: tuple[tuple[Reading, ...], ...] = ()
    readings: tuple[tuple[str, tuple[Reading, ...]], ...] = ()
    plans: bool = False
    checklist: bool = False
    cautions: bool = False


@dataclass(slots=True)
class _Flow:
    """Marks page by page, from top to bottom."""

    paper: Paper
    title: str
    say: Say
    pages: list[list[Mark]] = field(default_factory=list)
    y: float = 1e9

    @property
    def width(self) -> float:
        return self.paper.width_mm - 2.0 * MARGIN_MM

    def room(self, height_mm: float) -> None:
        """Begin a new page unless so much is left on this one."""
        if self.y + height_mm <= self.paper.height_mm - MARGIN_MM:
            return
        words, size = fitted(self.say(self.title), self.width - 30.0, 4.2, 3.0)
        self.pages.append([Text((MARGIN_MM, MARGIN_MM + 4.0), words, size, bold=True)])
        self.y = MARGIN_MM + 8.0

    def line(self, words: str, size: float, *, x: float = 0.0, bold: bool = False, colour: str = BLACK) -> None:
        """Set one line, which is in the reader's language, and go down by it."""
        self.y += size * LINE
        self.pages[-1].append(Text((MARGIN_MM + x, self.y - 0.22 * size), words, size, bold=bold, colour=colour))

    def heading(self, words: str, after_mm: float = 12.0) -> None:
        """Set a heading that is not left alone at the foot of a page."""
        self.room(9.0 + after_mm)
        self.y += 3.0
        self.line(self.say(words), 4.2, bold=True)
        self.y += 1.0

    def item(self, words: str, sign: str, *, bold: bool = False) -> None:
        """Set a paragraph with a sign before it: ``!``, or empty for a box to tick."""
        lines = wrapped(self.say(words), self.width - 6.0, SIZE_MM, bold=bold)
        self.room(len(lines) * SIZE_MM * LINE + 1.2)
        top = self.y + 0.6
        if sign:
            self.pages[-1].append(Text((MARGIN_MM + 0.8, top + 0.8 * SIZE_MM), sign, SIZE_MM, bold=True))
        else:
            x = MARGIN_MM
            self.pages[-1].append(Area(((x, top), (x + 2.8, top), (x + 2.8, top + 2.8), (x, top + 2.8)), 0.25))
        for line in lines:
            self.line(line, SIZE_MM, x=5.2, bold=bold)
        self.y += 1.2


def more_pages(
    project: Project, content: SheetContent, paper: Paper, left: Left, say: Say = as_written
) -> tuple[Page, ...]:
    """Return the pages after the first; none if nothing is left over."""
    flow = _Flow(paper, content.title, say)
    if left.warnings:
        flow.heading("Also to mind")
        for words, bold in left.warnings:
            flow.item(words, "!", bold=bold)
    for title, readings in left.readings:
        flow.heading(f"{title}: cup tared to 0, pour in up to the reading, grams")
        for reading in readings:
            _row(flow, reading, project.pour.scale_step_g)
    for rows in left.times:
        flow.heading(f"{rows[0].name} to {rows[-1].name.split()[-1]}: {rows[0].listed}")
        _list(flow, rows)
    if left.plans:
        _plans(flow, project, content)
    for title, items, sign, asked in (
        ("In this order", content.checklist, "", left.checklist),
        ("Cautions", content.cautions, "!", left.cautions),
    ):
        if asked:
            flow.heading(title)
            for words in items:
                flow.item(words, sign)
    pages = tuple(Page(paper.width_mm, paper.height_mm, tuple(marks)) for marks in flow.pages)
    return tuple(_numbered(page, number, len(pages) + 1, say) for number, page in enumerate(pages, start=2))


def _numbered(page: Page, number: int, of: int, say: Say) -> Page:
    at = (page.width_mm - MARGIN_MM, 8.6)
    return replace(page, marks=(*page.marks, Text(at, say(f"page {number} of {of}"), 2.8, "right", colour=GREY)))


def _row(flow: _Flow, reading: Reading, step_g: float | None) -> None:
    figures = "   ".join(f"{flow.say(label)} {grams(value, step_g)}" for label, value in reading.readings)
    lines = wrapped(f"{flow.say(reading.name)}:  {figures}   {flow.say(reading.note)}", flow.width, SIZE_MM)
    flow.room(len(lines) * SIZE_MM * LINE + 1.0)
    for line in lines:
        flow.line(line, SIZE_MM)
    flow.y += 1.0
    flow.pages[-1].append(Line((MARGIN_MM, flow.y), (MARGIN_MM + flow.width, flow.y), 0.1, GREY))


def _list(flow: _Flow, rows: tuple[Reading, ...]) -> None:
    columns = 3 if max(width_em(flow.say(r.times)) for r in rows) * SIZE_MM < flow.width / 3.0 - 2.0 else 1
    for start in range(0, len(rows), columns):
        flow.room(SIZE_MM * LINE)
        top = flow.y
        for index, reading in enumerate(rows[start : start + columns]):
            flow.y = top
            flow.line(fitted(flow.say(reading.times), flow.width / columns - 2.0, SIZE_MM, 2.8, bold=False)[0], SIZE_MM,
                      x=index * flow.width / columns)  # fmt: skip


def _plans(flow: _Flow, project: Project, content: SheetContent) -> None:
    flow.room(PLANS_MM)
    marks, height = plans(project, content.batch_of, (MARGIN_MM, flow.y + 3.0), (flow.width, PLANS_MM - 4.0), flow.say)
    flow.pages[-1] += marks
    flow.y += height + 4.0
