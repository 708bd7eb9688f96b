"""STL and OBJ files to triangles; what a file claims is checked against its size before memory is asked for."""

import re
from pathlib import Path
from typing import Final

import numpy as np

from layout.errors import BadFileError
from layout.geometry import FloatArray

LARGEST_FILE_BYTES: Final = 150_000_000
MOST_TRIANGLES: Final = 1_000_000
MOST_TRAILING_BYTES: Final = 512
"""Some programs write a few bytes behind the last triangle."""

_HEADER: Final = 80
_RECORD: Final = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
_VERTEX: Final = re.compile(rb"^\s*vertex\s+(\S+)\s+(\S+)\s+(\S+)\s*$", re.MULTILINE | re.IGNORECASE)
_FACET: Final = re.compile(rb"^\s*facet\b", re.MULTILINE | re.IGNORECASE)


def read_triangles(path: Path) -> FloatArray:
    """Return the triangles of an STL (text or binary) or OBJ file, shape (n, 3, 3), in the file's unit.

    Raises
    ------
    BadFileError
        If it can't be read, is no mesh, is damaged, or holds or claims too much.
    """
    data = _data(path)
    try:
        triangles = _obj(data, path.name) if path.suffix.lower() == ".obj" else _stl(data, path.name)
    except (ValueError, IndexError, OverflowError) as error:
        if isinstance(error, BadFileError):
            raise
        raise BadFileError(path.name, "a number in it can't be read", "export the part again") from error
    if len(triangles) == 0:
        raise BadFileError(path.name, "it holds no triangle", "export the part again")
    if not np.isfinite(triangles).all() or np.abs(triangles).max() > 1e9:
        raise BadFileError(path.name, "it holds a coordinate that is no place", "export the part again")
    return triangles


def _data(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE_BYTES:
            limit = f"it is larger than {LARGEST_FILE_BYTES // 1_000_000} MB"
            raise BadFileError(path.name, limit, "export the part with fewer triangles")
        data = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise BadFileError(path.name, f"it can't be read ({reason})", "check its name and rights") from error
    if not data:
        raise BadFileError(path.name, "the file is empty", "export the part again")
    return data


def _refuse_too_many(count: int, where: str) -> None:
    if count > MOST_TRIANGLES:
        raise BadFileError(where, f"it has {count} triangles, more than {MOST_TRIANGLES}", "export it coarser")


def _stl(data: bytes, where: str) -> FloatArray:
    claimed = int.from_bytes(data[_HEADER : _HEADER + 4], "little") if len(data) >= _HEADER + 4 else -1
    held = (len(data) - _HEADER - 4) // _RECORD.itemsize
    # some programs write "solid" in binary files too: the length decides
    beyond = len(data) - (_HEADER + 4 + claimed * _RECORD.itemsize)
    if claimed >= 0 and 0 <= beyond <= (0 if data[:5].lower() == b"solid" else MOST_TRAILING_BYTES):
        _refuse_too_many(claimed, where)
        return np.frombuffer(data, _RECORD, claimed, _HEADER + 4)["corners"].astype(np.float64)
    if data.lstrip()[:5].lower() == b"solid":
        return _text_stl(data, where)
    if claimed > held:
        raise BadFileError(
            where, f"its header claims {claimed} triangles but it holds {max(held, 0)}", "export the part again"
        )
    raise BadFileError(where, "it is not an STL file or is damaged", "export the part again")


def _text_stl(data: bytes, where: str) -> FloatArray:
    facets = len(_FACET.findall(data))
    _refuse_too_many(facets, where)
    rows = _VERTEX.findall(data)
    if len(rows) != 3 * facets:
        raise BadFileError(
            where, f"it is damaged: {facets} triangles with {len(rows)} corners", "export the part again"
        )
    return np.array([[float(v) for v in row] for row in rows], dtype=np.float64).reshape(-1, 3, 3)


def _obj(data: bytes, where: str) -> FloatArray:
    """Return the faces of an OBJ file, those of more corners as fans."""
    corners: list[tuple[float, float, float]] = []
    faces: list[tuple[int, int, int]] = []
    for line in data.splitlines():
        words = line.split()
        if words[:1] == [b"v"] and len(words) >= 4:
            corners.append((float(words[1]), float(words[2]), float(words[3])))
        elif words[:1] == [b"f"]:
            ring = [_index(word, len(corners), where) for word in words[1:]]
            faces.extend((ring[0], ring[k], ring[k + 1]) for k in range(1, len(ring) - 1))
            _refuse_too_many(len(faces), where)
    if not faces:
        raise BadFileError(where, "it holds no face", "export the part again")
    return np.array(corners, dtype=np.float64)[np.array(faces, dtype=np.int64)]


def _index(word: bytes, count: int, where: str) -> int:
    number = int(word.split(b"/")[0])
    index = number - 1 if number > 0 else count + number
    if not 0 <= index < count:
        raise BadFileError(where, f"a face names corner {number}, which is not there", "export the part again")
    return index
