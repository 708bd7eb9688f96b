"""Advice on cavities that stand at a turn which their part may not take: the rule was changed after the fill."""

from collections import Counter

from layout.advice.saying import finding
from layout.fill.search import turns_of
from layout.fill.turns import allowed_turn
from layout.model import Finding, MasterId, Project, Severity
from layout.units import counted, plain_text


def turn_advice(project: Project) -> tuple[Finding, ...]:
    """Return a note for each master of which cavities stand at a turn that a fill would not use.

    Notes
    -----
    The turns are a rule for fills: a cavity that was put elsewhere by hand is meant so, hence a note and no more. A
    turn at which the footprint covers the same as at an allowed one is allowed; so is every turn of a disc.
    """
    found = []
    for master in project.masters:
        allowed = turns_of(project, master)
        if allowed is None:
            continue
        cavities = [c for c in project.cavities if c.master == master.id]
        turns = Counter(c.angle_deg for c in cavities)
        odd = {t: n for t, n in turns.items() if allowed_turn(master.footprint, t, allowed) is None}
        if odd:
            ids = tuple(c.id for c in cavities if c.angle_deg in odd)
            sentence = _sentence(master.id, odd, allowed)
            found.append(finding("turned", Severity.INFO, sentence, cavities=ids))
    return tuple(found)


def _sentence(name: MasterId, odd: dict[float, int], allowed: tuple[float, ...]) -> str:
    number = sum(odd.values())
    stand = "stands" if number == 1 else "stand"
    most = [f"{plain_text(t, 4)}°" for t in sorted(odd)]
    at = ", ".join(most[:3]) + (", ..." if len(most) > 3 else "")
    rule = "no turn" if len(allowed) == 1 else "turns of " + ("180°" if len(allowed) == 2 else "90°")
    return (
        f"{counted(number, 'cavity')} of {name} {stand} turned by {at}; the rule for a fill is {rule}. If the direction"
        " matters, fill again or turn them."
    )
