"""How stiff a sheet is, from a strip of it, a ruler and a known weight."""

from typing import Final

from layout.box.cutters import is_foldable
from layout.errors import BadValueError
from layout.materials import built_in
from layout.units import GRAVITY_M_PER_S2, MILLIMETRES, Units, length_text

SPREAD: Final = 5.0
"""A measured stiffness this many times above or below what is typical of the sheet's kind is a slip of a unit. Makers'
values of one kind differ by less than half of it. Engineering judgement, no source."""

SOFTEST_GPA: Final = 0.01
STIFFEST_GPA: Final = 80.0
"""Of a sheet whose kind is not known: softer than a soft foam, stiffer than aluminium. Textbook values, from memory."""


def stiffness_from_strip_gpa(
    span_mm: float, width_mm: float, thickness_mm: float, mass_g: float, sag_mm: float, *, cantilever: bool = False
) -> float:
    """Return the modulus of a sheet from a strip bent by a known weight, GPa.

    Parameters
    ----------
    span_mm : float
        Between the two rests, or from the clamp to the weight.
    width_mm, thickness_mm : float
        Of the strip.
    mass_g : float
        The weight, in the middle or at the free end.
    sag_mm : float
        How much lower the strip stands under the weight than without it.
    cantilever : bool
        Clamped at one end, not laid on two rests.

    Raises
    ------
    BadValueError
        If a value is not above 0, or the sag is over a tenth of the span, where the formula no longer holds.

    Notes
    -----
    Textbook beams: F l^3 / (48 E I) and F l^3 / (3 E I), I = b t^3 / 12.

    Examples
    --------
    >>> round(stiffness_from_strip_gpa(300.0, 50.0, 4.7625, 100.0, 3.06), 2)
    0.4
    """
    values = {"--span": span_mm, "--width": width_mm, "--thickness": thickness_mm, "--weight": mass_g, "--sag": sag_mm}
    for where, value in values.items():
        if not value > 0.0:
            raise BadValueError(where, f"{value:g} is not above 0", "measure it again")
    if width_mm > span_mm / 2.0:
        raise BadValueError("--width", "that is no strip but a plate", "cut it at least twice as long as wide")
    if sag_mm > span_mm / 10.0:
        raise BadValueError("--sag", "the strip hangs too deep for the formula", "use less weight or a shorter span")
    force_n = mass_g / 1000.0 * GRAVITY_M_PER_S2
    inertia = width_mm * thickness_mm**3 / 12.0
    share = 3.0 if cantilever else 48.0
    return force_n * span_mm**3 / (share * inertia * sag_mm) / 1000.0


def refuse_unlikely(sheet: str, stiffness_gpa: float) -> None:
    """Raise for a stiffness that no sheet of this kind has.

    Raises
    ------
    BadValueError
        It is more than `SPREAD` times off what is typical, or, where the kind is not known, that of no sheet at all.
    """
    kind = built_in().sheet(sheet)
    least, most = (kind.e_gpa / SPREAD, kind.e_gpa * SPREAD) if kind else (SOFTEST_GPA, STIFFEST_GPA)
    if not least <= stiffness_gpa <= most:
        typical = f"{sheet} has about {kind.e_gpa:g} GPa" if kind else f"a sheet has {least:g} to {most:g} GPa"
        raise BadValueError(
            "--sag",
            f"these measures give {stiffness_gpa:.3g} GPa, but {typical}",
            "check the units of weight and sag and measure again",
        )


def refuse_other_thickness(sheet: str, strip_mm: float, sheet_mm: float, units: Units = MILLIMETRES) -> None:
    """Raise for a strip of foam board of another thickness: paper and core share the load in another way.

    Raises
    ------
    BadValueError
    """
    if is_foldable(sheet) and abs(strip_mm - sheet_mm) > 0.1 * sheet_mm:
        raise BadValueError(
            "--thickness",
            f"the strip is {length_text(strip_mm, units)} and the box's sheet {length_text(sheet_mm, units)} thick, and"
            f" {sheet} of another thickness is stiff in another way",
            "cut the strip from the sheet the box is made of, or set --panel first",
        )


def in_words(stiffness_gpa: float, sheet: str) -> str:
    """Return how a stiffness compares with what is typical of the sheet; empty if its kind is not known."""
    kind = built_in().sheet(sheet)
    if kind is None:
        return ""
    share = stiffness_gpa / kind.e_gpa
    word = (
        "softer than is usual for it"
        if share < 0.75
        else "stiffer than is usual for it"
        if share > 1.33
        else "as usual"
    )
    return f"{word} (typical {kind.e_gpa:g} GPa)"


BEND_TEST: Final = (
    "Cut a strip about 50 mm (2 in) wide and 350 mm (14 in) long from the sheet.",
    "Lay it on two edges 300 mm (12 in) apart and measure the height of its middle over the bench.",
    "Put a known weight on the middle, 100 to 200 g, and measure again after a minute: the difference is the sag.",
)
"""How the user measures the sheet's stiffness, a sentence each."""
