"""Advice on the order: how far a mold's life is used up, and how much slack a date leaves."""

from layout.advice.saying import about, finding, found, judged
from layout.batch_log import BAD_SHARE, bad_cavities, casts_by_mold, mold_life, retired_molds
from layout.model import Finding, Project, Severity
from layout.numbering import numbers


def order_advice(project: Project) -> tuple[Finding, ...]:
    """Return the advice that follows from the batch log."""
    life, retired = mold_life(project), retired_molds(project)
    said = []
    for mold, count in sorted(casts_by_mold(project).items()):
        if mold in retired:
            continue
        name = f"Mold {mold}" if mold else "The mold"
        sentence = (
            f"{name} has had {count} of about {life} casts: inspect lips and shine at each demold, pour a new one in"
            " time, and sign for it to go on."
        )
        said.append(
            judged(project, "mold_life", count / life, sentence, shown=(float(count), float(life)), unit="casts")
        )
    return found(*said, *_bad_cavities(project))


def _bad_cavities(project: Project) -> list[Finding]:
    """Return each cavity that keeps failing, with its place on the layout."""
    said = []
    number = numbers(project)
    for bad in bad_cavities(project):
        cause = f" ({', '.join(c for c in bad.causes if c)})" if any(bad.causes) else ""
        sentence = (
            f"Cavity {number[bad.cavity]} failed in {bad.failed} of {bad.casts} casts{cause}: plug it, or glue another"
            " master in its place for the next mold."
        )
        said.append(
            finding("bad_cavity", Severity.WARN, sentence, measured=100.0 * bad.failed / bad.casts,
                    required=100.0 * BAD_SHARE, unit="%", cavities=(bad.cavity,))
        )  # fmt: skip
    return said


def deadline_finding(project: Project, slack_days: float, lead_days: float) -> Finding | None:
    """Return what the slack before a date deserves: none if one more mold could still be made.

    Parameters
    ----------
    slack_days : float
        Days left after the last part; negative: too late.
    lead_days : float
        Days one more mold takes, above 0.
    """
    left = f"leaves {_days(slack_days)}" if slack_days >= 0.0 else f"is missed by {_days(-slack_days)}"
    sentence = (
        f"The date {left}; one more mold takes {_days(lead_days)}: start a spare mold now, add hours or hands, or move"
        " the date."
    )
    return judged(project, "deadline", slack_days / lead_days, sentence, shown=(slack_days, lead_days), unit="days")


def _days(days: float) -> str:
    words = about(days)
    return f"{words} day" if words == "1" else f"{words} days"
