"""A DXF file to the pieces drawn in it, in mm; what is no line of an outline is left out."""

import logging
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import numpy as np

from layout.errors import BadFileError
from layout.geometry import XY
from layout.masters.pieces import Arc, Curve, Line, Piece, spline_curve
from layout.tolerances import POINT_MERGE_TOL_MM
from layout.units import MM_PER_INCH, LengthUnit

LARGEST_FILE_BYTES: Final = 40_000_000
MOST_PIECES: Final = 50_000
MOST_CURVE_POINTS: Final = 20_000
DEEPEST_INSERT: Final = 12
FARTHEST_MM: Final = 1e7
LARGEST_RADIUS_MM: Final = 1e9

_MM_OF_HEADER: Final = {
    1: MM_PER_INCH,
    2: 304.8,
    4: 1.0,
    5: 10.0,
    6: 1000.0,
    9: 0.0254,
    10: 914.4,
    13: 0.001,
    14: 100.0,
}
"""$INSUNITS of the DXF reference: inches, feet, mm, cm, m, mils, yards, microns, decimetres."""

_NAMES: Final = {
    1: "inches", 2: "feet", 4: "millimetres", 5: "centimetres", 6: "metres", 9: "thousandths of an inch", 10: "yards",
    13: "micrometres", 14: "decimetres",
}  # fmt: skip

_NO_UNIT_UNTIL: Final = "AC1009"
"""Release R12: programs that save in it leave or drop $INSUNITS, which came later, as they please."""

_MM_OF_OPTION: Final[dict[LengthUnit, float]] = {"mm": 1.0, "in": MM_PER_INCH}


def read_pieces(path: Path, units: LengthUnit | None) -> list[Piece]:
    """Return every line, arc and curve of a DXF file's model space, inserts resolved, in mm.

    Parameters
    ----------
    path : Path
    units : {"mm", "in"}, optional
        Unit of the drawing; wins over its header.

    Raises
    ------
    BadFileError
        If it is no readable DXF file, says no unit and none is given, or holds nothing to cut or far too much.
    """
    document = _open(path)
    scale = _MM_OF_OPTION[units] if units else _header_scale(document, path)
    reader = _Reader(document, path, scale)
    try:
        return reader.pieces()
    except BadFileError:
        raise
    except Exception as error:  # a damaged entity may fail anywhere in the library
        raise BadFileError(path.name, "a line in it is damaged", "export the drawing again") from error


def _open(path: Path) -> Any:
    # without a handler of its own the library's log would reach the user's screen
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    from ezdxf import recover
    from ezdxf.filemanagement import readfile

    try:
        size = path.stat().st_size
        if size > LARGEST_FILE_BYTES:
            raise BadFileError(
                path.name, f"it is larger than {LARGEST_FILE_BYTES // 1_000_000} MB", "export only the part"
            )
        with path.open("rb") as stream:
            head = stream.read(4096)
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise BadFileError(path.name, f"it can't be read ({reason})", "check its name and rights") from error
    if size == 0:
        raise BadFileError(path.name, "the file is empty", "export the drawing again")
    if not head.startswith(b"AutoCAD Binary DXF") and (b"\0" in head or b"SECTION" not in head):
        raise BadFileError(path.name, "it is not a DXF file", "export the drawing as DXF")
    try:
        return readfile(path)
    except Exception:
        try:
            return recover.readfile(path)[0]
        except Exception as error:
            raise BadFileError(path.name, "it is not a DXF file or is damaged", "export the drawing again") from error


def _header_scale(document: Any, path: Path) -> float:
    unit = document.header.get("$INSUNITS", 0)
    scale = _MM_OF_HEADER.get(unit) if document.dxfversion > _NO_UNIT_UNTIL else None
    if scale is None:
        problem = "the drawing does not say its unit" if not unit else f"its unit (number {unit}) is not known"
        if unit and document.dxfversion <= _NO_UNIT_UNTIL:
            named = f" (this one names {_NAMES[unit]})" if unit in _NAMES else ""
            problem = f"a drawing of release R12 has no field for its unit to rely on{named}"
        raise BadFileError(path.name, problem, "add --units mm or --units in behind its --master")
    return scale


