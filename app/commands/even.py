"""`even`: the same cavities, moved apart until the thinnest wall is as thick as it gets."""

import argparse
import time

from app.commands.answers import answer
from app.commands.fill import stop_on_signal
from app.commands.options import add_output, refuse_output, write_result
from app.commands.run import DONE, UNFINISHED
from layout import project_file
from layout.fill.even_out import even_out
from layout.units import length_text, parse_number

HELP = "move the cavities apart until the thinnest wall is as thick as it gets"
EXAMPLE = "manymold even bolts.manymold"

SECONDS = 20.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_output(parser)
    parser.add_argument("--seconds", metavar="S", help=f"how long it may take ({SECONDS:g})")


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    refuse_output(args)
    seconds = SECONDS if args.seconds is None else parse_number(args.seconds, "--seconds", least=0.0, most=1e6)
    end = time.monotonic() + seconds
    with stop_on_signal() as interrupted:
        result = even_out(project, should_stop=lambda: interrupted.is_set() or time.monotonic() >= end)
        written = write_result(args, result.project)
    document = {
        "file": written,
        "count": len(result.project.cavities),
        "least_wall_before_mm": result.before_mm,
        "least_wall_mm": result.after_mm,
        "rounds": result.rounds,
    }
    if result.before_mm is None or result.after_mm is None:
        text = f"Wrote {written}: there is no wall to widen."
    else:
        before, after = (length_text(value, project.units) for value in (result.before_mm, result.after_mm))
        text = f"Wrote {written}: the thinnest wall went from {before} to {after}."
    answer(args, document, text)
    return UNFINISHED if interrupted.is_set() else DONE
