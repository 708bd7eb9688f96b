"""Advice on pouring the silicone: time, batches, coat, filler, ratio."""

import math

from layout.advice.saying import about, finding, found, judged
from layout.limits import limit
from layout.model import Finding, Project, Severity
from layout.pour.mixing import b_per_a_by_volume, b_per_a_by_weight, wrong_ratio_error_pct
from layout.pour.remedies import remedies
from layout.pour.savings import filler_room_ml, savings
from layout.pour.silicone import SiliconePour, silicone_pour, time_limit_share
from layout.units import Units, minutes_text, temperature_text, volume_text

RATIO_ERROR_PCT = 2.0
WORTH_SAYING_ML = 10.0


def silicone_advice(project: Project) -> tuple[Finding, ...]:
    """Return the advice on the silicone pour."""
    pour = silicone_pour(project)
    return found(
        _time(project, pour),
        _coat(project, pour),
        _filler(project),
        _ratio(project),
        _heights(project),
        _empty(project),
    )


def one_batch_words(project: Project) -> str:
    """Return what would let the silicone be poured as one batch, the nearest change first, without a full stop."""
    ways = remedies(project)
    said = []
    if ways.without_degas:
        said.append("do without degassing")
    at = temperature_text(ways.pot_life_at_c, project.units)
    named = f", such as {ways.slower.name}" if ways.slower else ""
    enough = math.ceil(ways.pot_life_min * 10.0) / 10.0
    said.append(f"take a silicone with {minutes_text(enough)} of pot life at {at}{named}")
    if ways.cooler_c is not None:
        said.append(f"cool A and B to {temperature_text(_whole_degrees(ways.cooler_c, project.units), project.units)}")
    return ", or ".join(said)


def _whole_degrees(value_c: float, units: Units) -> float:
    """The next whole degree below, in the user's degrees, so that what is read is cool enough."""
    if units.length == "mm":
        return float(math.floor(value_c))
    return (math.floor(value_c * 9.0 / 5.0 + 32.0) - 32.0) * 5.0 / 9.0


def second_hands_words(project: Project) -> str:
    """Return what a second pair of hands would gain in several batches; empty if one is there already."""
    if project.pour.hands > 1:
        return ""
    ways = remedies(project)
    return (
        f" A second pair of hands, mixing while you pour, fills the mold in {minutes_text(ways.two_hands_min)} rather"
        f" than {minutes_text(ways.one_hand_min)}."
    )


def _time(project: Project, pour: SiliconePour) -> Finding | None:
    share = time_limit_share(project, "silicone_time")
    pot = minutes_text(pour.pot_life_min)
    at = temperature_text(project.pour.temperature_c, project.units)
    takes = minutes_text(pour.mix_min + pour.degas_min + pour.pour_min)
    steps = "Mixing, degassing and pouring" if pour.degas_min else "Mixing and pouring"
    if pour.batching.count is None:
        severity, sentence = (
            Severity.REFUSE,
            f"{steps} can't be done in {100 * share:.0f} % of the pot life of {pot} at {at}, in however many batches:"
            f" {one_batch_words(project)}.",
        )
        return finding("silicone_time", severity, sentence, measured=pour.time_share, required=share)
    if pour.batching.count > 1 and pour.batching.because == "pot life":
        sentence = (
            f"{pour.batching.count} batches of {volume_text(pour.batching.per_batch_ml, project.units)}, since one"
            f" can't be poured in {100 * share:.0f} % of the pot life of {pot} at {at}. For one batch:"
            f" {one_batch_words(project)}.{second_hands_words(project)}"
        )
        tight = limit(project, "silicone_time").severity(pour.time_share)
        severity = Severity.WARN if tight != Severity.REFUSE else Severity.REFUSE
        count = float(pour.batching.count)
        return finding("silicone_batches", severity, sentence, measured=count, required=1.0, unit="batches")
    sentence = (
        f"{steps} take {takes} of a pot life of {pot} at {at} ({100 * pour.time_share:.0f} %): have everything at hand,"
        f" or {one_batch_words(project)}."
    )
    return judged(project, "silicone_time", pour.time_share, sentence)


def _coat(project: Project, pour: SiliconePour) -> Finding | None:
    if pour.coat is None:
        return None
    sentence = (
        f"Mixing and brushing the detail coat takes {minutes_text(project.silicone.mix_min + pour.coat.brush_min)} of"
        f" {minutes_text(pour.coat.pot_life_min)}: brush it in two cups, or with a second pair of hands."
    )
    return judged(project, "silicone_time", pour.coat.time_share, sentence, kind="coat_time")


def _filler(project: Project) -> Finding | None:
    if project.pour.filler_ml <= 0.0:
        return None
    room = filler_room_ml(project)
    if project.pour.filler_ml <= room:
        return None
    sentence = (
        f"{volume_text(project.pour.filler_ml, project.units)} of old silicone do not go in with new silicone all"
        f" round: there is room for about {volume_text(room, project.units)}."
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
