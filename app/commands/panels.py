"""`panels`: the box to cut, as DXF or SVG, laid on the user's sheets."""

import argparse
from dataclasses import replace
from pathlib import Path
from typing import Any, cast

from app.commands.answers import answer
from app.commands.exporting import (
    add_export_arguments,
    refuse_broken_rules,
    refuse_existing,
    with_accepted,
    write_exports,
)
from layout import project_file
from layout.box.bulge import SideBulge, Uplift, box_leak_ml, uplifts
from layout.box.cutters import cautions
from layout.box.cutting import CutSheet
from layout.box.estimates import LEAK_GAP_MM, estimate_lines, known_bulges
from layout.box.job import CutJob, cut_job
from layout.box.shapes import Layer
from layout.box.stock import largest_rest_mm, waste_pct
from layout.documents.cut_list import CutLine, cut_lines, cut_list_csv
from layout.documents.dxf import DxfVersion, to_dxf
from layout.documents.panels_svg import to_svg
from layout.errors import BadValueError
from layout.model import Box
from layout.shop import CutSettings
from layout.units import length_text, parse_length_mm, parse_size_mm

HELP = "write the panels of the box to cut, as DXF or SVG"
EXAMPLE = "manymold panels bolts.manymold -o bolts.dxf --stock 20x30in"

WIDEST_KERF_MM = 25.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")
    parser.add_argument("-o", "--output", required=True, metavar="OUT", help="OUT.dxf or OUT.svg")
    parser.add_argument("--stock", action="append", default=[], metavar="LxW", help="a size of sheet you have (repeat)")
    parser.add_argument(
        "--leftover", action="append", default=[], metavar="LxW", help="a left-over piece, used first (repeat)"
    )
    parser.add_argument("--gap", metavar="T", help="between two pieces on a sheet; default 3 mm, laser and router 5 mm")
    parser.add_argument("--margin", metavar="T", help="from a piece to the edge of the sheet; default 5 mm")
    parser.add_argument("--joint", choices=["butt", "tab", "folded"], help="how the sides meet; default the project's")
    parser.add_argument("--base", choices=["under", "inside"], help="base under the sides or between them")
    parser.add_argument("--corners", choices=["lap", "pinwheel"], help="butt joint: long sides lap, or all lap in turn")
    parser.add_argument("--tab", metavar="T", help="tab joint: width of a tab; default three thicknesses")
    parser.add_argument("--fit", metavar="T", help="tab joint: play between tab and notch; default 0")
    parser.add_argument("--tube", metavar="T", help="round box: use a bought tube with a wall this thick")
    parser.add_argument("--cutter", choices=["knife", "laser", "router"], help="what cuts the panels; default knife")
    parser.add_argument(
        "--kerf", metavar="K", help="width the cutter takes away; default laser 0.2 mm, router 3.175 mm, knife none"
    )
    parser.add_argument("--dxf", choices=["R2010", "R12"], default="R2010", help="version of the DXF; R12 has no unit")
    parser.add_argument("--relief", metavar="WORDS", help="mold number or date, as raised mirrored letters on the base")
    parser.add_argument("--cut-list", metavar="OUT.csv", help="also write the cut list")
    add_export_arguments(parser)


def box_with_options(box: Box, args: argparse.Namespace) -> Box:
    """Return the box with what the command line says about its joints."""
    if args.joint:
        box = replace(box, joint=args.joint)
    if args.base:
        box = replace(box, base=args.base)
    if args.corners:
        box = replace(box, corners=args.corners)
    if args.tab is not None:
        box = replace(box, tab_mm=parse_length_mm(args.tab, "--tab", least_mm=0.1))
    if args.fit is not None:
        box = replace(box, fit_mm=parse_length_mm(args.fit, "--fit", least_mm=0.0))
    if args.tube is not None:
        box = replace(box, tube_wall_mm=parse_length_mm(args.tube, "--tube", least_mm=0.1))
    return box


def cutting_with_options(cutting: CutSettings, args: argparse.Namespace) -> CutSettings:
    """Return the cut settings with what the command line says about cutter and sheets."""
    if args.kerf is not None:
        kerf = parse_length_mm(args.kerf, "--kerf", least_mm=0.0)
        if kerf > WIDEST_KERF_MM:
            raise BadValueError("--kerf", f"{args.kerf!r} is wider than any cutter", "give the cut's width, like 0.2mm")
        cutting = replace(cutting, kerf_mm=kerf)
    if args.cutter:
        # a knife takes nothing away, whatever else was said; another cutter has its own usual kerf
        own = 0.0 if args.cutter == "knife" else (cutting.kerf_mm if args.kerf is not None else None)
        cutting = replace(cutting, cutter=args.cutter, kerf_mm=own)
    if args.gap is not None:
        cutting = replace(cutting, gap_mm=parse_length_mm(args.gap, "--gap", least_mm=0.0))
    if args.margin is not None:
        cutting = replace(cutting, margin_mm=parse_length_mm(args.margin, "--margin", least_mm=0.0))
    if args.stock:
        cutting = replace(cutting, stock_mm=tuple(parse_size_mm(text, "--stock") for text in args.stock))
    if args.leftover:
        cutting = replace(cutting, leftover_mm=tuple(parse_size_mm(text, "--leftover") for text in args.leftover))
    return cutting


def run(args: argparse.Namespace) -> int:
    out = Path(args.output)
    if out.suffix.lower() not in (".dxf", ".svg"):
        raise BadValueError(args.output, "panels are written as .dxf or .svg", "name the file like box.dxf")
    project = with_accepted(project_file.load(args.file), args.accept)
    cutting = cutting_with_options(project.cutting, args)
    project = replace(project, box=box_with_options(project.box, args), cutting=cutting)
    job = cut_job(project, args.relief)
    refuse_broken_rules(project)
    refuse_existing(out, args.force)
    shapes = job.shapes(unitless=args.dxf == "R12")
    svg = out.suffix.lower() == ".svg"
    data = to_svg(shapes, project.name) if svg else to_dxf(shapes, cast(DxfVersion, args.dxf))
    files = {out: data}
    if args.cut_list:
        files[Path(args.cut_list)] = cut_list_csv(_lines(job), project.units)
    write_exports(files, force=args.force)
    answer(args, _document(job, files, args.dxf), _text(job, files))
    return 0


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
        "cautions": cautions(project.box.sheet, job.cutter),
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
    lines = [f"{', '.join(str(path) for path in files)} written: {job.project.box.sheet}, kerf {job.kerf_mm:g} mm."]
    for line in _lines(job):
        true = "" if units.length == "mm" else f"   true {line.length_mm:.2f} x {line.width_mm:.2f} mm"
        lines.append(f"  {line.quantity} x {line.name:12s} {line.size_text(units)}{true}")
    waste = waste_pct(job.sheets)
    if waste is not None:
        lines.append(f"{len(job.sheets)} sheet(s), {waste:.1f} % waste.")
    outside = " x ".join(length_text(v, units) for v in job.parts.outside_mm)
    lines += ["Outside: " + outside + ".", *job.parts.steps]
    return "\n".join([*lines, *estimate_lines(job.project), *cautions(job.project.box.sheet, job.cutter)])
