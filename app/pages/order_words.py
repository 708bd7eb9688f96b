"""The numbers of the Order page in words."""

from __future__ import annotations

from dataclasses import replace
from html import escape

from app.words import counted, said, tr
from layout.errors import LayoutError
from layout.model import Project, RoundBox, Severity
from layout.order.boxes import inside_text
from layout.order.chain import chain, shrink_of
from layout.order.dates import date_text, day_date
from layout.order.kinds import parts_of_kinds
from layout.order.limits import CurveStep, OrderLimit, plan_findings
from layout.order.needs import needs
from layout.order.plan import Option, Plan
from layout.order.purchase import unknown_prices
from layout.order.rigid_master import rigid_master, steps, tray_resin
from layout.order.shrink_words import shrink_lines
from layout.order.tray_checks import tray_findings, tray_time
from layout.units import length_text, mass_text, minutes_text, volume_text
from layout.wording import message


def money_text(option: Option) -> str:
    """Return the cost with its currency."""
    return f"{option.money.total:.2f} {option.project.order.currency}"


def best_words(option: Option) -> str:
    """Return the order in one line."""
    order, share = option.project.order, option.project.order.availability
    days = counted(option.calendar_days, "one day", "{n} days")
    if order.start_date is not None:
        days += tr(", done {date}", date=date_text(day_date(order.start_date, option.calendar_days - 1)))
    ordered = counted(order.parts, "one part", "{n} parts")
    each = parts_of_kinds(option.project, order.parts)
    if len(each) > 1:
        ordered += f" ({', '.join(f'{n} {k.master.name}' for k, n in each)})"
    parts = [
        ordered,
        counted(option.cavities, "one cavity", "{n} cavities"),
        counted(option.molds, "one mold", "{n} molds"),
        counted(option.cycles, "one cast", "{n} casts"),
        tr("{work} h of work ({crew} h of crew time, {share} % of it at the molds)",
           work=f"{option.crew_hours * share:.1f}", crew=f"{option.crew_hours:.1f}", share=f"{100 * share:g}"),
        days,
        money_text(option),
    ]  # fmt: skip
    line = ", ".join(parts)
    if not option.in_time and order.days is not None:
        late = counted(option.calendar_days - order.days, "one day", "{n} days")
        line = tr("Too late by {late}: {line}", late=late, line=line)
    missing = unknown_prices(option.project)
    if missing:
        line += tr(" (without {what}: price not known)", what=", ".join(map(said, missing)))
    return line


def option_words(option: Option, why: tuple[CurveStep, ...]) -> str:
    """Return one count of cavities in words, with why the curves jump there."""
    money = option.money
    line = tr(
        "{cavities} in {size}: {molds}, {casts}, {hours} h, {days}, {cost} (hands {hands}, silicone {silicone},"
        " resin {resin}, rest {rest}).",
        cavities=counted(option.cavities, "one cavity", "{n} cavities"), size=inside_text(option.project, 0),
        molds=counted(option.molds, "one mold", "{n} molds"),
        casts=counted(option.cycles, "one cast", "{n} casts"), hours=f"{option.crew_hours:.1f}",
        days=counted(option.calendar_days, "one day", "{n} days"), cost=money_text(option),
        hands=f"{money.hands:.2f}", silicone=f"{money.silicone:.2f}", resin=f"{money.resin:.2f}",
        rest=f"{money.rest:.2f}",
    )  # fmt: skip
    here = [said(s.text.partition(": ")[2]) for s in why if s.cavities == option.cavities]
    if here:
        line += " " + tr("New from this count on: {what}.", what="; ".join(here))
    if not option.in_time:
        line += " " + tr("Too late for the date.")
    return line


def limit_lines(limits: tuple[OrderLimit, ...], *, binding: bool) -> list[str]:
    """Return the limits that bind, each with what would loosen it, or those that do not."""
    return [
        f"{said(x.name)}: {said(x.says)} {said(x.loosen)}" if binding else f"{said(x.name)}: {said(x.says)}"
        for x in limits
        if x.binds == binding
    ]


def warning_lines(found: Plan, limits: tuple[OrderLimit, ...]) -> list[str]:
    """Return the advice on the order, gravest first; what the limits say already is left out."""
    order = {Severity.REFUSE: 0, Severity.WARN: 1, Severity.INFO: 2}
    findings = sorted(plan_findings(found, limits), key=lambda f: order[f.severity])
    late = () if found.best.in_time else ("deadline",)
    return [
        said(message(f, found.best.project.units))
        for f in findings
        if not f.kind.startswith("plan_") and f.kind not in late
    ]


def _shrink_lines(project: Project, with_tray: bool) -> list[str]:
    skip = tuple(s for s in project.order.skip if s != "rigid_master")
    order = replace(project.order, skip=skip if with_tray else (*skip, "rigid_master"))
    wanted = replace(project, order=order)
    found = shrink_of(chain(wanted, needs(wanted), 2, 2))
    title = tr("With the rigid master mold") if with_tray else tr("Without it")
    return [said(line) for line in shrink_lines(wanted, found, title)]


def rigid_html(project: Project) -> str:
    """Return the rigid master mold of a layout as rich text: amounts, steps, cautions, shrink."""
    try:
        tray = rigid_master(project)
    except LayoutError as error:
        return f"<p>{escape(said(error))}</p>"
    units, time = project.units, tray_time(project, tray)
    length, width, height = (length_text(v, units, decimals=1) for v in tray.outer_mm)
    size = (
        tr("{across} across, round, {height} high", across=length, height=height)
        if isinstance(project.box.shape, RoundBox)
        else f"{length} x {width} x {height}"
    )
    amounts = [
        tr("Resin {ml}, {g} of {name}; pot life at that mass {pot}, mixing and pouring {need}.",
           ml=volume_text(tray.resin_ml, units), g=mass_text(tray.mass_g, units), name=tray_resin(project).name,
           pot=minutes_text(time.pot_life_min), need=minutes_text(time.needed_min)),
        tr("Outside {size}; each further mold takes {ml} of silicone (net).", size=size,
           ml=volume_text(tray.silicone_per_mold_ml, units)),
    ]  # fmt: skip
    mind = [said(message(f, units)) for f in tray_findings(project, tray)]
    shrink = [*_shrink_lines(project, with_tray=False), *_shrink_lines(project, with_tray=True)]
    done = "".join(f"<li>{escape(said(s))}</li>" for s in steps(project, tray))
    blocks = [(tr("What it takes"), amounts), (tr("Mind"), mind), (tr("Shrink"), shrink)]
    html = "".join(f"<p><b>{escape(h)}</b><br>{'<br>'.join(map(escape, lines))}</p>" for h, lines in blocks)
    return f"{html}<p><b>{escape(tr('Steps'))}</b></p><ol>{done}</ol>"
