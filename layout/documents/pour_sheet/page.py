"""The pour sheet as one A4 or Letter page, its readings large enough to be read at arm's length."""

import textwrap
from dataclasses import dataclass, field
from typing import Final

from layout.documents.page import A4, BLACK, GREY, PALE, Area, Line, Mark, Page, Paper, Text
from layout.documents.pour_sheet.content import Reading, SheetContent, grams
from layout.documents.pour_sheet.plan import plan_height_mm, plan_marks, tint
from layout.mirror import mirrored
from layout.model import Project, Severity
from layout.numbering import numbers

MARGIN_MM: Final = 11.0
BODY_MM: Final = 3.5
LINE: Final = 1.22
CHAR_SHARE: Final = 0.53
"""Width of a letter over its height: on the wide side, so that lines are never longer than counted."""

BOLD_SHARE: Final = 0.62

FEW_CUPS: Final = 4
"""So few cups have their readings larger."""

ROWS_SHOWN: Final = 5
"""Batches of one kind with a row of their own; equal ones beyond share the last row."""

LEAST_BODY_MM: Final = 2.2
LEAST_PLAN_MM: Final = 46.0
"""The checklist is set smaller until the plans have at least this height."""

TIMES_SHOWN: Final = 24

STRONG: Final = ("Fill line over the base", "Container")

DARK: Final = "#1b1b1b"


@dataclass(slots=True)
class _Sheet:
    """Marks, and how far down the page is used."""

    paper: Paper
    y: float = MARGIN_MM
    marks: list[Mark] = field(default_factory=list)

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


def wrapped(words: str, width_mm: float, size_mm: float, *, bold: bool = False) -> list[str]:
    """Return the lines of a text, none wider than a width at a size of letters."""
    share = BOLD_SHARE if bold else CHAR_SHARE
    return textwrap.wrap(words, max(8, int(width_mm / (share * size_mm)))) or [""]


def fitted(words: str, width_mm: float, most_mm: float, least_mm: float) -> tuple[str, float]:
    """Return a bold line and its size: smaller where it is long, cut with an ellipsis where that is not enough."""
    size = max(least_mm, min(most_mm, width_mm / (BOLD_SHARE * max(1, len(words)))))
    room = int(width_mm / (BOLD_SHARE * size))
    return (words if len(words) <= room else f"{words[: room - 1].rstrip()}…"), size


def pour_page(project: Project, content: SheetContent, paper: Paper = A4) -> Page:
    """Return the pour sheet of a project on one page.

    Notes
    -----
    Readings and clock times come first and large; the plan and the map of the finished mold take what is left after
    the checklist and the cautions, which are set smaller if they are long, down to 2.2 mm.
    """
    sheet = _Sheet(paper)
    _head(sheet, content)
    few = len(content.silicone) + len(content.resin) <= FEW_CUPS
    _readings(sheet, project, "Silicone", content.silicone, 8.2 if few else 6.4)
    _readings(sheet, project, f"Resin: {project.resin.name}", content.resin, 6.4 if few else 5.0)
    _facts(sheet, content)
    lower, lower_height = _lower(sheet, content)
    room = sheet.bottom - lower_height - sheet.y - 2.0
    _plans(sheet, project, content, room)
    sheet.y = sheet.bottom - lower_height
    sheet.marks += [_moved(mark, sheet.y) for mark in lower]
    return Page(paper.width_mm, paper.height_mm, tuple(sheet.marks))


def _head(sheet: _Sheet, content: SheetContent) -> None:
    sheet.y += 5.0
    title, size = fitted(content.title, sheet.width, 6.0, 4.2)
    sheet.text(sheet.left, title, size, bold=True)
    sheet.y += 5.6
    sheet.text(sheet.left, content.subtitle, BODY_MM)
    sheet.y += 2.2
    bad = [w for s, w in content.warnings if s == Severity.REFUSE]
    mild = [w for s, w in content.warnings if s == Severity.WARN]
    lines: list[tuple[str, bool]] = [(w, True) for w in bad]
    lines += [(f"Taken on: {w}", True) for w in content.accepted]
    lines += [(w, False) for w in mild[: max(0, 4 - len(lines))]]
    if not lines:
        return
    size = 2.9
    shown = [(line, bold) for words, bold in lines[:6] for line in wrapped(words, sheet.width - 5.0, size, bold=bold)]
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
    words, letters = fitted(title, sheet.width - 96.0, 4.2, 2.8)
    sheet.text(sheet.left, words, letters, bold=True)
    sheet.text(sheet.left + sheet.width - 92.0, "cup tared to 0, pour in up to the reading, grams", 2.8, colour=GREY)
    sheet.y += 1.6
    for rows in _grouped(readings):
        _reading_row(sheet, project, rows, size)
    sheet.y += 1.0


