"""`panels`: the box to cut, as DXF or SVG, laid on the user's sheets."""

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

from app.commands.answers import answer
from app.commands.box_options import add_box_options, with_box_options
from app.commands.exporting import (
    add_export_arguments,
    refuse_broken_rules,
    refuse_existing,
    with_accepted,
    write_exports,
)
from app.user_catalogue import catalogue
from layout import project_file
from layout.box.bulge import SideBulge, Uplift, box_leak_ml, uplifts
from layout.box.cutters import cautions
from layout.box.cutting import CutSheet
from layout.box.estimates import LEAK_GAP_MM, estimate_lines, known_bulges
from layout.box.job import CutJob, cut_job
from layout.box.notices import remarks_of, sheets_line, warnings_of
from layout.box.shapes import Layer
from layout.box.stock import largest_rest_mm, waste_pct
from layout.documents.cut_list import CutLine, cut_lines, cut_list_csv
from layout.documents.dxf import DxfVersion, to_dxf
from layout.documents.page import PAPERS
from layout.documents.panels_svg import to_svg
from layout.errors import BadValueError
from layout.units import fine_length_text, length_text

HELP = "write the panels of the box to cut, as DXF, SVG, or PDF for cutting by hand"
EXAMPLE = "manymold panels bolts.manymold -o bolts.dxf --stock 20x30in"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")
    parser.add_argument(
        "-o", "--output", required=True, metavar="OUT", help="OUT.dxf, OUT.svg, or OUT.pdf to cut by hand"
    )
    add_box_options(parser)
    parser.add_argument("--dxf", choices=["R2010", "R12"], default="R2010", help="version of the DXF; R12 has no unit")
    parser.add_argument("--each-sheet", action="store_true", help="a file for each sheet: OUT-1.dxf, OUT-2.dxf")
    parser.add_argument("--relief", metavar="WORDS", help="mold number or date, as raised mirrored letters on the base")
    parser.add_argument("--cut-list", metavar="OUT.csv", help="also write the cut list")
    parser.add_argument(
        "--paper", type=str.lower, choices=sorted(PAPERS), default="a4", help="paper of the PDF; default a4"
    )
    add_export_arguments(parser)


def run(args: argparse.Namespace) -> int:
    out = Path(args.output)
    if out.suffix.lower() not in (".dxf", ".svg", ".pdf"):
        raise BadValueError(args.output, "panels are written as .dxf, .svg or .pdf", "name the file like box.dxf")
    if args.cut_list and Path(args.cut_list).suffix.lower() != ".csv":
        raise BadValueError(args.cut_list, "the cut list is written as .csv", "name the file like box.csv")
    project = with_accepted(project_file.load(args.file), args.accept)
    project = with_box_options(project, args)
    job = cut_job(project, args.relief, catalogue().sheets)
    if args.each_sheet and waste_pct(job.sheets) is None:
        raise BadValueError("--each-sheet", "no sheet is named", "add --stock with the size of your sheets")
    refuse_broken_rules(project, where=args.file)
    parts = _per_file(job, out, args.each_sheet)
    for path, _ in parts:
        refuse_existing(path, args.force)
    files = {path: _data(part, path, args.dxf, args.paper) for path, part in parts}
    if args.cut_list:
        files[Path(args.cut_list)] = cut_list_csv(_lines(job), project.units)
    write_exports(files, force=args.force)
    for sentence in warnings_of(job):
        print(f"Mind: {sentence}", file=sys.stderr)
    answer(args, _document(job, files, args.dxf), _text(job, files))
    return 0


def _per_file(job: CutJob, out: Path, each_sheet: bool) -> list[tuple[Path, CutJob]]:
    if not each_sheet:
        return [(out, job)]
    numbered = enumerate(job.sheets, start=1)
    return [(out.with_name(f"{out.stem}-{n}{out.suffix}"), replace(job, sheets=(sheet,))) for n, sheet in numbered]


def _data(job: CutJob, path: Path, version: str, paper: str) -> bytes:
    if path.suffix.lower() == ".pdf":
        from app.printing.paint import ensure_application, pages_to_pdf
        from layout.documents.cut_sheet import cut_sheet_pages

        ensure_application()
        return pages_to_pdf(cut_sheet_pages(job, PAPERS[paper]), f"Cut list: {job.project.name}")
    if path.suffix.lower() == ".svg":
        return to_svg(job.shapes(), job.project.name)
    return to_dxf(job.shapes(unitless=version == "R12"), cast(DxfVersion, version))


