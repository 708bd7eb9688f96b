"""A project's parts as JSON and as lines for people."""

from collections import Counter
from typing import Any

import shapely

from layout import volumes
from layout.geometry import Disc, as_polygon, footprint_area_mm2, footprint_polygon, footprint_size_mm
from layout.model import Master, OutlineBox, Project, RectBox, RoundBox
from layout.numbering import names
from layout.regions import inner_polygon, inner_size_mm, placed_cavities, placed_keep_out
from layout.units import Units, counted, length_text, volume_text


def wkt(geometry: shapely.Geometry) -> str:
    """Return a geometry as WKT with every digit."""
    return str(shapely.to_wkt(geometry, rounding_precision=-1))


def master_json(master: Master) -> dict[str, Any]:
    """Return a master for a machine."""
    length, width = footprint_size_mm(master.footprint)
    radius = master.footprint.radius_mm if isinstance(master.footprint, Disc) else None
    area = footprint_area_mm2(master.footprint)
    return {
        "id": master.id,
        "name": master.name,
        "source": master.source,
        "height_mm": master.height_mm,
        "volume_ml": master.volume_ml,
        "area_mm2": area if master.silhouette_mm2 is None else master.silhouette_mm2,
        "glued_area_mm2": master.glued_area_mm2,
        "surface_mm2": master.surface_mm2,
        "length_mm": length,
        "width_mm": width,
        "radius_mm": radius,
        "undercut": master.undercut,
        "turn": master.turn,
        "wanted": master.wanted,
        "footprint_wkt": wkt(footprint_polygon(master.footprint)),
        "round": radius is not None,
    }


def master_line(master: Master, units: Units) -> str:
    """Return a master in one line for people."""
    length, width = footprint_size_mm(master.footprint)
    across = (
        f"{length_text(length, units)} across"
        if isinstance(master.footprint, Disc)
        else f"{length_text(length, units)} by {length_text(width, units)}"
    )
    wanted = f", {master.wanted} wanted" if master.wanted else ""
    turn = f", turn {master.turn}" if master.turn else ""
    source = "" if master.source == master.name else f" ({master.source})"
    return (
        f"Master {master.id}{source}: {across}, {length_text(master.height_mm, units)} high,"
        f" {master.volume_ml:.3f} mL{wanted}{turn}"
    )


def rules_json(project: Project) -> dict[str, Any]:
    """Return rules and materials for a machine."""
    rules = project.rules
    return {
        "rules": {
            "wall_mm": rules.wall_mm,
            "edge_mm": rules.edge_mm,
            "floor_mm": rules.floor_mm,
            "freeboard_mm": volumes.freeboard_mm(project),
            "turn": rules.turn,
        },
        "silicone": project.silicone.name,
        "resin": project.resin.name,
        "panel": {"sheet": project.box.sheet, "thickness_mm": project.box.thickness_mm},
    }


def box_text(project: Project) -> str:
    """Return the box in a few words."""
    length, width = inner_size_mm(project.box.shape)
    units = project.units
    if isinstance(project.box.shape, RoundBox):
        return f"round box, {length_text(length, units)} inside"
    size = f"{length_text(length, units)} by {length_text(width, units)} inside"
    return f"box, {size}" if isinstance(project.box.shape, RectBox) else f"box of its own outline, {size}"


def rules_line(project: Project) -> str:
    """Return box and rules in one line for people."""
    rules, units = project.rules, project.units
    box = box_text(project)
    return (
        f"{box[0].upper()}{box[1:]}; wall {length_text(rules.wall_mm, units)}, edge"
        f" {length_text(rules.edge_mm, units)}, floor {length_text(rules.floor_mm, units)};"
        f" {project.silicone.name}, {project.resin.name}; {project.box.sheet}"
        f" {length_text(project.box.thickness_mm, units)}"
    )


def box_json(project: Project) -> dict[str, Any]:
    """Return the box for a machine."""
    shape = project.box.shape
    length, width = inner_size_mm(shape)
    return {
        "shape": "rect" if isinstance(shape, RectBox) else "outline" if isinstance(shape, OutlineBox) else "round",
        "outline_wkt": wkt(inner_polygon(shape)),
        "radius_mm": shape.diameter_mm / 2.0 if isinstance(shape, RoundBox) else None,
        "inner_length_mm": length,
        "inner_width_mm": width,
        "side_height_mm": volumes.side_height_mm(project),
        "pour_height_mm": volumes.pour_height_mm(project),
    }


