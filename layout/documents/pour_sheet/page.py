"""The pour sheet as an A4 or Letter page, its readings large enough for arm's length; what is left goes on a second."""

from dataclasses import dataclass, field, replace
from typing import Final

from layout.documents.page import A4, BLACK, GREY, PALE, Area, Line, Mark, Page, Paper, Text
from layout.documents.pour_sheet.content import Reading, SheetContent, alike, grams
from layout.documents.pour_sheet.lines import LINE, fitted, width_em, wrapped
from layout.documents.pour_sheet.more import Left, more_pages
from layout.documents.pour_sheet.plan import plans
from layout.model import Project, Severity
from layout.wording import Say, as_written

MARGIN_MM: Final = 11.0
BODY_MM: Final = 3.5

FEW_CUPS: Final = 4
"""So few cups have their readings larger."""

ROWS_SHOWN: Final = 5
"""Batches of one kind with a row of their own; equal ones beyond share a row, and their times are listed."""

MOST_ROWS: Final = 8
MOST_HEAD_LINES: Final = 12
"""Warnings beyond so many lines go on the second page."""

LEAST_BODY_MM: Final = 2.6
"""7.4 points: smaller is not read at arm's length, so the text goes on the second page."""

LEAST_PLAN_MM: Final = 42.0
"""The plans have at least this height, else the text below them makes room."""

TIMES_SHOWN: Final = 24
NOTE_MM: Final = 62.0
NAME_MM: Final = 30.0

STRONG: Final = ("Fill line over the base", "Container")

DARK: Final = "#1b1b1b"


@dataclass(slots=True)
class _Sheet:
    """Marks, and how far down the page is used; what found no room on it."""

    paper: Paper
    say: Say
    y: float = MARGIN_MM
    marks: list[Mark] = field(default_factory=list)
    left_over: Left = field(default_factory=Left)

    @property
    def width(self) -> float:
        return self.paper.width_mm - 2.0 * MARGIN_MM

    @property
    def left(self) -> float:
        return MARGIN_MM

    @property
    def bottom(self) -> float:
        return self.paper.height_mm - MARGIN_MM

    def text(self, x: float, words: str, size: float, *, bold: bool = False, colour: str = BLACK) -> None:
        self.marks.append(Text((x, self.y), words, size, bold=bold, colour=colour))


def pour_pages(project: Project, content: SheetContent, paper: Paper = A4, say: Say = as_written) -> tuple[Page, ...]:
    """Return the pour sheet of a project: one page, or as many more as nothing is left out and no letter is too small.

    Notes
    -----
    Readings and clock times come first and large; then the plan and the map of the finished mold, the checklist and the
    cautions. What finds no room at 7.4 points goes on further pages: cautions first, then the checklist; so do warnings
    and times of cups beyond those that the first page holds.
    """
    sheet = _Sheet(paper, say)
    _head(sheet, content)
    few = len(content.silicone) + len(content.resin) <= FEW_CUPS
    _readings(sheet, project, content.poured, content.silicone, 8.2 if few else 6.4)
    _readings(sheet, project, f"Resin: {content.resin_name}", content.resin, 6.4 if few else 5.0)
    _facts(sheet, content)
    lower, lower_height = _lower(sheet, content, bool(project.cavities))
    room = sheet.bottom - lower_height - sheet.y - 2.0
    _plans(sheet, project, content, room)
    sheet.y = sheet.bottom - lower_height
    sheet.marks += [_moved(mark, sheet.y) for mark in lower]
    first = Page(paper.width_mm, paper.height_mm, tuple(sheet.marks))
    more = more_pages(project, content, paper, sheet.left_over, say)
    if not more:
        return (first,)
    words = say(f"page 1 of {1 + len(more)}")
    count = Text((sheet.left + sheet.width, 6.0 + 2.6), words, 2.8, "right", colour=GREY)
    return (replace(first, marks=(*first.marks, count)), *more)


def _head(sheet: _Sheet, content: SheetContent) -> None:
    sheet.y += 5.0
    title, size = fitted(sheet.say(content.title), sheet.width, 6.0, 4.2)
    sheet.text(sheet.left, title, size, bold=True)
    sheet.y += 5.6
    sheet.text(sheet.left, sheet.say(content.subtitle), BODY_MM)
    sheet.y += 2.2
    said = [(w, True) for s, w in content.warnings if s == Severity.REFUSE]
    said += [(f"Taken on: {w}", True) for w in content.accepted]
    said += [(w, False) for s, w in content.warnings if s == Severity.WARN]
    if not said:
        return
    size = 2.9
    shown: list[tuple[str, bool]] = []
    for index, (words, bold) in enumerate(said):
        lines = wrapped(sheet.say(words), sheet.width - 5.0, size, bold=bold)
        if shown and len(shown) + len(lines) > MOST_HEAD_LINES - (index + 1 < len(said)):
            sheet.left_over.warnings = tuple(said[index:])
            more = len(said) - index
            told = "1 more point to mind: see page 2." if more == 1 else f"{more} more points to mind: see page 2."
            shown.append((sheet.say(told), True))
            break
        shown += [(line, bold) for line in lines]
    height = len(shown) * size * LINE + 2.6
    _frame(sheet, sheet.y, height, PALE)
    sheet.y += 0.9
    for line, bold in shown:
        sheet.y += size * LINE
        sheet.text(sheet.left + 2.5, line, size, bold=bold)
    sheet.y += 3.4


