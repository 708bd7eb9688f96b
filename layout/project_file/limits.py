"""What a number in the file may be, field by field, and what must fit together."""

import dataclasses
import math
from collections.abc import Iterable
from functools import cache
from typing import Any, Final

import shapely

from layout.errors import BadFileError, BadOutlineError, BadValueError, UnknownNameError
from layout.geometry import Disc, clean_ring, footprint_polygon
from layout.limits import changed_limit
from layout.model import Master, OutlineBox, Project
from layout.project_file.fields import file_fields
from layout.tolerances import ARC_CHORD_TOL_MM, LONGEST_LENGTH_MM, POINT_MERGE_TOL_MM, SHORTEST_PART_MM
from layout.units import plain_text

_REMEDY: Final = "mend that field or restore an older copy"
_FARTHEST_MM: Final = 10.0 * LONGEST_LENGTH_MM
_POSITIVE: Final = 1e-9
_ANY: Final = (-1e9, 1e9)

LONGEST_TEXT: Final = 100_000

_BY_NAME: Final[dict[str, tuple[float, float]]] = {
    "x_mm": (-_FARTHEST_MM, _FARTHEST_MM),
    "y_mm": (-_FARTHEST_MM, _FARTHEST_MM),
    "angle_deg": (-1e6, 1e6),
    "height_mm": (SHORTEST_PART_MM, LONGEST_LENGTH_MM),
    "volume_ml": (1e-12, 1e9),
    "radius_mm": (SHORTEST_PART_MM / 2.0, LONGEST_LENGTH_MM),
    "diameter_mm": (SHORTEST_PART_MM, LONGEST_LENGTH_MM),
    "length_mm": (SHORTEST_PART_MM, LONGEST_LENGTH_MM),
    "width_mm": (SHORTEST_PART_MM, LONGEST_LENGTH_MM),
    "thickness_mm": (SHORTEST_PART_MM, LONGEST_LENGTH_MM),
    "tab_mm": (SHORTEST_PART_MM, LONGEST_LENGTH_MM),
    "tube_wall_mm": (SHORTEST_PART_MM, LONGEST_LENGTH_MM),
    "stock_mm": (SHORTEST_PART_MM, LONGEST_LENGTH_MM),
    "leftover_mm": (SHORTEST_PART_MM, LONGEST_LENGTH_MM),
    "stiffness_gpa": (1e-6, 1e4),
    "undercut": (0.0, 1e9),
    "wanted": (0, 100_000),
    "denominator": (0, 1024),
    "a_g_per_ml": (0.05, 25.0),
    "b_g_per_ml": (0.05, 25.0),
    "density_g_per_ml": (0.001, 25.0),
    "ratio_a": (_POSITIVE, 1e6),
    "ratio_b": (_POSITIVE, 1e6),
    "pot_life_min": (_POSITIVE, 1e6),
    "measured_pot_min": (_POSITIVE, 1e6),
    "measured_pot_at_c": (-60.0, 400.0),
    "pot_life_at_c": (-60.0, 400.0),
    "shrink": (-0.2, 0.2),
    "shore_a": (0.0, 100.0),
    "kit_a_g": (_POSITIVE, 1e9),
    "kit_b_g": (_POSITIVE, 1e9),
    "mold_life": (1, 1e6),
    "mass_exponent": (0.0, 2.0),
    "level_deg": (0.0, 45.0),
    "draft_deg": (0.0, 45.0),
    "pour_ml_per_s": (_POSITIVE, 1e6),
    "headroom": (1.0, 1000.0),
    "correction": (0.1, 10.0),
    "scale_step_g": (_POSITIVE, 1e9),
    "drop_g": (_POSITIVE, 1e9),
    "coat_cm2_per_min": (_POSITIVE, 1e6),
    "resin_ml_per_s": (_POSITIVE, 1e6),
    "waste_pct": (0.0, 1000.0),
    "humidity_pct": (0.0, 100.0),
    "altitude_m": (-500.0, 9000.0),
    "availability": (_POSITIVE, 1.0),
    "coats": (0, 1000),
    "coverage_mm2_per_ml": (_POSITIVE, 1e9),
    "parts": (1, 1e9),
    "days": (1, 1e6),
    "hours": (_POSITIVE, 24.0),
    "crew": (1, 10_000),
    "hands": (1, 10_000),
    "molds_per_operator": (1, 10_000),
    "single_molds": (0, 100_000),
    "spare_masters": (0, 100_000),
    "warn": _ANY,
    "refuse": _ANY,
}
_BY_ENDING: Final[tuple[tuple[str, tuple[float, float]], ...]] = (
    ("_mm", (0.0, LONGEST_LENGTH_MM)),
    ("_mm2", (0.0, 1e12)),
    ("_ml", (0.0, 1e9)),
    ("_g", (0.0, 1e9)),
    ("_min", (0.0, 1e7)),
    ("_c", (-60.0, 400.0)),
    ("_share", (0.0, 1.0)),
    ("_pct", (0.0, 1000.0)),
)
_OTHERS: Final = (0.0, 1e9)


