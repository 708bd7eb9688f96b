"""Letters and figures as single strokes, our own, for pens, lasers and knives: no font, no filled text.

Each glyph is drawn on a grid 4 wide and 6 high, written as pairs of figures (x then y), strokes parted by ``|``.
No stretch of a glyph is drawn twice.
"""

from typing import Final, Literal

from layout.box.shapes import Layer, Path, polyline
from layout.geometry import XY, cos_sin

ADVANCE: Final = 6.0
_HEIGHT: Final = 6.0
_WIDTH: Final = 4.0

_GLYPHS: Final = {
    "0": "10 30 41 45 36 16 05 01 10", "1": "15 26 20|10 20 30", "2": "05 16 36 45 44 00 40",
    "3": "05 16 36 45 44 33 13|33 42 41 30 10 01", "4": "30 36 02 42", "5": "46 06 03 33 42 41 30 10 01",
    "6": "45 36 16 05 01 10 30 41 42 33 13 02", "7": "06 46 10",
    "8": "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33", "9": "01 10 30 41 45 36 16 05 04 13 33 44",
    "A": "00 26 40|12 32", "B": "00 06 36 45 44 33 03|33 42 41 30 00", "C": "45 36 16 05 01 10 30 41",
    "D": "00 06 26 44 42 20 00", "E": "46 06 00 40|03 33", "F": "46 06 00|03 33",
    "G": "45 36 16 05 01 10 30 41 43 23", "H": "00 06|40 46|03 43", "I": "10 30|20 26|16 36",
    "J": "16 46|36 31 20 10 01", "K": "00 06|46 03 40", "L": "06 00 40", "M": "00 06 23 46 40",
    "N": "00 06 40 46", "O": "10 30 42 44 36 16 04 02 10", "P": "00 06 36 45 44 33 03",
    "Q": "10 30 42 44 36 16 04 02 10|22 40", "R": "00 06 36 45 44 33 03|23 40",
    "S": "45 36 16 05 04 13 33 42 41 30 10 01", "T": "06 46|26 20", "U": "06 01 10 30 41 46",
    "V": "06 20 46", "W": "06 10 23 30 46", "X": "00 46|06 40", "Y": "06 23 46|23 20", "Z": "06 46 00 40",
    "-": "13 33", "_": "00 40", ".": "20 21", ",": "21 10", "/": "00 46", ":": "21 22|24 25", "+": "13 33|22 24",
    "=": "12 32|14 34", "(": "36 24 22 30", ")": "16 24 22 10", "'": "26 24", '"': "16 14|36 34",
    "%": "00 46|06 16 15 05 06|30 40 41 31 30", "#": "10 16|30 36|02 42|04 44", "<": "35 13 31", ">": "15 33 11",
    "°": "15 25 26 16 15", "&": "40 05 16 25 02 01 10 20 42", "!": "20 21|23 26", "?": "05 16 36 45 23 22|20 21",
}  # fmt: skip
_UNKNOWN: Final = "00 40 46 06 00"


def _glyph(character: str) -> list[list[XY]]:
    code = _GLYPHS.get(character.upper(), _UNKNOWN)
    return [[(float(p[0]), float(p[1])) for p in stroke.split()] for stroke in code.split("|")]


def without_glyph(text: str) -> str:
    """Return the characters of a text that have no glyph, each once.

    Examples
    --------
    >>> without_glyph("M-12 é 2026")
    'É'
    """
    return "".join(dict.fromkeys(c for c in text.upper() if c != " " and c not in _GLYPHS))


def text_width_mm(text: str, height_mm: float) -> float:
    """Return the width of a line of stroke text; 0.0 for an empty one."""
    return max(0.0, (len(text) * ADVANCE - (ADVANCE - _WIDTH)) * height_mm / _HEIGHT)


def text_strokes(
    text: str,
    at: XY,
    height_mm: float,
    *,
    anchor: Literal["left", "middle"] = "left",
    angle_deg: float = 0.0,
    mirrored: bool = False,
    layer: Layer = Layer.DRAW,
) -> tuple[Path, ...]:
    """Return a line of text as open strokes.

    Parameters
    ----------
    text : str
        Small letters are drawn as capitals; a character without a glyph is drawn as an empty frame.
    at : (x, y)
        The left end of the base line, or the middle of the line's bottom.
    height_mm : float
        Height of a capital.
    angle_deg : float
        Counter-clockwise about ``at``.
    mirrored : bool
        Left and right exchanged, for what is read in the finished mold.
    """
    scale = height_mm / _HEIGHT
    width = text_width_mm(text, height_mm)
    start = -width / 2.0 if anchor == "middle" else 0.0
    c, s = cos_sin(angle_deg)
    strokes: list[Path] = []
    for index, character in enumerate(text):
        if character == " ":
            continue
        for stroke in _glyph(character):
            points = []
            for gx, gy in stroke:
                x, y = start + (index * ADVANCE + gx) * scale, gy * scale
                if mirrored:
                    x = 2.0 * start + width - x
                points.append((at[0] + x * c - y * s, at[1] + x * s + y * c))
            strokes.append(_stroke(points, layer))
    return tuple(strokes)


def _stroke(points: list[XY], layer: Layer) -> Path:
    if points[0] == points[-1]:
        return polyline(points[:-1], layer, closed=True)
    return polyline(points, layer, closed=False)
