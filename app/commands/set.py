"""`set`: changes the rules of a project."""

import argparse

from app.commands.answers import answer
from app.commands.box_options import NAMES as BOX_OPTIONS
from app.commands.box_options import add_box_options, with_box_options
from app.commands.describe import master_line, rules_json, rules_line
from app.commands.options import (
    add_known_masters,
    add_output,
    add_rules,
    refuse_output,
    with_known_masters,
    with_rules,
    write_result,
)
from app.commands.remarks import bare_fractions, now_broken, own_turns
from layout import project_file
from layout.errors import BadValueError

HELP = "change the rules, the box, the materials or the cutting of a project"
EXAMPLE = "manymold set bolts.manymold --wall 1/4in --floor 12"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_output(parser)
    add_rules(parser)
    add_box_options(parser)
    add_known_masters(parser)


def run(args: argparse.Namespace) -> int:
    before = project_file.load(args.file)
    refuse_output(args)
    given = ("box", "round", "outline", "wall", "edge", "floor", "freeboard", "turn", "silicone", "resin", "panel")
    if all(getattr(args, name) in (None, []) for name in (*given, "display", "masters", *BOX_OPTIONS)):
        raise BadValueError("set", "no rule was given", "add one like --wall 6.35")
    project = with_box_options(with_rules(with_known_masters(before, args), args), args)
    written = write_result(args, project)
    remarks = bare_fractions(args)
    if args.turn is not None:
        remarks += own_turns(project)
    if project != before:
        remarks += now_broken(project, written)
    changed = [m for m, old in zip(project.masters, before.masters, strict=True) if m != old]
    lines = [f"Wrote {written}.", rules_line(project), *(master_line(m, project.units) for m in changed), *remarks]
    answer(args, {"file": written, **rules_json(project), "remarks": remarks}, "\n".join(lines))
    return 0
