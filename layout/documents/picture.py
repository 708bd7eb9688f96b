"""A picture of the layout as SVG, for the demo, the reports and the screen: true to scale, plain, readable in grey.

Blue is a cavity, black the box, grey hatching a keep-out, orange with a cross and a number a broken rule: no message
is carried by colour alone. Only what a small SVG reader knows is used: no patterns, filters, style sheets or clips.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final
from xml.sax.saxutils import escape

import shapely
from shapely.geometry import Polygon

from layout.checks import check, clearances
from layout.documents.pour_sheet.lines import fitted
from layout.geometry import XY, Placed, PlacedDisc, Segment, as_polygon
from layout.mirror import mirrored as mirror_image
from layout.mirror import view_name
from layout.model import Cavity, Finding, KeepOut, Project, RectBox, RoundBox
from layout.numbering import by_number, numbers
from layout.regions import inner_polygon, inner_size_mm, placed_cavity, placed_holes, placed_keep_out
from layout.units import MM_PER_INCH, Units, length_text, measured_length_text
from layout.wording import Say, as_written, message

PAPER: Final = "#ffffff"
INK: Final = "#1b2733"
QUIET: Final = "#5a6875"
CAVITY_FILL: Final = "#d3e6f3"
CAVITY_LINE: Final = "#0a5c96"
SILICONE: Final = "#f4f1ea"
ALARM: Final = "#b84a00"

TEXT_SHARE: Final = 0.019

_LISTED: Final = 6
"""At most so many broken rules are written out below the picture; the rest are counted."""


@dataclass(slots=True)
class _Sheet:
    """Collects elements in box coordinates, y up, and turns them into SVG's, y down."""

    top_mm: float
    text_mm: float
    parts: list[str]
    say: Say = as_written

    def y(self, y_mm: float) -> str:
        return f"{self.top_mm - y_mm:.4f}"

    def path(self, rings: Iterable[Iterable[XY]], look: str) -> None:
        d = " ".join("M" + " L".join(f"{x:.4f},{self.y(y)}" for x, y in ring) + " Z" for ring in rings)
        self.parts.append(f'<path d="{d}" {look}/>')

    def shape(self, placed: Placed, look: str) -> None:
        if isinstance(placed, PlacedDisc):
            self.parts.append(
                f'<circle cx="{placed.x_mm:.4f}" cy="{self.y(placed.y_mm)}" r="{placed.radius_mm:.4f}" {look}/>'
            )
        else:
            self.path([[(p[0], p[1]) for p in placed.exterior.coords[:-1]]], look)

    def line(self, a: XY, b: XY, look: str) -> None:
        self.parts.append(f'<line x1="{a[0]:.4f}" y1="{self.y(a[1])}" x2="{b[0]:.4f}" y2="{self.y(b[1])}" {look}/>')

    def text(self, at: XY, words: str, *, size: float = 1.0, anchor: str = "start", look: str = "") -> None:
        """Write words in the reader's language, their middle height at a point; size 1 is the sheet's plain text."""
        words = self.say(words)
        height = self.text_mm * size
        self.parts.append(
            f'<text x="{at[0]:.4f}" y="{float(self.y(at[1])) + 0.35 * height:.4f}" font-size="{height:.4f}"'
            f' text-anchor="{anchor}" {look or _fill(INK)}>{escape(words)}</text>'
        )


def _fill(colour: str) -> str:
    return f'fill="{colour}"'


