"""The options that say what is ordered, by when, and with which shop and steps; shared by what plans an order."""

import argparse
from dataclasses import replace
from typing import Any, Final

from app.commands.options import size_or_across, whole_number
from layout.errors import BadValueError
from layout.order.dates import date_of, days_between, parse_workdays
from layout.order.finish import parse_coat
from layout.order.steps import NEEDED, REPEATABLE, STEPS
from layout.shop import OrderSettings
from layout.units import parse_length_mm, parse_minutes, parse_number

HANDS: Final = {
    "original": ("original_min", 1.0),
    "single-mold": ("single_mold_min", 1.0),
    "gang-mold": ("box_min", 1.0),
    "each-cavity": ("box_each_min", 1.0),
    "remold": ("remold_min", 1.0),
    "tray": ("tray_min", 1.0),
    "prepare": ("prepare_min", 1.0),
    "batch": ("prepare_each_min", 1.0),
    "move": ("move_s", 60.0),
    "demold": ("demold_s", 60.0),
    "trim": ("trim_s", 60.0),
}
"""What `--hands` may name: the field, and its units in a minute."""

_WHOLE: Final = (
    ("days", 1), ("crew", 1), ("mold_life", 1), ("molds_per_operator", 1), ("single_molds", 1), ("masters_in_hand", 0),
    ("spare_masters", 0), ("casts_per_day", 1),
)  # fmt: skip


def add_order_options(parser: argparse.ArgumentParser) -> None:
    """Add them all, in groups."""
    wanted = parser.add_argument_group("what is wanted, by when")
    wanted.add_argument("--parts", metavar="N", required=True, help="good parts; of a mixed box also knob=70,bolt=60")
    wanted.add_argument("--days", metavar="D", help="calendar days until delivery, first and last counted")
    wanted.add_argument("--start", metavar="DATE", help="first day, like 2026-11-30: days get dates and days off")
    wanted.add_argument("--by", metavar="DATE", help="delivery date, in place of --days; needs --start")
    wanted.add_argument(
        "--workdays", metavar="DAYS", help="Mon-Fri (usual), Mon-Sat, Mon,Wed,Fri or all; needs --start"
    )
    wanted.add_argument("--off", metavar="DATES", action="append", help="dates on which nobody works, with commas")
    wanted.add_argument("--wanted-size", metavar="T", help="a length the finished part must have")
    wanted.add_argument("--tolerance", metavar="T", help="how far that length may be off, either way")
    shop = parser.add_argument_group("the shop")
    shop.add_argument("--hours", metavar="H", help="crew hours a day (6)")
    shop.add_argument("--crew", metavar="C", help="people at work (1)")
    shop.add_argument("--availability", metavar="A", help="share of a shift that hands are at the molds (0.85)")
    shop.add_argument("--molds-per-operator", metavar="K", help="molds one person tends at a time (2)")
    shop.add_argument("--wage", metavar="W", help="money an hour (25)")
    shop.add_argument("--currency", metavar="CUR", help="what money is counted in (USD)")
    shop.add_argument(
        "--hands", metavar="WHAT=TIME", action="append", default=[], help=f"hands for one of: {', '.join(HANDS)}"
    )
    molds = parser.add_argument_group("molds and masters")
    molds.add_argument("--yield", dest="yield_share", metavar="Y", help="good parts of those cast (0.97)")
    molds.add_argument("--mold-life", metavar="L", help="casts of one mold (40, or what resin and log say)")
    molds.add_argument("--casts-per-day", metavar="N", help="the most casts of one mold in a day")
    molds.add_argument("--single-molds", metavar="K", help="single molds cast at a time (1)")
    molds.add_argument("--masters-in-hand", metavar="N", help="masters that are there already (0)")
    molds.add_argument("--spare-masters", metavar="N", help="masters cast beyond the positions (3)")
    steps = parser.add_argument_group("steps")
    names = ", ".join(STEPS)
    steps.add_argument("--leave-out", metavar="STEP", action="append", default=[], help=f"one of: {names}")
    steps.add_argument(
        "--take-in", metavar="STEP", action="append", default=[],
        help="take a step back in: rigid_master and intermediate_mold are left out unless asked for",
    )  # fmt: skip
    steps.add_argument(
        "--repeat", metavar="STEP=N", action="append", default=[], help=f"one of: {', '.join(REPEATABLE)}"
    )
    steps.add_argument(
        "--coat", metavar="COAT", action="append",
        help="a finish: name:coverage and what is known, like primer:8m2/l,coats=2,hands=0.2min,wait=30min,"
        "latest=4h,price=25 (a litre); `none` takes kept coats away",
    )  # fmt: skip


