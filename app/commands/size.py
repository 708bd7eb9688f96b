"""`size`: the box that holds a wanted number of cavities with the least silicone, with the cavities in it."""

import argparse
import math
import re
import sys
import time
from collections import Counter

from app.commands.answers import answer
from app.commands.fill import stop_on_signal
from app.commands.options import add_output, refuse_output, whole_number, write_result
from app.commands.run import DONE, UNFINISHED
from layout import project_file
from layout.errors import BadValueError
from layout.fill.size_asked import SizeOptions, SizeResult
from layout.fill.size_box import size_box
from layout.model import KeepOut, Project, RectBox, RoundBox
from layout.regions import inner_size_mm, placed_cavities, placed_keep_out
from layout.units import counted, length_text, parse_number, parse_size_mm, volume_text

HELP = "find the box that holds a number of cavities with the least silicone"
EXAMPLE = "manymold size bolts.manymold --cavities 48 --max 300x200"

DEFAULT_SECONDS = 30.0

HELP_CAVITIES = "how many cavities, pinned ones included; of several masters, wanted numbers first, then equal shares"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_output(parser)
    parser.add_argument("--cavities", required=True, metavar="N", help=HELP_CAVITIES)
    parser.add_argument("--max", metavar="LxW", help="inner length and width the box must not pass")
    parser.add_argument("--proportion", metavar="A:B", help="inner length to width, exactly")
    parser.add_argument("--seconds", metavar="S", help=f"how long it may search ({DEFAULT_SECONDS:g})")
    parser.add_argument("--rounds", metavar="R", help="boxes to fill, in place of seconds: the same on every machine")
    parser.add_argument("--seed", metavar="N", default="0", help="another seed, another search (0)")


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    refuse_output(args)
    wanted = whole_number(args.cavities, "--cavities", least=1)
    options, seconds = _options(args)
    started = time.monotonic()
    with stop_on_signal() as interrupted:

        def stop() -> bool:
            return interrupted.is_set() or (seconds is not None and time.monotonic() - started >= seconds)

        result = size_box(project, wanted, options, None if args.json else _tell, stop)
        better = result.reached or result.project != project
        written = write_result(args, result.project) if better else str(args.file)
    elapsed = time.monotonic() - started
    length, width = inner_size_mm(result.project.box.shape)
    document = {
        "file": written,
        "wanted": wanted,
        "count": result.count,
        "inner_length_mm": length,
        "inner_width_mm": width,
        "silicone_ml": result.silicone_ml,
        "rounds": result.rounds,
        "seed": options.seed,
        "seconds": elapsed,
    }
    answer(args, document, _text(written, wanted, result) if better else _as_it_was(written, wanted, result, options))
    if interrupted.is_set():
        print("Interrupted; the search was cut short, a smaller box may exist.", file=sys.stderr)
    return DONE if result.reached and not interrupted.is_set() else UNFINISHED


def _options(args: argparse.Namespace) -> tuple[SizeOptions, float | None]:
    limits = parse_size_mm(args.max, "--max") if args.max is not None else (None, None)
    rounds = None if args.rounds is None else whole_number(args.rounds, "--rounds", least=0)
    seconds: float | None = None if rounds is not None else DEFAULT_SECONDS
    if args.seconds is not None:
        seconds = parse_number(args.seconds, "--seconds", least=0.0, most=1e6)
    seed = whole_number(args.seed, "--seed", least=0)
    return SizeOptions(limits[0], limits[1], _proportion(args.proportion), rounds, seed), seconds


def _proportion(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    parts = re.split("[:xX/]", text)
    if len(parts) != 2:
        raise BadValueError("--proportion", f"{text!r} is no proportion", "write it like 3:2")
    length, width = (parse_number(part, "--proportion", least=1e-3, most=1e6) for part in parts)
    return length, width


def _tell(result: SizeResult) -> None:
    if sys.stderr.isatty():
        print(f"{result.count} in {_size_text(result.project)}", file=sys.stderr)


def _size_text(project: Project) -> str:
    length, width = (length_text(side, project.units) for side in inner_size_mm(project.box.shape))
    return f"{length} across" if isinstance(project.box.shape, RoundBox) else f"{length} x {width}"


def _as_it_was(file: str, wanted: int, result: SizeResult, options: SizeOptions) -> str:
    why = "the time was up first" if result.stopped_early else "the limits are too small"
    limits = (options.max_length_mm or math.inf, options.max_width_mm or math.inf)
    beyond = [k.id for k in result.project.keep_outs if any(e > m for e, m in zip(_ends(k), limits, strict=True))]
    if beyond and not result.stopped_early:
        why = f"keep-out {beyond[0]} stays where it is and reaches beyond the largest size"
    return f"{file} is as it was, with {result.count} cavities: no box was found for {wanted}, since {why}."


def _text(written: str, wanted: int, result: SizeResult) -> str:
    count = f"{counted(result.count, 'cavity')}{_of_each(result.project)}"
    box = f"{count} in a box of {_size_text(result.project)} inside"
    silicone = volume_text(result.silicone_ml, result.project.units)
    short = "" if result.count >= wanted else f" No box within the limits was found for {wanted}."
    return f"Wrote {written}: {box}, {silicone} of silicone.{short}{_held_open(result.project)}"


def _of_each(project: Project) -> str:
    """Return how many of each master there are; empty where there is one master."""
    counts = Counter(cavity.master for cavity in project.cavities)
    kinds = ", ".join(f"{counts[m.id]} {m.name or m.id}" for m in project.masters if counts[m.id])
    return f" ({kinds})" if len(project.masters) > 1 else ""


def _ends(keep_out: KeepOut) -> tuple[float, float]:
    """Return how far a keep-out reaches along x and along y, mm."""
    _, _, x, y = placed_keep_out(keep_out).bounds
    return x, y


def _held_open(project: Project) -> str:
    """Return which keep-out makes the box larger than the cavities need; empty if none does."""
    if not isinstance(project.box.shape, RectBox) or not project.cavities:
        return ""
    size = inner_size_mm(project.box.shape)
    bounds = [p.bounds for p in placed_cavities(project).values()]
    need = [max(b[k] for b in bounds) + project.rules.edge_mm for k in (2, 3)]
    for keep_out in project.keep_outs:
        ends = _ends(keep_out)
        if any(ends[k] > size[k] - 0.01 and need[k] < size[k] - 1.0 for k in (0, 1)):
            return (
                f" Keep-out {keep_out.id} stays where it is and makes the box that large: move or remove it for a"
                " smaller one."
            )
    return ""
