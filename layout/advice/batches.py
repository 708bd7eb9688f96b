"""Advice on the batches of silicone: what asks for them, their time, layers, what stays in the cups."""

import math
from dataclasses import replace

from layout.advice.saying import at_least_text, at_today, begun, finding, found, judged
from layout.limits import limit
from layout.model import Finding, Project, Severity
from layout.pour.remedies import Remedies, remedies
from layout.pour.silicone import SiliconePour, silicone_pour, time_limit_share
from layout.pour.timeline import silicone_timeline
from layout.units import Units, enough_minutes_text, mass_text, minutes_text, temperature_text, volume_text

STIRRED_HEADROOM = 1.5
"""Container over batch that is enough to stir in, without a vacuum; more room spills less. Common practice."""

HANDS_GAIN = 0.9
"""A second pair of hands is worth calling where it saves a tenth of the time."""

LITRES_MEANT_ML = 20.0
"""A container this small was most likely meant in litres."""


def batch_advice(project: Project, pour: SiliconePour) -> tuple[Finding, ...]:
    """Return the advice on time and batches of the silicone."""
    if pour.batching.count is None:
        return found(_impossible(project, pour))
    if pour.batching.count == 0:
        return ()
    return found(_batches(project, pour), _time(project, pour), _layers(project, pour), _cup_loss(project, pour))


def one_batch_words(project: Project) -> str:
    """Return what it takes to pour one batch, every limit that stands in the way, without a full stop."""
    ways = remedies(project)
    asked = []
    if ways.container_ml is not None:
        asked.append(f"take a container of at least {at_least_text(ways.container_ml, project.units)}")
    if ways.scale_g is not None:
        asked.append(f"take a scale that carries {math.ceil(ways.scale_g)} g")
    if ways.late or not asked:
        asked.append(_pot_life_words(project, ways))
    return ", and ".join(asked)


def _pot_life_words(project: Project, ways: Remedies) -> str:
    """What makes one batch fit its pot life, the nearest change first."""
    said = ["do without degassing"] if ways.without_degas else []
    at = temperature_text(ways.pot_life_at_c, project.units)
    named = f", such as {ways.slower.name}" if ways.slower else ""
    said.append(
        f"take a {project.silicone.word} with {enough_minutes_text(ways.pot_life_min)} of pot life at {at}{named}"
    )
    if ways.cooler_c is not None:
        cool = _whole_degrees(ways.cooler_c, project.units)
        coldest = limit(project, "cold_parts").warn
        if coldest is None or cool >= coldest - 1e-6:
            said.append(f"cool A and B to {temperature_text(cool, project.units)}")
    return ", or ".join(said)


def _whole_degrees(value_c: float, units: Units) -> float:
    """The next whole degree below, in the user's degrees, so that what is read is cool enough."""
    if units.length == "mm":
        return float(math.floor(value_c))
    return (math.floor(value_c * 9.0 / 5.0 + 32.0) - 32.0) * 5.0 / 9.0


def _second_hands_words(project: Project) -> str:
    """What a second pair of hands would gain in several batches; empty if one is there already, or it gains little."""
    if project.pour.hands > 1:
        return ""
    ways = remedies(project)
    if ways.two_hands_min > HANDS_GAIN * ways.one_hand_min:
        return ""
    return (
        f" A second pair of hands, mixing while you pour, fills the mold in {minutes_text(ways.two_hands_min)} rather"
        f" than {minutes_text(ways.one_hand_min)}."
    )


def _steps(pour: SiliconePour) -> str:
    return "Mixing, degassing and pouring" if pour.degas_min else "Mixing and pouring"


def _impossible(project: Project, pour: SiliconePour) -> Finding:
    """No number of batches does it: say which limit is at fault, and what would do."""
    units, settings = project.units, project.pour
    if pour.batching.because == "pot life":
        share = time_limit_share(project, "silicone_time")
        sentence = (
            f"{_steps(pour)} can't be done in {100 * share:.0f} % of the pot life of {minutes_text(pour.pot_life_min)}"
            f" at {at_today(project)}, in however many batches: {one_batch_words(project)}."
        )
        return finding("silicone_time", Severity.REFUSE, sentence, measured=pour.time_share, required=share)
    film = volume_text(settings.cup_film_ml * settings.correction, units)
    if pour.batching.because == "scale":
        what = f"A scale that carries {mass_text(settings.scale_limit_g or 0.0, units)}"
        what += " with the container on it" if settings.container_tare_g else ""
        return finding(
            "small_scale",
            Severity.REFUSE,
            f"{what} leaves hardly anything to pour, since {film} stay in each cup: {one_batch_words(project)}.",
            measured=settings.scale_limit_g,
            required=remedies(project).scale_g,
            unit="g",
        )
    given = settings.container_ml or 0.0
    meant = f" If litres were meant, type {given:g}l." if given <= LITRES_MEANT_ML else ""
    return finding(
        "small_container",
        Severity.REFUSE,
        f"A container of {volume_text(given, units)}, filled to no more than {share_words(settings.headroom)}, takes"
        f" {volume_text(given / settings.headroom, units)}, and {film} stay in each cup: hardly anything is left to"
        f" pour. {begun(one_batch_words(project))}.{meant}",
        measured=given,
        required=remedies(project).container_ml,
        unit="ml",
    )


