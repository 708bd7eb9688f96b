"""What limits an order: each limit by name, whether it binds, and what would loosen it."""

import math
from dataclasses import dataclass
from itertools import pairwise

from layout.advice import deadline_finding
from layout.advice.order import order_advice
from layout.batch_log import good_share, mold_life, mold_life_of
from layout.limits import limit
from layout.model import Finding, Severity
from layout.order.calendar import DAY_MIN, shift_of_order
from layout.order.chain import shrink_of
from layout.order.finish import coat_findings
from layout.order.kinds import parts_of_kinds
from layout.order.plan import Option, Plan, calendar_of
from layout.order.shrink_words import fine_mm
from layout.order.shrinkage import final_size, fit
from layout.order.sooner import crew_that_is_enough, what_would_speed_up
from layout.order.stints import Schedule
from layout.pour.remedies import remedies
from layout.regions import inner_size_mm
from layout.units import G_PER_LB, counted, length_text, mass_text, volume_text


@dataclass(frozen=True, slots=True)
class OrderLimit:
    """One limit.

    Parameters
    ----------
    kind : str
        ``pot_life``, ``silicone_batches``, ``mold_life``, ``size``, ``block``, ``weight``, ``single_mold`` or
        ``deadline``.
    name : str
    measured, allowed : float or None
    unit : str
    binds : bool
        It decides something in the chosen plan.
    says, loosen : str
        One sentence each: what it does here; what would loosen it.
    """

    kind: str
    name: str
    measured: float | None
    allowed: float | None
    unit: str
    binds: bool
    says: str
    loosen: str


@dataclass(frozen=True, slots=True)
class CurveStep:
    """A step in the curves, explained."""

    cavities: int
    text: str


def order_limits(found: Plan) -> tuple[OrderLimit, ...]:
    """Return the limits of the best option of a plan, those that bind first."""
    best = found.best
    limits = [
        _deadline(best),
        _resin(best),
        _silicone(best),
        _life(best),
        _size(found),
        *_block(best),
        _single(best),
        _fit(best),
    ]
    return tuple(sorted((x for x in limits if x is not None), key=lambda x: not x.binds))


def _resin(option: Option) -> OrderLimit:
    n, most = option.cavities, option.needs.cavities_per_batch
    batches, crew = option.needs.resin_batches, option.project.order.crew
    if batches is None:
        says = "The resin sets before one cavity is filled."
    elif batches > 1:
        says = f"One batch fills {counted(most, 'cavity')} before it sets, so each cast takes {batches} batches."
    else:
        says = f"One batch fills up to {counted(most, 'cavity')} before it sets; this mold has {n}."
    hands = "a second pair of hands" if crew == 1 else "two of the crew filling one mold together"
    return OrderLimit("pot_life", "Resin's pot life", n, most, "cavities", batches != 1, says,
                      f"A slower resin, a cooler shop, {hands}, or at most {counted(most, 'cavity')}.")  # fmt: skip


def _silicone(option: Option) -> OrderLimit:
    count = option.needs.silicone_batches
    says = (
        "No number of batches of this silicone is poured in time."
        if count is None
        else f"The silicone of one mold takes {count} batches."
        if count > 1
        else "The silicone of one mold is one batch."
    )
    return OrderLimit("silicone_batches", "Silicone in one batch", count, 1, "batches", count != 1, says,
                      _one_batch_words(option) if count != 1 else "")  # fmt: skip


def _one_batch_words(option: Option) -> str:
    """What would let the silicone be one batch: only what stands in its way."""
    project = option.project
    needed = remedies(project)
    ways = []
    if needed.container_ml is not None:
        ways.append(f"a container of {volume_text(needed.container_ml, project.units)}")
    if needed.scale_g is not None:
        ways.append(f"a scale that carries {mass_text(needed.scale_g, project.units)}")
    if needed.late:
        ways.append("a slower silicone")
        ways += ["no degassing"] if needed.without_degas else []
    words = " and ".join(ways) if ways else "a larger cup and scale"
    return f"{words[0].upper()}{words[1:]}, or fewer cavities."


def _life(option: Option) -> OrderLimit:
    project = option.project
    life = mold_life(project)
    by_life = math.ceil(option.cycles / life)
    binds = option.molds > 1 and option.molds == by_life
    loosen = "A resin that is kinder to the mold, release agent, or more cavities."
    made = parts_of_kinds(project, project.order.parts)
    if binds and len(made) > 1:
        kind, wanted = max(made, key=lambda k: k[1] / k[0].cavities)
        loosen = (
            f"More {kind.master.name} in the box ({kind.cavities} of {option.cavities} cavities for {wanted} of"
            f" {project.order.parts} parts); or release agent and a longer life."
        )
    elif binds:
        allowed = (option.molds - 1) * life
        enough = math.ceil(project.order.parts / (good_share(project) * allowed) - 1e-9)
        fewer = counted(option.molds - 1, "mold")
        loosen = f"{counted(enough, 'cavity')} or more do with {fewer}; or release agent and a longer life."
    each = " each" if option.molds > 1 else ""
    says = f"{counted(option.cycles, 'cast')} on {counted(option.molds, 'mold')} of {counted(life, 'cast')}{each}"
    says += ": their life asks for that many." if binds else "."
    return OrderLimit("mold_life", "Mold life", option.cycles / option.molds, life, "casts", binds, says, loosen)


