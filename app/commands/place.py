"""`place`: cavities and keep-outs exactly where told, legal or not; `check` judges them."""

import argparse

from app.commands.answers import answer
from app.commands.options import add_output, master_called, refuse_output, size_or_across, write_result
from layout import edits, project_file
from layout.errors import BadValueError
from layout.model import CavityId, KeepOut, KeepOutId, MasterId, Project
from layout.numbering import cavity_of
from layout.units import counted, parse_length_mm, parse_number

HELP = "put cavities and keep-outs where told, legal or not"
EXAMPLE = "manymold place bolts.manymold --at hex:30,25 --at hex:60,25,90 --keep-out 200,90,20x40 --pin c1"

MOST_TURN_DEG = 1e6


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_output(parser)
    parser.add_argument(
        "--at",
        action="append",
        default=[],
        metavar="MASTER:X,Y[,DEG]",
        help="one more cavity: the centre of its footprint's bounding box at 0 degrees, from the lower left corner",
    )
    for option, what in (
        ("remove", "take these away"),
        ("pin", "a fill leaves these"),
        ("unpin", "a fill may move these"),
    ):
        parser.add_argument(
            f"--{option}", action="append", default=[], metavar="ID,...", help=f"{what}; c9 or its number"
        )
    parser.add_argument(
        "--keep-out",
        action="append",
        default=[],
        metavar="X,Y,LxW",
        help="a place no cavity may enter, about its centre; X,Y,D for a round one",
    )


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    refuse_output(args)
    if not (args.at or args.remove or args.pin or args.unpin or args.keep_out):
        raise BadValueError("place", "nothing was given to place", "add one like --at hex:30,25")
    pinned, unpinned = _ids(project, args.pin), _ids(project, args.unpin)
    project = _without(project, _ids(project, args.remove))
    project, new = edits.add_cavities(project, [_place(project, text) for text in args.at])
    project = edits.pin_cavities(project, pinned, True)
    project = edits.pin_cavities(project, unpinned, False)
    before = {k.id for k in project.keep_outs}
    project = edits.add_keep_outs(project, [_keep_out(text) for text in args.keep_out])
    areas = [k.id for k in project.keep_outs if k.id not in before]
    written = write_result(args, project)
    document = {
        "file": written,
        "cavities": [c.id for c in project.cavities],
        "added": list(new),
        "keep_outs": [k.id for k in project.keep_outs],
    }
    answer(args, document, f"Wrote {written}: {_said(project, [*new, *areas])}")
    return 0


def _said(project: Project, new: list[str]) -> str:
    """Return what the project holds now, and the names of what was put there."""
    held = counted(len(project.cavities), "cavity")
    if project.keep_outs:
        held += f", {counted(len(project.keep_outs), 'keep-out')}"
    return f"{held}. Placed {', '.join(new)}." if new else f"{held}."


def _ids(project: Project, texts: list[str]) -> list[CavityId]:
    """Return the ids that were typed, or typed by their numbers on the template."""
    return [cavity_of(project, name.strip()) for text in texts for name in text.split(",") if name.strip()]


def _without(project: Project, ids: list[CavityId]) -> Project:
    """Return the project without these cavities or keep-outs."""
    areas: set[str] = {k.id for k in project.keep_outs}
    project = edits.remove_cavities(project, [i for i in ids if i not in areas])
    return edits.remove_keep_outs(project, [KeepOutId(i) for i in ids if i in areas])


def _place(project: Project, text: str) -> tuple[MasterId, float, float, float]:
    name, colon, numbers = text.rpartition(":")
    parts = numbers.split(",")
    if not colon or not 2 <= len(parts) <= 3:
        raise BadValueError("--at", f"{text!r} is no place", "write it like hex:30,25 or hex:30,25,90")
    x, y = (parse_length_mm(part, "--at") for part in parts[:2])
    angle = parse_number(parts[2].strip().removesuffix("deg"), "--at") if len(parts) == 3 else 0.0
    if abs(angle) > MOST_TURN_DEG:
        raise BadValueError("--at", f"{parts[2]!r} is no angle", "give degrees, counter-clockwise")
    return master_called(project, name.strip(), "--at"), x, y, angle


def _keep_out(text: str) -> KeepOut:
    parts = text.split(",")
    if len(parts) != 3:
        raise BadValueError(
            "--keep-out", f"{text!r} is no place", "write it like 30,25,20x40, or 30,25,15 for a round one"
        )
    x, y = (parse_length_mm(part, "--keep-out") for part in parts[:2])
    length, width, is_round = size_or_across(parts[2], "--keep-out")
    return KeepOut(KeepOutId(""), x, y, length, width, round=is_round)
