"""What the one who cuts a box must be told before the first cut: no cavities, no sheet named, larger than any sheet."""

from layout.box.job import CutJob
from layout.box.splice import with_splices
from layout.box.stock import USUAL_STOCK, Stock, lay_on_sheets, waste_pct
from layout.errors import BadValueError
from layout.materials import built_in
from layout.units import size_text


def warnings_of(job: CutJob) -> tuple[str, ...]:
    """Return what is likely a slip, a sentence each; empty for a box as usual."""
    found = []
    if not job.project.cavities:
        found.append("There is no cavity in this box: its base is cut without a place for any master.")
    if not _is_laid(job) and _on_usual_sheets(job) is None:
        found.append(_too_large(job))
    return tuple(found)


def remarks_of(job: CutJob) -> tuple[str, ...]:
    """Return what must be known of a panel to cut it, such as its bevels, each with the panel's name."""
    return tuple(f"{p.name}: {p.remark}" for p in dict.fromkeys(job.parts.panels) if p.remark and p.name != "base")


def sheets_line(job: CutJob) -> str:
    """Return how many sheets it takes; where the user named none, how many of a usual size."""
    waste = waste_pct(job.sheets)
    if waste is not None:
        return f"{_counted(len(job.sheets))}, {waste:.1f} % waste."
    usual = _on_usual_sheets(job)
    if usual is None:
        return "No sheet is named: the panels lie side by side, name your sheets to have them laid out."
    sheet, count, waste = usual
    size = size_text(sheet.length_mm, sheet.width_mm, job.project.units)
    return (
        f"No sheet is named, so the panels lie side by side. On sheets of {size} they would take {_counted(count)},"
        f" {waste:.0f} % waste. Name your sheets to have the panels laid on them."
    )


def _is_laid(job: CutJob) -> bool:
    return waste_pct(job.sheets) is not None


def _counted(count: int) -> str:
    return "1 sheet" if count == 1 else f"{count} sheets"


def usual_stock(sheet: str) -> tuple[Stock, ...]:
    """Return the sizes a sheet is sold in, from the catalogue; all usual sizes if its kind is not known."""
    known = built_in().sheet(sheet)
    return tuple(Stock(*size) for size in known.stock_mm) if known and known.stock_mm else USUAL_STOCK


def _on_usual_sheets(job: CutJob) -> tuple[Stock, int, float] | None:
    """Return the first usual size that takes every panel, how many, and the waste; None if a panel is too large."""
    margin = job.project.cutting.margin_mm
    for stock in usual_stock(job.project.box.sheet):
        try:
            parts = with_splices(job.project, job.parts, (stock,), job.kerf_mm)
            laid = lay_on_sheets(
                parts.panels, (stock,), kerf_mm=job.kerf_mm, gap_mm=max(job.gap_mm, 1.0), margin_mm=margin
            )
        except BadValueError:
            continue
        return stock, len(laid), waste_pct(laid) or 0.0
    return None


def _too_large(job: CutJob) -> str:
    project = job.project
    panel = max(job.parts.panels, key=lambda p: (max(p.length_mm, p.width_mm), p.length_mm * p.width_mm))
    largest = max(usual_stock(project.box.sheet), key=lambda s: s.length_mm * s.width_mm)
    size = size_text(panel.length_mm, panel.width_mm, project.units)
    room = size_text(largest.length_mm, largest.width_mm, project.units)
    return (
        f"The {panel.name} ({size}) is larger than any sheet {project.box.sheet} is usually sold in ({room}):"
        " make the box smaller, or find a larger sheet and name its size."
    )
