"""The section through the mold as SVG: sides, base, silicone, masters, pour line, to scale and with its heights."""

from dataclasses import dataclass
from typing import Final
from xml.sax.saxutils import escape

from layout.geometry import XY, Segment
from layout.model import Project
from layout.numbering import numbers
from layout.section import Cut, Section, section
from layout.units import Units, length_text


@dataclass(frozen=True, slots=True)
class Tints:
    """The colours of a section, ``#rrggbb``; what it says is also said by hatching, dashes and words."""

    paper: str = "#ffffff"
    ink: str = "#1b2733"
    quiet: str = "#5a6875"
    side: str = "#8b939b"
    silicone: str = "#f4e6d0"
    master: str = "#d3e6f3"
    master_line: str = "#0a5c96"


ON_PAPER: Final = Tints()

_LEFT, _RIGHT, _RIGHT_LONG, _OVER, _UNDER = 9.5, 13.0, 16.5, 2.2, 2.6
"""Room for words round the section, in heights of a word."""


@dataclass(frozen=True, slots=True)
class Room:
    """Where the section is shown, in one unit such as pixels: how wide, how high, and how high its words are to be."""

    width: float
    height: float
    text: float


class _Drawing:
    """Elements in section coordinates: s to the right, z up, both mm."""

    def __init__(self, top_mm: float, text_mm: float, tints: Tints) -> None:
        self.top_mm = top_mm
        self.text_mm = text_mm
        self.tints = tints
        self.parts: list[str] = []

    def shape(self, points: list[XY], fill: str, line: str, width_mm: float, dash: str = "") -> None:
        d = " L".join(f"{s:.4f},{self.top_mm - z:.4f}" for s, z in points)
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<path d="M{d} Z" fill="{fill}" stroke="{line}" stroke-width="{width_mm:.4f}"{dashes}'
            ' stroke-linejoin="round"/>'
        )

    def block(self, s0: float, s1: float, z0: float, z1: float, fill: str, line: str, width_mm: float) -> None:
        self.shape([(s0, z0), (s1, z0), (s1, z1), (s0, z1)], fill, line, width_mm)

    def line(self, a: XY, b: XY, colour: str, width_mm: float, dash: str = "") -> None:
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self.parts.append(
            f'<line x1="{a[0]:.4f}" y1="{self.top_mm - a[1]:.4f}" x2="{b[0]:.4f}" y2="{self.top_mm - b[1]:.4f}"'
            f' stroke="{colour}" stroke-width="{width_mm:.4f}"{dashes}/>'
        )

    def text(self, at: XY, words: str, *, size: float = 1.0, anchor: str = "start", colour: str = "") -> None:
        height = self.text_mm * size
        self.parts.append(
            f'<text x="{at[0]:.4f}" y="{self.top_mm - at[1] + 0.35 * height:.4f}" font-size="{height:.4f}"'
            f' text-anchor="{anchor}" fill="{colour or self.tints.ink}">{escape(words)}</text>'
        )


def section_svg(project: Project, line: Segment, tints: Tints = ON_PAPER, room: Room | None = None) -> str:
    """Return the section along a line as an SVG document, 1 user unit = 1 mm.

    Parameters
    ----------
    project : Project
    line : Segment
        As `layout.section.section` takes it.
    tints : Tints
        Colours; by default for paper.
    room : Room, optional
        Where it is shown as large as it fits: its words are then as high as they are to be there, as far as they
        leave room for the drawing.

    Raises
    ------
    BadValueError
        If the line misses the box.
    """
    cut = section(project, line)
    number = numbers(project)
    thick = cut.base_mm
    beside = _LEFT + (_RIGHT if _shows_tallest(cut) else _RIGHT_LONG)
    text = _text_mm(cut, beside, room)
    left, right = thick + _LEFT * text, thick + (beside - _LEFT) * text
    high, low = cut.side_height_mm + _OVER * text, thick + _UNDER * text
    drawing = _Drawing(high, text, tints)
    _draw_box(drawing, cut)
    for piece in cut.cuts:
        _draw_cut(drawing, piece, number[piece.cavity])
    _draw_heights(drawing, cut, project.units)
    words = f"section, {length_text(cut.length_mm, project.units)} from side to side"
    drawing.text((cut.length_mm / 2.0, -thick - 1.4 * text), words, anchor="middle", colour=tints.quiet)
    width, height = left + cut.length_mm + right, high + low
    view = f"{-left:.4f} 0 {width:.4f} {height:.4f}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.4f}mm" height="{height:.4f}mm" viewBox="{view}"'
        f' font-family="sans-serif"><title>{escape(project.name)}</title>\n'
        f'<rect x="{-left:.4f}" y="0" width="{width:.4f}" height="{height:.4f}" fill="{tints.paper}"/>\n'
        + "\n".join(drawing.parts)
        + "\n</svg>\n"
    )