def _stroke(colour: str, width_mm: float, fill: str = "none", dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'fill="{fill}" stroke="{colour}" stroke-width="{width_mm:.4f}"{dashes} stroke-linejoin="round"'


def layout_svg(project: Project, mirrored: bool = False, text_share: float = TEXT_SHARE, say: Say = as_written) -> str:
    """Return the layout as an SVG document, 1 user unit = 1 mm.

    Parameters
    ----------
    project : Project
    mirrored : bool
        Show the finished mold from its open face (the mirror image) instead of the layout as it is glued; the picture
        says which of the two it is.
    text_share : float
        Height of the words over the longer side of the box: more for a picture that is shown small.
    say : callable
        What is written, in the reader's language.

    Returns
    -------
    str
        Box, cavities with their numbers in pouring order, keep-outs, broken rules with their length, title, scale bar
        and the inner size in the project's unit.
    """
    shown = mirror_image(project) if mirrored else project
    length, width = inner_size_mm(shown.box.shape)
    text = max(2.2, text_share * max(length, width, 60.0))
    number = numbers(project)
    findings = by_number(check(shown), project)
    left, right = 5.0 * text, 3.0 * text
    title_room, foot_room = 5.6 * text, (7.0 + 1.5 * _foot_lines(findings)) * text
    sheet = _Sheet(width, text, [], say)
    _draw_box(sheet, shown)
    for area in shown.keep_outs:
        _draw_keep_out(sheet, area)
    for cavity in shown.cavities:
        _draw_cavity(sheet, shown, cavity, number[cavity.id])
    for finding in findings:
        _draw_finding(sheet, finding, shown.units)
    _draw_sizes(sheet, length, width, shown.units)
    total_width = max(left + length + right, 46.0 * text)
    _draw_title(sheet, project, mirrored, (-left + text, width + title_room), total_width - 2.0 * text)
    _draw_foot(sheet, findings, shown.units, total_width - left - 2.0 * text)
    total_height = title_room + width + foot_room
    view = f"{-left:.4f} {-title_room:.4f} {total_width:.4f} {total_height:.4f}"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{total_width:.4f}mm" height="{total_height:.4f}mm"'
        f' viewBox="{view}" font-family="sans-serif">'
    )
    paper = (
        f'<rect x="{-left:.4f}" y="{-title_room:.4f}" width="{total_width:.4f}" height="{total_height:.4f}"'
        f" {_fill(PAPER)}/>"
    )
    words = f"<title>{escape(project.name)}</title><desc>{escape(say(_summary(project, mirrored)))}</desc>"
    return "\n".join((head, words, paper, *sheet.parts, "</svg>")) + "\n"


def _summary(project: Project, mirrored: bool) -> str:
    count = len(project.cavities)
    said = [f"{count} {'cavity' if count == 1 else 'cavities'}"]
    found = clearances(project)
    if found.least_wall_mm is not None:
        wall = _exact(abs(found.least_wall_mm), project.units)
        said.append(f"cavities overlap by {wall}" if found.least_wall_mm < 0 else f"least wall {wall}")
    if found.least_edge_mm is not None:
        edge = _exact(abs(found.least_edge_mm), project.units)
        said.append(f"a cavity sticks out of the box by {edge}" if found.least_edge_mm < 0 else f"least edge {edge}")
    return f"{', '.join(said)}; {view_name(mirrored)}"


def _exact(value_mm: float, units: Units) -> str:
    return measured_length_text(value_mm, units)


def _draw_title(sheet: _Sheet, project: Project, mirrored: bool, corner: XY, room: float) -> None:
    x, top = corner
    name, size = fitted(project.name, room / sheet.text_mm, 1.5, 0.8)
    sheet.text((x, top - 1.6 * sheet.text_mm), name, size=size, look=f'{_fill(INK)} font-weight="bold"')
    first, _, second = _summary(project, mirrored).partition("; ")
    sheet.text((x, top - 3.2 * sheet.text_mm), first)
    sheet.text((x, top - 4.6 * sheet.text_mm), second, look=f'{_fill(QUIET)} font-style="italic"')


def _draw_box(sheet: _Sheet, project: Project) -> None:
    shape = project.box.shape
    look = _stroke(INK, 0.28 * sheet.text_mm, SILICONE)
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        sheet.shape(PlacedDisc(r, r, r), look)
    else:
        sheet.shape(inner_polygon(shape), look)
    inner = _edge_line(project)
    if inner is not None:
        dash = f"{0.9 * sheet.text_mm:.3f} {0.7 * sheet.text_mm:.3f}"
        sheet.shape(inner, _stroke(QUIET, 0.07 * sheet.text_mm, dash=dash))


