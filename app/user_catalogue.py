"""The user's own catalogue on disk: materials typed in or changed, the shelf, the small molds kept ready.

It lies in the user's data folder (``XDG_DATA_HOME``, ``APPDATA`` or ``~/Library/Application Support``) and is laid over
the program's own. Written beside its place and moved over it, so that a crash leaves the old one.
"""

import os
import sys
from pathlib import Path
from typing import Final

from app.commands.exporting import write_export
from layout.errors import BadFileError, CannotWriteError
from layout.materials import Catalogue, built_in, read_catalogue, write_catalogue

FILE_NAME: Final = "materials.json"
LARGEST_BYTES: Final = 5_000_000
EMPTY: Final = Catalogue((), (), ())


def data_folder() -> Path:
    """Return the folder the program keeps the user's data in; it may not exist yet."""
    if sys.platform == "win32":
        base = os.environ.get("APPDATA") or str(Path.home() / "AppData" / "Roaming")
    elif sys.platform == "darwin":
        base = str(Path.home() / "Library" / "Application Support")
    else:
        base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "manymold"


def catalogue_path() -> Path:
    """Return the file of the user's own materials."""
    return data_folder() / FILE_NAME


def users_own(path: Path | None = None) -> Catalogue:
    """Return the user's own materials; empty if there are none yet.

    Raises
    ------
    BadFileError
        If the file is damaged or can't be read; it is left as it is.
    """
    path = path or catalogue_path()
    try:
        if not path.exists():
            return EMPTY
        if path.stat().st_size > LARGEST_BYTES:
            raise BadFileError(str(path), "it is far too large for a catalogue", "move it away to start anew")
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise BadFileError(str(path), "it can't be read", "mend it, or move it away to start anew") from error
    return read_catalogue(text, str(path))


def catalogue(path: Path | None = None) -> Catalogue:
    """Return the program's materials with the user's laid over them."""
    return built_in().merged(users_own(path))


def save(own: Catalogue, path: Path | None = None) -> None:
    """Write the user's own materials.

    Raises
    ------
    CannotWriteError
        If the folder can't be made or written to; the old file stays.
    """
    path = path or catalogue_path()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CannotWriteError(str(path), "its folder can't be made", "check who may write there") from error
    write_export(path, write_catalogue(own).encode(), force=True)