def _size(found: Plan) -> OrderLimit | None:
    if len(found.options) < 2:
        return None
    most, best = found.options[-1].cavities, found.best.cavities
    binds = best == most
    says = f"The largest box holds {most}; this plan takes {best}."
    return OrderLimit("size", "Largest box", best, most, "cavities", binds, says,
                      "A larger box, or a thinner wall where the part allows it.")  # fmt: skip


def _block(option: Option) -> list[OrderLimit]:
    project = option.project
    side, kilos = max(inner_size_mm(project.box.shape)), option.needs.mold_kg
    largest = limit(project, "block_size").warn or math.inf
    heaviest = (limit(project, "block_mass").warn or math.inf) / 1000.0
    return [
        OrderLimit("block", "Size of the mold", side, largest, "mm", side > largest,
                   f"The longest side is {_mm(option, side)}; over {_mm(option, largest)} molds sag.",
                   "Two smaller molds, or a stiff board under it."),
        OrderLimit("weight", "Weight of the mold", kilos, heaviest, "kg", kilos > heaviest,
                   f"One mold weighs {_kg(option, kilos)}; over {_kg(option, heaviest)} its floor comes out uneven.",
                   "Fewer cavities, or a thinner floor."),
    ]  # fmt: skip


def _kg(option: Option, kilos: float) -> str:
    """A mold is lifted, not weighed on the bench scale: pounds for who counts in inches."""
    if option.project.units.length == "in":
        return f"{1000.0 * kilos / G_PER_LB:.1f} lb"
    return f"{kilos:.2f}".rstrip("0").rstrip(".") + " kg"


def _mm(option: Option, value_mm: float) -> str:
    return length_text(value_mm, option.project.units, decimals=0)


def _single(option: Option) -> OrderLimit | None:
    step = next((s for s in option.steps if s.id == "copies" and not s.left_out), None)
    if step is None:
        return None
    singles = next(s.count for s in option.steps if s.id == "single_mold")
    allowed = mold_life(option.project)
    binds = step.count > allowed
    return OrderLimit("single_mold", "What a single mold yields", step.count, allowed, "masters", binds,
                      f"{step.count} masters from {counted(singles, 'single mold')} of {counted(allowed, 'cast')}.",
                      "More single molds, or a small gang mold in between.")  # fmt: skip


def _fit(option: Option) -> OrderLimit | None:
    """The size that the order wants to keep, after every shrink of its chain."""
    project, order = option.project, option.project.order
    if not order.wanted_mm or not order.wanted_tol_mm:
        return None
    made = final_size(shrink_of(option.steps), order.wanted_mm)
    off = max(abs(made.size_mm - order.wanted_mm), abs(made.least_mm - order.wanted_mm),
              abs(made.most_mm - order.wanted_mm))  # fmt: skip
    verdict = fit(made, order.wanted_mm, order.wanted_tol_mm)
    size, out, allowed, scaled = (fine_mm(mm, project.units) for mm in (
        order.wanted_mm, made.size_mm, order.wanted_tol_mm, made.scaled_original_mm))  # fmt: skip
    low, high = fine_mm(made.least_mm, project.units), fine_mm(made.most_mm, project.units)
    said = {"fits": "all of it within", "may fit": "not all of it within", "does not fit": "none of it within"}
    return OrderLimit(
        "fit", "Size to keep", off, order.wanted_tol_mm, "mm", verdict != "fits",
        f"From an original of {size} parts come out {out} ({low} to {high}), {said[verdict]} {allowed} either way.",
        f"Make the original {scaled}, or agree the size with the customer.",
    )  # fmt: skip


def _deadline(option: Option) -> OrderLimit | None:
    order = option.project.order
    if order.days is None:
        return None
    late = option.calendar_days > order.days
    more = option.molds > math.ceil(option.cycles / mold_life(option.project))
    takes = f"It takes {counted(option.calendar_days, 'day')} of the {order.days} there are"
    says = f"{takes}: {counted(option.calendar_days - order.days, 'day')} too late." if late else f"{takes}."
    if more and not late:
        says += f" The date asks for {counted(option.molds, 'mold')} at work."
    elif more:
        fewest = math.ceil(option.cycles / mold_life(option.project))
        says += f" {counted(option.molds, 'mold')} in place of {fewest}, to be quicker."
    return OrderLimit("deadline", "Delivery date", option.calendar_days, order.days, "days", late or more, says,
                      what_would_speed_up(option) if late or more else "")  # fmt: skip


def mold_lead_days(option: Option) -> float:
    """Return the days it takes to replace a mold: its hands and its cure."""
    lead = option.project.order.box_min + option.needs.silicone_demold_min
    return max(1.0, math.ceil(lead / DAY_MIN))


