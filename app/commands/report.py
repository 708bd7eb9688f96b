"""`report`: the pour sheet, on the screen, or as PDF, HTML or CSV."""

import argparse
import sys
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from app.commands.answers import answer, finding_json
from app.commands.exporting import (
    add_export_arguments,
    add_take_back_argument,
    refuse_broken_rules,
    refuse_existing,
    told_overrides,
    with_accepted,
    without_taken_back,
    write_export,
)
from app.commands.report_options import add_bench_arguments, unused_words, with_bench
from app.printing.pour_sheet import sheet_maker
from layout import checks, project_file
from layout.advice import advice
from layout.documents.page import PAPERS
from layout.documents.pour_sheet.answers import pour_document, pour_text
from layout.documents.pour_sheet.content import sheet_content
from layout.errors import BadValueError
from layout.model import Finding, Project, Severity
from layout.wording import as_written

HELP = "print the pour sheet: what to weigh, in how many batches, by when the cup must be empty"
EXAMPLE = "manymold report bolts.manymold -o bolts.pdf --temperature 86F --container 2.5l"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")
    parser.add_argument("-o", dest="out", metavar="OUT", help="write it to OUT.pdf, OUT.html or OUT.csv")
    add_bench_arguments(parser)
    parser.add_argument("--date", metavar="YYYY-MM-DD", help="the day printed on the sheet (today)")
    parser.add_argument("--paper", choices=sorted(PAPERS), default="a4", help="paper of the PDF")
    parser.add_argument(
        "--keep",
        action="store_true",
        help="keep these settings in the project; reasons given by --accept are kept anyway",
    )
    add_export_arguments(parser)
    add_take_back_argument(parser)


def run(args: argparse.Namespace) -> int:
    saved = project_file.load(args.file)
    project = with_bench(saved, args)
    day = _day(args.date)
    project = with_accepted(without_taken_back(project, args.take_back), args.accept)
    findings = (*checks.check(project), *advice(project, day.isoformat()))
    content = sheet_content(project, findings, day.isoformat(), Path(args.file).stem)
    document = {
        **pour_document(project),
        "warnings": [finding_json(f, project.units) for f in findings],
        "file": args.out,
    }
    if args.out is not None:
        out = Path(args.out)
        make = sheet_maker(out, "-o")
        refuse_existing(out, args.force)
        refuse_broken_rules(project, findings, args.file)
        write_export(out, make(project, content, PAPERS[args.paper], as_written, "en"), force=args.force)
    _keep(saved, project, findings, args)
    if args.out is not None:
        for words in told_overrides(project, findings):
            print(words, file=sys.stderr)
    for words in unused_words(project, args):
        print(f"Note: {words}", file=sys.stderr)
    text = pour_text(project, content) if args.out is None else f"Wrote {args.out}"
    answer(args, document, text)
    return 0


def _day(text: str | None) -> date:
    if text is None:
        return datetime.now().astimezone().date()
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise BadValueError("--date", f"{text!r} is no date", "write it like 2026-03-31") from error


def _keep(saved: Project, project: Project, findings: tuple[Finding, ...], args: argparse.Namespace) -> None:
    """Keep the reasons for what is refused today, and the settings if asked to; say what was kept."""
    refused = {f.kind for f in findings if f.severity == Severity.REFUSE}
    before = {o.kind: o for o in saved.overrides}
    overrides = tuple(o for o in project.overrides if o.kind in refused or before.get(o.kind) == o)
    kept = replace(project if args.keep else saved, overrides=overrides)
    if kept != saved:
        project_file.save(kept, args.file)
    for override in overrides:
        if before.get(override.kind) != override:
            said = f"kept in {args.file} for the next time too: {override.kind}={override.reason}"
            print(f"Note: {said}; take it back by --take-back {override.kind}.", file=sys.stderr)
    for override in project.overrides:
        if override not in overrides:
            print(f"Note: nothing of the kind {override.kind} is refused here; not kept.", file=sys.stderr)