def _edge_line(project: Project) -> Placed | None:
    """The line no cavity may cross: the box less its edge. For drawing only."""
    edge = project.rules.edge_mm
    shape = project.box.shape
    if edge <= 0.0:
        return None
    if isinstance(shape, RoundBox):
        r = shape.diameter_mm / 2.0
        return PlacedDisc(r, r, r - edge) if r > edge else None
    if isinstance(shape, RectBox) and min(shape.length_mm, shape.width_mm) <= 2 * edge:
        return None
    inner = inner_polygon(shape).buffer(-edge)
    return inner if isinstance(inner, Polygon) and not inner.is_empty else None


def _draw_keep_out(sheet: _Sheet, area: KeepOut) -> None:
    placed = placed_keep_out(area)
    sheet.shape(placed, _stroke(QUIET, 0.12 * sheet.text_mm, PAPER))
    polygon = as_polygon(placed)
    x0, y0, x1, y1 = polygon.bounds
    step = max(0.7 * sheet.text_mm, (x1 - x0 + y1 - y0) / 80.0)
    for i in range(1, math.ceil((x1 - x0 + y1 - y0) / step)):
        ray = shapely.linestrings([(x0 + i * step, y0), (x0 + i * step - (y1 - y0), y1)])
        for piece in shapely.get_parts(polygon.intersection(ray)):
            if piece.geom_type == "LineString" and piece.length > 0:
                a, b = piece.coords[0], piece.coords[-1]
                sheet.line((a[0], a[1]), (b[0], b[1]), _stroke(QUIET, 0.07 * sheet.text_mm))
    if area.purpose:
        size = min(0.85, (y1 - y0) / sheet.text_mm * 0.8, (x1 - x0) / (0.6 * len(area.purpose) * sheet.text_mm))
        if size >= 0.4:
            half_width, half_height = 0.3 * len(area.purpose) * size * sheet.text_mm, 0.6 * size * sheet.text_mm
            x, y = (x0 + x1) / 2, (y0 + y1) / 2
            patch = shapely.box(x - half_width, y - half_height, x + half_width, y + half_height)
            sheet.shape(patch, _fill(PAPER))
            sheet.text((x, y), area.purpose, size=size, anchor="middle")


def _draw_cavity(sheet: _Sheet, project: Project, cavity: Cavity, number: int) -> None:
    placed = placed_cavity(project, cavity)
    dash = f"{0.5 * sheet.text_mm:.3f} {0.4 * sheet.text_mm:.3f}" if cavity.empty else ""
    sheet.shape(placed, _stroke(CAVITY_LINE, 0.13 * sheet.text_mm, "none" if cavity.empty else CAVITY_FILL, dash))
    for hole in placed_holes(project, cavity):
        sheet.shape(hole, _stroke(CAVITY_LINE, 0.13 * sheet.text_mm, "none" if cavity.empty else SILICONE, dash))
    (x, y), room = label_spot(placed)
    words = str(number)
    size = min(1.15, 1.1 * room / sheet.text_mm, 2.6 * room / (len(words) * sheet.text_mm))
    sheet.text((x, y), words, size=size, anchor="middle")
    if cavity.pinned:
        dot = PlacedDisc(x, y - 0.75 * min(room, 1.3 * sheet.text_mm), 0.16 * sheet.text_mm)
        sheet.shape(dot, _fill(INK))


def label_spot(placed: Placed) -> tuple[XY, float]:
    """Return where a number stands well inside a footprint, also in a concave one, and the radius free about it."""
    if isinstance(placed, PlacedDisc):
        return (placed.x_mm, placed.y_mm), placed.radius_mm
    tolerance = max(0.05, 0.01 * math.sqrt(placed.area))
    line = shapely.maximum_inscribed_circle(placed, tolerance=tolerance)
    x, y = line.coords[0][:2]
    centre = placed.envelope.centroid
    middle_room = float(placed.exterior.distance(centre)) if placed.contains(centre) else 0.0
    if middle_room >= 0.8 * line.length:
        return (float(centre.x), float(centre.y)), middle_room
    return (float(x), float(y)), float(line.length)


