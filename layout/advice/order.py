"""Advice on the order: how far a mold's life is used up, and how much slack a date leaves."""

from layout.advice.saying import about, found, judged
from layout.model import Finding, Project

USUAL_LIFE = 40


def order_advice(project: Project) -> tuple[Finding, ...]:
    """Return the advice that follows from the batch log."""
    life = project.order.mold_life or project.resin.mold_life or USUAL_LIFE
    casts: dict[str, int] = {}
    retired = {e.mold for e in project.log if e.retired}
    for entry in project.log:
        if entry.what == "cast" and entry.mold not in retired:
            casts[entry.mold] = casts.get(entry.mold, 0) + 1
    said = []
    for mold, count in sorted(casts.items()):
        name = f"Mold {mold}" if mold else "The mold"
        sentence = (
            f"{name} has had {count} of about {life} casts: inspect lips and shine at each demold, pour a new one in"
            " time, and sign for it to go on."
        )
        said.append(
            judged(project, "mold_life", count / life, sentence, shown=(float(count), float(life)), unit="casts")
        )
    return found(*said)


def deadline_finding(project: Project, slack_days: float, lead_days: float) -> Finding | None:
    """Return what the slack before a date deserves: none if one more mold could still be made.

    Parameters
    ----------
    slack_days : float
        Days left after the last part; negative: too late.
    lead_days : float
        Days one more mold takes, above 0.
    """
    sentence = (
        f"The date leaves {about(slack_days)} days; one more mold takes {about(lead_days)}: start a spare mold now, add"
        " hours or hands, or move the date."
    )
    return judged(project, "deadline", slack_days / lead_days, sentence, shown=(slack_days, lead_days), unit="days")