def _lines(job: CutJob) -> tuple[CutLine, ...]:
    return cut_lines(job.parts, job.sheets, job.project.box.sheet)


def _document(job: CutJob, files: dict[Path, bytes], version: str) -> dict[str, Any]:
    parts, project = job.parts, job.project
    bulges = known_bulges(project)
    return {
        "panels": [
            {
                "name": line.name,
                "length_mm": line.length_mm,
                "width_mm": line.width_mm,
                "quantity": line.quantity,
                "material": line.material,
                "on_sheets": line.sheets,
            }
            for line in _lines(job)
            if line.material != "tube"
        ],
        "sheets": len(job.sheets),
        "kerf_mm": job.kerf_mm,
        "layers": {
            "through": str(Layer.THROUGH),
            "half": str(Layer.HALF),
            "draw": str(Layer.DRAW),
            "notes": str(Layer.NOTES),
        },
        "cutter": job.cutter,
        "version": version,
        "sheet_list": [_sheet_json(sheet, job) for sheet in job.sheets],
        "waste_pct": waste_pct(job.sheets),
        "outside_mm": parts.outside_mm,
        "widest_gap_mm": parts.widest_gap_mm,
        "tube": None
        if parts.tube is None
        else {
            "inner_diameter_mm": parts.tube.inner_diameter_mm,
            "wall_mm": parts.tube.wall_mm,
            "length_mm": parts.tube.length_mm,
        },
        "steps": parts.steps,
        "bulge": None if bulges is None else [_bulge_json(b) for b in bulges],
        "leak": {"gap_mm": LEAK_GAP_MM, "loss_ml": box_leak_ml(project, LEAK_GAP_MM)},
        "uplift": [_uplift_json(u) for u in uplifts(project)],
        "cautions": cautions(project.box.sheet, job.cutter, project.box.joint),
        "warnings": warnings_of(job),
        "sheets_line": sheets_line(job),
        "files": [str(path) for path in files],
    }


def _sheet_json(sheet: CutSheet, job: CutJob) -> dict[str, Any]:
    rest = largest_rest_mm(sheet, job.kerf_mm, job.gap_mm)
    return {
        "name": sheet.name,
        "length_mm": sheet.length_mm,
        "width_mm": sheet.width_mm,
        "left_over": sheet.leftover,
        "pieces": [{"name": p.panel.name, "x_mm": p.x_mm, "y_mm": p.y_mm, "turned": p.turned} for p in sheet.pieces],
        "largest_rest_mm": rest,
    }


def _bulge_json(side: SideBulge) -> dict[str, Any]:
    return {
        "side": side.name,
        "bulge_mm": side.bulge_mm,
        "pressure_pa": side.pressure_pa,
        "braces_mm": side.braces_mm,
        "braced_mm": side.braced_mm,
    }


def _uplift_json(uplift: Uplift) -> dict[str, Any]:
    return {
        "master": uplift.master,
        "force_n": uplift.force_n,
        "glue_mm2": uplift.glue_mm2,
        "glued_mm2": uplift.glued_mm2,
    }


def _text(job: CutJob, files: dict[Path, bytes]) -> str:
    units = job.project.units
    kerf = fine_length_text(job.kerf_mm, units)
    lines = [f"{', '.join(str(path) for path in files)} written: {job.project.box.sheet}, kerf {kerf}."]
    for line in _lines(job):
        true = "" if units.length == "mm" else f"   true {line.length_mm:.2f} x {line.width_mm:.2f} mm"
        lines.append(f"  {line.quantity} x {line.name:12s} {line.size_text(units)}{true}")
    lines.append(sheets_line(job))
    outside = " x ".join(length_text(round(v, 9), units) for v in job.parts.outside_mm)
    lines += ["Outside: " + outside + ".", *job.parts.steps]
    lines += remarks_of(job)
    return "\n".join(
        [*lines, *estimate_lines(job.project), *cautions(job.project.box.sheet, job.cutter, job.project.box.joint)]
    )
