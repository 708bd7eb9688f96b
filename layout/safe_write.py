"""The one way a file is written: whole and on the disk beside its place first, then moved over what was there."""

import contextlib
import os
import stat
import tempfile
from pathlib import Path


def write_beside(target: Path, data: bytes) -> Path:
    """Write data to a new hidden file beside its place, with the rights of the old one, and return it.

    Parameters
    ----------
    target : Path
        Where the file is to stand; not touched. Moving the returned file over it (`Path.replace`) is one step.
    data : bytes

    Raises
    ------
    OSError
        If the folder can't be written or the disk is full; nothing is left behind.
    """
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:40]}.", suffix=".part", dir=target.parent)
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        beside.chmod(_rights(target))
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    return beside


def move_over(beside: Path, target: Path) -> None:
    """Move a file written by `write_beside` to its place; one that can't be moved is not left behind.

    Raises
    ------
    OSError
        If the system refuses; what stood there is as it was.
    """
    try:
        beside.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise


def _rights(target: Path) -> int:
    """Return the rights of the old file, or those a new file gets."""
    try:
        return stat.S_IMODE(target.stat().st_mode)
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask
