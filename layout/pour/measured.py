"""What was measured on a master at the bench: its volume another way, and how wide it is under its neck."""

import re
from typing import Final

from layout.errors import BadValueError
from layout.units import parse_length_mm, parse_mass_g, parse_number, parse_volume_ml

WATER_G_PER_ML: Final = 0.9982
"""At 20 deg C: CRC Handbook of Chemistry and Physics, from memory."""

_LENGTH: Final = r"(?:\d+[-\s]+)?\d+/\d+|[-+]?[\d.]+"
_RATIO: Final = re.compile(
    rf"^\s*(?P<inner>{_LENGTH})\s*(?P<unit>[A-Za-z\"]*)\s*/\s*(?P<neck>{_LENGTH})\s*(?P<last>[A-Za-z\"]*)\s*$", re.ASCII
)
"""Two lengths, each a number or a fraction of an inch, over one another."""


def measured_volume_ml(text: str, where: str) -> float:
    """Return a master's volume as it was found another way, mL.

    Parameters
    ----------
    text : str
        ``2.35ml``; weighed at a density in g/mL, ``2.43g@1.05``; or what a beaker of water on the scale gains when the
        part hangs in it, ``2.307g@water``.
    where : str
        The option or field, for the error.

    Raises
    ------
    BadValueError
        If it can't be read or is no volume.

    Examples
    --------
    >>> round(measured_volume_ml("2.43g@1.05", ""), 3), round(measured_volume_ml("2.307g@water", ""), 3)
    (2.314, 2.311)
    """
    mass, at, density = text.partition("@")
    if at:
        water = density.strip().lower() == "water"
        g_per_ml = WATER_G_PER_ML if water else parse_number(density, where, least=0.05, most=25.0)
        volume = parse_mass_g(mass, where) / g_per_ml
    else:
        volume = parse_volume_ml(text, where)
    if volume <= 0.0:
        raise BadValueError(where, f"{text!r} is no volume", "write it like 2.35ml or 2.43g@1.05")
    return volume


def measured_undercut(text: str, where: str) -> float:
    """Return by how much the rim is stretched when a part is pulled, as a share.

    Parameters
    ----------
    text : str
        ``22/20``, the widest inside over the neck, or ``10%``; a unit given once holds for both.
    where : str
        The option or field, for the error.

    Notes
    -----
    (inside - neck) / neck. Lengths as everywhere: ``22/20``, ``0.9in/0.8in``, ``7/8in/3/4in``.

    Raises
    ------
    BadValueError
        If one is no width, or the inside is narrower than the neck.

    Examples
    --------
    >>> round(measured_undercut("22/20", ""), 12), measured_undercut("1-1/8in/1in", "")
    (0.1, 0.125)
    """
    if text.strip().endswith("%"):
        return parse_number(text.strip().removesuffix("%"), where, least=0.0, most=1000.0) / 100.0
    match = _RATIO.match(text)
    if not match:
        raise BadValueError(where, f"{text!r} is no undercut", "write the inside over the neck, like 22/20, or 10%")
    inner, neck = match["inner"] + (match["unit"] or match["last"]), match["neck"] + match["last"]
    inner_mm, neck_mm = parse_length_mm(inner, where, least_mm=0.01), parse_length_mm(neck, where, least_mm=0.01)
    if inner_mm < neck_mm:
        said = f"the inside of {inner.strip()} is narrower than the neck of {neck.strip()}"
        raise BadValueError(where, said, f"give the widest inside first, {neck.strip()}/{inner.strip()}")
    return inner_mm / neck_mm - 1.0
