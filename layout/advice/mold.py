"""Advice on the mold itself: walls, floor, undercuts, glued faces, the block, the sides of the box."""

import math

import shapely

from layout.advice.saying import about, finding, found, judged, mm
from layout.advice.webs import WeakWeb, height_that_stands_mm, shore_of, weakest_web
from layout.box.bulge import POISSON, sheet_stiffness_gpa, side_bulges
from layout.checks import clearances
from layout.errors import BadValueError
from layout.geometry import Disc, as_polygon, footprint_area_mm2, footprint_polygon
from layout.limits import limit
from layout.masters.undercut import LOCKED
from layout.model import Finding, KeepOut, Master, Project, RectBox, Severity
from layout.pour.mixing import mixed_g_per_ml
from layout.regions import inner_polygon, inner_size_mm, placed_keep_out
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import GRAVITY_M_PER_S2, counted
from layout.volumes import level_error_mm, side_height_mm, volumes

LEAST_FLOOR_OVER_LEVEL_MM = 3.0
"""Floor left at the shallow end of a pour out of level. Engineering judgement, no source."""

FIRM_SHORE_A, SOFT_SHORE_A = 30.0, 15.0
"""From these on the limits of an undercut stand; between them a straight line. Engineering judgement, no source."""

THIN_RULE_MM = 3.2
"""Who sets a wall below this meant it: a web that leans is then warned of, not refused. Engineering judgement."""

BULGE_BOUND = 0.015
"""a / (L/H)^2 of a side, hinged below and free above, is no more than this for any L/H: own plate solution, 0.01485
at most. So a side that can't bulge is told without solving the plate, which takes tenths of a second."""


def mold_advice(project: Project, *, bulge: bool = True) -> tuple[Finding, ...]:
    """Return the advice on walls, floor, parts, block and box."""
    used = {c.master for c in project.cavities}
    masters = [m for m in project.masters if m.id in used]
    parts = [f for m in masters for f in (_undercut(project, m), _glued_face(project, m), _deep(project, m))]
    return (
        *found(_narrow_web(project), _tall_web(project), _floor(project)),
        *found(_block_size(project), _block_mass(project)),
        *found(*parts),
        *found(*(_two_volumes(project, m) for m in masters)),
        *found(*(_stray_keep_out(project, area) for area in project.keep_outs)),
        *(_bulges(project) if bulge else ()),
    )


def _stray_keep_out(project: Project, area: KeepOut) -> Finding | None:
    if as_polygon(placed_keep_out(area)).intersects(inner_polygon(project.box.shape)):
        return None
    sentence = f"Keep-out {area.id} lies outside the box and keeps nothing free. Check its place and its unit."
    return finding("stray_keep_out", Severity.WARN, sentence)


def _narrow_web(project: Project) -> Finding | None:
    wall = clearances(project).least_wall_mm
    if wall is None or wall < 0.0:
        return None
    usual = limit(project, "narrow_web").warn or 0.0
    sentence = (
        f"The thinnest wall is {mm(wall, project.units)}; walls under {mm(usual, project.units)} tear and leak from"
        f" cavity to cavity. Make the wall {mm(usual, project.units)} or choose a silicone of high tear strength."
    )
    # a part held at the wall of the rule stands a hair under it at most
    return judged(project, "narrow_web", wall + CLEARANCE_TOL_MM, sentence, at_most=Severity.WARN, shown=(wall, usual))


def _tall_web(project: Project) -> Finding | None:
    weak = weakest_web(project)
    if weak is None:
        return None
    if weak.wall_mm <= CLEARANCE_TOL_MM:
        return _touching(project, weak)
    shore = shore_of(project)
    said = f"{shore:.0f}A" if project.silicone.shore_a is not None else f"{shore:.0f}A (taken, hardness not known)"
    lower = height_that_stands_mm(weak.wall_mm, shore)
    ratio = weak.wall_mm / weak.stands_mm
    others = "" if weak.count == 1 else f" {weak.count} walls are too thin for their height."
    sentence = (
        f"A wall of {mm(weak.wall_mm, project.units)} leans over when one side is full:"
        f" {mm(weak.height_mm, project.units)} tall at {said} it needs {mm(weak.stands_mm, project.units)}"
        f" (this wall is good for cavities up to {mm(lower, project.units)} deep).{others} Widen the wall,"
        " take a harder silicone, or fill row by row."
    )
    own_rule = project.rules.wall_mm < weak.stands_mm and weak.wall_mm >= project.rules.wall_mm - CLEARANCE_TOL_MM
    thin_by_rule = own_rule and project.rules.wall_mm < THIN_RULE_MM
    return judged(
        project,
        "tall_web",
        ratio,
        sentence,
        at_most=Severity.WARN if thin_by_rule else Severity.REFUSE,
        shown=(weak.wall_mm, weak.stands_mm),
        unit="mm",
        cavities=weak.cavities,
        segment=weak.segment,
    )


