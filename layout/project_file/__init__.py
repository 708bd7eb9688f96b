"""Project to JSON and back: typed by the model itself, checked field by field, written so the old file survives."""

import contextlib
import json
import os
import shutil
from pathlib import Path
from typing import Any, Final

from layout.errors import BadFileError, CannotWriteError, NewerVersionError
from layout.model import CURRENT_VERSION, Project
from layout.project_file.fields import from_plain, to_plain, with_unknown
from layout.project_file.limits import check_project
from layout.safe_write import move_over, write_beside

FORMAT: Final = "manymold"
SUFFIX: Final = ".manymold"
LARGEST_FILE_BYTES: Final = 64_000_000
"""A project of 1,000 cavities takes about 0.2 MB; a file this large is not one."""
DEEPEST: Final = 64
"""Levels of brackets; the project's own are 7."""


def load(path: str | os.PathLike[str]) -> Project:
    """Return the project in a file.

    Raises
    ------
    BadFileError
        If it is missing, a folder, not a project, or damaged; the sentence names the field.
    NewerVersionError
        If a newer version wrote it.
    """
    where = str(path)
    return from_text(_read(Path(path), where), where)


def _read(path: Path, where: str) -> str:
    try:
        is_folder, size = path.is_dir(), path.stat().st_size
        data = b"" if is_folder or size > LARGEST_FILE_BYTES else path.read_bytes()
    except FileNotFoundError as error:
        raise BadFileError(where, "there is no such file", "check the name and the folder") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name can't be used"
        raise BadFileError(where, f"it can't be read ({reason.lower()})", "check its name and rights") from error
    if is_folder:
        raise BadFileError(where, "it is a folder", f"name a {SUFFIX} file")
    if size > LARGEST_FILE_BYTES:
        raise BadFileError(where, "it is too large to be a project", f"name a {SUFFIX} file")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadFileError(where, "it is not a project: not UTF-8 text", f"name a {SUFFIX} file") from error


def from_text(text: str, where: str) -> Project:
    """Return the project in a text; see `load`."""
    document = _document(text, where)
    _check_version(document, where)
    project = from_plain(document, where)
    check_project(project, where)
    return project


def _document(text: str, where: str) -> dict[str, Any]:
    if _depth(text) > DEEPEST:
        raise BadFileError(where, f"it is nested deeper than {DEEPEST} levels", "restore an older copy")

    def no_number(name: str) -> Any:
        raise BadFileError(where, f"{name} stands where a number must be", "restore an older copy")

    def object_of(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) != len(pairs):
            names = [name for name, _ in pairs]
            twice = next(name for name in names if names.count(name) > 1)
            raise BadFileError(where, f"the field {twice!r} stands there twice", "restore an older copy")
        return found

    try:
        document = json.loads(text, parse_constant=no_number, object_pairs_hook=object_of)
    except (ValueError, RecursionError) as error:
        if isinstance(error, BadFileError):
            raise
        line = f" at line {error.lineno}" if isinstance(error, json.JSONDecodeError) else ""
        raise BadFileError(where, f"it is not a project or is damaged{line}", "restore an older copy") from error
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise BadFileError(where, f"it is not a project of this program: no format {FORMAT!r}", f"name a {SUFFIX} file")
    return document


def _depth(text: str) -> int:
    """Return how deep brackets are nested, those in strings left out."""
    depth = deepest = 0
    in_string = escaped = False
    for c in text:
        if in_string:
            if escaped:
                escaped = False
            elif c == "\\":
                escaped = True
            elif c == '"':
                in_string = False
        elif c == '"':
            in_string = True
        elif c in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif c in "]}":
            depth -= 1
    return deepest


def _check_version(document: dict[str, Any], where: str) -> None:
    version = document.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise BadFileError(where, "the field version is no whole number from 1", "restore an older copy")
    if version > CURRENT_VERSION:
        raise NewerVersionError(
            where,
            f"a newer version of the program wrote it (file version {version}, known up to {CURRENT_VERSION})",
            "open it with that version",
        )


def to_text(project: Project) -> str:
    """Return the project as the text of its file: one field or one cavity a line, for people who compare files."""
    document = {"format": FORMAT, "version": CURRENT_VERSION, **to_plain(project)}
    document = with_unknown(document, project.unknown)
    lines = ",\n".join(f" {_json(name)}: {_block(value)}" for name, value in document.items())
    return "{\n" + lines + "\n}\n"


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _block(value: Any) -> str:
    if isinstance(value, list) and value and all(isinstance(v, dict) for v in value):
        return "[\n" + ",\n".join(f"  {_json(v)}" for v in value) + "\n ]"
    return _json(value)


def save(project: Project, path: str | os.PathLike[str], *, keep_backup: bool = False) -> None:
    """Write a project whole or not at all: beside its place first, to the disk, then moved over the old file.

    Parameters
    ----------
    project : Project
    path : path
        A link is followed: the file it points to is replaced.
    keep_backup : bool
        Keep the old file as ``NAME.manymold.bak``.

    Raises
    ------
    CannotWriteError
        If the folder is missing or can't be written, or the disk is full; the old file is as it was.
    """
    where = str(path)
    try:
        check_project(project, where)
    except BadFileError as error:
        raise CannotWriteError(where, error.problem, "undo the last change") from error
    data = to_text(project).encode("utf-8")
    try:
        target = Path(path).resolve()
        if target.is_dir():
            raise CannotWriteError(where, "it is a folder", "give the name of a file")
        if not target.parent.is_dir():
            raise CannotWriteError(where, f"there is no folder {target.parent}", "make the folder first")
        _replace(target, data, keep_backup=keep_backup)
    except CannotWriteError:
        raise
    except (OSError, ValueError, RuntimeError) as error:
        reason = getattr(error, "strerror", None) or "the name can't be used"
        raise CannotWriteError(
            where, f"it can't be written ({reason.lower()})", "choose another folder or make room"
        ) from error


def _replace(target: Path, data: bytes, *, keep_backup: bool) -> None:
    beside = write_beside(target, data)
    try:
        if keep_backup and target.exists():
            _copy_beside(target, target.with_name(target.name + ".bak"))
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    move_over(beside, target)
    _sync_folder(target.parent)


def _copy_beside(target: Path, backup: Path) -> None:
    move_over(write_beside(backup, target.read_bytes()), backup)
    shutil.copystat(target, backup)


def _sync_folder(folder: Path) -> None:
    """Put the new name on the disk too, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
