"""Whether a part is too large for its box or so odd in size that its unit is in doubt."""

import math
from typing import Final

import numpy as np
import shapely

from layout.errors import BadValueError
from layout.geometry import Disc, Footprint, cos_sin, footprint_polygon, footprint_size_mm
from layout.model import Master, Project, RoundBox, Turn
from layout.regions import inner_size_mm
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import length_text, plain_text

ODD_SMALL_MM: Final = 3.0
ODD_LARGE_MM: Final = 500.0
"""Parts smaller or larger than this are rarely cast in a gang mold; in a file in inches 3 in reads as 3 mm: common
practice, no source."""

ODD_TYPED_MM: Final = 1.0
"""A part typed no larger than this was rather meant in inches: smaller ones are not cast at a bench. Engineering
judgement."""

_STEP_DEG: Final = 0.5
_ANGLES: Final[dict[Turn, tuple[float, ...]]] = {"90": (0.0, 90.0), "180": (0.0,), "0": (0.0,)}


def size_warning(master: Master) -> str | None:
    """Return a sentence if the size of a part looks like a slip of unit, else None.

    Notes
    -----
    Small is judged by the footprint alone: the height of a drawing is typed, and a slip in the drawing leaves it right.
    """
    across = max(footprint_size_mm(master.footprint))
    from_file = master.source.lower().endswith((".stl", ".obj", ".dxf"))
    # a typed footprint that is too large is refused beside its box
    greatest = max(across, master.height_mm) if from_file else master.height_mm
    small = across < ODD_SMALL_MM if from_file else across <= ODD_TYPED_MM
    if not small and greatest <= ODD_LARGE_MM:
        return None
    said = (
        f"{plain_text(across, 4)} mm across"
        if small
        else f"{plain_text(greatest, 4)} mm {'at its longest' if from_file else 'high'}"
    )
    if not from_file:
        return f"{master.name}: the part is {said}; check its unit, a length without one is read in mm."
    return (
        f"{master.source}: the part is {said}; check its unit: if the file is not in millimetres, give --units in"
        " behind its --master."
    )


def refuse_larger_than_box(project: Project) -> None:
    """Raise BadValueError if a master does not fit in the empty box at any angle it may take, the edge left out.

    Notes
    -----
    Free turns are tried every half degree; a part is refused only if it is too large by more than a finer step could
    change. In a box of any outline its bounding box is what counts.
    """
    for master in project.masters:
        if not _fits(master.footprint, project, project.turn_of(master)):
            length, width = footprint_size_mm(master.footprint)
            size = f"{length_text(length, project.units)} by {length_text(width, project.units)}"
            raise BadValueError(
                master.name,
                f"the part of {size} is larger than the box",
                "give a larger box, with its unit if that is not mm",
            )


def _fits(footprint: Footprint, project: Project, turn: Turn) -> bool:
    shape = project.box.shape
    length, width = inner_size_mm(shape)
    if isinstance(shape, RoundBox):
        if isinstance(footprint, Disc):
            return footprint.radius_mm <= length / 2.0 + CLEARANCE_TOL_MM
        least = float(shapely.minimum_bounding_radius(footprint_polygon(footprint)))
        return least <= length / 2.0 + CLEARANCE_TOL_MM * 10.0
    if isinstance(footprint, Disc):
        return 2.0 * footprint.radius_mm <= min(length, width) + CLEARANCE_TOL_MM
    hull = shapely.get_coordinates(footprint_polygon(footprint).convex_hull)
    free = turn not in _ANGLES
    angles = np.arange(0.0, 180.0, _STEP_DEG) if free else np.array(_ANGLES[turn])
    # between two steps an extent changes by at most the diameter times half a step
    slack = CLEARANCE_TOL_MM + (2.0 * float(np.hypot(*hull.T).max()) * math.radians(_STEP_DEG / 2.0) if free else 0.0)
    for angle in angles:
        c, s = cos_sin(float(angle))
        dx, dy = np.ptp(hull[:, 0] * c - hull[:, 1] * s), np.ptp(hull[:, 0] * s + hull[:, 1] * c)
        if dx <= length + slack and dy <= width + slack:
            return True
    return False
