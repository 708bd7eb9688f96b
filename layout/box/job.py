"""The whole cutting job of a project: its parts, laid on the user's sheets with the kerf of the cutter."""

from collections.abc import Sequence
from dataclasses import dataclass

from layout.box.cutters import KERF_MM
from layout.box.cutting import GAP_MM, CutSheet, file_shapes, in_rows, refuse_wide_kerf
from layout.box.panel import BoxParts, Cutter, Panel
from layout.box.panels import make_parts
from layout.box.relief import with_relief
from layout.box.shapes import Shape
from layout.box.splice import with_splices
from layout.box.stock import Stock, as_leftover, lay_on_sheets
from layout.errors import BadValueError
from layout.materials import Sheet
from layout.model import Project
from layout.shop import CutSettings
from layout.units import size_text


@dataclass(frozen=True, slots=True)
class CutJob:
    """Parts and sheets, and what they were laid out with.

    Parameters
    ----------
    project : Project
    parts : BoxParts
    sheets : tuple of CutSheet
        One without an edge if the user named no sheet.
    cutter : Cutter
    kerf_mm, gap_mm : float
        As applied.
    """

    project: Project
    parts: BoxParts
    sheets: tuple[CutSheet, ...]
    cutter: Cutter
    kerf_mm: float
    gap_mm: float

    def shapes(self, *, unitless: bool = False) -> tuple[Shape, ...]:
        """Return all lines in the order they are cut; ``unitless``: for a file that can't say mm."""
        return file_shapes(self.sheets, self.kerf_mm, self._notes(unitless))

    def _notes(self, unitless: bool) -> tuple[str, ...]:
        box = self.project.box
        unit = "all lengths in mm" + (", this file does not say so" if unitless else "")
        lines = [
            f"{self.project.name} - {unit}",
            f"{box.sheet} {box.thickness_mm:g} mm - {box.joint} joints - {self.cutter}, kerf {self.kerf_mm:g} mm",
            "drawn on the face that is in - the finished mold is the mirror image",
        ]
        lines += dict.fromkeys(
            f"{p.pieces} x {p.name}: {p.length_mm:.2f} x {p.width_mm:.2f} mm{self._in_inches(p)}"
            for p in self.parts.panels
        )
        lines += dict.fromkeys(f"{p.name}: {p.remark}" for p in self.parts.panels if p.remark)
        return tuple(lines)

    def _in_inches(self, panel: Panel) -> str:
        units = self.project.units
        return "" if units.length == "mm" else f" = {size_text(panel.length_mm, panel.width_mm, units)}"


def applied_kerf_mm(settings: CutSettings) -> float:
    """Return the kerf that is applied: the user's, else what is usual for the cutter, nothing for a knife."""
    return KERF_MM[settings.cutter] if settings.kerf_mm is None else settings.kerf_mm


def cut_job(project: Project, relief: str | None = None, known: tuple[Sheet, ...] = ()) -> CutJob:
    """Return the cutting job by the project's own cut settings.

    Parameters
    ----------
    project : Project
    relief : str, optional
        A mold number or date to cast in.
    known : tuple of Sheet
        Sheets the user has entered beside the program's own; a laser only gets what is known.

    Raises
    ------
    BadValueError
        If the cutter must not cut the sheet, a joint is not possible, a notch is narrower than the cut, or a panel is
        larger than every sheet.
    NotYetError
        If a box of this shape has no panels.
    """
    settings = project.cutting
    kerf = applied_kerf_mm(settings)
    parts = make_parts(project, settings.cutter, known)
    if relief is not None:
        parts = with_relief(project, parts, relief, settings.cutter)
    refuse_wide_kerf(parts, kerf, project.units)
    gap = GAP_MM[settings.cutter] if settings.gap_mm is None else settings.gap_mm
    stock = [Stock(length, width) for length, width in settings.stock_mm]
    stock += [as_leftover(length, width) for length, width in settings.leftover_mm]
    if stock:
        parts, sheets = _laid(project, parts, stock, kerf, gap)
    else:
        # without a gap two pieces would share a cut, which most cutting services count as a doubled line
        sheets = (in_rows(parts, kerf, max(gap, 1.0)),)
    return CutJob(project, parts, sheets, settings.cutter, kerf, gap)


def _laid(
    project: Project, parts: BoxParts, stock: Sequence[Stock], kerf: float, gap: float
) -> tuple[BoxParts, tuple[CutSheet, ...]]:
    """Return the parts, those longer than the sheets in pieces, and where they lie."""

    def lay(lengths_of: Sequence[Stock]) -> tuple[BoxParts, tuple[CutSheet, ...]]:
        cut = with_splices(project, parts, lengths_of, kerf)
        margin = project.cutting.margin_mm
        sheets = lay_on_sheets(cut.panels, stock, kerf_mm=kerf, gap_mm=gap, margin_mm=margin, units=project.units)
        return cut, sheets

    try:
        return lay(stock)
    except BadValueError:
        # a long left-over takes one side whole, but not all of them: then they are cut to the whole sheets
        whole = [sheet for sheet in stock if sheet.pieces is None]
        if not whole or len(whole) == len(stock):
            raise
        return lay(whole)
