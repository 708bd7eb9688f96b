"""Advice on casting: cavities a batch of resin fills, its size, its heat, pigment, damp air."""

import math

from layout.advice.saying import about, at_least_text, at_today, finding, found, judged
from layout.limits import limit
from layout.model import Finding, Project, Severity
from layout.pour.resin import RESIN_HEADROOM, ResinPour, cavity_ml, cup_limits, pigment_share, resin_pour
from layout.pour.scale import readings_g
from layout.units import mass_text, minutes_text, volume_text

HOT_BATCH_G = {"urethane": 500.0, "epoxy": 100.0, "polyester": 100.0}
"""A batch of fast resin larger than this heats itself; 100 g of epoxy in a cup can reach 200 deg C (published)."""

FAST_POT_MIN = 10.0
THICK_EPOXY_MM = 12.0


def resin_advice(project: Project) -> tuple[Finding, ...]:
    """Return the advice on one cycle of casting."""
    pour = resin_pour(project)
    return (
        *found(_count(project, pour), _cups(project, pour), _time(project, pour), _small(project, pour)),
        *found(_hot(project, pour), _thick(project), _pigment(project), _humidity(project)),
    )


def _count(project: Project, pour: ResinPour) -> Finding | None:
    cavities = sum(1 for c in project.cavities if not c.empty)
    if not cavities or pour.cavities_per_batch is None:
        return None
    if not pour.in_time:
        return finding(
            "resin_time",
            Severity.REFUSE,
            f"Not every cavity can be filled before the resin sets at {at_today(project)}: take a slower resin, cool A"
            " and B, or pour the large cavities from two cups at once, by two pairs of hands.",
            measured=0.0,
            required=1.0,
        )
    ratio = cavities / max(1, pour.cavities_per_batch)
    more_hands = "" if project.pour.hands > 1 else " bring a second pair of hands,"
    sentence = (
        f"One batch of resin fills {pour.cavities_per_batch} of {cavities} cavities before it sets at"
        f" {at_today(project)}: mix {pour.in_time} batches in the order of the numbers, flood and scrape,{more_hands}"
        " or take a slower resin."
    )
    return judged(
        project,
        "cavities_per_batch",
        ratio,
        sentence,
        at_most=Severity.WARN if project.pour.hands > 1 else Severity.REFUSE,
        shown=(float(cavities), float(pour.cavities_per_batch)),
        unit="cavities",
    )


def _cups(project: Project, pour: ResinPour) -> Finding | None:
    """Container or scale ask for more batches than the time does."""
    limits = cup_limits(project)
    if not limits or not pour.in_time or len(pour.batches) == pour.in_time:
        return None
    units, (most_g, why) = project.units, limits[0]
    rho = pour.dose.mass_g / pour.dose.volume_ml
    if why == "container":
        given = volume_text(project.pour.container_ml or 0.0, units)
        cause = f"a container of {given} is filled to no more than 2/3"
    else:
        cause = _scale_words(project)
    if not pour.batches:
        used = {c.master for c in project.cavities}
        largest_ml = max(cavity_ml(m, project.pour) for m in project.masters if m.id in used)
        largest_g = largest_ml * (1.0 + project.pour.resin_waste_pct / 100.0) * rho
        left = f"that leaves {about(most_g)} g for resin" if most_g > 0.0 else "nothing is left for resin"
        sentence = f"One cavity takes {about(largest_g)} g of resin, but {cause}: {left}. Take a larger {why}."
        return finding("resin_cups", Severity.REFUSE, sentence, measured=most_g, required=largest_g, unit="g")
    needed_g = pour.dose.mass_g / pour.in_time
    larger = (
        f"a cup of {at_least_text(RESIN_HEADROOM * needed_g / rho, units)}"
        if why == "container"
        else f"a scale for {math.ceil(needed_g + project.pour.container_tare_g)} g"
    )
    fewer = "One batch" if pour.in_time == 1 else f"{pour.in_time} batches"
    sentence = (
        f"{len(pour.batches)} batches of resin, since {cause}. {fewer} could be poured before the resin sets: for that"
        f" take {larger}."
    )
    return finding(
        "resin_cups", Severity.WARN, sentence, measured=float(len(pour.batches)), required=float(pour.in_time),
        unit="batches",
    )  # fmt: skip