def with_order_options(order: OrderSettings, args: argparse.Namespace) -> OrderSettings:
    """Return the order with everything that was typed; what was left out stays."""
    changes: dict[str, Any] = {"parts": whole_number(args.parts, "--parts", least=1)}
    for name, least in _WHOLE:
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
            changes[name] = _share(typed, option) if most == 1.0 else parse_number(typed, option, least=0.0, most=most)
    if args.wage is not None:
        changes["wage_per_hour"] = parse_number(args.wage, "--wage", least=0.0, most=1e6)
    if args.currency is not None:
        changes["currency"] = _currency(args.currency)
    if args.max is not None:
        changes["max_length_mm"], changes["max_width_mm"], _ = size_or_across(args.max, "--max")
    for option, name in (("wanted_size", "wanted_mm"), ("tolerance", "wanted_tol_mm")):
        typed = getattr(args, option)
        if typed is not None:
            changes[name] = parse_length_mm(typed, "--" + option.replace("_", "-"), least_mm=0.0)
    return _with_steps(_with_dates(_with_hands(replace(order, **changes), args), args), args)


def _share(text: str, option: str) -> float:
    try:
        if text.strip().endswith("%"):
            return parse_number(text.strip()[:-1], option, least=0.0, most=100.0) / 100.0
        return parse_number(text, option, least=0.0, most=1.0)
    except BadValueError as error:
        raise BadValueError(option, error.problem, "give a share from 0 to 1, such as 0.97, or 97%") from error


def _currency(text: str) -> str:
    if not 1 <= len(text.strip()) <= 8:
        raise BadValueError("--currency", f"{text!r} is no currency", "write it short, like USD")
    return text.strip()


def _with_hands(order: OrderSettings, args: argparse.Namespace) -> OrderSettings:
    for typed in args.hands:
        name, _, time = typed.partition("=")
        if name not in HANDS or not time:
            raise BadValueError("--hands", f"{typed!r} is not readable", f"write trim=8s; known: {', '.join(HANDS)}")
        field, in_a_minute = HANDS[name]
        changed: dict[str, Any] = {field: parse_minutes(time, "--hands") * in_a_minute}
        order = replace(order, **changed)
    return order


def _with_dates(order: OrderSettings, args: argparse.Namespace) -> OrderSettings:
    if args.start is not None:
        order = replace(order, start_date=date_of(args.start).isoformat())
    for option in ("by", "workdays", "off"):
        if getattr(args, option) is not None and order.start_date is None:
            raise BadValueError(f"--{option}", "the day the order starts is not known", "add --start 2026-11-30")
    if args.by is not None:
        if args.days is not None:
            raise BadValueError("--by", "--days says the same", "give one of them")
        order = replace(order, days=days_between(order.start_date or "", args.by))
    if args.workdays is not None:
        order = replace(order, workdays=parse_workdays(args.workdays))
    if args.off is not None:
        dates = [piece for typed in args.off for piece in typed.split(",")]
        order = replace(order, closed=tuple(date_of(d, "--off").isoformat() for d in dates))
    return order


def _with_steps(order: OrderSettings, args: argparse.Namespace) -> OrderSettings:
    skip = list(order.skip)
    for typed in args.take_in:
        name = _step(typed, "--take-in")
        skip = [s for s in skip if s != name]
    for typed in args.leave_out:
        name = _step(typed, "--leave-out")
        if name in NEEDED:
            can = ", ".join(s for s in STEPS if s not in NEEDED)
            raise BadValueError("--leave-out", f"no order can do without {name}", f"leave out one of: {can}")
        skip = [*(s for s in skip if s != name), name]
    times = dict(order.repeat)
    for typed in args.repeat:
        name, _, number = typed.partition("=")
        name = _step(name, "--repeat")
        if name not in REPEATABLE:
            raise BadValueError("--repeat", f"{name} is not done twice", f"repeat one of: {', '.join(REPEATABLE)}")
        times[name] = whole_number(number, "--repeat", least=1)
    coats = order.coats
    if args.coat is not None:
        coats = tuple(parse_coat(c, "--coat") for c in args.coat if c.strip().lower() != "none")
    return replace(order, skip=tuple(skip), repeat=tuple((k, n) for k, n in times.items() if n > 1), coats=coats)


def _step(text: str, option: str) -> str:
    name = text.strip().lower().replace("-", "_").replace(" ", "_")
    if name not in STEPS:
        raise BadValueError(option, f"there is no step {text!r}", f"use one of: {', '.join(STEPS)}")
    return name
