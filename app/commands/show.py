"""`show`: prints what is where."""

import argparse

from app.commands.answers import answer
from app.commands.describe import project_json, project_text
from layout import project_file

HELP = "print what is where: box, masters, keep-outs, cavities"
EXAMPLE = "manymold show bolts.manymold --json"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    answer(args, project_json(project), project_text(project))
    return 0
