"""The plan of an order as a person reads it: the answer first, then where every number comes from."""

from typing import Final

from layout.batch_log import good_share
from layout.model import Finding, Severity
from layout.order.boxes import inside_text
from layout.order.calendar import day_of, shift_of_order
from layout.order.certainty import certainty_words
from layout.order.chain import shrink_of
from layout.order.dates import date_of, date_text, day_date, workdays_text
from layout.order.day_by_day import day_lines
from layout.order.kinds import parts_of_kinds
from layout.order.limits import OrderLimit
from layout.order.plan import Option, Plan
from layout.order.purchase import unknown_prices
from layout.order.routes import ROUTES, Routes
from layout.order.shrink_words import shrink_lines
from layout.order.sources import sources
from layout.order.steps import Step
from layout.order.stints import Schedule
from layout.units import counted, minutes_text
from layout.wording import message

MOST_DAY_LINES: Final = 40
_HEAD: Final = "cavities  molds  casts  crew h  days       cost  silicone g    resin g  inside the box"


def plan_text(
    found: Plan, ways: Routes, limits: tuple[OrderLimit, ...], findings: tuple[Finding, ...], notes: tuple[str, ...],
    calendar: Schedule,
) -> str:  # fmt: skip
    """Return the whole answer.

    Parameters
    ----------
    found : Plan
    ways : Routes
    limits : tuple of OrderLimit
    findings : tuple of Finding
    notes : tuple of str
        What is to be said about how the counts were laid out.
    calendar : Schedule
        Of the best.
    """
    best, units = found.best, found.best.project.units
    date = [x.loosen for x in limits if x.kind == "deadline" and not best.in_time]
    binding = [x for x in limits if x.binds and not (date and x.kind == "deadline")]
    shown = [f for f in findings if not f.kind.startswith("plan_") and not (f.kind == "deadline" and not best.in_time)]
    blocks = [
        [*_first_line(best), *date, *_kinds(best)],
        _marked(found) if len(found.options) > 1 else [],
        _routes(ways, best),
        [*(_step_line(s, best) for s in best.steps), *_sums(best, calendar)],
        shrink_lines(best.project, shrink_of(best.steps)),
        _days(best, calendar),
        ["It goes by:", *(f"  {x}" for x in sources(best.project))],
        ["What binds this order:", *(f"  {x.name}: {x.says} {x.loosen}".rstrip() for x in binding)] if binding else [],
        [_HEAD, *(_row(o, found) for o in found.options)],
        [*notes, *(f"{counted(n, 'cavity')} not planned: {why}." for n, why in found.left_out)],
        [f"{'note' if f.severity == Severity.INFO else 'mind':6s}{message(f, units)}" for f in shown],
    ]
    return "\n\n".join("\n".join(lines) for lines in blocks if lines)


def _money(amount: float, option: Option) -> str:
    return f"{amount:.2f} {option.project.order.currency}"


def _first_line(best: Option) -> list[str]:
    order = best.project.order
    late = ""
    if not best.in_time and order.days is not None:
        over = counted(best.calendar_days - order.days, "day")
        due = "" if order.start_date is None else f" (delivery {date_text(day_date(order.start_date, order.days - 1))})"
        late = f"TOO LATE by {over}: {best.calendar_days} in place of {order.days}{due}. The quickest: "
    return [
        f"{late}{counted(best.cavities, 'cavity')} in {inside_text(best.project)}: {counted(best.molds, 'mold')},"
        f" {counted(best.cycles, 'cast')}, {_hours(best)}, {_span(best)},"
        f" {_money(best.money.total, best)}."
    ]


def _span(option: Option) -> str:
    order = option.project.order
    days = counted(option.calendar_days, "day")
    if order.start_date is None:
        return days
    last = date_text(day_date(order.start_date, option.calendar_days - 1))
    return f"{days} ({date_text(date_of(order.start_date))} to {last})"


def _kinds(option: Option) -> list[str]:
    made = parts_of_kinds(option.project, option.project.order.parts)
    if len(made) < 2:
        return []
    share, casts = good_share(option.project), option.cycles
    return [
        "Of these "
        + ", ".join(
            f"{n} {k.master.name} ({k.cavities} a cast, {int(casts * k.cavities * share)} good)" for k, n in made
        )
        + ": the scarcest kind sets the casts."
    ]


def _days(option: Option, calendar: Schedule) -> list[str]:
    project, order = option.project, option.project.order
    shift = shift_of_order(order)
    lines = day_lines(calendar, project.pour.start, order.start_date, shift)
    if len(lines) > MOST_DAY_LINES:
        more = len(lines) - MOST_DAY_LINES
        lines = [*lines[:MOST_DAY_LINES], f"... {counted(more, 'day')} more; --calendar OUT.csv writes all"]
    head = "Day by day (every day a working day; --start DATE gives dates and days off):"
    if order.start_date is not None:
        off = f", nobody on {', '.join(order.closed)}" if order.closed else ""
        head = f"Day by day (work {workdays_text(order.workdays)}{off}):"
    return [head, *(f"  {line}" for line in lines)]


