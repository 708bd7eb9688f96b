"""`new`: writes a new project."""

import argparse
from pathlib import Path

from app.commands.answers import answer
from app.commands.describe import master_json, master_line, rules_line
from app.commands.exporting import refuse_existing
from app.commands.options import add_masters, add_rules, read_masters, typed_shape, warn_of_odd_sizes, with_rules
from app.commands.remarks import bare_fractions
from layout import edits, project_file
from layout.errors import BadValueError
from layout.model import Box, Project

HELP = "write a new project: a box, its rules and the masters"
EXAMPLE = "manymold new bolts.manymold --box 215.9x182.7823 --wall 6.35 --master hex:19.05x6.35+dome:16x3"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("out", metavar="OUT", help="the project to write")
    parser.add_argument("--force", action="store_true", help="write over a file that exists")
    add_rules(parser)
    add_masters(parser)


def run(args: argparse.Namespace) -> int:
    out = Path(args.out)
    refuse_existing(out, args.force)
    if not args.masters:
        raise BadValueError("--master", "there is none", "add one like --master hex:19.05x6.35")
    shape = typed_shape(args)
    if shape is None:
        raise BadValueError("--box", "there is no box", "add --box LxW (`size` can change it later)")
    project = Project(name=out.stem, box=Box(shape))
    for master in read_masters(args):
        project = edits.add_master(project, master)
    project = with_rules(project, args)
    project_file.save(project, out)
    warn_of_odd_sizes(project)
    lines = [f"Wrote {args.out}.", rules_line(project), *(master_line(m, project.units) for m in project.masters)]
    remarks = bare_fractions(args)
    document = {"file": args.out, "masters": [master_json(m) for m in project.masters], "remarks": remarks}
    answer(args, document, "\n".join([*lines, *remarks]))
    return 0
