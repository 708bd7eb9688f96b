"""A sheet of the user's own, as it is typed: name and thickness, its stiffness, the sizes it is sold in."""

from dataclasses import replace
from typing import Final

from layout.errors import BadValueError
from layout.materials.catalogue import Sheet, built_in
from layout.units import parse_length_mm, parse_number, parse_size_mm

EXAMPLE: Final = "write it like twin wall:6,e=1.1,stock=20x30in"
THICKEST_MM: Final = 50.0
"""A side thicker than this is no sheet any more."""


def parse_sheet(text: str, where: str) -> Sheet:
    """Return a sheet from ``NAME:T`` and, after commas, ``e=GPa``, ``stock=LxW`` (repeat it), ``laser``.

    Parameters
    ----------
    text : str
        A sheet of the program's catalogue keeps its other numbers; another has 1 GPa, a common plastic's, and no laser.
    where : str
        The option or field, for the error.

    Raises
    ------
    BadValueError
        If it can't be read, or a number makes no sense.

    Examples
    --------
    >>> sheet = parse_sheet("twin wall:6,e=1.1,stock=20x30in", "")
    >>> sheet.name, sheet.thickness_mm, sheet.e_gpa, sheet.stock_mm
    ('twin wall', 6.0, 1.1, ((508.0, 762.0),))
    """
    first, *more = (part.strip() for part in text.split(","))
    name, colon, thickness = first.rpartition(":")
    if not colon or not name.strip():
        raise BadValueError(where, f"{text!r} has no name and thickness", EXAMPLE)
    t = parse_length_mm(thickness, where, least_mm=0.1)
    if t > THICKEST_MM:
        raise BadValueError(where, f"{thickness.strip()} is no sheet's thickness", f"give up to {THICKEST_MM:g} mm")
    known = built_in().sheet(name)
    sheet = known or Sheet(name.strip(), t, t, t, 1.0, (), ("knife", "router"), no_laser=True)
    sheet = replace(sheet, thickness_mm=t, least_mm=min(t, sheet.least_mm), most_mm=max(t, sheet.most_mm))
    sizes: list[tuple[float, float]] = []
    for part in more:
        key, _, value = part.partition("=")
        if key.strip() == "e":
            sheet = replace(sheet, e_gpa=parse_number(value, where, least=0.001, most=500.0))
        elif key.strip() == "stock":
            sizes.append(parse_size_mm(value, where))
        elif part == "laser" and known is None:
            sheet = replace(sheet, no_laser=False, cutters=("knife", "router", "laser"))
        else:
            raise BadValueError(where, f"{part!r} is not understood", EXAMPLE)
    return replace(sheet, stock_mm=tuple(sizes)) if sizes else sheet
