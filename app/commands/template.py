"""`template`: the placement template at full size, as PDF or DXF."""

import argparse
from pathlib import Path

from shapely.geometry import Polygon

from app.commands.answers import answer
from app.commands.exporting import (
    add_export_arguments,
    refuse_broken_rules,
    refuse_existing,
    with_accepted,
    write_export,
)
from app.user_catalogue import catalogue
from layout import project_file
from layout.documents.page import PAPERS
from layout.documents.template import MIRRORED, SIDE_UP, TRUE_SIZE, template_pages, template_shapes
from layout.errors import BadValueError
from layout.model import Project
from layout.units import counted

HELP = "print the full-size placement template, as PDF or DXF"
EXAMPLE = "manymold template bolts.manymold -o template.pdf --paper letter"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help="OUT.pdf or OUT.dxf")
    parser.add_argument("--relief", metavar="WORDS", help="draw the raised letters too, as panels --relief cuts them")
    parser.add_argument(
        "--paper", type=str.lower, choices=sorted(PAPERS), default="a4", help="paper of the PDF; default a4"
    )
    add_export_arguments(parser)


def _letters(project: Project, words: str | None) -> tuple[Polygon, ...]:
    if words is None:
        return ()
    from layout.box.panels import make_parts
    from layout.box.relief import letters_of, with_relief

    cutter = project.cutting.cutter
    return letters_of(with_relief(project, make_parts(project, cutter, catalogue().sheets), words, cutter))


def run(args: argparse.Namespace) -> int:
    out = Path(args.output)
    kind = out.suffix.lower()
    if kind not in (".pdf", ".dxf"):
        raise BadValueError(args.output, "the template is written as .pdf or .dxf", "name the file like template.pdf")
    project = with_accepted(project_file.load(args.file), args.accept)
    refuse_broken_rules(project, where=args.file)
    refuse_existing(out, args.force)
    letters = _letters(project, args.relief)
    if kind == ".dxf":
        from layout.documents.dxf import to_dxf

        data, pages = to_dxf(template_shapes(project, letters)), 1
    else:
        from app.printing.paint import ensure_application, pages_to_pdf

        ensure_application()
        sheets = template_pages(project, PAPERS[args.paper], letters)
        data, pages = pages_to_pdf(sheets, f"Placement template: {project.name}"), len(sheets)
    write_export(out, data, force=args.force)
    document = {"pages": pages, "paper": args.paper if kind == ".pdf" else None, "files": [str(out)]}
    size = "All at full size, in mm." if kind == ".dxf" else f"{counted(pages, 'page')}. {TRUE_SIZE}"
    answer(args, document, f"{out} written. {size} {SIDE_UP} {MIRRORED}")
    return 0
