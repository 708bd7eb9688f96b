"""Text set in lines on the sheet: how wide letters are, where a line may break, how large a title may be."""

import re
from typing import Final

LINE: Final = 1.22
"""From base line to base line, in heights of the letters."""

GLUE: Final = "\u00a0"
"""A blank at which no line is broken: between a number and its unit, round the plus of A + B."""

_WIDE: Final = frozenset("mwMWQO@%+=<>&ABCDGHKNRUVXYZ½—…")
_NARROW: Final = frozenset("ijl|!.,:;'()[]IfrtJ/-· ")
_EM: Final = {"narrow": 0.41, "plain": 0.645, "wide": 0.80, "very": 1.0}
"""Widths over the height of the letters, on the wide side of the common sans-serif faces: no line is longer than
reckoned. Measured on a wide free face: digits 0.636, n 0.634, l 0.278, m 0.974, A 0.684, + 0.838."""

_UNIT: Final = re.compile(r"(?<=\d) (?=(?:g|mL|L|mm|in³|in|lb|qt|fl oz|min|s|h|%|°[CF])(?![a-z]))")

BOLD: Final = 1.10


def width_em(words: str, *, bold: bool = False) -> float:
    """Return how wide a line is at most, in heights of its letters."""
    total = 0.0
    for letter in words:
        if letter in "mwMW@%—…":
            total += _EM["very"]
        elif letter in _WIDE:
            total += _EM["wide"]
        elif letter in _NARROW or letter == GLUE:
            total += _EM["narrow"]
        else:
            total += _EM["plain"]
    return total * (BOLD if bold else 1.0)


def wrapped(words: str, width_mm: float, size_mm: float, *, bold: bool = False) -> list[str]:
    """Return the lines of a text, none wider than a width at a size of letters; broken at blanks alone.

    A number stays with its unit. A single word too long for the line is cut by letters.
    """
    room = width_mm / size_mm
    lines: list[str] = []
    line = ""
    for word in _UNIT.sub(GLUE, words).split(" "):
        longer = f"{line} {word}" if line else word
        if width_em(longer, bold=bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while width_em(line, bold=bold) > room and len(line) > 1:
            cut = next((n for n in range(len(line), 1, -1) if width_em(line[:n], bold=bold) <= room), 1)
            lines.append(line[:cut])
            line = line[cut:]
    return [*lines, line] if line or not lines else lines


def fitted(words: str, width_mm: float, most_mm: float, least_mm: float, *, bold: bool = True) -> tuple[str, float]:
    """Return a line and its size: smaller where it is long, cut with an ellipsis where that is not enough."""
    size = max(least_mm, min(most_mm, width_mm / max(0.1, width_em(words, bold=bold))))
    if width_em(words, bold=bold) * size <= width_mm * (1.0 + 1e-9):
        return words, size
    while len(words) > 1 and width_em(f"{words}…", bold=bold) * size > width_mm:
        words = words[:-1].rstrip()
    return f"{words}…", size
