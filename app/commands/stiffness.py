"""`stiffness`: how stiff the box's sheet is, from a strip, a ruler and a known weight."""

import argparse
from dataclasses import replace

from app.commands.answers import answer
from app.commands.options import add_output, refuse_output, write_result
from layout import project_file
from layout.box.bend_test import BEND_TEST, in_words, refuse_other_thickness, refuse_unlikely, stiffness_from_strip_gpa
from layout.box.estimates import estimate_lines
from layout.errors import BadValueError
from layout.units import parse_length_mm, parse_mass_g

HELP = "measure how stiff the sheet is, with a strip, a ruler and a known weight, and store it in the project"
EXAMPLE = "manymold stiffness bolts.manymold --span 300mm --width 50mm --weight 100g --sag 3mm"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.description = f"{HELP}. {' '.join(BEND_TEST)}"
    add_output(parser)
    parser.add_argument("--span", metavar="T", help="between the two rests, or from the clamp to the weight")
    parser.add_argument("--width", metavar="T", help="width of the strip")
    parser.add_argument("--thickness", metavar="T", help="thickness of the strip; default the project's sheet")
    parser.add_argument("--weight", metavar="M", help="the weight, like 100g")
    parser.add_argument("--sag", metavar="T", help="how much lower the strip is under the weight")
    parser.add_argument("--cantilever", action="store_true", help="clamped at one end, the weight at the other")


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    refuse_output(args)
    missing = [f"--{name}" for name in ("span", "width", "weight", "sag") if getattr(args, name) is None]
    if missing:
        raise BadValueError(missing[0], "it is not given", f"measure it. {' '.join(BEND_TEST)}".rstrip("."))
    box = project.box
    thickness = box.thickness_mm if args.thickness is None else parse_length_mm(args.thickness, "--thickness")
    refuse_other_thickness(box.sheet, thickness, box.thickness_mm, project.units)
    value = stiffness_from_strip_gpa(
        parse_length_mm(args.span, "--span"),
        parse_length_mm(args.width, "--width"),
        thickness,
        parse_mass_g(args.weight, "--weight"),
        parse_length_mm(args.sag, "--sag"),
        cantilever=args.cantilever,
    )
    refuse_unlikely(box.sheet, value)
    project = replace(project, box=replace(box, stiffness_gpa=value))
    written = write_result(args, project)
    usual = in_words(value, box.sheet)
    lines = [
        f"{box.sheet}: {value:.3g} GPa{', ' + usual if usual else ''}; stored in {written}.",
        *estimate_lines(project),
    ]
    answer(args, {"stiffness_gpa": value, "sheet": box.sheet, "file": written}, "\n".join(lines))
    return 0
