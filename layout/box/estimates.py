"""What bulge, leaks and uplift mean for the one who builds the box, in sentences; all of them are estimates."""

import math
from typing import Final

from layout.box.bulge import SideBulge, Uplift, box_leak_ml, hoop_pull_n, side_bulges, uplifts
from layout.errors import BadValueError
from layout.limits import limit
from layout.model import Project, RectBox, RoundBox
from layout.pour.mixing import mixed_g_per_ml
from layout.units import GRAVITY_M_PER_S2, MM_PER_INCH, Units, fine_length_text, length_text
from layout.volumes import side_height_mm, volumes

LEAK_GAP_MM: Final = 0.5
"""The gap the loss is told for: what hand-cut foam board leaves without tape. Common practice, no source."""

_LEAST_UPLIFT_G: Final = 1.0
_MANY: Final = 3
_MOST_LISTED: Final = 8
"""More braces than this on one side: the sheet is too soft for the box. Engineering judgement, no source."""


def known_bulges(project: Project) -> tuple[SideBulge, ...] | None:
    """Return the bulge of each side; None if the sheet's stiffness is not known."""
    try:
        return side_bulges(project)
    except BadValueError:
        return None


def estimate_lines(project: Project) -> tuple[str, ...]:
    """Return the estimates as sentences, lengths in the user's unit."""
    units = project.units
    lines = []
    bulges = known_bulges(project)
    if bulges is None:
        lines.append("How far the sides bulge is not known: measure how stiff the sheet is.")
    near = limit(project, "bulge").warn
    lines += _bulge_lines(bulges or (), math.inf if near is None else near, units)
    lines += _ring_lines(project)
    loss = box_leak_ml(project, LEAK_GAP_MM)
    if loss is not None:
        lines.append(_leak_line(project, loss))
    return (*lines, *_uplift_lines(uplifts(project), project))


def _leak_line(project: Project, loss_ml: float) -> str:
    gap, word, whole = fine_length_text(LEAK_GAP_MM, project.units), project.silicone.word, volumes(project).net_ml
    folded = project.box.joint == "folded" and isinstance(project.box.shape, RectBox)
    where = "along its four corners" if folded else "along the base"
    lost = f"{loss_ml:.0f} mL" if loss_ml < whole else f"all of it ({whole:.0f} mL)"
    return f"Estimate: an open gap of {gap} {where} would lose {lost} before the {word} sets."


def _bulge_lines(sides: tuple[SideBulge, ...], near_mm: float, units: Units) -> list[str]:
    """Return a sentence for each side; of many sides those that stand firm share one."""
    firm = [side for side in sides if side.bulge_mm <= near_mm and not side.braces_mm]
    if len(firm) < _MANY:
        return [_bulge_line(side, near_mm, units) for side in sides]
    worst = max(firm, key=lambda side: side.bulge_mm)
    others = "The other sides bulge less and need no brace."
    kept = [side for side in sides if side not in firm or side is worst]
    return [*(_bulge_line(side, near_mm, units) for side in kept), others]


def _ring_lines(project: Project) -> list[str]:
    """Return what holds a round box: its shape, and the joint of the strip."""
    shape = project.box.shape
    if not isinstance(shape, RoundBox):
        return []
    if project.box.tube_wall_mm is not None:
        return ["The tube holds by its round shape: no estimate of its bulge and no brace is needed."]
    pull = hoop_pull_n(shape.diameter_mm / 2.0, side_height_mm(project), mixed_g_per_ml(project.silicone))
    grams = pull / GRAVITY_M_PER_S2 * 1000.0
    return [
        f"Estimate: the {project.silicone.word} pulls the ends of the strip apart with {grams:.0f} g: tape or glue the"
        " joint so that it holds several times that."
    ]


def _bulge_line(side: SideBulge, near_mm: float, units: Units) -> str:
    least = 0.01 if units.length == "mm" else 0.001 * MM_PER_INCH
    size = fine_length_text(max(side.bulge_mm, least), units)
    words = f"Estimate: the {side.name} bulges {'less than ' if side.bulge_mm < least else ''}{size} at its top"
    if side.name == "strip":
        words = words.removesuffix(" at its top") + " as a ring"
    if len(side.braces_mm) > _MOST_LISTED:
        return f"{words}. It would take {len(side.braces_mm)} braces: take a stiffer or thicker sheet, or a lower box."
    if side.braces_mm:
        places = ", ".join(length_text(x, units) for x in side.braces_mm)
        braced = fine_length_text(side.braced_mm, units)
        return f"{words}. Brace it outside with upright ribs of scrap, {places} from its inner end: then {braced}."
    if side.bulge_mm > near_mm:
        return f"{words}: a band of tape round the box helps."
    return f"{words}: no brace needed."


def _area_text(area_mm2: float, units: Units) -> str:
    if units.length == "mm":
        return f"{area_mm2 / 100.0:.1f} cm²"
    return f"{area_mm2 / MM_PER_INCH**2:.2f} in²"


def _uplift_lines(found: tuple[Uplift, ...], project: Project) -> list[str]:
    floating = [u for u in found if u.force_n > 0.0]
    lines = []
    for uplift in floating:
        grams = uplift.force_n / GRAVITY_M_PER_S2 * 1000.0
        if grams < _LEAST_UPLIFT_G:
            lines.append(f"{uplift.master}: hardly floats ({grams:.2f} g upwards); a thin ring of glue holds it.")
        else:
            enough = "" if uplift.glue_mm2 <= uplift.glued_mm2 else " Its back is too small for that: screw it down."
            area = _area_text(uplift.glue_mm2, project.units)
            lines.append(
                f"Estimate: {uplift.master} floats with {grams:.0f} g if {project.silicone.word} gets under it;"
                f" give it at least {area} of glue.{enough}"
            )
    return lines