def _touching(project: Project, weak: WeakWeb) -> Finding | None:
    """Say that cavities touch where the rules allow it; what overlaps breaks a rule and is told as such."""
    least = clearances(project).least_wall_mm
    if least is None or least < -CLEARANCE_TOL_MM or project.rules.wall_mm > 2.0 * CLEARANCE_TOL_MM:
        return None
    others = "" if weak.count == 1 else f" {weak.count} walls are too thin for their height."
    sentence = (
        "Cavities touch: there is no silicone between them, so there is no mold, and their parts come out as one."
        f"{others} Set a wall and fill again."
    )
    return finding(
        "tall_web",
        Severity.WARN,
        sentence,
        measured=0.0,
        required=weak.stands_mm,
        unit="mm",
        cavities=weak.cavities,
        segment=weak.segment,
    )


def _floor(project: Project) -> Finding | None:
    floor, units = project.rules.floor_mm, project.units
    level = level_error_mm(project)
    level_least = level + LEAST_FLOOR_OVER_LEVEL_MM if level > 0.0 else 0.0
    if floor < level_least:
        return finding(
            "thin_floor",
            Severity.REFUSE,
            f"The floor of {mm(floor, units)} is too thin for a bench {mm(level, units)} out of level over the mold:"
            f" level the bench. If that can't be, make the floor {mm(level_least, units)}; the silicone for the slope"
            " is reckoned on top of it.",
            measured=floor,
            required=level_least,
            unit="mm",
        )
    usual = limit(project, "thin_floor").warn or 0.0
    thin = judged(
        project,
        "thin_floor",
        floor,
        f"The floor of {mm(floor, units)} may have pinholes and let the mold rock: make it {mm(usual, units)} or more.",
    )
    if thin:
        return thin
    most = limit(project, "thick_floor").warn or 0.0
    return judged(
        project,
        "thick_floor",
        floor,
        f"The floor of {mm(floor, units)} is thicker than {mm(most, units)}: it costs {project.silicone.word}"
        f"{'' if project.silicone.is_resin else ' and makes the mold stiff to open'}.",
        at_most=Severity.INFO,
    )


def undercut_refused_from(project: Project) -> float:
    """Return the undercut from which it is refused, by the silicone's hardness: a straight line from 15A to 30A."""
    soft = limit(project, "undercut_soft").refuse or math.inf
    firm = limit(project, "undercut_firm").refuse or math.inf
    place = (shore_of(project) - SOFT_SHORE_A) / (FIRM_SHORE_A - SOFT_SHORE_A)
    return soft + (firm - soft) * min(1.0, max(0.0, place))


def _undercut(project: Project, master: Master) -> Finding | None:
    strain = master.undercut
    if not strain or strain <= 0.0:
        return None
    refused, warned = undercut_refused_from(project), limit(project, "undercut_firm").warn or 0.0
    words = f"{master.name}: pulling it stretches the rim by {100 * strain:.0f} %"
    if strain <= warned + 1e-9:
        return finding("undercut", Severity.INFO, f"{words}; it comes out.", measured=strain, required=warned)
    if strain >= LOCKED:
        locked = (
            f"{master.name}: silicone is locked under it or through it, it can't be pulled out straight. Turn the part"
            " over, or close the hole or the undercut."
        )
        return finding("undercut", Severity.REFUSE, locked, measured=strain, required=refused)
    severity = Severity.REFUSE if strain > refused + 1e-9 else Severity.WARN
    sentence = (
        f"{words}; at {shore_of(project):.0f}A the rim tears from {100 * refused:.0f} % on. Turn the part over, fill"
        " the undercut, or take a softer silicone."
    )
    required = refused if severity == Severity.REFUSE else warned
    return finding("undercut", severity, sentence, measured=strain, required=required)


