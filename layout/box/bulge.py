"""Estimates of what liquid silicone does to a box: sides that bulge, joints that leak, masters that float.

They are estimates: thin-plate theory with ideal edges, one stiffness for the sheet, the load taken to the very top of
the side, which is on the safe side because the pour stops lower.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final

from layout.box.corners import is_square_cornered, ring_of, strip_flats
from layout.box.cutters import is_foldable
from layout.box.plate import Edges, bulge_coefficient
from layout.errors import BadValueError
from layout.limits import limit
from layout.materials import built_in
from layout.model import Joint, OutlineBox, Project, RectBox, RoundBox
from layout.pour.mixing import mixed_g_per_ml
from layout.pour.time import pot_life_min
from layout.regions import inner_polygon
from layout.units import GRAVITY_M_PER_S2
from layout.volumes import pour_height_mm, side_height_mm

POISSON: Final = 0.3
MOST_BULGE_MM: Final = 0.5
"""Bulge from which a side is braced where the project sets no limit. Engineering judgement, no source."""

BRACE_HEIGHTS: Final = 3.0
"""Braces stand no farther apart than this many heights of the side. Common practice, no source."""

_MOST_BRACES: Final = 30

_KINDS: Final = (
    ("foam", "foam board"),
    ("acrylic", "acrylic"),
    ("melamine", "melamine board"),
    ("mdf", "MDF"),
    ("pvc", "expanded PVC"),
)
"""A sheet the catalogue does not name is taken for the kind that its name says."""

_EDGES: Final[dict[Joint, Edges]] = {
    "butt": Edges("hinged", "hinged", "free"),
    "folded": Edges("hinged", "hinged", "free"),
    "tab": Edges("hinged", "clamped", "free"),
}
"""Tape, soft glue and a paper hinge turn; tabs glued in a base do not, unless the sheet itself is soft."""


@dataclass(frozen=True, slots=True)
class SideBulge:
    """One side under load.

    Parameters
    ----------
    name : str
        ``"long side"`` or ``"short side"``.
    length_mm, height_mm : float
        Inner length and height of the side.
    pressure_pa : float
        At its lower edge.
    bulge_mm : float
        Largest deflection without a brace.
    braces_mm : tuple of float
        Where braces stand along the inner length, from its left end; empty if none is needed.
    braced_mm : float
        Largest deflection between the braces.
    """

    name: str
    length_mm: float
    height_mm: float
    pressure_pa: float
    bulge_mm: float
    braces_mm: tuple[float, ...]
    braced_mm: float


def edges_of(joint: Joint, sheet: str = "") -> Edges:
    """Return how a side's edges are held by this joint; tabs of foam board give way and count as hinges."""
    return _EDGES["butt"] if "foam" in sheet.casefold() else _EDGES[joint]


def sheet_stiffness_gpa(project: Project) -> float:
    """Return the modulus of the box's sheet: as the user measured it, else typical of its kind in the catalogue.

    Raises
    ------
    BadValueError
        If it was not measured and the sheet's kind is not known.
    """
    if project.box.stiffness_gpa is not None:
        return project.box.stiffness_gpa
    names = [project.box.sheet, *(kind for word, kind in _KINDS if word in project.box.sheet.casefold())]
    for name in names:
        sheet = built_in().sheet(name)
        if sheet is not None:
            return sheet.e_gpa
    raise BadValueError(
        project.box.sheet, "how stiff this sheet is, is not known", "measure a strip: see manymold stiffness --help"
    )


def bulge_mm(
    length_mm: float,
    height_mm: float,
    thickness_mm: float,
    stiffness_gpa: float,
    density_g_per_ml: float,
    edges: Edges = _EDGES["butt"],
) -> float:
    """Return the largest deflection of a side filled to its top, mm.

    Examples
    --------
    >>> round(bulge_mm(300.0, 50.0, 4.7625, 0.4, 1.15), 2)
    0.45
    """
    pressure_mpa = density_g_per_ml * 1e-6 * GRAVITY_M_PER_S2 * height_mm
    rigidity = stiffness_gpa * 1000.0 * thickness_mm**3 / (12.0 * (1.0 - POISSON**2))
    return bulge_coefficient(length_mm / height_mm, edges, "liquid", POISSON) * pressure_mpa * height_mm**4 / rigidity


