"""The plan of an order: for every count of cavities its molds, casts, hands, days and money; the cheapest in time."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from layout.batch_log import good_share, mold_life
from layout.errors import BadValueError
from layout.model import Project
from layout.order.boxes import Boxed, quick_boxes
from layout.order.calendar import DAY_MIN, FIT_TOL_MIN, shift_of_order
from layout.order.chain import chain, masters_needed, spare_molds
from layout.order.cost import Money, money_of
from layout.order.kinds import casts_of
from layout.order.learned import with_learned
from layout.order.needs import Needs, needs
from layout.order.schedule import schedule
from layout.order.steps import Step, require_steps
from layout.order.stints import Job, Round, Schedule, Shop
from layout.units import plain_text

MOST_CASTS = 20_000
"""A count of cavities that takes more casts than this is not planned hand by hand."""

MOST_DAYS = 100_000
"""A calendar longer than this is a slip of the pen: a time typed in the wrong unit, a shift of no length."""

MORE_MOLDS = 3
"""So many more molds in a row that bring nothing end the search for the quickest number of them."""


@dataclass(frozen=True, slots=True)
class Option:
    """An order made with one layout.

    Parameters
    ----------
    project : Project
        The layout in its box.
    cavities, molds, cycles, masters : int
    crew_hours : float
        Hands over the share of the shift they are at the molds.
    calendar_days : int
        First and last counted.
    money : Money
    needs : Needs
        Of one mold and one round.
    steps : tuple of Step
        The chain.
    in_time : bool
        It meets the date, or there is none.
    silicone_g, resin_g : float
        Of all gang molds; of all casts.
    """

    project: Project
    cavities: int
    molds: int
    cycles: int
    masters: int
    crew_hours: float
    calendar_days: int
    finish_min: float
    money: Money
    needs: Needs
    steps: tuple[Step, ...]
    in_time: bool
    silicone_g: float
    resin_g: float


@dataclass(frozen=True, slots=True)
class Plan:
    """All options of an order.

    Parameters
    ----------
    best : Option
        The cheapest that is in time; if none is, the quickest.
    options : tuple of Option
        By count of cavities.
    cheapest, quickest, least_silicone : Option
        Of all options, in time or not.
    left_out : tuple of (int, str)
        Counts that could not be planned, and why.
    """

    best: Option
    options: tuple[Option, ...]
    cheapest: Option
    quickest: Option
    least_silicone: Option
    left_out: tuple[tuple[int, str], ...] = ()


def require_order(project: Project) -> None:
    """Raise BadValueError where a number of the order makes no sense, named by its option."""
    order = project.order
    share = good_share(project)
    checks: tuple[tuple[str, float | None, float, float, str], ...] = (
        ("--parts", order.parts, 1, 10_000_000, "give a whole number from 1 to 10,000,000"),
        ("--days", order.days, 1, MOST_DAYS, "give whole days from 1 up, or leave it out"),
        ("--crew", order.crew, 1, 1000, "give 1 person or more"),
        ("--yield", share, 0.01, 1.0, "give a share from 0.01 to 1, like 0.97"),
        ("--mold-life", order.mold_life, 1, 1_000_000, "give the casts of one mold, 1 or more"),
        ("--molds-per-operator", order.molds_per_operator, 1, 1000, "give 1 or more"),
        ("--wage", order.wage_per_hour, 0.0, 1e6, "give money an hour, 0 or more"),
        ("casts a day", order.casts_per_day, 1, 100_000, "give 1 or more, or leave it out"),
        ("spare masters", order.spare_masters, 0, 100_000, "give 0 or more"),
        ("resin flow", order.resin_ml_per_s, 0.001, 1e6, "give mL a second, above 0"),
    )
    for where, value, least, most, remedy in checks:
        if value is not None and not (math.isfinite(value) and least <= value <= most):
            said = (
                "is no number"
                if not math.isfinite(value)
                else f"is below {plain_text(least)}"
                if value < least
                else (f"is above the most that is planned, {most:,.0f}")
            )
            raise BadValueError(where, f"{plain_text(value, 12)} {said}", remedy)
    hands = (
        order.prepare_min, order.prepare_each_min, order.move_s, order.demold_s, order.original_min,
        order.single_mold_min, order.box_min, order.box_cost, order.remold_min, order.tray_min, order.tray_cost,
        order.trim_s,
    )  # fmt: skip
    if not all(math.isfinite(v) and v >= 0.0 for v in hands):
        raise BadValueError("order", "a time or a price is below 0 or no number", "give 0 or more")
    shift_of_order(order)
    require_steps(order)


def option_of(project: Project) -> Option:
    """Return an order made with the layout as it stands, with the fewest molds that meet the date.

    Raises
    ------
    BadValueError
        If there is no cavity, a cast does not fit in a shift, or silicone or resin set before they are poured.

    Notes
    -----
    Molds are tried from ``ceil(casts / mold life)`` up to as many as the crew can tend at once; more can not be
    quicker. If none is in time, the quickest stands, and of equals the one with fewer molds. The tries end after
    `MORE_MOLDS` counts that were ready no sooner: each takes hands to make.
    """
    require_order(project)
    known = with_learned(project)
    needed = needs(known)
    if needed.cavities == 0:
        raise BadValueError("plan", "the layout has no cavity", "fill the box, or give --cavities")
    _require_pourable(known, needed)
    order = project.order
    casts = casts_of(known, needed.cavities, order.parts, good_share(project))
    if casts > MOST_CASTS:
        raise BadValueError(
            "--parts", f"{casts} casts are too many to plan hand by hand", f"give at most {MOST_CASTS} casts"
        )
    least = math.ceil(casts / mold_life(project))
    most = max(least, min(casts, order.crew * order.molds_per_operator))
    best: tuple[int, Schedule] | None = None
    soonest, in_vain = math.inf, 0
    for molds in range(least, most + 1):
        found = calendar_of(known, needed, casts, molds)
        if best is None or found.days < best[1].days:
            best = molds, found
        in_vain = 0 if found.finish_min < soonest - FIT_TOL_MIN else in_vain + 1
        soonest = min(soonest, found.finish_min)
        if order.days is None or found.days <= order.days or in_vain >= MORE_MOLDS:
            break
    assert best is not None
    return _option(known, needed, casts, best[0], best[1])


def _require_pourable(project: Project, needed: Needs) -> None:
    if needed.resin_batches is None:
        raise BadValueError(
            project.resin.name, "it sets before one cavity is filled", "take a slower resin or a cooler shop"
        )
    if needed.silicone_batches is None:
        raise BadValueError(
            project.silicone.name,
            "no number of batches is poured before it sets",
            "take a slower silicone, a larger container, or leave out degassing",
        )


def calendar_of(project: Project, needed: Needs, casts: int, molds: int) -> Schedule:
    """Return the calendar of an order made with so many molds.

    Raises
    ------
    BadValueError
        If it would take longer than `MOST_DAYS`, or as `schedule` raises.
    """
    return calendar_of_steps(project, needed, chain(project, needed, casts, molds), casts, molds)


def calendar_of_steps(project: Project, needed: Needs, steps: tuple[Step, ...], casts: int, molds: int) -> Schedule:
    """Return the calendar of a chain as it is given; see `calendar_of`."""
    order = project.order
    shop = Shop(
        shift_of_order(order), order.crew, order.molds_per_operator, molds, mold_life(project),
        order.casts_per_day,
    )  # fmt: skip
    trim = next(s.hands_min for s in steps if s.id == "trimming") / casts
    rounds = replace(needed.round, trim_min=trim)
    jobs = [job for s in steps if s.id != "finish" for job in s.jobs]
    finish = [job for s in steps if s.id == "finish" for job in s.jobs]
    _require_span(casts, rounds, shop, jobs, finish)
    return schedule(casts, rounds, shop, jobs, finish)


def _require_span(casts: int, rounds: Round, shop: Shop, jobs: list[Job], coats: list[Job]) -> None:
    """Raise BadValueError if the least the order takes, all hands at work at once, is longer than `MOST_DAYS`."""
    shared_min = casts * (rounds.cast_min + rounds.demold_min + rounds.trim_min) + math.fsum(c.hands_min for c in coats)
    shifts = (math.fsum(j.hands_min for j in jobs) + shared_min / shop.crew) / shop.shift.bench_min
    waits_min = math.fsum(j.wait_min for j in (*jobs, *coats)) + casts * rounds.cure_min / shop.molds
    if shifts > MOST_DAYS or waits_min > MOST_DAYS * DAY_MIN:
        raise BadValueError(
            "plan", f"it takes more than {MOST_DAYS:,} days", "give longer shifts, or check the times that were typed"
        )


def _option(project: Project, needed: Needs, casts: int, molds: int, found: Schedule) -> Option:
    order = project.order
    steps = chain(project, needed, casts, molds)
    hours = found.hands_min / 60.0 / order.availability
    money = money_of(project, needed, steps, casts, molds)
    return Option(
        project, needed.cavities, molds, casts, masters_needed(project, needed.cavities), hours, found.days,
        found.finish_min, money, needed, steps, order.days is None or found.days <= order.days,
        (molds + spare_molds(project)) * needed.silicone_g, casts * needed.resin_g,
    )  # fmt: skip


def plan(
    project: Project,
    boxes: Iterable[Boxed] | None = None,
    on_progress: Callable[[float, tuple[Option, ...]], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Plan:
    """Return the plan over every count of cavities that fits in the largest box.

    Parameters
    ----------
    project : Project
        Its order holds parts, date and shop; its own layout stands for its own count.
    boxes : iterable of Boxed, optional
        Layouts to compare; else the quick ones of the fill.
    on_progress : callable, optional
        Called with the share done and the options so far.
    should_stop : callable, optional
        Once True, what was planned so far is compared.

    Raises
    ------
    BadValueError
        If no count can be planned.
    """
    require_order(project)
    layouts = {b.count: b.project for b in (quick_boxes(project).values() if boxes is None else boxes)}
    own = sum(not c.empty for c in project.cavities)
    if own:
        layouts[own] = project
    options: list[Option] = []
    failed: list[tuple[int, str]] = []
    for number, (count, layout) in enumerate(sorted(layouts.items())):
        try:
            options.append(option_of(layout))
        except BadValueError as error:
            failed.append((count, error.problem))
        if on_progress:
            on_progress((number + 1) / len(layouts), tuple(options))
        if should_stop and should_stop():
            break
    if not options:
        why = failed[0][1] if failed else "no layout was given"
        raise BadValueError("plan", f"no count of cavities can be planned: {why}", "give longer shifts or fewer parts")
    return compared(options, failed)


def compared(options: Iterable[Option], failed: Iterable[tuple[int, str]] = ()) -> Plan:
    """Return the plan that compares these options; at least one."""
    made = tuple(sorted(options, key=lambda o: o.cavities))
    cheapest = min(made, key=lambda o: (o.money.total, o.calendar_days))
    quickest = min(made, key=lambda o: (o.calendar_days, o.money.total))
    silicone = min(made, key=lambda o: (o.silicone_g, o.money.total))
    timely = [o for o in made if o.in_time]
    best = min(timely, key=lambda o: (o.money.total, o.calendar_days)) if timely else quickest
    return Plan(best, made, cheapest, quickest, silicone, tuple(failed))