def _glued_face(project: Project, master: Master) -> Finding | None:
    share = master.glued_area_mm2 / footprint_area_mm2(master.footprint)
    sentence = (
        f"{master.name}: its flat back is only {100 * share:.0f} % of its largest section:"
        f" {project.silicone.word} creeps under and skins over the cavity. Glue it on a flat pad of the full outline."
    )
    return judged(project, "glued_face", share, sentence)


def _deep(project: Project, master: Master) -> Finding | None:
    if isinstance(master.footprint, Disc):
        width = 2.0 * master.footprint.radius_mm
    else:
        around = shapely.minimum_rotated_rectangle(footprint_polygon(master.footprint))
        corners = shapely.get_coordinates(around)
        width = min(math.dist(*corners[:2]), math.dist(*corners[1:3]))
    ratio = master.height_mm / max(width, 1e-6)
    sentence = (
        f"{master.name}: a cavity {about(ratio)} times as deep as wide traps air. Fill it slowly from one side, or lay"
        " the part down."
    )
    return judged(project, "deep_cavity", ratio, sentence)


def _block_size(project: Project) -> Finding | None:
    # a rigid tray does not sag
    if project.silicone.is_resin:
        return None
    longest = max(inner_size_mm(project.box.shape))
    most = limit(project, "block_size").warn or 0.0
    sentence = (
        f"The block is {mm(longest, project.units)} long; beyond {mm(most, project.units)} a mold sags and its floor is"
        " hard to keep even. Pour two smaller molds, or store and fill it on a flat board."
    )
    return judged(project, "block_size", longest, sentence)


def _block_mass(project: Project) -> Finding | None:
    mass = volumes(project).net_ml * mixed_g_per_ml(project.silicone)
    other = "" if project.silicone.is_resin else ", or two smaller molds"
    sentence = f"The block weighs {mass / 1000:.1f} kg: two hands and a board under it{other}."
    return judged(project, "block_mass", mass, sentence)


def _two_volumes(project: Project, master: Master) -> Finding | None:
    second = master.second_volume_ml
    if second is None or second <= 0.0:
        return None
    difference = 100.0 * abs(second - master.volume_ml) / max(second, master.volume_ml)
    sentence = (
        f"{master.name}: {master.volume_ml:.3f} mL by its shape and {second:.3f} mL measured differ by"
        f" {difference:.1f} %. Check the unit of the drawing, hollows, and the density used."
    )
    return judged(project, "two_volumes", difference, sentence)


def bulge_bound_mm(project: Project) -> float:
    """Return what the sides of a rectangular box bulge at most, mm; 0 for other boxes. Quick, never below the truth."""
    shape = project.box.shape
    if not isinstance(shape, RectBox):
        return 0.0
    height, t = side_height_mm(project), project.box.thickness_mm
    pressure_mpa = mixed_g_per_ml(project.silicone) * 1e-6 * GRAVITY_M_PER_S2 * height
    rigidity = sheet_stiffness_gpa(project) * 1000.0 * t**3 / (12.0 * (1.0 - POISSON**2))
    return BULGE_BOUND * (max(shape.length_mm, shape.width_mm) / height) ** 2 * pressure_mpa * height**4 / rigidity


def _bulges(project: Project) -> tuple[Finding, ...]:
    most, warned = limit(project, "bulge").refuse, limit(project, "bulge").warn
    try:
        if warned is not None and bulge_bound_mm(project) <= warned:
            return ()
        sides = side_bulges(project, most) if most is not None else side_bulges(project)
    except BadValueError:
        return ()
    sentences = []
    for side in sides:
        free = f"The {side.name} bulges by {mm(side.bulge_mm, project.units)}"
        if side.braces_mm:
            places = counted(len(side.braces_mm), "place")
            remedy = (
                f"brace it at {places}, as ticked on the panel, and it bulges by {mm(side.braced_mm, project.units)}"
            )
        else:
            remedy = "put a band of tape round the box at the top"
        braced_well = bool(side.braces_mm) and (most is None or side.braced_mm <= most)
        sentences.append(
            judged(
                project,
                "bulge",
                side.bulge_mm,
                f"{free} under the {project.silicone.word}: {remedy}, or take a thicker sheet.",
                at_most=Severity.WARN if braced_well else Severity.REFUSE,
            )
        )
    return found(*sentences)