def _grouped(readings: tuple[Reading, ...]) -> list[list[Reading]]:
    """One row for each cup; cups with the same readings share a row where there are many."""
    if len(readings) <= ROWS_SHOWN:
        return [[r] for r in readings]
    groups: list[list[Reading]] = []
    for reading in readings:
        same = groups and _close(groups[-1][0], reading)
        if same:
            groups[-1].append(reading)
        else:
            groups.append([reading])
    return groups[: 2 * ROWS_SHOWN]


def _close(a: Reading, b: Reading) -> bool:
    return all(abs(x[1] - y[1]) < 0.05 for x, y in zip(a.readings, b.readings, strict=False))


def _reading_row(sheet: _Sheet, project: Project, rows: list[Reading], size: float) -> None:
    step = project.pour.scale_step_g
    first = rows[0]
    name = first.name if len(rows) == 1 else f"{first.name} to {rows[-1].name.split()[-1]}"
    note = first.note if len(rows) == 1 else _alike_note(rows)
    notes = wrapped(note, 62.0, 2.8)
    height = max(size * 1.5, len(notes) * 2.8 * LINE + 1.6)
    base = sheet.y + height / 2.0 + 0.36 * size
    x = sheet.left
    sheet.marks.append(Text((x, base), name, 3.6, bold=True))
    x += 28.0
    for words, value in first.readings:
        sheet.marks.append(Text((x, base), words, 3.2, colour=GREY))
        x += 2.2 + 0.6 * 3.2 * len(words)
        sheet.marks.append(Text((x, base), grams(value, step), size, bold=True, colour=DARK))
        x += 0.66 * size * 6.4
    top = sheet.y + (height - len(notes) * 2.8 * LINE) / 2.0
    for i, line in enumerate(notes):
        sheet.marks.append(Text((sheet.left + sheet.width - 63.0, top + (i + 0.82) * 2.8 * LINE), line, 2.8))
    sheet.y += height
    if len(rows) > 1 and first.times:
        _times_list(sheet, rows)
    sheet.marks.append(Line((sheet.left, sheet.y), (sheet.left + sheet.width, sheet.y), 0.15, GREY))


def _alike_note(rows: list[Reading]) -> str:
    if rows[0].times:
        return f"{len(rows)} cups alike; below: cup, mix from, empty by"
    return f"{len(rows)} cups alike: first {rows[0].note}; last {rows[-1].note}"


