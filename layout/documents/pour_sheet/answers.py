"""The pour as the command line answers: a JSON document with fixed keys, and a text for people."""

from typing import Any

from layout.documents.pour_sheet.content import Reading, SheetContent, alike, grams
from layout.model import Project
from layout.numbering import numbers
from layout.pour.leftover import fills
from layout.pour.resin import ResinPour, cavity_ml, cycles_of_a_kit, resin_pour
from layout.pour.savings import filler_room_ml, savings
from layout.pour.silicone import SiliconePour, silicone_pour
from layout.pour.timeline import Timeline, silicone_timeline


def pour_document(project: Project) -> dict[str, Any]:
    """Return the numbers of the pour, mL, g, mm and minutes; the warnings are added by the command."""
    pour, resin, times = silicone_pour(project), resin_pour(project), silicone_timeline(project)
    return {
        "silicone": _silicone(project, pour),
        "resin": _resin(project, resin),
        "pour_height_mm": pour.pour_height_mm,
        "temperature_c": project.pour.temperature_c,
        "timeline": _timeline(times),
        "savings": _savings(project),
        "accepted": {o.kind: o.reason for o in project.overrides},
    }


def _silicone(project: Project, pour: SiliconePour) -> dict[str, Any]:
    given = project.pour.container_ml
    kits = pour.kits
    return {
        "name": project.silicone.name,
        "box_ml": pour.volumes.box_ml,
        "masters_ml": pour.volumes.masters_ml,
        "net_ml": pour.volumes.net_ml,
        "level_ml": pour.volumes.level_ml,
        "batch_ml": pour.batching.total_ml,
        "per_batch_ml": pour.batching.per_batch_ml,
        "mass_g": pour.dose.mass_g,
        "a_g": pour.dose.a_g,
        "b_g": pour.dose.b_g,
        "a_ml": pour.dose.a_ml,
        "b_ml": pour.dose.b_ml,
        "batches": pour.batching.count,
        "batches_because": pour.batching.because or None,
        "container_ml": pour.container_ml if given is None else given,
        "container_needed_ml": pour.container_ml,
        "kits": None if kits is None else kits.count,
        "left_a_g": None if kits is None else kits.left_a_g,
        "left_b_g": None if kits is None else kits.left_b_g,
        "left_usable_ml": None if kits is None else kits.usable_ml,
        "small_molds": list(fills(project)),
        "pot_life_min": pour.pot_life_min,
        "demold_min": pour.demold_min,
        "mix_min": pour.mix_min,
        "degas_min": pour.degas_min,
        "pour_min": pour.pour_min,
        "filler_ml": pour.filler_ml,
        "coat": None if pour.coat is None else _coat(pour),
    }


def _savings(project: Project) -> dict[str, Any]:
    saved = savings(project)
    return {
        "pedestals_ml": saved.pedestals_ml if saved else 0.0,
        "grouping_ml": saved.grouping_ml if saved else 0.0,
        "heights": [{"height_mm": h, "cavities": n} for h, n in saved.groups] if saved else [],
        "filler_room_ml": filler_room_ml(project),
    }


def _coat(pour: SiliconePour) -> dict[str, Any]:
    assert pour.coat is not None
    dose = pour.coat.dose
    return {
        "volume_ml": dose.volume_ml,
        "mass_g": dose.mass_g,
        "a_g": dose.a_g,
        "b_g": dose.b_g,
        "brush_min": pour.coat.brush_min,
        "wait_min": pour.coat.wait_min,
    }


def _resin(project: Project, pour: ResinPour) -> dict[str, Any]:
    number = numbers(project)
    return {
        "name": project.resin.name,
        "per_cavity_ml": pour.per_cavity_ml,
        "per_cavity_by_master_ml": {m.id: cavity_ml(m, project.pour) for m in project.masters},
        "per_cycle_ml": pour.per_cycle_ml,
        "mass_g": pour.dose.mass_g,
        "a_g": pour.dose.a_g,
        "b_g": pour.dose.b_g,
        "pigment_g": pour.dose.pigment_g,
        "a_ml": pour.dose.a_g / project.resin.a_g_per_ml,
        "b_ml": pour.dose.b_g / project.resin.b_g_per_ml,
        "cycles_per_kit": cycles_of_a_kit(project.resin, pour),
        "cavities_per_batch": pour.cavities_per_batch,
        "batches": len(pour.batches) if pour.batches or pour.per_cavity_ml is None else None,
        "demold_min": pour.demold_min,
        "least_batch_g": pour.least_batch_g,
        "batch_list": [
            {
                "cavities": list(b.cavities),
                "numbers": [number[i] for i in b.cavities],
                "mass_g": b.dose.mass_g,
                "a_g": b.dose.a_g,
                "b_g": b.dose.b_g,
                "pigment_g": b.dose.pigment_g,
                "fill_min": b.fill_min,
                "pot_life_min": b.pot_life_min,
            }
            for b in pour.batches
        ],
    }


def _timeline(times: Timeline) -> dict[str, Any]:
    return {
        "steps": [{"row": s.row, "what": s.what, "start_min": s.start_min, "end_min": s.end_min} for s in times.steps],
        "cups": [
            {"row": c.row, "contact_min": c.contact_min, "empty_by_min": c.empty_by_min, "sets_min": c.sets_min}
            for c in times.clocks
        ],
        "done_min": times.done_min,
        "demold_min": times.demold_min,
    }


def pour_text(project: Project, content: SheetContent) -> str:
    """Return the sheet's figures as lines of text."""
    step = project.pour.scale_step_g
    lines = [content.title, content.subtitle, ""]
    lines += [words for _, words in content.warnings]
    lines += [f"Taken on: {words}" for words in content.accepted]
    lines += [*([""] if content.warnings or content.accepted else []), f"{content.poured}, scale readings in grams"]
    lines += _reading_lines(content.silicone, step)
    if content.resin:
        lines.append(f"Resin ({content.resin_name}), scale readings in grams")
        lines += _reading_lines(content.resin, step)
    lines.append("")
    lines += [f"{name + ':':28s}{value}" for name, value in content.facts]
    return "\n".join(lines).replace("\u00a0", " ")


ROWS_SHOWN = 5
"""More cups than this share a line where their readings are the same."""


def _reading_lines(readings: tuple[Reading, ...], step_g: float | None) -> list[str]:
    groups = [[r] for r in readings] if len(readings) <= ROWS_SHOWN else alike(readings)
    lines = []
    for rows in groups:
        first = rows[0]
        figures = ", ".join(f"{words} {grams(value, step_g)}" for words, value in first.readings)
        if len(rows) == 1:
            lines.append(f"  {first.name}: {figures}; {first.note}")
            continue
        lines.append(f"  {first.name} to {rows[-1].name.split()[-1]}, each: {figures}; {first.listed}:")
        wide = max(len(r.times) for r in rows) + 3
        per_line = max(1, 100 // wide)
        lines += [
            "    " + "".join(f"{r.times:{wide}s}" for r in rows[start : start + per_line]).rstrip()
            for start in range(0, len(rows), per_line)
        ]
    return lines