def _hours(option: Option) -> str:
    share = option.project.order.availability
    work = option.crew_hours * share
    if share >= 1.0:
        return f"{work:.1f} h of work"
    return f"{work:.1f} h of work ({option.crew_hours:.1f} h of crew time, {100 * share:g} % of it at the molds)"


def _marked(found: Plan) -> list[str]:
    lines = [
        f"{name:15s}{counted(o.cavities, 'cavity')}: {_money(o.money.total, o)}, {counted(o.calendar_days, 'day')},"
        f" {o.silicone_g:.0f} g of silicone" + ("" if o.in_time else ", too late")
        for name, o in (
            ("Cheapest", found.cheapest),
            ("Quickest", found.quickest),
            ("Least silicone", found.least_silicone),
        )
    ]
    if found.best is not found.cheapest and found.best.in_time:
        lines.append("This plan is the cheapest of those in time.")
    return lines


def _routes(ways: Routes, best: Option) -> list[str]:
    parts = best.project.order.parts
    cost = {c.route: dict(c.points).get(parts) for c in ways.curves}
    said = [f"{ROUTES[r].lower()} {_money(v, best)}" for r, v in cost.items() if v is not None]
    if best.molds == 1:
        said[-1] = "no rigid master mold, one gang mold lasts"
    lines = [f"{counted(parts, 'part')}, date left aside: {'; '.join(said)}."] if best.cavities > 1 else []
    if ways.gang_from is not None:
        lines.append(f"Gang molds cost less than single molds from {counted(ways.gang_from, 'part')} on.")
    if ways.rigid_from is not None:
        lines.append(
            f"A rigid master mold costs less than gang molds alone from {counted(ways.rigid_from, 'part')} on."
        )
    return lines


def _minutes(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0") + " min"


def _step_line(step: Step, option: Option) -> str:
    if step.left_out:
        return f"{step.name:20s}not done: {step.detail.removeprefix('left out: ')}"
    takes = [f"{step.count} x"]
    if step.amount:
        takes.append(f"{step.amount:.0f} {step.unit} {step.material}")
    if step.hands_min:
        takes.append(f"{_minutes(step.hands_min)} of hands")
    if step.wait_min:
        takes.append(f"{minutes_text(step.wait_min)} of waiting")
    if step.cost:
        takes.append(_money(step.cost, option))
    return f"{step.name:20s}{', '.join(takes)}; {step.detail}"


def _sums(option: Option, calendar: Schedule) -> list[str]:
    order, money = option.project.order, option.money
    hands = sum(s.hands_min for s in option.steps)
    share = order.availability
    lines = [
        f"{'In all':20s}{_minutes(hands)} of hands = {hands / 60.0:.1f} h of work"
        + (
            f"; / {share:g} (share of a shift at the molds) = {option.crew_hours:.1f} h of crew time"
            if share < 1
            else ""
        ),
        f"{'Money':20s}{_money(money.total, option)} = hands {money.hands:.2f} ({option.crew_hours:.2f} h at"
        f" {order.wage_per_hour:g}) + silicone of the gang molds {money.silicone:.2f} + resin of the parts"
        f" {money.resin:.2f} + the rest {money.rest:.2f} (boxes, masters, single molds, coats)",
    ]
    days = {day_of(s.start_min) for s in calendar.stints if s.operator is not None}
    lines.append(
        f"{'':20s}hands are paid, waiting is not: {counted(len(days), 'day')} with work, of {order.hours:g} h each, are"
        f" {len(days) * order.hours:g} h on the clock for each person"
    )
    made = tuple((k.cavities, n) for k, n in parts_of_kinds(option.project, order.parts))
    lines.append(f"{'Certainty':20s}{certainty_words(option, made, good_share(option.project))}")
    missing = unknown_prices(option.project)
    if missing:
        lines.append(f"Not counted, price not known: {', '.join(missing)}.")
    return lines


def _row(option: Option, found: Plan) -> str:
    marks = [
        word
        for word, o in (
            ("this plan", found.best),
            ("cheapest", found.cheapest),
            ("quickest", found.quickest),
            ("least silicone", found.least_silicone),
        )
        if o is option and len(found.options) > 1
    ]
    if not option.in_time:
        marks.insert(0, "too late")
    return (
        f"{option.cavities:8d} {option.molds:6d} {option.cycles:6d} {option.crew_hours:7.1f} {option.calendar_days:5d}"
        f" {option.money.total:10.2f} {option.silicone_g:11.0f} {option.resin_g:10.0f}  {inside_text(option.project)}"
        + (f"   {', '.join(marks)}" if marks else "")
    )