def _draw_finding(sheet: _Sheet, finding: Finding, units: Units) -> None:
    if finding.segment is None or finding.measured is None:
        return
    (ax, ay), (bx, by) = finding.segment
    t = sheet.text_mm
    sheet.line((ax, ay), (bx, by), f'{_stroke(ALARM, 0.35 * t)} stroke-linecap="round"')
    x, y = (ax + bx) / 2, (ay + by) / 2
    for dx, dy in ((0.45, 0.45), (0.45, -0.45)):
        sheet.line((x - dx * t, y - dy * t), (x + dx * t, y + dy * t), _stroke(ALARM, 0.18 * t))
    words = f"{'overlap ' if finding.kind == 'overlap' else ''}{_exact(abs(finding.measured), units)}"
    words = f"{words} out" if finding.kind == "outside_box" else words
    half = 0.3 * len(words) * 0.9 * t
    sheet.shape(shapely.box(x - half, y + 0.65 * t, x + half, y + 1.75 * t), f'{_fill(PAPER)} fill-opacity="0.85"')
    sheet.text((x, y + 1.2 * t), words, size=0.9, anchor="middle", look=f'{_fill(ALARM)} font-weight="bold"')


def _draw_sizes(sheet: _Sheet, length: float, width: float, units: Units) -> None:
    t = sheet.text_mm
    look = _stroke(QUIET, 0.09 * t)
    y, x = -1.6 * t, -1.6 * t
    _measure_line(sheet, ((0.0, y), (length, y)), look)
    sheet.text((length / 2, y - 1.0 * t), length_text(length, units), anchor="middle")
    _measure_line(sheet, ((x, 0.0), (x, width)), look)
    tx, ty = x - 1.0 * t, width / 2
    sheet.parts.append(f'<g transform="translate({tx:.4f} {sheet.y(ty)}) rotate(-90)">')
    sheet.parts.append(
        f'<text x="0" y="{0.35 * t:.4f}" font-size="{t:.4f}" text-anchor="middle" {_fill(INK)}>'
        f"{escape(length_text(width, units))}</text></g>"
    )
    _draw_scale_bar(sheet, length, units)


def _measure_line(sheet: _Sheet, segment: Segment, look: str) -> None:
    (ax, ay), (bx, by) = segment
    sheet.line((ax, ay), (bx, by), look)
    tick = 0.5 * sheet.text_mm
    level = ay == by
    for x, y in segment:
        a, b = ((x, y - tick), (x, y + tick)) if level else ((x - tick, y), (x + tick, y))
        sheet.line(a, b, look)


def scale_bar_mm(length_mm: float, units: Units) -> float:
    """Return a round length of about a quarter of the box in the user's unit, mm."""
    unit = MM_PER_INCH if units.length == "in" else 1.0
    target = max(length_mm, 10.0) / 4.0 / unit
    power = 10.0 ** math.floor(math.log10(target))
    return unit * max((k * power for k in (1.0, 2.0, 5.0) if k * power <= target), default=power)


def _draw_scale_bar(sheet: _Sheet, length: float, units: Units) -> None:
    t = sheet.text_mm
    bar, y = scale_bar_mm(length, units), -4.9 * t
    quarter = bar / 4
    for i in range(4):
        look = _stroke(INK, 0.06 * t, INK if i % 2 == 0 else PAPER)
        sheet.shape(shapely.box(i * quarter, y - 0.22 * t, (i + 1) * quarter, y + 0.22 * t), look)
    sheet.text((bar + 0.7 * t, y), length_text(bar, units, decimals=0))


def _foot_lines(findings: tuple[Finding, ...]) -> int:
    return 0 if not findings else min(len(findings), _LISTED) + (2 if len(findings) > _LISTED else 1)


def _draw_foot(sheet: _Sheet, findings: tuple[Finding, ...], units: Units, room: float) -> None:
    t = sheet.text_mm
    y = -6.9 * t
    if not findings:
        return
    words = "1 rule is broken" if len(findings) == 1 else f"{len(findings)} rules are broken"
    sheet.text((0.0, y), words, look=f'{_fill(ALARM)} font-weight="bold"')
    for i, finding in enumerate(findings[:_LISTED], start=1):
        text = message(finding, units)
        size = min(1.0, room / (0.52 * t * max(len(sheet.say(text)), 1)))
        sheet.text((0.0, y - 1.5 * i * t), text, size=size)
    if len(findings) > _LISTED:
        sheet.text((0.0, y - 1.5 * (_LISTED + 1) * t), f"and {len(findings) - _LISTED} more", look=_fill(QUIET))
