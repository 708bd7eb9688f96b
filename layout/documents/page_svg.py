"""A printed page as SVG, for HTML that prints as the PDF does: 1 user unit = 1 mm, no style sheets, no patterns."""

from html import escape

from layout.documents.page import Area, Line, Mark, Page, Round, Table, Text

_ANCHORS = {"left": "start", "middle": "middle", "right": "end"}


def page_svg(page: Page) -> str:
    """Return a page as an SVG element of the page's true size.

    Notes
    -----
    Hatched areas are outlined only. Text of several lines is not broken: pages that break their own lines come out
    right.
    """
    size = f'width="{page.width_mm:g}mm" height="{page.height_mm:g}mm"'
    view = f'viewBox="0 0 {page.width_mm:g} {page.height_mm:g}"'
    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view} font-family="sans-serif">']
    for mark in page.marks:
        parts.extend(_parts(mark))
    return "\n".join((*parts, "</svg>"))


def _parts(mark: Mark) -> list[str]:
    if isinstance(mark, Table):
        return [line for part in mark.primitives() for line in _parts(part)]
    if isinstance(mark, Text):
        return [_text(mark)]
    if isinstance(mark, Line):
        ends = f'x1="{mark.start[0]:.3f}" y1="{mark.start[1]:.3f}" x2="{mark.end[0]:.3f}" y2="{mark.end[1]:.3f}"'
        return [f"<line {ends} {_look(mark.width_mm, mark.colour, None, mark.dash_mm)}/>"]
    fill = None if mark.hatch else mark.fill
    look = _look(mark.width_mm, mark.colour, fill, mark.dash_mm)
    if isinstance(mark, Round):
        return [f'<circle cx="{mark.centre[0]:.3f}" cy="{mark.centre[1]:.3f}" r="{mark.radius_mm:.3f}" {look}/>']
    return [_area(mark, look)]


def _area(area: Area, look: str) -> str:
    points = " ".join(f"{x:.3f},{y:.3f}" for x, y in area.points)
    return f'<{"polygon" if area.closed else "polyline"} points="{points}" {look}/>'


def _look(width_mm: float, colour: str, fill: str | None, dash_mm: tuple[float, ...]) -> str:
    stroke = f'stroke="{colour}" stroke-width="{width_mm:g}"' if width_mm > 0 else 'stroke="none"'
    dashes = f' stroke-dasharray="{" ".join(f"{d:g}" for d in dash_mm)}"' if dash_mm else ""
    return f'fill="{fill or "none"}" {stroke}{dashes}'


def _text(text: Text) -> str:
    # letters a hundred times as large, then scaled down: some painters know whole sizes of letters only
    turn = f" rotate({-text.angle_deg:g})" if text.angle_deg else ""
    place = f'transform="translate({text.at[0]:.3f} {text.at[1]:.3f}){turn} scale(0.01)"'
    size = f'font-size="{100.0 * text.size_mm:g}"'
    bold = ' font-weight="bold"' if text.bold else ""
    anchor = f'text-anchor="{_ANCHORS[text.align]}"'
    return f'<text {place} {size} {anchor} fill="{text.colour}"{bold}>{escape(text.words)}</text>'
