"""The rigid master mold: a resin tray with N positives and side walls, from which gang molds are poured all alike.

The first gang mold lies on a pad of its own footprint, cavities up, in a larger box; resin fills the cavities, stands
round it and covers it. Turned over and emptied, the resin is a tray: its inside is the block of silicone, its floor
carries the positives, and the pad has left the side that stands above the fill line.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import shapely
from shapely.geometry import Polygon

from layout.errors import BadValueError
from layout.geometry import Disc, Footprint, centred_outline
from layout.materials.catalogue import find_mix
from layout.model import (
    Box,
    Cavity,
    CavityId,
    Master,
    MasterId,
    Mix,
    OutlineBox,
    Project,
    RectBox,
    RoundBox,
    Rules,
)
from layout.pour.mixing import mixed_g_per_ml
from layout.regions import inner_area_mm2, inner_size_mm
from layout.shop import RigidSettings
from layout.units import length_text, mass_text, plain_text, volume_text
from layout.volumes import pour_height_mm, volumes

USUAL_RESIN: Final = "slow tray urethane"
"""The catalogue's resin for trays: at the mass of a tray it has the pot life that `LEAST_POT_LIFE_MIN` asks for, which
the filled one has not. Common practice, no source."""

BLOCK: Final = MasterId("gang-mold")
LAYER_MM: Final = 12.0
"""Resin thicker than this is poured in layers where it heats. Common practice, no source."""
LEAST_POT_LIFE_MIN: Final = 15.0
"""Pot life that a tray's resin should have left at its own mass. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class RigidMaster:
    """The tray and what it takes.

    Parameters
    ----------
    resin_ml, mass_g : float
        Resin of the tray, net, and its mass at the mixed density.
    outer_mm : (float, float, float)
        Length, width and height of the tray outside.
    block_rim_mm, block_back_mm : (float, float)
        The silicone block where its cavities open, and at the far end of its pad; alike without draft.
    block_ml : float
        Inside of the tray up to its rim, positives not taken off.
    fill_height_mm : float
        From the tray's floor to the fill line of a further mold.
    silicone_per_mold_ml : float
        Silicone of each further gang mold, net.
    pad_top_mm, pad_bottom_mm : (float, float)
        The pad under the block: where the block lies on it, and on the board; a frustum with draft, alike without.
    strip_mm : float
        Thickness of the wedge strips at the base of the gang mold's box that give the draft.
    layers : int
        Pours of at most `LAYER_MM` thickness.
    """

    resin_ml: float
    mass_g: float
    outer_mm: tuple[float, float, float]
    block_rim_mm: tuple[float, float]
    block_back_mm: tuple[float, float]
    block_ml: float
    fill_height_mm: float
    silicone_per_mold_ml: float
    strip_mm: float
    layers: int
    pad_top_mm: tuple[float, float]
    pad_bottom_mm: tuple[float, float]

    @property
    def layer_mm(self) -> float:
        """Thickness of each of its layers."""
        return self.outer_mm[2] / self.layers


def tray_resin(project: Project) -> Mix:
    """Return the resin of the tray: the project's own choice, else the catalogue's `USUAL_RESIN`."""
    return project.tray_resin or find_mix(USUAL_RESIN, "resin", "rigid master mold")


def rigid_master(project: Project, settings: RigidSettings | None = None) -> RigidMaster:
    """Return the rigid master mold of a layout.

    Parameters
    ----------
    project : Project
        With the cavities of the gang mold; its box is the gang mold's.
    settings : RigidSettings, optional
        Else those of the project's order.

    Raises
    ------
    BadValueError
        If a thickness is negative or not finite, the gap or the back is 0, or the draft is not from 0 to 30 degrees.

    Notes
    -----
    Without draft ``V = (L + 2 g)(W + 2 g)(Hp + fb + tb) - L W (Hp + fb) + N Vp``. With draft the outside of the block
    (and of its pad, in one) is a frustum: L x W where the cavities open, wider by ``tan(draft)`` a side for each mm of
    height, so that the edge keeps its thickness and the block comes out of the tray; the gap is kept at the widest
    place. The volume is Simpson's rule, exact for it.
    """
    chosen = _checked(settings or project.order.rigid)
    height = pour_height_mm(project)
    block_height = height + chosen.freeboard_mm
    masters_ml = volumes(project).masters_ml
    tray = tray_project(project, chosen)
    inside = volumes(tray)
    length, width = inner_size_mm(tray.box.shape)
    lean = math.tan(math.radians(chosen.draft_deg))
    rim = inner_size_mm(project.box.shape)
    back = (rim[0] + 2.0 * lean * block_height, rim[1] + 2.0 * lean * block_height)
    total = block_height + chosen.back_mm
    return RigidMaster(
        resin_ml=inside.net_ml,
        mass_g=inside.net_ml * mixed_g_per_ml(tray.silicone),
        outer_mm=(length, width, total),
        block_rim_mm=rim,
        block_back_mm=back,
        block_ml=_leaning_ml(project, block_height, lean),
        fill_height_mm=height,
        silicone_per_mold_ml=_leaning_ml(project, height, lean) - masters_ml,
        strip_mm=lean * height,
        layers=math.ceil(total / LAYER_MM - 1e-9),
        pad_top_mm=(rim[0] + 2.0 * lean * height, rim[1] + 2.0 * lean * height),
        pad_bottom_mm=back,
    )