def _scale_words(project: Project) -> str:
    """What the scale allows, with the cup that stands on it."""
    carries = f"the scale carries no more than {mass_text(project.pour.scale_limit_g or 0.0, project.units)}"
    tare_g = project.pour.container_tare_g
    return f"{carries}, and the empty container on it weighs {mass_text(tare_g, project.units)}" if tare_g else carries


def _time(project: Project, pour: ResinPour) -> Finding | None:
    if not pour.batches:
        return None
    worst = max(pour.batches, key=lambda b: b.time_share)
    number = pour.batches.index(worst) + 1
    sentence = (
        f"Batch {number} of resin takes {minutes_text(project.resin.mix_min + worst.fill_min)} of"
        f" {minutes_text(worst.pot_life_min)} at {at_today(project)} ({100 * worst.time_share:.0f} %): lay out the mold"
        " and the next cups first, or split once more."
    )
    return judged(project, "resin_time", worst.time_share, sentence)


def _small(project: Project, pour: ResinPour) -> Finding | None:
    if not pour.batches:
        return None
    least = min(b.dose.mass_g for b in pour.batches)
    limit_g = limit(project, "small_batch").warn or 0.0
    if least >= limit_g:
        return None
    thin = min(pour.batches, key=lambda b: b.dose.mass_g).dose
    parts = (thin.a_g, thin.pigment_g, thin.b_g) if thin.pigment_g > 0.0 else (thin.a_g, thin.b_g)
    weighed_g = readings_g(parts, project.pour.scale_step_g)[-1]
    weak = f"A batch of {about(weighed_g)} g of resin is hard to weigh and cures weakly"
    cavities = sum(len(b.cavities) for b in pour.batches)
    most_g = pour.dose.mass_g / cavities * (pour.cavities_per_batch or 0)
    most_g = max(most_g, *(b.dose.mass_g for b in pour.batches))
    if len(pour.batches) > 1 and most_g < limit_g:
        # more can't be poured before it sets: a larger cup would set in the hand
        sentence = (
            f"{weak}, and no more than {about(most_g)} g can be poured before it sets: take a slower resin or cool A"
            f" and B; until then weigh to 0.1 g or finer, or mix {about(limit_g)} g and let the rest set in the cup."
        )
    else:
        two = "cast two molds from one cup, or " if (pour.cavities_per_batch or 0) >= 2 * cavities else ""
        sentence = f"{weak}: {two}mix {about(limit_g)} g and have a small mold ready for the rest."
    return finding("small_batch", Severity.WARN, sentence, measured=least, required=limit_g, unit="g")


def _hot(project: Project, pour: ResinPour) -> Finding | None:
    most = HOT_BATCH_G.get(project.resin.cure or "urethane")
    largest = max((b.dose.mass_g for b in pour.batches), default=0.0)
    slow = project.resin.pot_life_min > FAST_POT_MIN and project.resin.cure != "epoxy"
    if most is None or largest <= most or slow:
        return None
    sentence = (
        f"{about(largest)} g of resin in one cup can heat itself until it smokes: pour it at once, spread what is left"
        " in a metal tray outdoors, never in the bin."
    )
    return finding("hot_batch", Severity.WARN, sentence, measured=largest, required=most, unit="g")


def _thick(project: Project) -> Finding | None:
    used = {c.master for c in project.cavities}
    tallest = max(m.height_mm for m in project.masters if m.id in used)
    if project.resin.cure != "epoxy" or tallest <= THICK_EPOXY_MM:
        return None
    sentence = (
        "Epoxy thicker than 12 mm (1/2 in) may overheat: pour in layers, or take a casting grade; its data sheet tells."
    )
    return finding("thick_pour", Severity.WARN, sentence, measured=tallest, required=THICK_EPOXY_MM, unit="mm")


def _pigment(project: Project) -> Finding | None:
    share = 100.0 * pigment_share(project.pour)
    sentence = (
        f"{about(share)} % of pigment weakens the resin: stay at the maker's limit, mostly 1 to 3 %, or take a stronger"
        " paste."
    )
    return judged(project, "pigment", share, sentence)


def _humidity(project: Project) -> Finding | None:
    humidity = project.pour.humidity_pct
    if humidity is None or (project.resin.cure or "urethane") != "urethane":
        return None
    sentence = (
        f"At {humidity:.0f} % humidity urethane foams: keep lids closed, no wooden sticks or paper cups, dry the mold,"
        " wait for a drier day or use degassed, dry stock."
    )
    return judged(project, "humidity", humidity, sentence)