class _Reader:
    """Walks the entities of one drawing; counts, so that nested inserts cannot explode."""

    def __init__(self, document: Any, path: Path, scale: float) -> None:
        self._document = document
        self._path = path
        self._scale = scale
        self._count = 0
        self._left_out: set[str] = set()
        self._hidden = {layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()} | {
            "defpoints"
        }

    def pieces(self) -> list[Piece]:
        """Return all pieces; refuse a drawing without any."""
        found = [piece for entity in self._document.modelspace() for piece in self._of(entity, 0)]
        if not found:
            only = f": only {', '.join(sorted(self._left_out)[:4])}" if self._left_out else ""
            raise BadFileError(self._path.name, f"it holds no outline{only}", "draw the outline with lines and arcs")
        if any(_is_absurd(piece) for piece in found):
            raise BadFileError(self._path.name, "a line in it lies kilometres away", "move the part near 0, 0")
        return found

    def _of(self, entity: Any, depth: int) -> Iterator[Piece]:
        self._count += 1
        if self._count > MOST_PIECES or depth > DEEPEST_INSERT:
            raise BadFileError(self._path.name, f"it holds more than {MOST_PIECES} lines", "export only the outline")
        kind = entity.dxftype()
        if entity.dxf.get("layer", "0").lower() in self._hidden or entity.dxf.get("invisible", 0):
            return
        if kind == "INSERT":
            inserts = entity.multi_insert() if entity.mcount > 1 else (entity,)
            for insert in inserts:
                for part in insert.virtual_entities():
                    yield from self._of(part, depth + 1)
        elif kind == "LWPOLYLINE" or (kind == "POLYLINE" and (entity.is_2d_polyline or entity.is_3d_polyline)):
            _straighten(entity, self._scale)
            for part in entity.virtual_entities():
                yield from self._of(part, depth + 1)
        elif kind in _PIECES:
            yield from _PIECES[kind](entity, self._scale)
        elif kind == "SPLINE":
            yield self._spline(entity)
        else:
            self._left_out.add(kind)

    def _spline(self, entity: Any) -> Piece:
        tool = entity.construction_tool()
        controls = np.array([(p[0], p[1]) for p in tool.control_points], dtype=np.float64) * self._scale
        weights = np.array(tool.weights(), dtype=np.float64)
        knots = np.array(tool.knots(), dtype=np.float64)
        curve = spline_curve(
            knots, controls, weights if len(weights) else None, int(tool.degree), most_points=MOST_CURVE_POINTS
        )
        if curve is None:
            raise BadFileError(self._path.name, "a spline in it is damaged or far too long", "redraw it with arcs")
        return curve


def _is_absurd(piece: Piece) -> bool:
    """Return whether a piece reaches where numbers are too coarse for a part, or its radius makes no sense."""
    if isinstance(piece, Arc) and not piece.greatest_radius_mm <= LARGEST_RADIUS_MM:
        return True
    points = piece.points if isinstance(piece, Curve) else (piece.start, piece.middle, piece.end)
    return not all(abs(x) <= FARTHEST_MM and abs(y) <= FARTHEST_MM for x, y in points)


def _xy(point: Any, scale: float) -> XY:
    x, y = float(point[0]) * scale, float(point[1]) * scale
    if not (math.isfinite(x) and math.isfinite(y)):
        raise ValueError("a coordinate is not a number")
    return x, y


def _straighten(polyline: Any, scale: float) -> None:
    """Take away bulges that rise less than a point's size: as arcs their radius would be too large to compute with."""
    light = polyline.dxftype() == "LWPOLYLINE"
    points = polyline.get_points("xyb") if light else [(*v.dxf.location.vec2, v.dxf.bulge) for v in polyline.vertices]
    following = [*points[1:], *points[:1]]
    for i, ((x, y, bulge), (x1, y1, _)) in enumerate(zip(points, following, strict=True)):
        if bulge and abs(bulge) * math.hypot(x1 - x, y1 - y) / 2.0 * scale < POINT_MERGE_TOL_MM:
            if light:
                polyline[i] = (*polyline[i][:4], 0.0)
            else:
                polyline.vertices[i].dxf.bulge = 0.0


def _line(entity: Any, scale: float) -> Iterator[Piece]:
    yield Line(_xy(entity.dxf.start, scale), _xy(entity.dxf.end, scale))


def _arc(entity: Any, scale: float) -> Iterator[Piece]:
    ocs, r = entity.ocs(), float(entity.dxf.radius)
    if r == 0.0:
        return
    first, sweep = 0.0, 2.0 * math.pi
    if entity.dxftype() == "ARC":
        first = math.radians(entity.dxf.start_angle)
        degrees = (entity.dxf.end_angle - entity.dxf.start_angle) % 360.0
        sweep = math.radians(degrees if degrees > 1e-9 else 360.0)
    yield Arc(
        _xy(ocs.to_wcs(entity.dxf.center), scale),
        _xy(ocs.to_wcs((r, 0.0, 0.0)), scale),
        _xy(ocs.to_wcs((0.0, r, 0.0)), scale),
        first,
        sweep,
    )


def _ellipse(entity: Any, scale: float) -> Iterator[Piece]:
    first = float(entity.dxf.start_param)
    sweep = (float(entity.dxf.end_param) - first) % (2.0 * math.pi)
    yield Arc(
        _xy(entity.dxf.center, scale),
        _xy(entity.dxf.major_axis, scale),
        _xy(entity.minor_axis, scale),
        first,
        sweep if sweep > 1e-9 else 2.0 * math.pi,
    )


_PIECES: Final = {"LINE": _line, "ARC": _arc, "CIRCLE": _arc, "ELLIPSE": _ellipse}