def share_words(headroom: float) -> str:
    """Return how full a container may be: ``1/4``, or in per cent where it is no simple part."""
    whole = round(headroom)
    return f"1/{whole}" if abs(headroom - whole) < 1e-9 and whole > 1 else f"{math.floor(100.0 / headroom + 1e-9)} %"


def _batches(project: Project, pour: SiliconePour) -> Finding | None:
    count, because = pour.batching.count or 0, pour.batching.because
    if count < 2:
        return None
    if because == "pot life":
        share = time_limit_share(project, "silicone_time")
        why = (
            f"one can't be poured in {100 * share:.0f} % of the pot life of {minutes_text(pour.pot_life_min)} at"
            f" {at_today(project)}"
        )
    elif because == "container":
        given = volume_text(project.pour.container_ml or 0.0, project.units)
        why = f"the container of {given} is filled to no more than {share_words(project.pour.headroom)}"
    else:
        why = f"the scale carries no more than {mass_text(project.pour.scale_limit_g or 0.0, project.units)}"
    sentence = (
        f"{count} batches of {volume_text(pour.batching.per_batch_ml, project.units)}, since {why}. For one batch:"
        f" {one_batch_words(project)}.{_fuller_words(project, count)}"
    )
    if because == "pot life":
        sentence += _second_hands_words(project)
    return finding("silicone_batches", Severity.WARN, sentence, measured=float(count), required=1.0, unit="batches")


def _fuller_words(project: Project, count: int) -> str:
    """What filling the container further would gain, where nothing foams up in it."""
    settings = project.pour
    if settings.degas or settings.container_ml is None or settings.headroom <= STIRRED_HEADROOM:
        return ""
    fuller = silicone_pour(replace(project, pour=replace(settings, headroom=STIRRED_HEADROOM))).batching.count
    if fuller is None or fuller >= count:
        return ""
    batches = "1 batch does" if fuller == 1 else f"{fuller} batches do"
    return (
        " As nothing foams up without a vacuum, the container may be filled to 2/3 if you stir with care (container"
        f" over batch 1.5): {batches} then."
    )


def _time(project: Project, pour: SiliconePour) -> Finding | None:
    if (pour.batching.count or 0) > 1 and pour.batching.because == "pot life":
        return None  # the batches say it
    takes = minutes_text(pour.mix_min + pour.degas_min + pour.pour_min)
    nearest = "" if (pour.batching.count or 0) > 1 else f", or {one_batch_words(project)}"
    sentence = (
        f"{_steps(pour)} take {takes} of a pot life of {minutes_text(pour.pot_life_min)} at {at_today(project)}"
        f" ({100 * pour.time_share:.0f} %): have everything at hand{nearest}."
    )
    return judged(project, "silicone_time", pour.time_share, sentence)


def _layers(project: Project, pour: SiliconePour) -> Finding | None:
    """Fresh silicone holds on silicone that is still tacky: the first layer must not be cured at the last pour."""
    count = pour.batching.count or 0
    if count < 2:
        return None
    pours = [step for step in silicone_timeline(project).steps if step.what == "pour"]
    age = pours[-1].end_min - pours[0].end_min
    sentence = (
        f"{minutes_text(age)} pass from the first cup to the last of {count}; the {project.silicone.word} is demolded"
        f" after {minutes_text(pour.demold_min)}: the first layer is cured when the last goes on, and layers hold on"
        f" each other only while they are tacky. {begun(one_batch_words(project))}."
    )
    if age <= pour.demold_min:
        sentence = sentence.replace("is cured when", "is hardly tacky when")
    return judged(project, "layers", age / pour.demold_min, sentence, shown=(age, pour.demold_min), unit="min")


def _cup_loss(project: Project, pour: SiliconePour) -> Finding | None:
    count = pour.batching.count or 0
    lost = count * project.pour.cup_film_ml * project.pour.correction
    takes = pour.batching.total_ml - lost
    if count < 2 or takes <= 0.0:
        return None
    sentence = (
        f"{volume_text(lost, project.units)} stay in {count} cups, {100 * lost / takes:.0f} % of what is poured:"
        f" {one_batch_words(project)}."
    )
    return judged(project, "cup_loss", lost / takes, sentence, shown=(lost, takes), unit="ml")
