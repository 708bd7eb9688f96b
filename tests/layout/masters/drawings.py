"""Drawings made by a general DXF library, for the tests of the outline reader."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf

Draw = Callable[[Any], None]


def drawing(folder: Path, draw: Draw, *, units: int = 4, version: str = "R2010", name: str = "part.dxf") -> str:
    """Write what ``draw`` adds to a model space; return the path."""
    document = ezdxf.new(version)
    if version != "R12":
        document.header["$INSUNITS"] = units
    draw(document.modelspace())
    path = folder / name
    document.saveas(path)
    return str(path)


def rectangle(length: float, width: float, x: float = 0.0, y: float = 0.0) -> list[tuple[float, float]]:
    return [(x, y), (x + length, y), (x + length, y + width), (x, y + width)]
