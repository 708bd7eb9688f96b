"""One number learned from the last pour: grams really used against grams predicted."""

from layout.model import Project

LEAST, MOST = 0.5, 2.0
"""Beyond these the log holds a slip of the pen, and nothing is learned from it."""


def learned_correction(project: Project) -> float | None:
    """Return the correction that the last logged pour asks for; None if none was logged with both weights.

    Notes
    -----
    Used over predicted, times the correction that prediction was made with: once taken over, it asks for no more.
    """
    pours = [e for e in project.log if e.what == "pour" and e.predicted_g and e.used_g]
    if not pours:
        return None
    last = max(enumerate(pours), key=lambda pair: (pair[1].when, pair[0]))[1]
    assert last.predicted_g is not None
    assert last.used_g is not None
    factor = last.used_g / last.predicted_g * last.correction
    return factor if LEAST <= factor <= MOST else None
