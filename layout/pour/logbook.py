"""A pour that was poured: its line in the batch log, and what it took from the shelf."""

import math
from dataclasses import replace

from layout.errors import BadValueError
from layout.model import LogEntry, Project, RectBox, RoundBox
from layout.pour.mixing import dose
from layout.pour.silicone import kits, silicone_pour


def predicted_g(project: Project) -> float:
    """Return what the pour and its coat are predicted to take, g."""
    pour = silicone_pour(project)
    return pour.total_a_g + pour.total_b_g


def logged_pour(project: Project, when: str, used_g: float, mold: str = "") -> Project:
    """Return the project with a pour in its log and what it took gone from the shelf.

    Parameters
    ----------
    project : Project
    when : str
        ISO date, or date and time.
    used_g : float
        Silicone really used, A and B together.
    mold : str
        The mold's number or name.

    Raises
    ------
    BadValueError
        If the mass is not above 0 or absurd.

    Notes
    -----
    Kits that had to be bought are taken as bought. Where it is not known what a kit holds, the shelf is left as it is.
    """
    if not math.isfinite(used_g) or not 0.0 < used_g <= 1e6:
        raise BadValueError("used", f"{used_g:g} g is no pour", "give the grams of A and B together")
    settings, mix = project.pour, project.silicone
    entry = LogEntry(
        when,
        "pour",
        mold,
        predicted_g=predicted_g(project),
        used_g=used_g,
        lot=mix.lot,
        temperature_c=settings.temperature_c,
        humidity_pct=settings.humidity_pct,
        correction=settings.correction,
    )
    one = dose(mix, 1.0)
    left = kits(mix, used_g * one.a_g / one.mass_g, used_g * one.b_g / one.mass_g)
    if left is not None:
        mix = replace(mix, left_a_g=max(0.0, left.left_a_g), left_b_g=max(0.0, left.left_b_g))
    return replace(project, silicone=mix, log=(*project.log, entry))


def box_kind(project: Project) -> str:
    """Return the kind of box a learned factor is kept for: its shape and its sheet."""
    shape = project.box.shape
    form = "rectangular" if isinstance(shape, RectBox) else "round" if isinstance(shape, RoundBox) else "shaped"
    return f"{form}, {project.box.sheet}"
