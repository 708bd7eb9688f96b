"""`set`: changes the rules of a project."""

import argparse

from app.commands.answers import answer
from app.commands.box_options import NAMES as BOX_OPTIONS
from app.commands.box_options import add_box_options, with_box_options
from app.commands.describe import rules_json, rules_line
from app.commands.options import add_output, add_rules, refuse_output, with_rules, write_result
from layout import project_file
from layout.errors import BadValueError

HELP = "change the rules, the box, the materials or the cutting of a project"
EXAMPLE = "manymold set bolts.manymold --wall 1/4in --floor 12"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    add_output(parser)
    add_rules(parser)
    add_box_options(parser)


def run(args: argparse.Namespace) -> int:
    before = project_file.load(args.file)
    refuse_output(args)
    given = ("box", "round", "outline", "wall", "edge", "floor", "freeboard", "turn", "silicone", "resin", "panel")
    if all(getattr(args, name) in (None, []) for name in (*given, "display", *BOX_OPTIONS)):
        raise BadValueError("set", "no rule was given", "add one like --wall 6.35")
    project = with_box_options(with_rules(before, args), args)
    written = write_result(args, project)
    answer(args, {"file": written, **rules_json(project)}, f"Wrote {written}.\n{rules_line(project)}")
    return 0