def project_json(project: Project) -> dict[str, Any]:
    """Return what is where, for a machine."""
    radius = {m.id: m.footprint.radius_mm if isinstance(m.footprint, Disc) else None for m in project.masters}
    placed = placed_cavities(project)
    return {
        "name": project.name,
        "box": box_json(project),
        **rules_json(project),
        "masters": [master_json(m) for m in project.masters],
        "keep_outs": [
            {
                "id": k.id,
                "x_mm": k.x_mm,
                "y_mm": k.y_mm,
                "length_mm": k.length_mm,
                "width_mm": k.width_mm,
                "radius_mm": k.length_mm / 2.0 if k.round else None,
                "purpose": k.purpose,
                "area_wkt": wkt(as_polygon(placed_keep_out(k))),
            }
            for k in project.keep_outs
        ],
        "cavities": [
            {
                "id": c.id,
                "master": c.master,
                "x_mm": c.x_mm,
                "y_mm": c.y_mm,
                "angle_deg": c.angle_deg,
                "pinned": c.pinned,
                "empty": c.empty,
                "radius_mm": radius[c.master],
                "footprint_wkt": wkt(as_polygon(placed[c.id])),
            }
            for c in project.cavities
        ],
    }


def project_text(project: Project) -> str:
    """Return what is where, for people."""
    units = project.units
    lines = [
        f"{project.name or 'Project'}: {rules_line(project)}",
        f"Pour height {length_text(volumes.pour_height_mm(project), units)}, sides"
        f" {length_text(volumes.side_height_mm(project), units)} high",
        *(master_line(m, units) for m in project.masters),
    ]
    for k in project.keep_outs:
        size = f"{length_text(k.length_mm, units)} across" if k.round else (
            f"{length_text(k.length_mm, units)} by {length_text(k.width_mm, units)}"
        )  # fmt: skip
        place = f"{length_text(k.x_mm, units)}, {length_text(k.y_mm, units)}"
        lines.append(f"Keep-out {k.id} at {place}: {size}{' ' + k.purpose if k.purpose else ''}")
    net = volume_text(volumes.volumes(project).net_ml, units)
    lines.append(f"{counted(len(project.cavities), 'cavity')}, {net} of silicone before waste")
    lines += [wanted_text(project)] if wanted_text(project) else []
    called = names(project)
    widest = max((len(name) for name in called.values()), default=0)
    lines += [
        f"  {called[c.id]:>{max(5, widest)}}  {c.master}  {length_text(c.x_mm, units)}, {length_text(c.y_mm, units)}"
        f"  {round(c.angle_deg, 2) % 360.0:g}°{'  pinned' if c.pinned else ''}{'  empty' if c.empty else ''}"
        for c in project.cavities
    ]
    return "\n".join(lines)


def wanted_json(project: Project) -> dict[str, dict[str, int]]:
    """Return how many of each master that has a wanted number are there, for a machine."""
    there = Counter(c.master for c in project.cavities)
    return {m.id: {"wanted": m.wanted, "placed": there[m.id]} for m in project.masters if m.wanted is not None}


def wanted_text(project: Project) -> str:
    """Return the same in a line for people, what is missing said; empty where no number is wanted."""
    counts = wanted_json(project)
    if not counts:
        return ""
    there = Counter(c.master for c in project.cavities)
    each = [f"{there[m.id]} {m.id}" + ("" if m.wanted is None else f" ({m.wanted} wanted)") for m in project.masters]
    missing = sum(max(0, c["wanted"] - c["placed"]) for c in counts.values())
    sets = min(c["placed"] // c["wanted"] if c["wanted"] else 0 for c in counts.values())
    over = len(project.cavities) - sets * sum(c["wanted"] for c in counts.values())
    if len(counts) == len(project.masters) > 1 and sets and over:
        each.append(f"{sets} full {'set' if sets == 1 else 'sets'} and {over} over")
    return ", ".join(each) + (
        f". {missing} of those wanted {'is' if missing == 1 else 'are'} missing." if missing else "."
    )
