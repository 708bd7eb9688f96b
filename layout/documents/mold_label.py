"""The label that stays with a mold: number, part, lot, date, life used, and the map as the open mold shows it."""

import itertools
from dataclasses import dataclass
from typing import Final

from layout.batch_log import bad_cavities, mold_life, mold_use
from layout.documents.page import A4, GREY, Area, Line, Page, Paper, Round, Text
from layout.geometry import XY, PlacedDisc
from layout.mirror import mirrored
from layout.model import Project
from layout.numbering import numbers
from layout.regions import inner_polygon, inner_size_mm, placed_cavities
from layout.wording import Say, as_written

LABEL_MM: Final = (120.0, 90.0)
"""A label two of which fill the width of a sheet across. Common practice, no source."""
_MAP_MM: Final = (112.0, 52.0)
_LETTERS_LARGE, _LETTERS = 30, 38
"""So many letters of a part's name stand beside the mold's number, large and small."""
_FOOT: Final = "Mirror image: the mold seen from its open face. Hatched: bad cavity."


@dataclass(frozen=True, slots=True)
class LabelFacts:
    """What is written on a label besides the map; empty strings leave a line to write on.

    Parameters
    ----------
    mold : str
        Number or name.
    lot : str
        Lot of the silicone.
    poured : str
        Date.
    """

    mold: str
    lot: str = ""
    poured: str = ""


def labels_of(project: Project, molds: int = 1) -> tuple[LabelFacts, ...]:
    """Return a label for each mold in the log that is not retired, and for those still to be poured.

    Parameters
    ----------
    project : Project
    molds : int
        Molds that the order takes.
    """
    facts: dict[str, LabelFacts] = {}
    retired = {e.mold for e in project.log if e.retired}
    for entry in project.log:
        if entry.mold and entry.mold not in retired:
            known = facts.get(entry.mold, LabelFacts(entry.mold))
            if entry.what == "pour":
                known = LabelFacts(entry.mold, entry.lot or known.lot, entry.when or known.poured)
            facts[entry.mold] = known
    seen = {e.mold for e in project.log}
    fresh = (str(number) for number in range(1, molds + len(seen) + 1) if str(number) not in seen)
    for name in itertools.islice(fresh, max(0, molds - len(facts))):
        facts[name] = LabelFacts(name, project.silicone.lot)
    return tuple(facts.values())


def label_pages(
    project: Project, labels: tuple[LabelFacts, ...], paper: Paper = A4, say: Say = as_written
) -> tuple[Page, ...]:
    """Return the labels on sheets, one column, with cut lines."""
    per_page = max(1, int((paper.height_mm - 16.0) // (LABEL_MM[1] + 4.0)))
    pages = []
    for start in range(0, len(labels), per_page):
        marks: list[Line | Area | Round | Text] = []
        for k, facts in enumerate(labels[start : start + per_page]):
            corner = ((paper.width_mm - LABEL_MM[0]) / 2.0, 8.0 + k * (LABEL_MM[1] + 4.0))
            marks.extend(_label(project, facts, corner, say))
        pages.append(Page(paper.width_mm, paper.height_mm, tuple(marks)))
    return tuple(pages)


def one_label(project: Project, facts: LabelFacts, say: Say = as_written) -> Page:
    """Return a label alone, on a page of its own size, to be looked at."""
    return Page(LABEL_MM[0] + 2.0, LABEL_MM[1] + 2.0, tuple(_label(project, facts, (1.0, 1.0), say)))


def _label(project: Project, facts: LabelFacts, corner: XY, say: Say) -> list[Line | Area | Round | Text]:
    x, y = corner
    width, height = LABEL_MM
    frame = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    used = next((u.casts for u in mold_use(project) if u.mold == facts.mold), 0)
    count = sum(not c.empty for c in project.cavities)
    part = _parts(project, say)
    blank = "____________"
    return [
        Area(frame, 0.15, GREY, dash_mm=(2.0, 1.0)),
        Text((x + 4.0, y + 8.0), say(f"Mold {facts.mold}"), 6.0, bold=True),
        Text((x + width - 4.0, y + 8.0), part, 4.0 if len(part) <= _LETTERS_LARGE else 3.2, "right"),
        Text((x + 4.0, y + 14.0), say(f"{count} cavities, {project.silicone.name}, {project.resin.name}"), 3.2),
        Text((x + 4.0, y + 19.0), say(f"Lot {facts.lot or blank}"), 3.2),
        Text((x + 62.0, y + 19.0), say(f"Poured {facts.poured or blank}"), 3.2),
        Text((x + 4.0, y + 24.0), say(f"Casts used {used} of {mold_life(project)}"), 3.2),
        *_map(project, (x + 4.0, y + 27.0)),
        Text((x + 4.0, y + height - 3.0), say(_FOOT), 2.8),
        Text((x + width - 4.0, y + height - 3.0), say("Store flat."), 2.8, "right"),
    ]


def _parts(project: Project, say: Say) -> str:
    """Return what is cast in the mold, as many names as there is room for beside the mold's number."""
    names = [m.name for m in project.masters] or [project.name]
    for count in range(len(names), 0, -1):
        words, rest = ", ".join(names[:count]), len(names) - count
        if rest:
            words = say(f"{words} and {rest} more")
        if len(words) <= _LETTERS:
            return words
    return names[0][: _LETTERS - 1] + "…"


def _map(project: Project, corner: XY) -> list[Line | Area | Round | Text]:
    seen = mirrored(project)
    length, width = inner_size_mm(seen.box.shape)
    scale = min(_MAP_MM[0] / length, _MAP_MM[1] / width)
    x0 = corner[0] + (_MAP_MM[0] - length * scale) / 2.0
    y0 = corner[1] + (_MAP_MM[1] + width * scale) / 2.0
    bad = {b.cavity for b in bad_cavities(project)}
    number = numbers(project)

    def at(point: XY) -> XY:
        return x0 + point[0] * scale, y0 - point[1] * scale

    outline = tuple(at((float(px), float(py))) for px, py in inner_polygon(seen.box.shape).exterior.coords[:-1])
    marks: list[Line | Area | Round | Text] = [Area(outline, 0.4)]
    for cavity_id, placed in placed_cavities(seen).items():
        hatch = cavity_id in bad
        if isinstance(placed, PlacedDisc):
            marks.append(Round(at((placed.x_mm, placed.y_mm)), placed.radius_mm * scale, 0.2, hatch=hatch))
        else:
            ring = tuple(at((float(px), float(py))) for px, py in placed.exterior.coords[:-1])
            marks.append(Area(ring, 0.2, hatch=hatch))
        bx0, by0, bx1, by1 = placed.bounds
        size = max(1.6, min(4.0, 0.4 * scale * min(bx1 - bx0, by1 - by0)))
        cx, cy = at(((bx0 + bx1) / 2.0, (by0 + by1) / 2.0))
        if hatch:
            marks.append(Round((cx, cy), 0.75 * size, 0.0, fill="#ffffff"))
        marks.append(Text((cx, cy + 0.36 * size), str(number[cavity_id]), size, "middle"))
    return marks
