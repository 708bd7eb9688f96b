"""The pour sheet for those who keep a sheet of their own: CSV with a heading line, numbers plain, units in a column."""

import csv
import io

from layout.documents.pour_sheet.content import SheetContent
from layout.model import Project
from layout.numbering import numbers
from layout.pour.resin import resin_pour
from layout.pour.silicone import silicone_pour
from layout.pour.timeline import silicone_timeline

HEAD = ("section", "item", "value", "unit")
Row = tuple[str, str, float | int | str, str]


def to_csv(project: Project, content: SheetContent) -> str:
    """Return the sheet as CSV: comma between fields, point as decimal mark, one value a line, lines ended by CR LF.

    Notes
    -----
    RFC 4180. A text that a spreadsheet would take for a formula is kept from it by a leading apostrophe.
    """
    stream = io.StringIO()
    writer = csv.writer(stream)
    writer.writerow(HEAD)
    for section, item, value, unit in _rows(project, content):
        shown = f"{value:.6g}" if isinstance(value, float) else str(value)
        writer.writerow((section, _plain(item), _plain(shown) if isinstance(value, str) else shown, unit))
    return stream.getvalue()


def _plain(words: str) -> str:
    return f"'{words}" if words[:1] in ("=", "+", "-", "@", "\t", "\r") else words


def _rows(project: Project, content: SheetContent) -> list[Row]:
    found: list[Row] = [("sheet", "project", project.name, ""), ("sheet", "about", content.subtitle, "")]
    found += _silicone_rows(project, content)
    found += _resin_rows(project, content)
    found += [("checklist", str(n), words, "") for n, words in enumerate(content.checklist, start=1)]
    found += [("caution", str(n), words, "") for n, words in enumerate(content.cautions, start=1)]
    found += [("warning", str(severity), words, "") for severity, words in content.warnings]
    found += [("accepted", str(n), words, "") for n, words in enumerate(content.accepted, start=1)]
    return found


def _silicone_rows(project: Project, content: SheetContent) -> list[Row]:
    pour, times = silicone_pour(project), silicone_timeline(project)
    section = "silicone"
    found: list[Row] = [
        (section, "name", project.silicone.name, ""),
        (section, "temperature", project.pour.temperature_c, "deg C"),
        (section, "fill line over the base", pour.pour_height_mm, "mm"),
        (section, "box to the fill line", pour.volumes.box_ml, "mL"),
        (section, "masters", pour.volumes.masters_ml, "mL"),
        (section, "net", pour.volumes.net_ml, "mL"),
        (section, "to mix", pour.batching.total_ml, "mL"),
        (section, "to mix", pour.dose.mass_g, "g"),
        (section, "A in all", pour.total_a_g, "g"),
        (section, "B in all", pour.total_b_g, "g"),
        (section, "batches", pour.batching.count if pour.batching.count is not None else "does not fit", ""),
        (section, "container at least", pour.container_ml, "mL"),
        (section, "pot life today", pour.pot_life_min, "min"),
        (section, "demold after", pour.demold_min, "min"),
    ]
    if pour.kits is not None:
        found += [
            (section, "kits to buy", pour.kits.count, ""),
            (section, "left of A", pour.kits.left_a_g, "g"),
            (section, "left of B", pour.kits.left_b_g, "g"),
        ]
    for clock, reading in zip(times.clocks, content.silicone, strict=True):
        (_, a_g), (_, whole_g) = reading.readings
        found += [
            (clock.row, "reading after A", a_g, "g"),
            (clock.row, "reading after A and B", whole_g, "g"),
            (clock.row, "A meets B", clock.contact_min, "min after start"),
            (clock.row, "cup empty by", clock.empty_by_min, "min after start"),
        ]
    return found


def _resin_rows(project: Project, content: SheetContent) -> list[Row]:
    pour, number = resin_pour(project), numbers(project)
    found: list[Row] = [("resin", "name", project.resin.name, "")]
    if pour.per_cavity_ml is not None:
        found.append(("resin", "each cavity", pour.per_cavity_ml, "mL"))
    found += [("resin", "a cycle", pour.per_cycle_ml, "mL"), ("resin", "a cycle", pour.dose.mass_g, "g")]
    for index, (batch, reading) in enumerate(zip(pour.batches, content.resin, strict=True), start=1):
        section = f"resin batch {index}"
        after = [value for _, value in reading.readings]
        found += [
            (section, "cavities", " ".join(str(number[i]) for i in batch.cavities), "numbers"),
            (section, "reading after A", after[0], "g"),
            *([(section, "reading after A and colour", after[1], "g")] if len(after) > 2 else []),
            (section, "reading after all", after[-1], "g"),
            (section, "of it pigment", batch.dose.pigment_g, "g"),
            (section, "mixed and filled within", project.resin.mix_min + batch.fill_min, "min"),
        ]
    return found