def _frame(sheet: _Sheet, top: float, height: float, fill: str | None, width_mm: float = 0.0) -> None:
    x0, x1 = sheet.left, sheet.left + sheet.width
    sheet.marks.append(Area(((x0, top), (x1, top), (x1, top + height), (x0, top + height)), width_mm, fill=fill))


def _readings(sheet: _Sheet, project: Project, title: str, readings: tuple[Reading, ...], size: float) -> None:
    if not readings:
        return
    sheet.y += 4.6
    words, letters = fitted(sheet.say(title), sheet.width - 96.0, 4.2, 2.8)
    sheet.text(sheet.left, words, letters, bold=True)
    told = sheet.say("cup tared to 0, pour in up to the reading, grams")
    words, letters = fitted(told, 92.0, 2.8, 2.0, bold=False)
    sheet.text(sheet.left + sheet.width - 92.0, words, letters, colour=GREY)
    sheet.y += 1.6
    groups = [[r] for r in readings] if len(readings) <= ROWS_SHOWN else alike(readings)
    step = project.pour.scale_step_g
    size, columns = _columns(sheet, [g[0] for g in groups[:MOST_ROWS]], size, step)
    for rows in groups[:MOST_ROWS]:
        _reading_row(sheet, rows, size, columns, step)
    if len(groups) > MOST_ROWS:
        sheet.y += 3.6
        told = sheet.say(f"{len(readings)} cups in all: every reading stands on page 2.")
        sheet.text(sheet.left, told, 2.9, bold=True)
        sheet.y += 1.0
        sheet.left_over.readings += ((title, readings),)
    sheet.y += 1.0


def _columns(sheet: _Sheet, rows: list[Reading], size: float, step_g: float | None) -> tuple[float, list[float]]:
    """The size of the readings and the widths of their columns, so that the notes keep their room."""
    while True:
        widths = [
            max(
                width_em(sheet.say(r.readings[n][0])) * 3.2
                + 1.4
                + width_em(grams(r.readings[n][1], step_g), bold=True) * size
                + 3.0
                for r in rows
            )
            for n in range(len(rows[0].readings))
        ]
        if NAME_MM + sum(widths) <= sheet.width - NOTE_MM - 1.0 or size <= 3.4:
            return size, widths
        size -= 0.2


def _reading_row(sheet: _Sheet, rows: list[Reading], size: float, columns: list[float], step_g: float | None) -> None:
    first = rows[0]
    name = first.name if len(rows) == 1 else f"{first.name} to {rows[-1].name.split()[-1]}"
    note = first.note if len(rows) == 1 else f"{len(rows)} cups alike; below: {first.listed}"
    notes = wrapped(sheet.say(note), NOTE_MM, 2.8)
    height = max(size * 1.5, len(notes) * 2.8 * LINE + 1.6)
    base = sheet.y + height / 2.0 + 0.36 * size
    x = sheet.left
    words, letters = fitted(sheet.say(name), NAME_MM - 1.5, 3.6, 2.6)
    sheet.marks.append(Text((x, base), words, letters, bold=True))
    x += NAME_MM
    for (english, value), wide in zip(first.readings, columns, strict=True):
        label = sheet.say(english)
        sheet.marks.append(Text((x, base), label, 3.2, colour=GREY))
        at = x + width_em(label) * 3.2 + 1.4
        sheet.marks.append(Text((at, base), grams(value, step_g), size, bold=True, colour=DARK))
        x += wide
    top = sheet.y + (height - len(notes) * 2.8 * LINE) / 2.0
    for i, line in enumerate(notes):
        at = sheet.left + sheet.width - NOTE_MM
        sheet.marks.append(Text((at, top + (i + 0.82) * 2.8 * LINE), line, 2.8))
    sheet.y += height
    if len(rows) > 1:
        _times_list(sheet, rows)
    sheet.marks.append(Line((sheet.left, sheet.y), (sheet.left + sheet.width, sheet.y), 0.15, GREY))


