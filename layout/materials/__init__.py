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
    refuse_thickness,
    same_name,
    write_catalogue,
)
from layout.materials.sheets import parse_sheet
from layout.materials.typed import field_texts, parse_mix, read_field

__all__ = [
    "Catalogue",
    "Kind",
    "Sheet",
    "built_in",
    "checked",
    "field_texts",
    "find_mix",
    "find_sheet",
    "origin_of",
    "parse_mix",
    "parse_sheet",
    "read_catalogue",
    "read_field",
    "refuse_thickness",
    "same_name",
    "write_catalogue",
]