def tray_project(project: Project, settings: RigidSettings | None = None) -> Project:
    """Return the tray's own box as a project: the gang mold on its pad is the one master in it, the resin is poured.

    Its panels, template, pour sheet and checks come from the same code as those of any other box.
    """
    chosen = _checked(settings or project.order.rigid)
    height = pour_height_mm(project) + chosen.freeboard_mm
    lean = math.tan(math.radians(chosen.draft_deg))
    block_ml = _leaning_ml(project, height, lean) - volumes(project).masters_ml
    footprint = _block_footprint(project, lean * height)
    shape = _grown_shape(project, lean * height + chosen.gap_mm)
    block = Master(
        BLOCK, "gang mold, cavities up, on its pad", "gang mold", footprint, height, block_ml,
        glued_area_mm2=_area_mm2(project, lean * height), turn="0",
        density_g_per_ml=max(0.001, _mold_g(project, lean) / block_ml),
    )  # fmt: skip
    length, width = inner_size_mm(shape)
    return replace(
        project,
        name=f"{project.name}: rigid master mold",
        box=Box(shape, project.box.sheet, project.box.thickness_mm, project.box.joint, project.box.base),
        masters=(block,),
        rules=Rules(chosen.gap_mm, chosen.gap_mm, chosen.back_mm, project.rules.freeboard_mm, "0"),
        cavities=(Cavity(CavityId("c1"), BLOCK, length / 2.0, width / 2.0, pinned=True),),
        keep_outs=(),
        silicone=tray_resin(project),
        pour=replace(project.pour, level_deg=0.0, degas=False),
        pour_order=(),
        overrides=(),
        log=(),
    )


def steps(project: Project, tray: RigidMaster, settings: RigidSettings | None = None) -> tuple[str, ...]:
    """Return the steps of making the tray, in order, as sentences with this mold's numbers."""
    chosen = settings or project.order.rigid

    def mm(value_mm: float) -> str:
        return length_text(value_mm, project.units, decimals=1)

    length, width, height = tray.outer_mm
    is_round = isinstance(project.box.shape, RoundBox)

    def size(pair_mm: tuple[float, float]) -> str:
        return f"{mm(pair_mm[0])} across, round" if is_round else f"{mm(pair_mm[0])} x {mm(pair_mm[1])}"

    drafted = (
        f"Line the gang mold's box with wedge strips {mm(tray.strip_mm)} thick at the base, running out at the"
        f" pour line, in a box that much longer and wider on each side: the block is {size(tray.block_rim_mm)} where"
        f" its cavities open and {size(tray.pad_top_mm)} at its back, leaning {chosen.draft_deg:g} degrees."
        if chosen.draft_deg > 0
        else "The sides have no draft: leave a notch or an air hole to break the suction when the mold is pulled."
    )
    pad = _pad_words(tray, chosen, mm(chosen.freeboard_mm), size)
    pour = f"{volume_text(tray.resin_ml, project.units)}, {mass_text(tray.mass_g, project.units)}"
    layers = f" If it heats, pour {tray.layers} layers of {mm(tray.layer_mm)}." if tray.layers > 1 else ""
    lift = lift_g(project, tray)
    floats = (
        f"Pin or glue it down: the resin lifts it with up to {lift:.0f} g, the pad counted as weightless."
        if lift > 0.5
        else "Pin or glue it down, so that it does not shift."
    )
    return (
        "Make one gang mold without a flaw and look at every cavity: each flaw is copied into every mold.",
        drafted,
        f"Lay it cavities up on a level board, {pad}, in a box {size((length, width))} inside,"
        f" {mm(chosen.gap_mm)} clear all round at its widest.",
        floats,
        f"Apply release. Pour {pour} of {tray_resin(project).name}: it fills the cavities, stands round the mold"
        f" and covers it by {mm(chosen.back_mm)}, {mm(height)} in all.{layers}",
        "Let it cure flat, post-cure it as its data sheet says, turn it over and pull the gang mold and its pad out.",
        f"Fill bubbles, round every inner edge to {mm(3.0)} or more, seal.",
        "Test patch: pour a little of the silicone, mixed, on a sealed corner of the tray and wait one demold time at"
        " shop temperature. Sticky means the resin stops the cure: do not pour the mold.",
        f"Apply release and pour {volume_text(tray.silicone_per_mold_ml, project.units)} of silicone (net) to the"
        f" fill line, {mm(tray.fill_height_mm)} above the tray's floor. Write the mold's number in the log.",
    )