def plan_findings(
    found: Plan, limits: tuple[OrderLimit, ...] | None = None, calendar: Schedule | None = None
) -> tuple[Finding, ...]:
    """Return the advice for the best option: date, batches, log, coats; it changes no exit code.

    Parameters
    ----------
    found : Plan
    limits : tuple of OrderLimit, optional
    calendar : Schedule, optional
        Of the best option, where they are known already.

    Notes
    -----
    Kinds that begin with ``plan_`` say what `order_limits` says too; a text that lists both leaves them out.
    """
    best = found.best
    limits = order_limits(found) if limits is None else limits
    project, order = best.project, best.project.order
    advice = [*order_advice(project)]
    if any(coat.latest_min is not None for coat in order.coats):
        advice += coat_findings(project, calendar or calendar_of(best.project, best.needs, best.cycles, best.molds))
    if order.days is not None:
        late = deadline_finding(project, float(order.days - best.calendar_days), mold_lead_days(best))
        if late is not None:
            advice.append(late)
    advice.extend((*_unusual(best), *_idle(best)))
    kinds = ("pot_life", "silicone_batches", "block", "weight", "single_mold")
    advice.extend(_as_finding(x) for x in limits if x.binds and x.kind in kinds)
    return tuple(advice)


MOST_SHIFT_H = 12.0
"""A person's shift longer than this is doubted. Common practice, no source."""
LIFE_DOUBT = 3.0
"""A life typed at more than so many times the usual one is doubted. Common practice, no source."""


def _unusual(option: Option) -> list[Finding]:
    """Return what was typed and is taken as it is, though hardly any shop has it."""
    project, order = option.project, option.project.order
    found: list[Finding] = []
    usual = mold_life_of(project).value
    if order.mold_life is not None and order.mold_life > LIFE_DOUBT * usual:
        found.append(Finding(
            "unusual_life", Severity.WARN, (), float(order.mold_life), usual, "casts",
            detail=f"Molds of {counted(order.mold_life, 'cast')} are planned as you say;"
            f" {counted(int(usual), 'cast')} is usual. Look at lips and shine, and have a spare ready."))  # fmt: skip
    if order.hours > MOST_SHIFT_H:
        found.append(Finding(
            "long_shift", Severity.WARN, (), order.hours, MOST_SHIFT_H, "h",
            detail=f"A shift of {order.hours:g} h is planned as you say, for each of {order.crew} at work: tired hands"
            " spill, cut and breathe in more. Plan it with more people in turns."))  # fmt: skip
    bench = shift_of_order(order).bench_min
    longest = max((j for s in option.steps for j in s.jobs if j.ready_mold is not None), key=lambda j: j.hands_min)
    if longest.hands_min > bench:
        found.append(Finding(
            "cut_job", Severity.WARN, (), longest.hands_min, bench, "min",
            detail=f"{longest.name.capitalize()} takes {longest.hands_min:.0f} min of hands, a shift has {bench:.0f} at"
            " the molds: make ready on one day, and keep the pour itself within one."))  # fmt: skip
    return found


def _idle(option: Option) -> list[Finding]:
    """Return whether fewer people would do, and what keeps the order waiting instead of hands."""
    crew, enough = option.project.order.crew, crew_that_is_enough(option)
    if enough >= crew:
        return []
    people = "1 person has" if enough == 1 else f"{enough} people have"
    return [Finding(
        "idle_crew", Severity.INFO, (), float(crew), float(enough), "people",
        detail=f"{people} it ready on the same day as {crew}: the molds are made by one pair of hands, and what cures"
        " holds up the rest.")]  # fmt: skip


def _as_finding(x: OrderLimit) -> Finding:
    severity = Severity.INFO if x.kind == "single_mold" else Severity.WARN
    return Finding(f"plan_{x.kind}", severity, (), x.measured, x.allowed, x.unit, detail=f"{x.says} {x.loosen}")


def curve_steps(options: tuple[Option, ...]) -> tuple[CurveStep, ...]:
    """Return why the curves jump: where molds, batches, single molds change from one count to the next."""
    found: list[CurveStep] = []
    for before, after in pairwise(options):
        reasons: list[str] = []
        if after.molds != before.molds:
            reasons.append(f"{counted(after.molds, 'mold')} in place of {before.molds}")
        if after.needs.resin_batches != before.needs.resin_batches:
            reasons.append(_batches("resin", after.needs.resin_batches))
        if after.needs.silicone_batches != before.needs.silicone_batches:
            reasons.append(_batches("silicone", after.needs.silicone_batches))
        singles = [next(s.count for s in o.steps if s.id == "single_mold") for o in (before, after)]
        if singles[1] > singles[0] > 0:
            reasons.append(f"{counted(singles[1], 'single mold')} for the masters")
        if reasons:
            found.append(CurveStep(after.cavities, f"{counted(after.cavities, 'cavity')}: {', '.join(reasons)}"))
    return tuple(found)


def _batches(what: str, count: int | None) -> str:
    if count is None:
        return f"no batch of {what} in time"
    return f"one batch of {what}" if count == 1 else f"{count} batches of {what}"