@cache
def limits_of(name: str) -> tuple[float, float]:
    """Return the least and the greatest a number in a field of this name may be: by its name, else by its unit."""
    if name in _BY_NAME:
        return _BY_NAME[name]
    return next((limits for ending, limits in _BY_ENDING if name.endswith(ending)), _OTHERS)


def check_project(project: Project, where: str) -> None:
    """Raise BadFileError, naming the field, if a number is out of range or an id leads nowhere."""
    _check_numbers(project, "", "", where)
    _unique((m.id for m in project.masters), "masters", where)
    _unique((c.id for c in project.cavities), "cavities", where)
    _unique((k.id for k in project.keep_outs), "keep_outs", where)
    _unique(project.pour_order, "pour_order", where)
    for i, change in enumerate(project.limits):
        try:
            changed_limit(change.kind, change.warn, change.refuse)
        except UnknownNameError:
            continue  # of a newer version: nothing asks for it
        except BadValueError as error:
            raise _bad(where, f"limits[{i}]", error.problem) from error
    masters = {m.id for m in project.masters}
    for i, cavity in enumerate(project.cavities):
        if cavity.master not in masters:
            raise _bad(where, f"cavities[{i}].master", f"there is no master {cavity.master!r}")
    cavities = {c.id for c in project.cavities}
    for i, cavity_id in enumerate(project.pour_order):
        if cavity_id not in cavities:
            raise _bad(where, f"pour_order[{i}]", f"there is no cavity {cavity_id!r}")
    for i, master in enumerate(project.masters):
        _check_footprint(master, f"masters[{i}].footprint.points", where)
        _check_holes(master, f"masters[{i}].holes", where)
    if isinstance(project.box.shape, OutlineBox):
        ring = _ring(project.box.shape.points, "box.shape.points", where)
        if max(abs(min(x for x, _ in ring)), abs(min(y for _, y in ring))) > POINT_MERGE_TOL_MM:
            raise _bad(where, "box.shape.points", "the bounding box does not start at 0, 0")


def _bad(where: str, field: str, problem: str) -> BadFileError:
    return BadFileError(where, f"the field {field} is wrong: {problem}", _REMEDY)


def _unique(ids: Iterable[str], field: str, where: str) -> None:
    seen: set[str] = set()
    for i, name in enumerate(ids):
        if not name or name in seen:
            raise _bad(where, f"{field}[{i}]", f"the id {name!r} stands there twice" if name else "the id is empty")
        seen.add(name)


def _check_numbers(value: Any, name: str, path: str, where: str) -> None:
    if isinstance(value, tuple):
        for i, member in enumerate(value):
            _check_numbers(member, "x_mm" if name in {"", "points", "holes"} else name, f"{path}[{i}]", where)
    elif isinstance(value, str):
        if len(value) > LONGEST_TEXT:
            raise _bad(where, path, f"the text is longer than {LONGEST_TEXT} letters")
        if not value.isascii() and any("\ud800" <= c <= "\udfff" for c in value):
            raise _bad(where, path, "the text holds half a letter")
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        least, most = limits_of(name)
        if not math.isfinite(value) or not least <= value <= most:
            raise _bad(where, path, f"{plain_text(value, 12)} is not in {plain_text(least)} to {plain_text(most)}")
    # last: of a thousand cavities nearly all values are numbers and texts
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        for field, _ in file_fields(type(value)):
            step = f"{path}.{field.name}" if path else field.name
            _check_numbers(getattr(value, field.name), field.name, step, where)


def _check_footprint(master: Master, field: str, where: str) -> None:
    if isinstance(master.footprint, Disc):
        return
    ring = _ring(master.footprint.points, field, where)
    xs, ys = zip(*ring, strict=True)
    if max(abs(min(xs) + max(xs)), abs(min(ys) + max(ys))) > 2.0 * POINT_MERGE_TOL_MM:
        raise _bad(where, field, "the outline is not centred on 0, 0")


def _check_holes(master: Master, field: str, where: str) -> None:
    if not master.holes:
        return
    room = footprint_polygon(master.footprint).buffer(ARC_CHORD_TOL_MM)
    for i, points in enumerate(master.holes):
        if not room.covers(shapely.Polygon(_ring(points, f"{field}[{i}]", where))):
            raise _bad(where, f"{field}[{i}]", "the hole reaches out of the footprint")


def _ring(points: tuple[tuple[float, float], ...], field: str, where: str) -> tuple[tuple[float, float], ...]:
    try:
        ring = clean_ring(points, where)
    except BadOutlineError as error:
        raise _bad(where, field, error.problem) from error
    if ring != points:
        raise _bad(where, field, "the outline repeats a point or runs clockwise")
    return ring