def _text_mm(cut: Section, beside: float, room: Room | None) -> float:
    """Return how high words are, mm; ``beside`` is the room for them at both sides, in heights of a word."""
    plain = max(1.8, 0.02 * cut.length_mm)
    if room is None:
        return plain
    across, upright = cut.length_mm + 2.0 * cut.base_mm, cut.side_height_mm + cut.base_mm
    scale = min((room.width - beside * room.text) / across, (room.height - (_OVER + _UNDER) * room.text) / upright)
    return min(room.text / scale, 5.0 * plain) if scale > 0.0 else 5.0 * plain


def _draw_box(drawing: _Drawing, cut: Section) -> None:
    tints, thin = drawing.tints, 0.08 * drawing.text_mm
    thick = cut.base_mm
    for start, end in cut.inside:
        drawing.block(start - thick, end + thick, -thick, 0.0, tints.side, tints.ink, thin)
        drawing.block(start, end, 0.0, cut.pour_height_mm, tints.silicone, "none", 0.0)
        for s in (start - thick, end):
            drawing.block(s, s + thick, 0.0, cut.side_height_mm, tints.side, tints.ink, thin)
        dash = f"{0.9 * drawing.text_mm:.3f} {0.5 * drawing.text_mm:.3f}"
        level = cut.pour_height_mm
        drawing.line((start, level), (end, level), tints.ink, 0.14 * drawing.text_mm, dash)


def _draw_cut(drawing: _Drawing, piece: Cut, number: int) -> None:
    text, tints = drawing.text_mm, drawing.tints
    dash = f"{0.5 * text:.3f} {0.4 * text:.3f}" if piece.empty else ""
    fill = "none" if piece.empty else tints.master
    drawing.shape(list(piece.profile), fill, tints.master_line, 0.12 * text, dash)
    words = str(number)
    room = min(piece.height_mm, 1.6 * (piece.end_mm - piece.start_mm) / len(words))
    if room > 0.6 * text:
        middle = ((piece.start_mm + piece.end_mm) / 2.0, piece.height_mm / 2.0)
        drawing.text(middle, words, size=min(1.0, 0.8 * room / text), anchor="middle")


def _shows_tallest(cut: Section) -> bool:
    """Whether the height that counts is that of a master in the picture, or no master is."""
    return not cut.cuts or any(piece.height_mm >= cut.tallest_mm - 1e-6 for piece in cut.cuts)


def _draw_heights(drawing: _Drawing, cut: Section, units: Units) -> None:
    """Name each height at the side it is read from; a height too low for its words keeps a line to them."""
    text = drawing.text_mm
    out = cut.length_mm + cut.base_mm
    # the silicone's heights follow from the highest master of the mold, which the line may not cut
    marks = [
        ("freeboard", cut.pour_height_mm, cut.side_height_mm),
        ("floor", cut.tallest_mm, cut.pour_height_mm - cut.level_mm),
        ("master" if _shows_tallest(cut) else "highest master", 0.0, cut.tallest_mm),
    ]
    if cut.level_mm > 0.0:
        marks.insert(1, ("level", cut.pour_height_mm - cut.level_mm, cut.pour_height_mm))
    below = float("inf")
    for words, low, high in marks:
        if high - low <= 0.0:
            continue
        _bracket(drawing, out + 1.0 * text, low, high)
        at = min((low + high) / 2.0, below - 1.25 * text)
        below = at
        drawing.line((out + 1.0 * text, (low + high) / 2.0), (out + 1.9 * text, at), drawing.tints.quiet, 0.06 * text)
        drawing.text((out + 2.1 * text, at), f"{words} {_height_text(high - low, units)}")
    side = -cut.base_mm - 1.0 * text
    _bracket(drawing, side, 0.0, cut.pour_height_mm)
    drawing.text((side - 0.8 * text, cut.pour_height_mm / 2.0 + 0.6 * text), "pour", anchor="end")
    drawing.text(
        (side - 0.8 * text, cut.pour_height_mm / 2.0 - 0.6 * text),
        _height_text(cut.pour_height_mm, units),
        anchor="end",
    )
    drawing.text((-cut.base_mm, cut.side_height_mm + 1.0 * text), f"side {_height_text(cut.side_height_mm, units)}")


def _height_text(value_mm: float, units: Units) -> str:
    """A difference of sums: its last bits must not show as another length than the rule it comes from."""
    return length_text(round(value_mm, 6) + 1e-9, units)


def _bracket(drawing: _Drawing, s: float, low: float, high: float) -> None:
    text = drawing.text_mm
    drawing.line((s, low), (s, high), drawing.tints.quiet, 0.09 * text)
    for z in (low, high):
        drawing.line((s - 0.35 * text, z), (s + 0.35 * text, z), drawing.tints.quiet, 0.09 * text)