def side_bulges(project: Project, most_mm: float | None = None) -> tuple[SideBulge, ...]:
    """Return the bulge of each flat side, and braces where it passes the limit; of the strip of a round box as a ring.

    Parameters
    ----------
    project : Project
    most_mm : float, optional
        Bulge from which a side is braced; None: the project's own limit.

    Raises
    ------
    BadValueError
        If the sheet's stiffness is not known.

    Notes
    -----
    Between braces the side is judged as a plate of that length, hinged at the brace. A brace is a rib, or a band of
    tape or string drawn round the box at the top.
    """
    sides = _flat_sides(project)
    if isinstance(project.box.shape, RoundBox):
        return () if project.box.tube_wall_mm is not None else (_ring(project, project.box.shape),)
    if not sides:
        return ()
    stiffness = sheet_stiffness_gpa(project)
    if most_mm is None:
        refuse = limit(project, "bulge").refuse
        most_mm = MOST_BULGE_MM if refuse is None else refuse
    density = mixed_g_per_ml(project.silicone)
    height, t = side_height_mm(project), project.box.thickness_mm
    edges = edges_of(project.box.joint, project.box.sheet)
    found = []
    for name, length in sides:
        deflection = partial(
            bulge_mm,
            height_mm=height,
            thickness_mm=t,
            stiffness_gpa=stiffness,
            density_g_per_ml=density,
            edges=edges,
        )
        free = deflection(length)
        count = 0 if free <= most_mm else _braces_needed(length, height, deflection, most_mm)
        braces = tuple(length * k / (count + 1) for k in range(1, count + 1))
        pressure = density * 1000.0 * GRAVITY_M_PER_S2 * height / 1000.0
        found.append(SideBulge(name, length, height, pressure, free, braces, deflection(length / (count + 1))))
    return tuple(found)


def ring_bulge_mm(radius_mm: float, wall_mm: float, stiffness_gpa: float, pressure_pa: float) -> float:
    """Return by how much the radius of a thin ring grows under pressure from inside, mm.

    Notes
    -----
    Textbook thin ring: p R^2 / (E t).

    Examples
    --------
    >>> round(ring_bulge_mm(100.0, 2.5, 0.4, 300.0), 4)
    0.003
    """
    return pressure_pa * 1e-6 * radius_mm**2 / (stiffness_gpa * 1000.0 * wall_mm)


def hoop_pull_n(radius_mm: float, height_mm: float, density_g_per_ml: float) -> float:
    """Return the pull on the closing joint of a ring filled to its top, N.

    Notes
    -----
    Pressure times radius over the height: rho g H^2 R / 2.
    """
    return density_g_per_ml * 1e-6 * GRAVITY_M_PER_S2 * height_mm**2 * radius_mm / 2.0


def _ring(project: Project, shape: RoundBox) -> SideBulge:
    """Return the strip of a round box as a thin ring, with the half of its thickness that the cuts leave whole."""
    height, t = side_height_mm(project), project.box.thickness_mm
    radius = shape.diameter_mm / 2.0
    pressure = mixed_g_per_ml(project.silicone) * GRAVITY_M_PER_S2 * height
    bulge = ring_bulge_mm(radius + t / 2.0, t / 2.0, sheet_stiffness_gpa(project), pressure)
    return SideBulge("strip", 2.0 * math.pi * radius, height, pressure, bulge, (), bulge)


def _flat_sides(project: Project) -> list[tuple[str, float]]:
    """Return name and inner length of the flat sides, the long one first; those of an outline as they are numbered."""
    shape = project.box.shape
    if isinstance(shape, RectBox):
        long, short = sorted((shape.length_mm, shape.width_mm), reverse=True)
        return [("long side", long), ("short side", short)]
    if isinstance(shape, OutlineBox):
        # the short flats of a curve hold each other
        return [(name, length) for name, length in _sides_of(project, shape) if length >= side_height_mm(project)]
    return []


def _sides_of(project: Project, shape: OutlineBox) -> list[tuple[str, float]]:
    ring = ring_of(shape)
    if not is_square_cornered(ring) and is_foldable(project.box.sheet):
        _, flats = strip_flats(ring, project.box.thickness_mm)
        return [(f"flat {k} of the strip", length) for k, length in enumerate(flats, start=1)]
    ends = zip(ring, [*ring[1:], ring[0]], strict=True)
    return [(f"side {i}", math.dist(a, b)) for i, (a, b) in enumerate(ends, start=1)]


def braces_mm(project: Project, name: str) -> tuple[float, ...]:
    """Return where braces stand along a side; none if the sheet's stiffness is not known."""
    try:
        sides = side_bulges(project)
    except BadValueError:
        return ()
    return next((side.braces_mm for side in sides if side.name == name), ())


