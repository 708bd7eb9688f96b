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
from app.commands.plan_text import plan_text
from layout import project_file
from layout.batch_log import mold_life_of, yield_of
from layout.errors import BadValueError
from layout.model import Project
from layout.order.boxes import Boxed, quick_boxes
from layout.order.chain import Step, shrink_of
from layout.order.cycle import round_min, rounds_per_day, useful_molds
from layout.order.limits import curve_steps, order_limits, plan_findings
from layout.order.plan import Option, calendar_of, plan, require_order
from layout.order.purchase import purchases
from layout.order.routes import routes
from layout.order.schedule import Stint
from layout.order.slips import slips
from layout.regions import inner_size_mm
from layout.shop import OrderSettings
from layout.units import parse_number, parse_size_mm

HELP = "plan an order: cavities, molds, casts, hands, days and money"
EXAMPLE = "manymold plan bolts.manymold --parts 2000 --days 10"

DONE, NOT_REACHED = 0, 3


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")
    parser.add_argument("--parts", metavar="N", required=True, help="good parts wanted")
    parser.add_argument("--days", metavar="D", help="calendar days until delivery")
    parser.add_argument("--hours", metavar="H", help="crew hours a day (6)")
    parser.add_argument("--crew", metavar="C", help="people at work (1)")
    parser.add_argument("--cavities", metavar="N", help="plan this count alone")
    parser.add_argument("--max", metavar="LxW", help="largest box; else the project's own")
    parser.add_argument("--yield", dest="yield_share", metavar="Y", help="good parts of those cast (0.97)")
    parser.add_argument("--mold-life", metavar="L", help="casts of one mold (40, or what resin and log say)")
    parser.add_argument("--availability", metavar="A", help="share of a shift that hands are at the molds (0.85)")
    parser.add_argument("--molds-per-operator", metavar="K", help="molds one person tends at a time (2)")
    parser.add_argument("--wage", metavar="W", help="money an hour (25)")
    parser.add_argument("--calendar", metavar="OUT.csv", help="write the calendar, hand by hand")
    parser.add_argument("--purchases", metavar="OUT.csv", help="write the purchase list")
    parser.add_argument("--keep", action="store_true", help="keep the order in FILE, for the window and the next plan")
    parser.add_argument("--force", action="store_true", help="write over a file that exists")


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    project = replace(project, order=_order(project.order, args))
    if not project.masters:
        raise BadValueError(args.file, "the project has no master", "add one with new --master")
    require_order(project)
    with stop_on_signal() as interrupted:
        layouts = _layouts(project, args, interrupted.is_set)
        stopped = interrupted.is_set()
    # a count that was asked for is planned alone
    found = plan(project if args.cavities is None or not layouts else replace(project, cavities=()), layouts)
    best = found.best
    ways = routes(best.project)
    _export(args, best)
    if args.keep:
        project_file.save(project, args.file)
    limits = order_limits(found)
    findings = plan_findings(found, limits)
    notes = ("Interrupted: not every size of box was tried.",) if stopped else ()
    document = {
        **_option_json(best),
        "options": [_option_json(o) for o in found.options],
        "cheapest_cavities": found.cheapest.cavities,
        "quickest_cavities": found.quickest.cavities,
        "least_silicone_cavities": found.least_silicone.cavities,
        "not_planned": [{"cavities": n, "reason": why} for n, why in found.left_out],
        "chain": [_step_json(s) for s in best.steps],
        "shrink": {"factor": shrink_of(best.steps).factor, "scale": shrink_of(best.steps).scale},
        "limits": [asdict(x) for x in limits],
        "curve_steps": [asdict(s) for s in curve_steps(found.options)],
        "routes": {
            "gang_from_parts": ways.gang_from,
            "rigid_from_parts": ways.rigid_from,
            "rigid_from_further_molds": ways.rigid_from_molds,
            "cheapest": ways.cheapest,
        },
        "calendar": [_stint_json(s) for s in calendar_of(best.project, best.needs, best.cycles, best.molds).stints],
        "closed_form": _closed_form(best),
        "slips": [asdict(s) for s in slips(best)],
        "learned": {"mold_life": asdict(mold_life_of(project)), "yield": asdict(yield_of(project))},
        "warnings": [finding_json(f, project.units) for f in findings],
    }
    answer(args, document, plan_text(found, ways, findings, notes))
    return DONE if best.in_time and not stopped else NOT_REACHED


def _order(order: OrderSettings, args: argparse.Namespace) -> OrderSettings:
    changes: dict[str, Any] = {"parts": whole_number(args.parts, "--parts", least=1)}
    for name, least in (("days", 1), ("crew", 1), ("mold_life", 1), ("molds_per_operator", 1)):
        typed = getattr(args, name)
        if typed is not None:
            changes[name] = whole_number(typed, "--" + name.replace("_", "-"), least=least)
    for name, option, most in (
        ("hours", "--hours", 24.0),
        ("yield_share", "--yield", 1.0),
        ("availability", "--availability", 1.0),
    ):
        typed = getattr(args, name)
        if typed is not None:
            changes[name] = parse_number(typed, option, least=0.0, most=most)
    if args.wage is not None:
        changes["wage_per_hour"] = parse_number(args.wage, "--wage", least=0.0, most=1e6)
    if args.max is not None:
        changes["max_length_mm"], changes["max_width_mm"] = parse_size_mm(args.max, "--max")
    return replace(order, **changes)


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


def _export(args: argparse.Namespace, best: Option) -> None:
    from app.commands.exporting import write_exports
    from layout.documents.order_csv import purchase_csv, schedule_csv

    files: dict[Path, bytes] = {}
    if args.calendar is not None:
        calendar = calendar_of(best.project, best.needs, best.cycles, best.molds)
        files[Path(args.calendar)] = schedule_csv(calendar, best.project.pour.start)
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


def _stint_json(stint: Stint) -> dict[str, Any]:
    return {
        "what": stint.what,
        "name": stint.name,
        "start_min": stint.start_min,
        "end_min": stint.end_min,
        "hands": None if stint.operator is None else stint.operator + 1,
        "mold": None if stint.mold is None else stint.mold + 1,
        "cast": None if stint.cast is None else stint.cast + 1,
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