def _times_list(sheet: _Sheet, rows: list[Reading]) -> None:
    """The clock times (or cavities) of cups that share a row, in columns; the rest of a long list on page 2."""
    size, columns = 2.8, 3 if max(width_em(sheet.say(r.times)) for r in rows) * 2.8 < sheet.width / 3.0 - 2.0 else 2
    shown = rows if len(rows) <= TIMES_SHOWN else rows[: TIMES_SHOWN - columns]
    width = sheet.width / columns
    for index, reading in enumerate(shown):
        x = sheet.left + (index % columns) * width
        y = sheet.y + (index // columns + 0.9) * size * LINE
        sheet.marks.append(Text((x, y), fitted(sheet.say(reading.times), width - 2.0, size, 2.4, bold=False)[0], size))
    sheet.y += (len(shown) + columns - 1) // columns * size * LINE + 1.4
    if len(shown) < len(rows):
        sheet.y += size * LINE
        rest = f"... {rows[len(shown)].name} to {rows[-1].name.split()[-1]}: see page 2."
        sheet.text(sheet.left, sheet.say(rest), size, bold=True)
        sheet.y += 1.4
        sheet.left_over.times += (tuple(rows[len(shown) :]),)


def _facts(sheet: _Sheet, content: SheetContent) -> None:
    size, column = 3.0, sheet.width / 2.0
    sheet.y += 1.6
    half = (len(content.facts) + 1) // 2
    top, deepest = sheet.y, sheet.y
    for index, facts in enumerate((content.facts[:half], content.facts[half:])):
        y = top
        x = sheet.left + index * (column + 1.0)
        for name, value in facts:
            lines = wrapped(sheet.say(value), column - 40.0, size, bold=name in STRONG)
            sheet.marks.append(Text((x, y + size), sheet.say(name), size, colour=GREY))
            for i, line in enumerate(lines):
                sheet.marks.append(Text((x + 38.0, y + size + i * size * LINE), line, size, bold=name in STRONG))
            y += len(lines) * size * LINE + 0.5
        deepest = max(deepest, y)
    sheet.y = deepest + 1.4


def _plans(sheet: _Sheet, project: Project, content: SheetContent, room: float) -> None:
    if not project.cavities:
        return
    if room < 0.5 * LEAST_PLAN_MM:
        sheet.left_over.plans = True
        return
    marks, _ = plans(project, content.batch_of, (sheet.left, sheet.y), (sheet.width, room), sheet.say)
    sheet.marks += marks


def _lower(sheet: _Sheet, content: SheetContent, with_plans: bool) -> tuple[list[Mark], float]:
    """Checklist on the left, cautions on the right, from y = 0, as large as leaves their room to the plans.

    Where both do not fit in letters large enough, the cautions go on page 2, then the checklist too.
    """
    room = sheet.bottom - sheet.y
    most = min(0.62 * room, room - LEAST_PLAN_MM) if with_plans else room - 2.0
    half = (len(content.checklist) + 1) // 2
    both = (("In this order", content.checklist, 0), ("Cautions", content.cautions, -1))
    steps = (("In this order", content.checklist[:half], 0), ("", content.checklist[half:], 0))
    for columns in (both, steps):
        size = 3.1
        while size > LEAST_BODY_MM - 1e-9:
            marks, height = _two_columns(sheet, columns, size)
            foot = 0.0 if columns is both else 5.0
            if height + foot <= most:
                if foot:
                    told = sheet.say("Cautions: see page 2.")
                    marks.append(Text((sheet.left, height + 3.4), told, 3.1, bold=True))
                    sheet.left_over.cautions = True
                return marks, height + foot
            size -= 0.1
    sheet.left_over.cautions = sheet.left_over.checklist = True
    said = Text((sheet.left, 3.8), sheet.say("In this order, and cautions: see page 2."), 3.1, bold=True)
    return [said], 5.0


def _two_columns(
    sheet: _Sheet, columns: tuple[tuple[str, tuple[str, ...], int], ...], size: float
) -> tuple[list[Mark], float]:
    column = (sheet.width - 6.0) / 2.0
    marks: list[Mark] = [Line((sheet.left, 0.0), (sheet.left + sheet.width, 0.0), 0.3)]
    heights = []
    for index, (title, items, sign) in enumerate(columns):
        x, y = sheet.left + index * (column + 6.0), 4.8
        if title:
            marks.append(Text((x, y), sheet.say(title), 3.6, bold=True))
        y += 1.4
        for item in items:
            lines = wrapped(sheet.say(item), column - 5.0, size)
            marks.append(_box(x, y) if sign == 0 else Text((x + 0.6, y + size), "!", size, bold=True))
            for i, line in enumerate(lines):
                marks.append(Text((x + 4.4, y + size + i * size * LINE), line, size))
            y += len(lines) * size * LINE + 0.9
        heights.append(y)
    return marks, max(heights)


def _box(x: float, y: float) -> Area:
    top = y + 0.5
    return Area(((x, top), (x + 2.6, top), (x + 2.6, top + 2.6), (x, top + 2.6)), 0.25)


def _moved(mark: Mark, down: float) -> Mark:
    if isinstance(mark, Line):
        return replace(mark, start=(mark.start[0], mark.start[1] + down), end=(mark.end[0], mark.end[1] + down))
    if isinstance(mark, Text):
        return replace(mark, at=(mark.at[0], mark.at[1] + down))
    if isinstance(mark, Area):
        return replace(mark, points=tuple((x, y + down) for x, y in mark.points))
    raise TypeError(mark)
