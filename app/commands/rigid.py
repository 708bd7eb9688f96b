"""`rigid`: the rigid master mold of a layout."""

import argparse
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from app.commands.answers import answer, finding_json
from app.commands.options import typed_mix
from layout import project_file
from layout.errors import BadValueError, LayoutError
from layout.model import Finding, Project, RoundBox
from layout.order.chain import chain, shrink_of
from layout.order.needs import needs
from layout.order.rigid_master import RigidMaster, lift_g, rigid_master, steps, tray_project, tray_resin
from layout.order.shrink_words import shrink_lines
from layout.order.shrinkage import ShrinkChain
from layout.order.steps import Step
from layout.order.tray_checks import tray_findings, tray_time
from layout.shop import RigidSettings
from layout.units import length_text, mass_text, minutes_text, parse_length_mm, parse_number, volume_text
from layout.wording import message

HELP = "the rigid master mold: a resin tray of positives that further gang molds are poured in"
EXAMPLE = "manymold rigid bolts.manymold --gap 1/2in --draft 3"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="the project")
    parser.add_argument("--gap", metavar="T", help="resin all round the gang mold (12.7)")
    parser.add_argument("--back", metavar="T", help="resin over the gang mold: the floor of the tray (9.525)")
    parser.add_argument("--freeboard", metavar="T", help="side above the fill line: thickness of the pad (9.525)")
    parser.add_argument("--draft", metavar="DEG", help="lean of the tray's inner sides, usually 2 to 5 (0)")
    parser.add_argument("--resin", metavar="MIX", help="resin of the tray: a name from `materials`, or a=..,b=..,..")
    parser.add_argument("--box-project", metavar="OUT", help="write the tray's own box as a project, for its panels")
    parser.add_argument("--force", action="store_true", help="write over a file that exists")


def run(args: argparse.Namespace) -> int:
    project = project_file.load(args.file)
    if all(c.empty for c in project.cavities):
        raise BadValueError(args.file, "the layout has no cavity", "fill the box first")
    settings = _settings(project.order.rigid, args)
    project = replace(project, order=replace(project.order, rigid=settings))
    if args.resin is not None:
        project = replace(project, tray_resin=typed_mix(args.resin, "resin"))
    tray = rigid_master(project)
    box = tray_project(project)
    if args.box_project is not None:
        from app.commands.exporting import write_export

        write_export(Path(args.box_project), project_file.to_text(box).encode(), force=args.force)
    shrink = shrink_of(_with_tray(project))
    findings = tray_findings(project, tray)
    document = {
        "resin_ml": tray.resin_ml,
        "mass_g": tray.mass_g,
        "outer_mm": list(tray.outer_mm),
        "silicone_per_mold_ml": tray.silicone_per_mold_ml,
        "scale": shrink.scale,
        "resin": tray_resin(project).name,
        "shrink_factor": shrink.factor,
        "generations": [asdict(g) for g in shrink.generations],
        "block_rim_mm": list(tray.block_rim_mm),
        "block_back_mm": list(tray.block_back_mm),
        "fill_height_mm": tray.fill_height_mm,
        "strip_mm": tray.strip_mm,
        "pad_top_mm": list(tray.pad_top_mm),
        "pad_bottom_mm": list(tray.pad_bottom_mm),
        "pad_height_mm": settings.freeboard_mm,
        "lift_g": lift_g(project, tray),
        "layers": tray.layers,
        "time": asdict(tray_time(project, tray)),
        "panels": _panels(box),
        "steps": list(steps(project, tray)),
        "warnings": [finding_json(f, project.units) for f in findings],
    }
    answer(args, document, _text(project, tray, shrink, findings))
    return 0


def _settings(rigid: RigidSettings, args: argparse.Namespace) -> RigidSettings:
    for name in ("gap", "back", "freeboard"):
        typed = getattr(args, name)
        if typed is not None:
            value: Any = parse_length_mm(typed, f"--{name}", least_mm=0.0)
            rigid = replace(rigid, **{f"{name}_mm": value})
    if args.draft is not None:
        rigid = replace(rigid, draft_deg=parse_number(args.draft, "--draft", least=0.0, most=30.0))
    return rigid


def _with_tray(project: Project) -> tuple[Step, ...]:
    order = replace(project.order, skip=tuple(s for s in project.order.skip if s != "rigid_master"))
    wanted = replace(project, order=order)
    return chain(wanted, needs(wanted), 2, 2)


def _panels(box: Project) -> list[dict[str, Any]] | None:
    from layout.box.panels import make_parts

    try:
        parts = make_parts(box)
    except LayoutError:
        return None
    return [
        {"name": p.name, "length_mm": p.length_mm, "width_mm": p.width_mm, "quantity": p.pieces} for p in parts.panels
    ]


def _text(project: Project, tray: RigidMaster, shrink: ShrinkChain, findings: tuple[Finding, ...]) -> str:
    units, time = project.units, tray_time(project, tray)
    length, width, height = (length_text(v, units, decimals=1) for v in tray.outer_mm)
    size = (
        f"{length} across, round, {height} high"
        if isinstance(project.box.shape, RoundBox)
        else (f"{length} x {width} x {height} high")
    )
    lines = [
        f"Resin: {volume_text(tray.resin_ml, units)}, {mass_text(tray.mass_g, units)} of {tray_resin(project).name}",
        f"Pot life at that mass: {minutes_text(time.pot_life_min)}, to mix and pour: {minutes_text(time.needed_min)}",
        f"Tray outside: {size}",
        f"Silicone of each further mold: {volume_text(tray.silicone_per_mold_ml, units)} (net)",
        *shrink_lines(project, shrink),
        "",
        *(f"{i}. {step}" for i, step in enumerate(steps(project, tray), start=1)),
        "",
        *(f"{'mind' if f.severity != 'info' else 'note':6s}{message(f, units)}" for f in findings),
    ]
    return "\n".join(lines)
