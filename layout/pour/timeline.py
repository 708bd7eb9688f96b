"""The pour on the clock: every step from weighing to demold, with the moment each cup must be empty."""

from dataclasses import dataclass
from typing import Final, Literal

from layout.model import Project
from layout.pour.resin import resin_pour
from layout.pour.silicone import silicone_pour, time_limit_share

WEIGH_MIN: Final = 2.0
"""To weigh A and B of one batch. Common practice, no source."""

What = Literal["weigh", "mix", "degas", "pour", "brush", "wait", "cure", "fill"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    Parameters
    ----------
    row : str
        ``"coat"``, ``"batch 1"``, ..., ``"mold"``.
    what : str
    start_min, end_min : float
        From the start of work.
    """

    row: str
    what: What
    start_min: float
    end_min: float


@dataclass(frozen=True, slots=True)
class Clock:
    """The pot-life clock of one cup, minutes from the start of work.

    Parameters
    ----------
    contact_min : float
        A meets B.
    empty_by_min : float
        The share of the pot life after which nothing is poured any more.
    sets_min : float
        The end of the pot life.
    """

    row: str
    contact_min: float
    empty_by_min: float
    sets_min: float


@dataclass(frozen=True, slots=True)
class Timeline:
    """The steps and clocks of a pour.

    Parameters
    ----------
    steps : tuple of Step
    clocks : tuple of Clock
    done_min : float
        The last cup is empty.
    demold_min : float
        The mold (or the parts) may be demolded.
    """

    steps: tuple[Step, ...]
    clocks: tuple[Clock, ...]
    done_min: float
    demold_min: float


def silicone_timeline(project: Project) -> Timeline:
    """Return the silicone pour on the clock, from the start of weighing.

    Notes
    -----
    One pair of hands pours a batch before it weighs the next. With a second pair, the next batch is weighed and mixed
    while one is degassed or poured; there is one vacuum chamber, and no cup waits longer than it must.
    """
    pour = silicone_pour(project)
    share = time_limit_share(project, "silicone_time")
    steps: list[Step] = []
    clocks: list[Clock] = []
    now = 0.0
    if pour.coat is not None:
        contact = WEIGH_MIN
        brushed = contact + pour.mix_min + pour.coat.brush_min
        now = brushed + pour.coat.wait_min
        steps += [
            Step("coat", "weigh", 0.0, contact),
            Step("coat", "mix", contact, contact + pour.mix_min),
            Step("coat", "brush", contact + pour.mix_min, brushed),
            Step("coat", "wait", brushed, now),
        ]
        clocks.append(_clock("coat", contact, pour.coat.pot_life_min, share))
    count = pour.batching.count if pour.batching.count is not None else 1
    ready = pour.mix_min + pour.degas_min
    hands_free, chamber_free, empty = now, now, now
    for number in range(1, count + 1):
        row = f"batch {number}"
        contact = hands_free + WEIGH_MIN
        if project.pour.hands > 1 and number > 1:
            contact = max(contact, chamber_free - pour.mix_min, empty - ready)
        mixed = contact + pour.mix_min
        poured_from = max(mixed + pour.degas_min, empty)
        steps += [Step(row, "weigh", contact - WEIGH_MIN, contact), Step(row, "mix", contact, mixed)]
        if pour.degas_min:
            steps.append(Step(row, "degas", mixed, mixed + pour.degas_min))
        empty = poured_from + pour.pour_min
        steps.append(Step(row, "pour", poured_from, empty))
        clocks.append(_clock(row, contact, pour.pot_life_min, share))
        chamber_free = mixed + pour.degas_min
        hands_free = mixed if project.pour.hands > 1 else empty
    out = empty + pour.demold_min
    steps.append(Step("mold", "cure", empty, out))
    return Timeline(tuple(steps), tuple(clocks), empty, out)


def resin_timeline(project: Project) -> Timeline:
    """Return one cycle of casting on the clock, from the first contact; batches one after the other."""
    pour = resin_pour(project)
    share = time_limit_share(project, "resin_time")
    steps: list[Step] = []
    clocks: list[Clock] = []
    now = 0.0
    for number, batch in enumerate(pour.batches, start=1):
        row = f"batch {number}"
        mixed = now + project.resin.mix_min
        steps += [Step(row, "mix", now, mixed), Step(row, "fill", mixed, mixed + batch.fill_min)]
        clocks.append(_clock(row, now, batch.pot_life_min, share))
        now = mixed + batch.fill_min
    out = now + pour.demold_min
    steps.append(Step("mold", "cure", now, out))
    return Timeline(tuple(steps), tuple(clocks), now, out)


def _clock(row: str, contact: float, pot: float, share: float) -> Clock:
    return Clock(row, contact, contact + share * pot, contact + pot)


def minutes_of_day(clock: str) -> int | None:
    """Return the minutes of a clock time ``HH:MM``; None if it is none.

    Examples
    --------
    >>> minutes_of_day("09:30"), minutes_of_day("25:00")
    (570, None)
    """
    hours, colon, minutes = clock.strip().partition(":")
    # isdigit is true of a raised 2, which is no number
    if not colon or not (hours.isdecimal() and minutes.isdecimal() and len(minutes) == 2):
        return None
    value = int(hours) * 60 + int(minutes)
    return value if int(hours) < 24 and int(minutes) < 60 else None


def clock_text(start: str, after_min: float) -> str:
    """Return the clock time so many minutes after a start, with seconds where they matter, and the day after.

    Examples
    --------
    >>> clock_text("09:00", 4.5), clock_text("23:50", 20.0), clock_text("09:00", 60.0)
    ('09:04:30', '00:10 next day', '10:00')
    """
    begin = minutes_of_day(start)
    seconds = round(((begin if begin is not None else 0) + after_min) * 60)
    days, seconds = divmod(seconds, 86_400)
    hours, rest = divmod(seconds, 3600)
    minutes, rest = divmod(rest, 60)
    shown = f"{hours:02d}:{minutes:02d}" + (f":{rest:02d}" if rest else "")
    return shown if not days else f"{shown} next day" if days == 1 else f"{shown}, {days} days later"
