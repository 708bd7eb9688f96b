"""`plan`: how many cavities, molds, casts, hands, days and how much money an order takes."""

import argparse
import sys
from collections.abc import Callable
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from app.commands.answers import answer, finding_json
from app.commands.fill import stop_on_signal
from app.commands.options import whole_number
from app.commands.order_options import add_order_options, with_order_options
from app.commands.plan_text import plan_text
from app.commands.run import DONE, UNFINISHED
from layout import project_file
from layout.batch_log import good_share, mold_life_of, yield_of
from layout.errors import BadValueError
from layout.model import Project
from layout.order.boxes import Boxed, layout_notes, quick_boxes
from layout.order.certainty import casts_to_be_sure, order_chance
from layout.order.chain import shrink_of
from layout.order.cycle import round_min, rounds_per_day, useful_molds
from layout.order.dates import day_date, workdays_text
from layout.order.day_by_day import iso_text
from layout.order.kinds import parse_kind_parts, parts_of_kinds
from layout.order.limits import curve_steps, order_limits, plan_findings
from layout.order.plan import Option, Plan, calendar_of, plan, require_order
from layout.order.purchase import purchases
from layout.order.routes import Routes, routes
from layout.order.slips import slips
from layout.order.steps import Step
from layout.order.stints import Schedule, Stint
from layout.regions import inner_size_mm

HELP = "plan an order: cavities, molds, casts, hands, days and money"
EXAMPLE = "manymold plan bolts.manymold --parts 2000 --start 2026-11-30 --by 2026-12-11 --coat primer:8m2/l,coats=2"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")
    add_order_options(parser)
    counts = parser.add_argument_group("counts of cavities")
    counts.add_argument("--cavities", metavar="N", help="plan this count alone")
    counts.add_argument("--max", metavar="LxW", help="largest box, one length for a round one; else the project's own")
    files = parser.add_argument_group("files")
    files.add_argument("--calendar", metavar="OUT.csv", help="write the calendar, hand by hand")
    files.add_argument("--purchases", metavar="OUT.csv", help="write the purchase list")
    files.add_argument("--keep", action="store_true", help="keep the order in FILE, for the window and the next plan")
    files.add_argument("--force", action="store_true", help="write over a file that exists")


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    each: tuple[tuple[str, int], ...] = ()
    if "=" in args.parts:
        each = parse_kind_parts(args.parts, project, "--parts")
        args.parts = str(sum(number for _, number in each))
    project = replace(project, order=replace(with_order_options(project.order, args), kind_parts=each))
    if not project.masters:
        raise BadValueError(args.file, "the project has no master", "add one with new --master")
    require_order(project)
    _refuse_files(args)
    with stop_on_signal() as interrupted:
        layouts = _layouts(project, args, interrupted.is_set)
        stopped = interrupted.is_set()
    # a count that was asked for is planned alone
    found = plan(project if args.cavities is None or not layouts else replace(project, cavities=()), layouts)
    best = found.best
    ways = routes(best.project)
    calendar = calendar_of(best.project, best.needs, best.cycles, best.molds)
    limits = order_limits(found)
    findings = plan_findings(found, limits, calendar)
    notes = layout_notes(project) if layouts or args.cavities is None else ()
    if stopped:
        notes += ("Interrupted: not every size of box was tried.",)
    document = {
        **_plan_json(found),
        "limits": [asdict(x) for x in limits],
        "routes": _routes_json(ways),
        "calendar": [_stint_json(s, best.project) for s in calendar.stints],
        "learned": {"mold_life": asdict(mold_life_of(project)), "yield": asdict(yield_of(project))},
        "notes": list(notes),
        "warnings": [finding_json(f, project.units) for f in findings],
    }
    text = plan_text(found, ways, limits, findings, notes, calendar)
    # whatever could still be refused has been reckoned: a command that fails writes nothing
    _export(args, best, calendar)
    if args.keep:
        project_file.save(project, args.file)
    answer(args, document, text)
    return DONE if best.in_time and not stopped else UNFINISHED


def _plan_json(found: Plan) -> dict[str, Any]:
    """What follows from the plan alone: its best option, all options, and why it is as it is."""
    best, shrink = found.best, shrink_of(found.best.steps)
    each_kind = parts_of_kinds(best.project, best.project.order.parts)
    wanted, share = tuple((k.cavities, n) for k, n in each_kind), good_share(best.project)
    return {
        **_option_json(best),
        "options": [_option_json(o) for o in found.options],
        "cheapest_cavities": found.cheapest.cavities,
        "quickest_cavities": found.quickest.cavities,
        "least_silicone_cavities": found.least_silicone.cavities,
        "not_planned": [{"cavities": n, "reason": why} for n, why in found.left_out],
        "chain": [_step_json(s) for s in best.steps],
        "shrink": {"factor": shrink.factor, "scale": shrink.scale},
        "curve_steps": [asdict(s) for s in curve_steps(found.options)],
        "dates": _dates_json(best),
        "chance_of_enough": order_chance(wanted, best.cycles, share),
        "casts_to_be_sure": casts_to_be_sure(wanted, best.cycles, share),
        "parts_of_each": [{"master": k.master.name, "parts": n} for k, n in each_kind],
        "closed_form": _closed_form(best),
        "slips": [asdict(s) for s in slips(best)],
    }


