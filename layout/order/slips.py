"""What slips if a step fails: the calendar is made again with that step done once more, and compared."""

from dataclasses import dataclass, replace

from layout.batch_log import mold_life
from layout.order.calendar import DAY_MIN
from layout.order.plan import Option, calendar_of_steps
from layout.order.stints import Job, Schedule


@dataclass(frozen=True, slots=True)
class Slip:
    """One failure.

    Parameters
    ----------
    step : str
        Id of the step in the chain.
    what : str
        The failure, in words.
    days : int
        Calendar days later.
    minutes : float
        Minutes later.
    """

    step: str
    what: str
    days: int
    minutes: float


def slips(option: Option) -> tuple[Slip, ...]:
    """Return what each step that can fail costs in time if it fails once, in the order of the chain.

    Notes
    -----
    A job of the mold maker is done twice in a row; a failed cast is one cast more, which needs the molds to last for
    it: where they would not, one more gang mold is poured first.
    """
    usual = _calendar(option)
    found: list[Slip] = []
    for step in option.steps:
        names = list(dict.fromkeys(job.name for job in step.jobs if job.hands_min > 0.0))
        if step.left_out or step.id == "finish":
            continue
        # one of each kind: the third gang mold slips like the second
        for name in names[:1] if step.id != "copies" else ():
            late = _calendar(option, again=name)
            found.append(_slip(step.id, f"{name}: once more", usual, late))
        if step.id == "casting":
            found.append(_slip(step.id, "one cast is all scrap", usual, _calendar(option, casts=option.cycles + 1)))
    return tuple(found)


def _slip(step: str, what: str, usual: Schedule, late: Schedule) -> Slip:
    return Slip(step, what, late.days - usual.days, late.finish_min - usual.finish_min)


def _calendar(option: Option, again: str = "", casts: int | None = None) -> Schedule:
    """The calendar with the jobs of one name done twice, or with another number of casts."""
    wanted, molds = casts or option.cycles, option.molds
    steps = {step.id: replace(step, jobs=_twice(step.jobs, again)) for step in option.steps}
    if wanted > mold_life(option.project) * molds:
        pours = [job for step in option.steps for job in step.jobs if job.name.startswith("pour gang mold")]
        more = replace(pours[-1], name=f"pour gang mold {molds + 1}", ready_mold=molds)
        steps["casting"] = replace(steps["casting"], jobs=(more,))
        molds += 1
    trimming = steps["trimming"]
    steps["trimming"] = replace(trimming, hands_min=trimming.hands_min * wanted / option.cycles)
    return calendar_of_steps(option.project, option.needs, tuple(steps.values()), wanted, molds)


def _twice(jobs: tuple[Job, ...], again: str) -> tuple[Job, ...]:
    """The jobs with those of a name done twice: what failed brings no mold, its repetition does."""
    return tuple(
        each for job in jobs for each in ((replace(job, ready_mold=None), job) if job.name == again else (job,))
    )


def slip_words(slip: Slip) -> str:
    """Return a slip in one sentence.

    Examples
    --------
    >>> slip_words(Slip("gang_mold", "pour gang mold 1: once more", 1, 1500.0))
    'pour gang mold 1: once more: 1 day later'
    >>> slip_words(Slip("casting", "one cast is all scrap", 0, 18.0))
    'one cast is all scrap: 18 min later, the same day'
    """
    if slip.days > 0:
        return f"{slip.what}: {slip.days} day{'s' if slip.days > 1 else ''} later"
    if slip.minutes <= 0.5:
        return f"{slip.what}: nothing slips"
    if slip.minutes < DAY_MIN / 12.0:
        return f"{slip.what}: {slip.minutes:.0f} min later, the same day"
    return f"{slip.what}: {slip.minutes / 60.0:.1f} h later, the same day"
