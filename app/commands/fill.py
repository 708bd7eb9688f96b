"""`fill`: the most cavities that fit the box."""

import argparse
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, current_thread, main_thread
from types import FrameType
from typing import Any, Final

from app.commands.answers import answer
from app.commands.describe import wanted_json, wanted_text
from app.commands.options import add_output, refuse_output, whole_number, write_result
from app.commands.run import DONE, UNFINISHED
from layout import project_file
from layout.fill.asked import fill_as_asked
from layout.fill.fill import FillOptions, FillResult, Progress
from layout.units import counted, parse_number

HELP = "fill the box with the most cavities that fit"
EXAMPLE = "manymold fill bolts.manymold --seconds 10"

SECONDS: Final = 10.0
"""How long a fill takes unless told otherwise."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_output(parser)
    parser.add_argument("--seconds", metavar="S", help=f"how long to search ({SECONDS:g})")
    parser.add_argument(
        "--rounds", metavar="R", help="in place of --seconds: rounds of search, the same layout on every machine"
    )
    parser.add_argument("--seed", metavar="N", help="another number, another search (0)")
    parser.add_argument("--most", metavar="COUNT", help="no more cavities than this")
    parser.add_argument("--no-more", action="store_true", help="no more of each master than its wanted number")


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    refuse_output(args)
    options = _options(args)
    started = time.monotonic()
    end = None if options.seconds is None else started + options.seconds
    with stop_on_signal() as interrupted:
        result = fill_as_asked(project, options, _reporter(args), _stop(end, interrupted), no_more=args.no_more)
        seconds = time.monotonic() - started
        written = write_result(args, result.project)
    document = {"file": written, **_result_json(result, seconds), "stopped_early": interrupted.is_set()}
    answer(args, document, _text(result, seconds, written))
    if interrupted.is_set():
        print("Interrupted; the best so far was saved.", file=sys.stderr)
        return UNFINISHED
    return DONE if _all_wanted(result) else UNFINISHED


def _options(args: argparse.Namespace) -> FillOptions:
    seconds = None if args.seconds is None else parse_number(args.seconds, "--seconds", least=0.0, most=1e6)
    rounds = None if args.rounds is None else whole_number(args.rounds, "--rounds", least=0)
    if seconds is None and rounds is None:
        seconds = SECONDS
    seed = 0 if args.seed is None else whole_number(args.seed, "--seed", least=0)
    most = None if args.most is None else whole_number(args.most, "--most", least=0)
    return FillOptions(seconds, rounds, seed, most)


@contextmanager
def stop_on_signal() -> Iterator[Event]:
    """Turn Ctrl-C and a polite kill into an event while inside, so that the best so far can still be saved."""
    event = Event()

    def note(_number: int, _frame: FrameType | None) -> None:
        event.set()

    if current_thread() is not main_thread():
        yield event
        return
    before = {number: signal.signal(number, note) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield event
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _stop(end: float | None, interrupted: Event) -> Callable[[], bool]:
    return lambda: interrupted.is_set() or (end is not None and time.monotonic() >= end)


def _reporter(args: argparse.Namespace) -> Callable[[Progress], None] | None:
    if args.json or not sys.stderr.isatty():
        return None
    return lambda progress: print(f"{progress.count} by {progress.method}", file=sys.stderr)


def _result_json(result: FillResult, seconds: float) -> dict[str, Any]:
    """Return what a fill found for a machine."""
    return {
        "count": result.count,
        "upper_bound": result.upper_bound,
        "method": result.method,
        "seconds": round(seconds, 3),
        "rounds": result.rounds,
        "seed": result.seed,
        "proved_best": result.proved_best,
        "wanted": wanted_json(result.project),
    }


def _all_wanted(result: FillResult) -> bool:
    """Return whether every master that has a wanted number got it."""
    return all(count["placed"] >= count["wanted"] for count in wanted_json(result.project).values())


def _text(result: FillResult, seconds: float, written: str) -> str:
    bound = "This is the most possible." if result.proved_best else f"Nobody can place more than {result.upper_bound}."
    placed = f"{counted(result.count, 'cavity')} placed in {seconds:.1f} s"
    return f"Wrote {written}: {placed}. {bound} {wanted_text(result.project)}".rstrip()
