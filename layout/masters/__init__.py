"""Readers: simple solids, outlines and meshes to a Master; one face, `read_master`."""

from collections.abc import Callable, Collection
from pathlib import Path
from typing import Final

from layout.errors import BadFileError, BadValueError, NotYetError
from layout.masters.simple import Solid, is_simple, read_simple
from layout.model import Master, MasterId, Turn
from layout.tolerances import LONGEST_LENGTH_MM, SHORTEST_PART_MM
from layout.units import LengthUnit, parse_length_mm

MOST_WANTED: Final = 100_000
LONGEST_NAME: Final = 80

_LATER: Final = {
    ".svg": "save the outline as DXF and give it as NAME.dxf@HEIGHT",
    ".png": "draw the outline as DXF and give it as NAME.dxf@HEIGHT",
    ".jpg": "draw the outline as DXF and give it as NAME.dxf@HEIGHT",
    ".3mf": "save the part as STL",
    ".step": "save the part as STL",
    ".stp": "save the part as STL",
}


def read_master(
    spec: str,
    *,
    height_mm: float | None = None,
    units: LengthUnit | None = None,
    name: str | None = None,
    count: int | None = None,
    turn: Turn | None = None,
    taken_ids: Collection[str] = (),
) -> Master:
    """Return the master that a text or a file describes.

    Parameters
    ----------
    spec : str
        A simple solid (``hex:19.05x6.35+dome:16x3``), an outline at a height (``bracket.dxf@8``) or a mesh
        (``part.stl``). An existing file of exactly this name wins; the height is read from the right.
    height_mm : float, optional
        Height of an outline, in place of the ``@8``.
    units : {"mm", "in"}, optional
        Unit of a file that does not say it; wins over what the file says.
    name : str, optional
        Shown to the user; by default the solid's kind or the file's name without its ending.
    count : int, optional
        How many are wanted in a mixed box.
    turn : Turn, optional
        The turns it may take.
    taken_ids : collection of str
        Ids the new master must not have.

    Raises
    ------
    BadValueError
        If the text can't be read, or an option does not go with this kind of master.
    BadFileError
        If the file is missing, damaged or not what its name says.
    BadOutlineError
        If an outline is open, crosses itself or is not one.
    NotYetError
        If this version can't read such a file.
    """
    if count is not None and not 1 <= count <= MOST_WANTED:
        raise BadValueError("--count", f"{count} is no number of parts", f"give 1 to {MOST_WANTED}")
    path, typed_height = _file_of(spec)
    if path is None and is_simple(spec):
        if height_mm is not None or units is not None:
            option = "--height" if height_mm is not None else "--units"
            raise BadValueError(option, f"it does not go with {spec!r}", "leave it out, the sizes say it all")
        solid, default = read_simple(spec, "--master"), spec.partition(":")[0].strip().lower()
    else:
        if path is None:
            path, typed_height = _missing_file(spec)
        if height_mm is None and typed_height is not None:
            height_mm = parse_length_mm(typed_height, "--master")
        solid, default = _read_file(path, height_mm, units), path.stem
    source = spec.strip() if path is None else path.name.encode("utf-8", "replace").decode()
    shown = _checked_name(name if name is not None else default, given=name is not None)
    return Master(
        id=_free_id(shown, taken_ids),
        name=shown,
        source=source,
        footprint=solid.footprint,
        height_mm=solid.height_mm,
        volume_ml=solid.volume_mm3 / 1000.0,
        glued_area_mm2=solid.glued_area_mm2,
        surface_mm2=solid.surface_mm2,
        undercut=solid.undercut,
        turn=turn,
        wanted=count,
        silhouette_mm2=solid.footprint_area_mm2,
        holes=solid.holes,
    )


def _file_of(spec: str) -> tuple[Path | None, str | None]:
    """Return the existing file that a spec names, and the height typed behind it."""
    if _exists(spec):
        return Path(spec), None
    name, at, height = spec.rpartition("@")
    if at and _exists(name):
        return Path(name), height
    return None, None


def _exists(name: str) -> bool:
    try:
        return bool(name) and Path(name).exists()
    except (OSError, ValueError):
        return False


def _missing_file(spec: str) -> tuple[Path, str | None]:
    """Return what a spec for a file that is not there means; raises unless its ending is told first to be unknown."""
    name, at, height = spec.rpartition("@")
    name = name if at else spec
    try:
        suffix = Path(name).suffix.lower()
    except ValueError:
        suffix = ""
    if suffix in _READERS:
        raise BadFileError(_shown(name), "there is no such file", "check the name and the folder")
    if suffix in _LATER:
        return Path(name), height or None
    raise BadValueError(
        "--master",
        f"{_shown(spec)!r} is neither a file nor a solid",
        "write it like hex:19x6, bracket.dxf@8 or part.stl",
    )


def _shown(text: str) -> str:
    return text if len(text) <= LONGEST_NAME else f"{text[:LONGEST_NAME]}..."


def _read_file(path: Path, height_mm: float | None, units: LengthUnit | None) -> Solid:
    suffix = path.suffix.lower()
    if suffix in _LATER:
        raise NotYetError(path.name, f"this version does not read {suffix} files", _LATER[suffix])
    if path.is_dir():
        raise BadFileError(_shown(str(path)), "it is a folder", "name a file in it")
    reader = _READERS.get(suffix)
    if reader is None:
        raise BadFileError(
            _shown(path.name),
            f"files ending in {suffix or 'nothing'} are not known",
            f"give a {', '.join(READABLE[:-1])} or {READABLE[-1]} file",
        )
    if suffix == ".dxf":
        if height_mm is None:
            raise BadValueError(path.name, "an outline has no height", f"write it like {path.name}@8 or add --height 8")
        if not SHORTEST_PART_MM <= height_mm <= LONGEST_LENGTH_MM:
            raise BadValueError(path.name, f"a height of {height_mm:g} mm", "give the part's height, above 0")
    elif height_mm is not None:
        raise BadValueError("--height", f"{path.name} has its own height", "leave it out")
    return reader(path, height_mm, units)


def _outline(path: Path, height_mm: float | None, units: LengthUnit | None) -> Solid:
    from layout.masters.outline import read_outline

    return read_outline(path, height_mm or 0.0, units)


def _mesh(path: Path, _height_mm: float | None, units: LengthUnit | None) -> Solid:
    from layout.masters.mesh import read_mesh

    return read_mesh(path, units)


_READERS: Final[dict[str, Callable[[Path, float | None, LengthUnit | None], Solid]]] = {
    ".dxf": _outline,
    ".stl": _mesh,
    ".obj": _mesh,
}


READABLE: Final = tuple(_READERS)
"""The endings of files that can be read."""


def _checked_name(name: str, *, given: bool) -> str:
    shown = " ".join("".join(c if c.isprintable() else " " for c in name).split())
    if given and (not shown or len(shown) > LONGEST_NAME):
        raise BadValueError("--name", f"{_shown(name)!r} is no name", f"give 1 to {LONGEST_NAME} letters")
    return shown[:LONGEST_NAME] or "part"


def _free_id(name: str, taken: Collection[str]) -> MasterId:
    """Return an id that can be typed in a list and before a colon: letters, digits, dots, dashes, underlines."""
    base = "-".join("".join(c if c.isalnum() or c in "._-" else " " for c in name).split()) or "part"
    number, free = 1, base
    while free in taken:
        number += 1
        free = f"{base}-{number}"
    return MasterId(free)
