"""Shrink over all generations in sentences: the scale for the original, and whether a wanted size comes out."""

from layout.model import Project
from layout.order.shrinkage import ShrinkChain, final_size, fit
from layout.units import Units, counted, fine_length_text, length_text


def shrink_lines(project: Project, found: ShrinkChain, title: str = "Shrink") -> list[str]:
    """Return what a chain does to a part, and to the size the order wants to keep, if there is one."""
    order = project.order
    lines = [
        f"{title}: over {counted(len(found.generations), 'generation')} parts come out at {100 * found.factor:.2f} % of"
        f" the original ({100 * found.least_factor:.2f} to {100 * found.most_factor:.2f} %). Scale an original that is"
        f" still to be made by {found.scale:.4f}; one that is made gives parts so much smaller."
    ]
    if not order.wanted_mm:
        return lines
    size = length_text(order.wanted_mm, project.units)
    made = final_size(found, order.wanted_mm)
    out, low, high, scaled = (fine_mm(mm, project.units) for mm in
                              (made.size_mm, made.least_mm, made.most_mm, made.scaled_original_mm))  # fmt: skip
    lines.append(
        f"A length of {size} on the original comes out {out}, {low} to {high}; to keep it, make the original {scaled}."
    )
    if order.wanted_tol_mm:
        tolerance = order.wanted_tol_mm
        words = {"fits": "fits", "may fit": "may or may not fit", "does not fit": "does not fit"}
        said = words[fit(final_size(found, made.scaled_original_mm), order.wanted_mm, tolerance)]
        as_it_is = words[fit(made, order.wanted_mm, tolerance)]
        lines.append(
            f"Within {fine_length_text(tolerance, project.units)} either way, over the usual spread of shrinks: scaled"
            f" so it {said}; with the original at {size} it {as_it_is}."
        )
    return lines


def fine_mm(mm: float, units: Units) -> str:
    """Return a length to the thousandth, of a millimetre or of an inch."""
    return f"{mm:.3f} mm" if units.length == "mm" else fine_length_text(mm, units)