def _pad_words(tray: RigidMaster, chosen: RigidSettings, thick: str, size: Callable[[tuple[float, float]], str]) -> str:
    if chosen.freeboard_mm <= 0:
        return "without a pad: the tray will have no side above its fill line"
    if chosen.draft_deg <= 0:
        return (
            f"on a pad of its own footprint, {size(tray.pad_top_mm)}, {thick} thick: it leaves the side above the"
            " fill line"
        )
    return (
        f"on a pad {thick} thick with bevelled sides that go on where the block's end, {size(tray.pad_top_mm)} on top"
        f" and {size(tray.pad_bottom_mm)} at the bottom ({chosen.draft_deg:g} degrees): it leaves the side above the"
        " fill line"
    )


def lift_g(project: Project, tray: RigidMaster) -> float:
    """Return what lifts the gang mold and its pad off the board if resin gets under them, g; 0 if nothing does.

    Notes
    -----
    The resin pushed away, at its mixed density, less the silicone; what the pad weighs is left out, on the safe side.
    """
    pushed_ml = tray.block_ml - volumes(project).masters_ml
    return max(
        0.0,
        pushed_ml * mixed_g_per_ml(tray_resin(project)) - tray.silicone_per_mold_ml * mixed_g_per_ml(project.silicone),
    )


def _mold_g(project: Project, lean: float) -> float:
    """The silicone of the mold, g; its pad counts as weightless, on the safe side of what floats."""
    net_ml = _leaning_ml(project, pour_height_mm(project), lean) - volumes(project).masters_ml
    return net_ml * mixed_g_per_ml(project.silicone)


def _checked(settings: RigidSettings) -> RigidSettings:
    named = {"--gap": settings.gap_mm, "--back": settings.back_mm, "--freeboard": settings.freeboard_mm}
    for option, value in named.items():
        least = 0.0 if option == "--freeboard" else 0.1
        if not least <= value <= 500.0:
            raise BadValueError(option, f"{plain_text(value, 12)} mm makes no tray", f"give {least:g} to 500 mm")
    if not 0.0 <= settings.draft_deg <= 30.0:
        raise BadValueError("--draft", f"{settings.draft_deg!r} degrees is no draft", "give 0 to 30, usually 2 to 5")
    return settings


def _grown_shape(project: Project, by_mm: float) -> RectBox | RoundBox:
    shape = project.box.shape
    if isinstance(shape, RoundBox):
        return RoundBox(shape.diameter_mm + 2.0 * by_mm)
    length, width = inner_size_mm(shape)
    return RectBox(length + 2.0 * by_mm, width + 2.0 * by_mm)


def _block_polygon(points: tuple[tuple[float, float], ...], by_mm: float) -> Polygon:
    grown: Polygon = Polygon(points).buffer(by_mm, join_style="mitre", mitre_limit=10.0)
    return grown


def _block_footprint(project: Project, by_mm: float) -> Footprint:
    shape = project.box.shape
    if isinstance(shape, RoundBox):
        return Disc(shape.diameter_mm / 2.0 + by_mm)
    if isinstance(shape, OutlineBox):
        points = shapely.get_coordinates(_block_polygon(shape.points, by_mm).exterior)
        return centred_outline(points, "gang mold")
    x, y = shape.length_mm / 2.0 + by_mm, shape.width_mm / 2.0 + by_mm
    return centred_outline(((-x, -y), (x, -y), (x, y), (-x, y)), "gang mold")


def _area_mm2(project: Project, by_mm: float) -> float:
    shape = project.box.shape
    if by_mm == 0.0:
        return inner_area_mm2(shape)
    if isinstance(shape, OutlineBox):
        return float(_block_polygon(shape.points, by_mm).area)
    return inner_area_mm2(_grown_shape(project, by_mm))


def _leaning_ml(project: Project, height_mm: float, lean: float) -> float:
    low, middle, top = (_area_mm2(project, lean * height_mm * share) for share in (0.0, 0.5, 1.0))
    return height_mm * (low + 4.0 * middle + top) / 6000.0
