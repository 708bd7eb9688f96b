"""Advice on the bench: temperature, vacuum, containers, scale, chamber and pressure pot."""

from layout.advice.batches import share_words
from layout.advice.saying import about, at_least_text, finding, found, judged, mm
from layout.limits import limit
from layout.model import Finding, Project, Severity
from layout.pour.gear import gear_fits
from layout.pour.resin import resin_pour
from layout.pour.silicone import SiliconePour, silicone_pour
from layout.pour.vacuum import POURS_CLEAR_BELOW_CP, barometer_mbar, degas_needed, expansion, gauge_inhg
from layout.units import MBAR_PER_INHG, temperature_text

DAMP_PCT = 50.0
SCALE_STEPS_G = (2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.001)


def bench_advice(project: Project) -> tuple[Finding, ...]:
    """Return the advice on temperature, vacuum and gear."""
    pour = silicone_pour(project)
    return (
        *found(_cold(project), _warm(project), _headroom(project, pour)),
        *found(_vacuum(project), _degas(project), _damp(project)),
        *found(_scale_step(project, pour)),
        *(_gear(project)),
    )


def _cold(project: Project) -> Finding | None:
    t = project.pour.temperature_c
    sentence = (
        f"A and B at {temperature_text(t, project.units)} are cold: slow, thick, and silicone may stay soft. Bring them"
        f" to {temperature_text(limit(project, 'cold_parts').warn or 20.0, project.units)} first."
    )
    return judged(project, "cold_parts", t, sentence)


def _warm(project: Project) -> Finding | None:
    t = project.pour.temperature_c
    sentence = (
        f"A and B at {temperature_text(t, project.units)} are warm: pot life is short. Cool the closed bottles, pour in"
        " the morning."
    )
    return judged(project, "warm_parts", t, sentence)


def _headroom(project: Project, pour: SiliconePour) -> Finding | None:
    if project.pour.container_ml is None or not pour.batching.count:
        return None
    ratio = project.pour.container_ml / pour.batching.per_batch_ml
    room = about(ratio)
    if project.pour.degas:
        sentence = (
            f"The container holds {room} times the batch; foam rises to 3 to 5 times: smaller batches, or a pail."
        )
        return judged(project, "headroom_degas", ratio, sentence, kind="headroom")
    usual = about(limit(project, "headroom").warn or 4.0)
    sentence = (
        f"The container holds {room} times the batch; {usual} times is the usual room: stir slowly, or take a larger"
        " one or smaller batches."
    )
    return judged(project, "headroom", ratio, sentence)


def _vacuum(project: Project) -> Finding | None:
    settings = project.pour
    if not settings.degas:
        return None
    most = limit(project, "vacuum").warn or 35.0
    gauge = gauge_inhg(most, settings.altitude_m)
    top = barometer_mbar(settings.altitude_m) / MBAR_PER_INHG
    if settings.absolute_mbar is None:
        sentence = (
            f"Degas at {about(most)} mbar absolute or less: here, at {settings.altitude_m:.0f} m, a gauge shows"
            f" {gauge:.1f} inHg then, and can never pass {top:.1f}."
        )
        return finding("vacuum", Severity.INFO, sentence, required=most, unit="mbar")
    rise = expansion(settings.air_share, most, settings.altitude_m)
    needed = f"{about(most)} mbar ({gauge:.1f} inHg on a gauge here) are needed, where silicone rises {rise:.1f} times."
    reached = f"The pump reaches {about(settings.absolute_mbar)} mbar absolute:"
    if limit(project, "vacuum").severity(settings.absolute_mbar) == Severity.REFUSE:
        sentence = f"{reached} bubbles grow and do not break. Do not degas with it; {needed}"
    else:
        sentence = (
            f"{reached} large bubbles break, small ones may only grow. Look for leaks and change its oil; {needed}"
        )
    return judged(project, "vacuum", settings.absolute_mbar, sentence)


def _degas(project: Project) -> Finding | None:
    needed, cp = degas_needed(project.silicone), project.silicone.viscosity_cp
    if cp is None or needed is None or (needed and project.pour.coat_mm > 0.0):
        return None  # a detail coat keeps the bubbles off the parts
    if needed and not project.pour.degas:
        sentence = (
            f"At {cp:.0f} cP this silicone keeps its bubbles: degas it, or brush a detail coat first and pour a thin"
            " high stream into one corner."
        )
        return finding("degas_needed", Severity.WARN, sentence, measured=cp, unit="cP")
    if not needed and project.pour.degas:
        sentence = (
            f"At {cp:.0f} cP this silicone sheds its bubbles by itself: it mostly needs no vacuum if a thin high stream"
            " is poured into one corner."
        )
        return finding(
            "degas_not_needed", Severity.INFO, sentence, measured=cp, required=POURS_CLEAR_BELOW_CP, unit="cP"
        )
    return None


def _damp(project: Project) -> Finding | None:
    humidity = project.pour.humidity_pct
    if humidity is None or humidity <= DAMP_PCT or not project.pour.degas:
        return None
    sentence = (
        f"At {humidity:.0f} % humidity silicone foams more under vacuum: water boils at much the same pressure. Leave"
        " more room in the container and break the vacuum when it climbs."
    )
    return finding("damp_degassing", Severity.WARN, sentence, measured=humidity, required=DAMP_PCT, unit="%")


def _scale_step(project: Project, pour: SiliconePour) -> Finding | None:
    step = project.pour.scale_step_g
    if step is None:
        return None
    parts = [pour.batch_dose.a_g, pour.batch_dose.b_g]
    for batch in resin_pour(project).batches:
        parts += [batch.dose.a_g, batch.dose.b_g]
    least = min((p for p in parts if p > 0.0), default=0.0)
    if least <= 0.0:
        return None
    share = 100.0 * step / least
    allowed = limit(project, "scale_step").warn or 1.0
    larger = ", or mix larger batches" if share <= 2.0 * allowed else ""
    fine = _usual_step(least * allowed / 100.0)
    sentence = (
        f"The scale's step of {step:g} g is {share:.1f} % of the smallest part weighed ({about(least)} g): weigh on one"
        f" of {fine:g} g or finer{larger}."
    )
    return judged(project, "scale_step", share, sentence)


def _usual_step(most_g: float) -> float:
    """The coarsest step that scales are sold with and that is fine enough."""
    return next((step for step in SCALE_STEPS_G if step <= most_g * (1.0 + 1e-9)), SCALE_STEPS_G[-1])


def _gear(project: Project) -> tuple[Finding, ...]:
    said = []
    for fit in gear_fits(project):
        if fit.fits:
            continue
        across = fit.diameter_mm > fit.gear_diameter_mm
        size = (fit.diameter_mm, fit.gear_diameter_mm) if across else (fit.height_mm, fit.gear_height_mm)
        way = "across" if across else "tall"
        sentence = (
            f"The {fit.thing}, {mm(size[0], project.units)} {way}, does not go into the {fit.gear},"
            f" {mm(size[1], project.units)} {way}: {fit.remedy}."
        )
        said.append(finding("gear_too_small", Severity.WARN, sentence, measured=size[0], required=size[1], unit="mm"))
    return tuple(said)


def container_words(project: Project, pour: SiliconePour) -> str:
    """Return which container a batch needs, in words; rounded up, so that what is read is enough."""
    headroom = project.pour.headroom
    return f"at least {at_least_text(pour.container_ml, project.units)}, filled to no more than {share_words(headroom)}"