def _routes_json(ways: Routes) -> dict[str, Any]:
    return {
        "gang_from_parts": ways.gang_from,
        "rigid_from_parts": ways.rigid_from,
        "rigid_from_further_molds": ways.rigid_from_molds,
        "cheapest": ways.cheapest,
    }


def _refuse_files(args: argparse.Namespace) -> None:
    """Refuse what can't be written before boxes are laid out."""
    from app.commands.exporting import refuse_existing

    for typed in (args.calendar, args.purchases):
        if typed is not None:
            refuse_existing(Path(typed), args.force)
    if args.calendar is not None and args.calendar == args.purchases:
        raise BadValueError("--purchases", "the calendar goes to the same file", "give it a name of its own")


def _layouts(project: Project, args: argparse.Namespace, should_stop: Callable[[], bool]) -> list[Boxed]:
    own = sum(not c.empty for c in project.cavities)
    wanted = None if args.cavities is None else whole_number(args.cavities, "--cavities", least=1)
    if wanted is not None and wanted == own:
        return []
    if len(project.masters) > 1:
        if own and wanted is None:
            return []
        raise BadValueError("--cavities", "a mixed box is planned as it is laid out", "fill it first, and leave it out")
    found = quick_boxes(project, wanted, should_stop, _progress if sys.stderr.isatty() else None)
    if wanted is None:
        return list(found.values())
    if wanted not in found:
        raise BadValueError("--cavities", f"{wanted} do not fit; the largest box holds {max(found)}", "give --max LxW")
    return [found[wanted]]


def _progress(share: float) -> None:
    end = "\n" if share >= 1.0 else ""
    print(f"\rLaying out boxes: {100 * share:3.0f} %", end=end, file=sys.stderr, flush=True)


def _export(args: argparse.Namespace, best: Option, calendar: Schedule) -> None:
    from app.commands.exporting import write_exports
    from layout.documents.order_csv import purchase_csv, schedule_csv

    files: dict[Path, bytes] = {}
    if args.calendar is not None:
        files[Path(args.calendar)] = schedule_csv(calendar, best.project.pour.start, best.project.order.start_date)
    if args.purchases is not None:
        files[Path(args.purchases)] = purchase_csv(purchases(best), best.project.order.currency)
    if files:
        write_exports(files, force=args.force)


def _option_json(option: Option) -> dict[str, Any]:
    currency = option.project.order.currency
    length, width = inner_size_mm(option.project.box.shape)
    return {
        "cavities": option.cavities,
        "molds": option.molds,
        "cycles": option.cycles,
        "masters": option.masters,
        "crew_hours": option.crew_hours,
        "calendar_days": option.calendar_days,
        "cost": {"amount": option.money.total, "currency": currency},
        "cost_parts": asdict(option.money),
        "in_time": option.in_time,
        "inner_length_mm": length,
        "inner_width_mm": width,
        "silicone_ml": option.needs.silicone_ml,
        "silicone_g": option.silicone_g,
        "resin_g": option.resin_g,
        "resin_batches": option.needs.resin_batches,
        "silicone_batches": option.needs.silicone_batches,
        "hands_per_cycle_min": option.needs.hands_min,
        "cure_min": option.needs.round.cure_min,
        "finish_min": option.finish_min,
    }


def _dates_json(option: Option) -> dict[str, Any] | None:
    order = option.project.order
    if order.start_date is None:
        return None
    return {
        "start": order.start_date,
        "finish": day_date(order.start_date, option.calendar_days - 1).isoformat(),
        "deadline": None if order.days is None else day_date(order.start_date, order.days - 1).isoformat(),
        "workdays": workdays_text(order.workdays),
        "closed": list(order.closed),
    }


def _stint_json(stint: Stint, project: Project) -> dict[str, Any]:
    date, clock = project.order.start_date, project.pour.start
    return {
        "what": stint.what,
        "name": stint.name,
        "start_min": stint.start_min,
        "end_min": stint.end_min,
        "hands": None if stint.operator is None else stint.operator + 1,
        "mold": None if stint.mold is None else stint.mold + 1,
        "cast": None if stint.cast is None else stint.cast + 1,
        "starts": None if date is None else iso_text(stint.start_min, clock, date),
        "ends": None if date is None else iso_text(stint.end_min, clock, date),
    }


def _closed_form(option: Option) -> dict[str, Any]:
    order, turn = option.project.order, option.needs
    cycle = round_min(turn.hands_min, turn.round.cure_min, option.molds, order.molds_per_operator)
    return {
        "cycle_min": cycle,
        "cycles_per_day": rounds_per_day(order.hours, order.availability, cycle, order.casts_per_day),
        "useful_molds": useful_molds(turn.hands_min, turn.round.cure_min),
    }


def _step_json(step: Step) -> dict[str, Any]:
    keys = ("id", "name", "material", "detail", "count", "amount", "unit", "hands_min", "wait_min", "cost", "left_out")
    return {key: getattr(step, key) for key in keys}
