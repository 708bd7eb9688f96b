"""The factor learned from the last pour, kept on the user's disk for each kind of box, for the next project."""

import json
import math
from pathlib import Path
from typing import Final

from app.commands.exporting import write_export
from app.user_catalogue import data_folder
from layout.errors import CannotWriteError

FILE_NAME: Final = "factors.json"
LEAST: Final = 0.5
MOST: Final = 2.0


def factors(path: Path | None = None) -> dict[str, float]:
    """Return the factors by kind of box; what can't be read counts as not there: it is only a help."""
    try:
        found = json.loads((path or data_folder() / FILE_NAME).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    if not isinstance(found, dict):
        return {}
    numbers = {str(k): float(v) for k, v in found.items() if isinstance(v, (int, float))}
    return {k: v for k, v in numbers.items() if math.isfinite(v) and LEAST <= v <= MOST}


def remember(kind: str, factor: float, path: Path | None = None) -> None:
    """Keep the factor of a kind of box.

    Raises
    ------
    CannotWriteError
        If the folder can't be made or written to.
    """
    path = path or data_folder() / FILE_NAME
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CannotWriteError(str(path), "its folder can't be made", "check who may write there") from error
    known = factors(path) | {kind: factor}
    write_export(path, (json.dumps(known, ensure_ascii=False, indent=1) + "\n").encode(), force=True)
