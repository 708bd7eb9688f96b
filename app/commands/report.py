"""`report`: the pour sheet, on the screen, or as PDF, HTML or CSV."""

import argparse
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from app.commands.answers import answer, finding_json
from app.commands.exporting import (
    add_export_arguments,
    refuse_broken_rules,
    refuse_existing,
    with_accepted,
    write_export,
)
from layout import checks, project_file
from layout.advice import advice
from layout.documents.page import PAPERS, Paper
from layout.documents.pour_sheet.answers import pour_document, pour_text
from layout.documents.pour_sheet.content import SheetContent, sheet_content
from layout.errors import BadValueError
from layout.model import Project, SmallMold
from layout.pour.settings import with_settings
from layout.units import (
    parse_length_mm,
    parse_mass_g,
    parse_minutes,
    parse_number,
    parse_temperature_c,
    parse_volume_ml,
)

HELP = "print the pour sheet: what to weigh, in how many batches, by when the cup must be empty"
EXAMPLE = "manymold report bolts.manymold -o bolts.pdf --temperature 86F --container 2.5l"

Reader = Callable[[str, str], Any]

_OPTIONS: tuple[tuple[str, str, Reader, str, str], ...] = (
    ("--temperature", "temperature_c", parse_temperature_c, "T", "of parts A and B today (75F)"),
    ("--waste", "waste_pct", parse_number, "PCT", "silicone lost, in per cent of the net (5)"),
    ("--cup-film", "cup_film_ml", parse_volume_ml, "V", "what stays in each cup (20ml)"),
    ("--container", "container_ml", parse_volume_ml, "V", "mixing container"),
    ("--degas-time", "degas_min", parse_minutes, "MIN", "time under vacuum (2.5)"),
    ("--pour-rate", "pour_ml_per_s", parse_number, "ML/S", "how fast silicone is poured (4)"),
    ("--headroom", "headroom", parse_number, "K", "container over batch (4)"),
    ("--hands", "hands", parse_number, "N", "people pouring (1)"),
    ("--humidity", "humidity_pct", parse_number, "PCT", "relative humidity today"),
    ("--altitude", "altitude_m", parse_number, "M", "of the shop, for the vacuum gauge"),
    ("--vacuum", "absolute_mbar", parse_number, "MBAR", "absolute pressure the pump reaches"),
    ("--scale-limit", "scale_limit_g", parse_mass_g, "G", "what the scale can weigh"),
    ("--scale-step", "scale_step_g", parse_mass_g, "G", "its step"),
    ("--level", "level_deg", parse_number, "DEG", "how far the bench is out of level"),
    ("--pigment", "pigment_pct", parse_number, "PCT", "pigment in per cent of the resin"),
    ("--drops", "pigment_drops", parse_number, "N", "drops of pigment for 100 g of resin"),
    ("--overfill", "overfill_mm", parse_length_mm, "T", "resin proud of the rim, scraped or sanded off"),
    ("--filler", "filler_ml", parse_volume_ml, "V", "old silicone of the same kind, chopped"),
    ("--coat", "coat_mm", parse_length_mm, "T", "detail coat brushed on first"),
    ("--correction", "correction", parse_number, "F", "silicone used over silicone predicted (1)"),
)
"""Option, field of the pour settings, its reader, how it is shown, help."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")
    parser.add_argument("-o", dest="out", metavar="OUT", help="write it to OUT.pdf, OUT.html or OUT.csv")
    for option, field, _, metavar, words in _OPTIONS:
        parser.add_argument(option, dest=field, metavar=metavar, help=words)
    degas = parser.add_mutually_exclusive_group()
    degas.add_argument("--degas", dest="degas", action="store_true", default=None, help="degas under vacuum")
    degas.add_argument("--no-degas", dest="degas", action="store_false", help="do not degas")
    parser.add_argument("--start", metavar="HH:MM", help="when the work starts (09:00)")
    parser.add_argument("--date", metavar="YYYY-MM-DD", help="the day printed on the sheet (today)")
    parser.add_argument("--paper", choices=sorted(PAPERS), default="a4", help="paper of the PDF")
    parser.add_argument(
        "--small-mold",
        action="append",
        default=[],
        metavar="NAME:V",
        help="a small mold kept ready for the left-over (repeat)",
    )
    parser.add_argument("--keep", action="store_true", help="keep these settings in the project")
    add_export_arguments(parser)


def run(args: argparse.Namespace) -> int:
    saved = project_file.load(args.file)
    project = _with_options(saved, args)
    day = _day(args.date)
    project = with_accepted(project, args.accept)
    findings = (*checks.check(project), *advice(project, day.isoformat()))
    content = sheet_content(project, findings, day.isoformat())
    document = {
        **pour_document(project),
        "warnings": [finding_json(f, project.units) for f in findings],
        "file": args.out,
    }
    if args.out is not None:
        out = Path(args.out)
        make = _writer(out)
        refuse_existing(out, args.force)
        refuse_broken_rules(project, findings)
        write_export(out, make(project, content, PAPERS[args.paper]), force=args.force)
    _keep(saved, project, args)
    text = pour_text(project, content) if args.out is None else f"Wrote {args.out}"
    answer(args, document, text)
    return 0


def _with_options(project: Project, args: argparse.Namespace) -> Project:
    for option, field, read, _, _ in _OPTIONS:
        typed = getattr(args, field)
        if typed is not None:
            value = read(typed, option)
            project = with_settings(project, option, **{field: _whole(value, option) if field == "hands" else value})
    if args.degas is not None:
        project = with_settings(project, "--degas", degas=args.degas)
    if args.start is not None:
        project = with_settings(project, "--start", start=args.start)
    if args.small_mold:
        molds = tuple(_small_mold(text) for text in args.small_mold)
        project = with_settings(project, "--small-mold", small_molds=molds)
    return project


def _whole(value: float, option: str) -> int:
    if value != int(value):
        raise BadValueError(option, f"{value:g} is no whole number", "write it like 2")
    return int(value)


def _small_mold(text: str) -> SmallMold:
    name, colon, volume = text.rpartition(":")
    if not colon or not name.strip():
        raise BadValueError("--small-mold", f"{text!r} has no name and volume", "write it like knob:12ml")
    return SmallMold(name.strip(), parse_volume_ml(volume, "--small-mold"))


def _day(text: str | None) -> date:
    if text is None:
        return datetime.now().astimezone().date()
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise BadValueError("--date", f"{text!r} is no date", "write it like 2026-03-31") from error


def _keep(saved: Project, project: Project, args: argparse.Namespace) -> None:
    """Keep what was taken on, and the settings if asked to."""
    kept = project if args.keep else replace(saved, overrides=project.overrides)
    if kept != saved:
        project_file.save(kept, args.file)


def _writer(out: Path) -> Callable[[Project, SheetContent, Paper], bytes]:
    """The maker of a kind of file, imported only when it is asked for."""
    suffix = out.suffix.lower()
    if suffix == ".pdf":
        return _pdf
    if suffix in (".html", ".htm"):
        return _html
    if suffix == ".csv":
        return _csv
    raise BadValueError("-o", f"{out.name!r} is no kind of sheet", "name it .pdf, .html or .csv")


def _pdf(project: Project, content: SheetContent, paper: Paper) -> bytes:
    from app.printing.paint import ensure_application, pages_to_pdf
    from layout.documents.pour_sheet.page import pour_page

    ensure_application()
    return pages_to_pdf((pour_page(project, content, paper),), content.title)


def _html(project: Project, content: SheetContent, paper: Paper) -> bytes:
    from layout.documents.pour_sheet.web import to_html

    del paper
    return to_html(project, content).encode()


def _csv(project: Project, content: SheetContent, paper: Paper) -> bytes:
    from layout.documents.pour_sheet.table import to_csv

    del paper
    return to_csv(project, content).encode()
