"""Advice on the silicone: coat, filler, ratio, masters of unequal height, positions left empty."""

import math

from layout.advice.batches import batch_advice
from layout.advice.saying import about, finding, found, judged, mm
from layout.model import Finding, Project, Severity
from layout.pour.mixing import b_per_a_by_volume, b_per_a_by_weight, wrong_ratio_error_pct
from layout.pour.savings import filler_room_ml, savings
from layout.pour.silicone import SiliconePour, silicone_pour, time_limit_share
from layout.units import minutes_text, volume_text

RATIO_ERROR_PCT = 2.0
WORTH_SAYING_ML = 10.0


def silicone_advice(project: Project) -> tuple[Finding, ...]:
    """Return the advice on the silicone pour."""
    pour = silicone_pour(project)
    return found(
        *batch_advice(project, pour),
        _coat(project, pour),
        _filler(project),
        _ratio(project),
        _heights(project),
        _empty(project),
        _thick_tray(project, pour),
    )


LAYER_MM = 12.0
"""Resin thicker than this may overheat. Common practice, no source."""


def _thick_tray(project: Project, pour: SiliconePour) -> Finding | None:
    """A tray of resin, poured thick, heats itself."""
    if not project.silicone.is_resin or pour.pour_height_mm <= LAYER_MM:
        return None
    layers = math.ceil(pour.pour_height_mm / LAYER_MM - 1e-9)
    thick, layer, most = (mm(v, project.units) for v in (pour.pour_height_mm, pour.pour_height_mm / layers, LAYER_MM))
    sentence = (
        f"{thick} of resin, {pour.dose.mass_g:.0f} g, can run hot and smoke, over {most} a layer: if it heats, pour"
        f" {layers} layers of {layer} and let each cool; spread left-overs in a metal tray, and follow the product's"
        " safety data."
    )
    return finding("thick_pour", Severity.WARN, sentence, measured=pour.pour_height_mm, required=LAYER_MM, unit="mm")


def _coat(project: Project, pour: SiliconePour) -> Finding | None:
    if pour.coat is None:
        return None
    share = time_limit_share(project, "silicone_time")
    each = share * pour.coat.pot_life_min - project.silicone.mix_min
    cups = math.ceil(pour.coat.brush_min / each - 1e-9) if each > 0.0 else 0
    remedy = "take a slower silicone for it" if cups < 1 else f"mix it in {max(2, cups)} cups, one after the other"
    sentence = (
        f"Mixing and brushing the detail coat takes {minutes_text(project.silicone.mix_min + pour.coat.brush_min)}; the"
        f" pot life is {minutes_text(pour.coat.pot_life_min)}: {remedy}, or brush with a second pair of hands."
    )
    return judged(project, "silicone_time", pour.coat.time_share, sentence, kind="coat_time")


def _filler(project: Project) -> Finding | None:
    if project.pour.filler_ml <= 0.0:
        return None
    room = filler_room_ml(project)
    if project.pour.filler_ml <= room:
        return None
    some = f"there is room for about {volume_text(room, project.units)}, and only so much is counted on here"
    sentence = (
        f"{volume_text(project.pour.filler_ml, project.units)} of old silicone do not go in with new silicone all"
        f" round: {some if room >= 1.0 else 'there is no room for it, and none is counted on here'}."
    )
    return finding("filler", Severity.WARN, sentence, measured=project.pour.filler_ml, required=room, unit="ml")


def _ratio(project: Project) -> Finding | None:
    mix = project.silicone
    error = wrong_ratio_error_pct(mix)
    if error < RATIO_ERROR_PCT:
        return None
    sentence = (
        f"Silicone: 100 of A take {about(100 * b_per_a_by_weight(mix))} of B by weight, but"
        f" {about(100 * b_per_a_by_volume(mix))} by volume. Weigh by the readings of the sheet; taking one ratio for"
        f" the other is {error:.0f} % off."
    )
    return finding("ratio", Severity.INFO, sentence, measured=error, unit="%")


def _heights(project: Project) -> Finding | None:
    saved = savings(project)
    if saved is None or max(saved.pedestals_ml, saved.grouping_ml) < WORTH_SAYING_ML:
        return None
    sentence = (
        f"The masters differ in height: pedestals under the low ones would save"
        f" {volume_text(saved.pedestals_ml, project.units)} of silicone, a box for each height about"
        f" {volume_text(saved.grouping_ml, project.units)}."
    )
    return finding("unequal_heights", Severity.INFO, sentence, measured=saved.grouping_ml, unit="ml")


def _empty(project: Project) -> Finding | None:
    empty = [c for c in project.cavities if c.empty]
    if not empty:
        return None
    each = {m.id: m.volume_ml for m in project.masters}
    more = sum(each[c.master] for c in empty)
    count = len(empty)
    sentence = (
        f"{count} {'position is' if count == 1 else 'positions are'} left empty today: silicone stands there,"
        f" {volume_text(more, project.units)} more."
    )
    return finding("empty_positions", Severity.INFO, sentence, measured=float(count), cavities=[c.id for c in empty])