def _times_list(sheet: _Sheet, rows: list[Reading]) -> None:
    """The clock times of cups that share a row, in columns."""
    size, columns = 2.7, 4
    shown = rows if len(rows) <= TIMES_SHOWN else [*rows[: TIMES_SHOWN - 1], rows[-1]]
    width = sheet.width / columns
    for index, reading in enumerate(shown):
        x = sheet.left + (index % columns) * width
        y = sheet.y + (index // columns + 0.9) * size * LINE
        sheet.marks.append(Text((x, y), reading.times, size))
    sheet.y += (len(shown) + columns - 1) // columns * size * LINE + 1.4


def _facts(sheet: _Sheet, content: SheetContent) -> None:
    size, column = 3.0, sheet.width / 2.0
    sheet.y += 1.6
    half = (len(content.facts) + 1) // 2
    top, deepest = sheet.y, sheet.y
    for index, facts in enumerate((content.facts[:half], content.facts[half:])):
        y = top
        x = sheet.left + index * (column + 1.0)
        for name, value in facts:
            lines = wrapped(value, column - 38.0, size, bold=name in STRONG)
            sheet.marks.append(Text((x, y + size), name, size, colour=GREY))
            for i, line in enumerate(lines):
                sheet.marks.append(Text((x + 37.0, y + size + i * size * LINE), line, size, bold=name in STRONG))
            y += len(lines) * size * LINE + 0.5
        deepest = max(deepest, y)
    sheet.y = deepest + 1.4


def _plans(sheet: _Sheet, project: Project, content: SheetContent, room: float) -> None:
    if not project.cavities or room < 14.0:
        return
    width = (sheet.width - 6.0) / 2.0
    key = 5.0 if len(set(content.batch_of.values())) > 1 else 0.0
    size = (width, room - 5.0 - key)
    number = numbers(project)
    tall = plan_height_mm(project, size)
    spare = max(0.0, room - 5.0 - key - tall)
    top = sheet.y + min(2.0, spare / 3.0)
    for index, (title, shown) in enumerate(
        (("As the masters are glued", project), ("Mirror image: the mold from its open face", mirrored(project)))
    ):
        x = sheet.left + index * (width + 6.0)
        sheet.marks.append(Text((x + width / 2.0, top + 3.0), title, 3.0, "middle", True))
        sheet.marks += plan_marks(shown, content.batch_of, number, (x, top + 4.4), size)
    if key:
        _key(sheet, content, top + 4.4 + tall + 4.0)


def _key(sheet: _Sheet, content: SheetContent, y: float) -> None:
    number_of = sorted(set(content.batch_of.values()))
    x = sheet.left
    for batch in number_of:
        if x > sheet.left + sheet.width - 24.0:
            sheet.marks.append(Text((x, y), f"... {number_of[-1]}", 2.8))
            return
        corners = ((x, y - 2.6), (x + 4.4, y - 2.6), (x + 4.4, y + 0.4), (x, y + 0.4))
        sheet.marks.append(Area(corners, 0.2, fill=tint(batch)))
        sheet.marks.append(Text((x + 5.4, y), f"resin batch {batch}", 2.8))
        x += 29.0


def _lower(sheet: _Sheet, content: SheetContent) -> tuple[list[Mark], float]:
    """Checklist on the left, cautions on the right, from y = 0; as large as leaves half of the rest to the plans."""
    room = sheet.bottom - sheet.y
    size = 3.1
    while True:
        marks, height = _two_columns(sheet, content, size)
        if size <= LEAST_BODY_MM or height <= min(0.62 * room, room - LEAST_PLAN_MM):
            return marks, height
        size -= 0.1


def _two_columns(sheet: _Sheet, content: SheetContent, size: float) -> tuple[list[Mark], float]:
    column = (sheet.width - 6.0) / 2.0
    marks: list[Mark] = [Line((sheet.left, 0.0), (sheet.left + sheet.width, 0.0), 0.3)]
    heights = []
    for index, (title, items) in enumerate((("In this order", content.checklist), ("Cautions", content.cautions))):
        x, y = sheet.left + index * (column + 6.0), 4.8
        marks.append(Text((x, y), title, 3.6, bold=True))
        y += 1.4
        for item in items:
            lines = wrapped(item, column - 5.0, size)
            if index == 0:
                top = y + 0.5
                box = ((x, top), (x + 2.6, top), (x + 2.6, top + 2.6), (x, top + 2.6))
                marks.append(Area(box, 0.25))
            else:
                marks.append(Text((x + 0.6, y + size), "!", size, bold=True))
            for i, line in enumerate(lines):
                marks.append(Text((x + 4.4, y + size + i * size * LINE), line, size))
            y += len(lines) * size * LINE + 0.9
        heights.append(y)
    return marks, max(heights)


def _moved(mark: Mark, down: float) -> Mark:
    if isinstance(mark, Line):
        return Line(
            (mark.start[0], mark.start[1] + down), (mark.end[0], mark.end[1] + down), mark.width_mm, mark.colour
        )
    if isinstance(mark, Text):
        return Text((mark.at[0], mark.at[1] + down), mark.words, mark.size_mm, mark.align, mark.bold, mark.colour)
    if isinstance(mark, Area):
        return Area(tuple((x, y + down) for x, y in mark.points), mark.width_mm, mark.colour, mark.fill)
    raise TypeError(mark)