def _braces_needed(length: float, height: float, deflection: Callable[[float], float], most_mm: float) -> int:
    for count in range(1, _MOST_BRACES):
        span = length / (count + 1)
        if span <= BRACE_HEIGHTS * height and deflection(span) <= most_mm:
            return count
    return _MOST_BRACES


def leak_ml(
    gap_mm: float,
    joint_mm: float,
    head_mm: float,
    viscosity_cp: float,
    density_g_per_ml: float,
    minutes: float,
    path_mm: float = 5.0,
) -> float:
    """Return how much runs out through an open joint before it sets, mL.

    Parameters
    ----------
    gap_mm, joint_mm, path_mm : float
        Width of the gap, length of the joint, way through it.
    head_mm : float
        Liquid above the joint.
    viscosity_cp, density_g_per_ml, minutes : float

    Notes
    -----
    Creeping flow between two flat faces, gap^3 rho g h b t / (12 eta l): textbook. An estimate on the high side, as
    the liquid thickens meanwhile.

    Examples
    --------
    >>> round(leak_ml(0.5, 800.0, 20.0, 2500.0, 1.15, 7.0))
    63
    """
    flow_m3_s = (
        (gap_mm / 1e3) ** 3 * density_g_per_ml * 1e3 * GRAVITY_M_PER_S2 * head_mm / 1e3 * joint_mm / 1e3
        / (12.0 * viscosity_cp / 1e3 * path_mm / 1e3)
    )  # fmt: skip
    return flow_m3_s * minutes * 60.0 * 1e6


def box_leak_ml(project: Project, gap_mm: float = 0.5) -> float | None:
    """Return the loss through a gap along all open joints within today's pot life, mL; None without a viscosity.

    Notes
    -----
    The joints are those along the base; a folded box has none there, for its inner paper is whole, but four corners,
    over which the head is half the pour height on average.
    """
    viscosity = project.silicone.viscosity_cp
    if viscosity is None:
        return None
    shape, head = project.box.shape, pour_height_mm(project)
    if project.box.joint == "folded" and isinstance(shape, RectBox):
        joint, head = 4.0 * head, head / 2.0
    else:
        joint = math.pi * shape.diameter_mm if isinstance(shape, RoundBox) else float(inner_polygon(shape).length)
    density = mixed_g_per_ml(project.silicone)
    minutes = pot_life_min(project.silicone, project.pour.temperature_c)
    return leak_ml(gap_mm, joint, head, viscosity, density, minutes)


GLUE_MPA: Final = 0.05
GLUE_SAFETY: Final = 5.0
"""Least strength of a thin glue line under masters, and how many times over it must hold. From memory; low values."""


@dataclass(frozen=True, slots=True)
class Uplift:
    """A master that silicone would lift if it got under its back.

    Parameters
    ----------
    master : str
    density_g_per_ml : float
        Of the master.
    force_n : float
        Upwards on one master; negative if it stays down by its weight.
    glue_mm2 : float
        Glue each needs; 0 if it does not float.
    glued_mm2 : float
        The back it has.
    """

    master: str
    density_g_per_ml: float
    force_n: float
    glue_mm2: float
    glued_mm2: float


def uplifts(project: Project, densities: Sequence[float] | None = None) -> tuple[Uplift, ...]:
    """Return how hard each master wants to float.

    Parameters
    ----------
    project : Project
    densities : sequence of float, optional
        Of each master in turn, g/mL (mass over volume for hollow ones); None: its own, else that of the project's
        resin.
    """
    silicone = mixed_g_per_ml(project.silicone)
    resin = mixed_g_per_ml(project.resin)
    each = densities or [m.density_g_per_ml or resin for m in project.masters]
    found = []
    for master, density in zip(project.masters, each, strict=True):
        force = uplift_n(master.volume_ml, density, silicone)
        found.append(Uplift(master.name, density, force, glue_area_mm2(force), master.glued_area_mm2))
    return tuple(found)


def uplift_n(volume_ml: float, master_g_per_ml: float, silicone_g_per_ml: float) -> float:
    """Return the buoyant force less the weight, N."""
    return (silicone_g_per_ml - master_g_per_ml) * volume_ml * GRAVITY_M_PER_S2 / 1000.0


def glue_area_mm2(force_n: float) -> float:
    """Return the glue a force needs, mm2; 0 for a master that stays down.

    Examples
    --------
    >>> round(glue_area_mm2(6.4) / 100.0, 1)
    6.4
    """
    return max(0.0, force_n * GLUE_SAFETY / GLUE_MPA)
