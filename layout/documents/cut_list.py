"""The cut list: what to cut, how large in the user's unit and in true mm, how many, from which sheet."""

import csv
import io
from dataclasses import dataclass

from layout.box.cutting import CutSheet
from layout.box.panel import BoxParts
from layout.units import Units, length_text


@dataclass(frozen=True, slots=True)
class CutLine:
    """One line of the cut list; sizes true, mm; ``sheets`` numbers the sheets it lies on, from 1."""

    name: str
    length_mm: float
    width_mm: float
    quantity: int
    material: str
    sheets: tuple[int, ...] = ()

    def size_text(self, units: Units) -> str:
        """Return length and width as the user reads them, fractions to 1/32 in."""
        return f"{length_text(self.length_mm, units)} x {length_text(self.width_mm, units)}"


def cut_lines(parts: BoxParts, sheets: tuple[CutSheet, ...], material: str) -> tuple[CutLine, ...]:
    """Return the cut list, a bought tube last (its length, and its outer diameter as the width)."""
    counts: dict[tuple[str, float, float], int] = {}
    places: dict[tuple[str, float, float], set[int]] = {}
    for panel in parts.panels:
        # a sum of lengths carries 1e-14 mm of noise, which would round 225.425 now up, now down
        key = (panel.name, round(panel.length_mm, 9), round(panel.width_mm, 9))
        on = {n for n, sheet in enumerate(sheets, start=1) if any(p.panel == panel for p in sheet.pieces)}
        # equal letters of a relief are one line
        counts[key] = counts.get(key, 0) + panel.pieces
        places[key] = places.get(key, set()) | on
    found = [CutLine(*key, count, material, tuple(sorted(places[key]))) for key, count in counts.items()]
    if parts.tube is not None:
        outer = parts.tube.inner_diameter_mm + 2.0 * parts.tube.wall_mm
        found.append(CutLine("tube", parts.tube.length_mm, outer, 1, "tube"))
    return tuple(found)


def cut_list_csv(lines: tuple[CutLine, ...], units: Units) -> bytes:
    """Return the cut list as CSV with a head, UTF-8, decimal points."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(["name", "length", "width", "length_mm", "width_mm", "quantity", "material", "sheet"])
    for line in lines:
        writer.writerow(
            [
                line.name,
                length_text(line.length_mm, units),
                length_text(line.width_mm, units),
                f"{line.length_mm:.3f}",
                f"{line.width_mm:.3f}",
                line.quantity,
                line.material,
                " ".join(str(n) for n in line.sheets),
            ]
        )
    return stream.getvalue().encode()
