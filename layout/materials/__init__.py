"""The catalogue of silicones, resins and sheets, and the words a material may be typed in."""

from layout.materials.catalogue import (
    Catalogue,
    Kind,
    Sheet,
    built_in,
    checked,
    find_mix,
    find_sheet,
    origin_of,
    read_catalogue,
    same_name,
    write_catalogue,
)
from layout.materials.typed import parse_mix

__all__ = [
    "Catalogue",
    "Kind",
    "Sheet",
    "built_in",
    "checked",
    "find_mix",
    "find_sheet",
    "origin_of",
    "parse_mix",
    "read_catalogue",
    "same_name",
    "write_catalogue",
]
