"""What the pour sheet says, as words and figures in the user's units; page, HTML and CSV only lay it out."""

import math
from dataclasses import dataclass

from layout.advice.bench import container_words
from layout.documents.pour_sheet.cautions import cautions
from layout.limits import limit
from layout.materials import origin_of
from layout.model import CavityId, Finding, Mix, Project, Severity
from layout.numbering import by_number, numbers
from layout.pour.leftover import fills, leftover_ml
from layout.pour.resin import ResinPour, cavity_ml, cycles_of_a_kit, resin_pour
from layout.pour.scale import FINEST_G, readings_g
from layout.pour.silicone import SiliconePour, silicone_pour
from layout.pour.timeline import Timeline, clock_text, silicone_timeline
from layout.pour.vacuum import gauge_inhg
from layout.units import Units, length_text, mass_text, minutes_text, temperature_text, volume_text
from layout.wording import head, message

SAME_G = 0.05
"""Readings closer than this look the same on paper."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What the scale shows, the cup tared to 0.

    Parameters
    ----------
    name : str
        ``"batch 1"``, ``"coat"`` ...
    readings : tuple of (str, float)
        What is poured in, and the reading it is poured up to, g.
    note : str
        Clock times, or which cavities.
    times : str
        The clock times (or the cavities) alone, short, for a list of many cups.
    listed : str
        What such a list holds.
    """

    name: str
    readings: tuple[tuple[str, float], ...]
    note: str
    times: str = ""
    listed: str = ""


@dataclass(frozen=True, slots=True)
class SheetContent:
    """All words and figures of a pour sheet.

    Parameters
    ----------
    title, subtitle : str
    facts : tuple of (str, str)
        Name and value, the most important first.
    silicone, resin : tuple of Reading
    checklist, cautions : tuple of str
    warnings : tuple of (severity, str)
        What is not as it should be, gravest first, without mere information; each begins with its word, ``Stop: ...``.
    accepted : tuple of str
        Refusals of today that were taken on, with the reasons.
    batch_of : dict of CavityId to int
        The resin batch, from 1, that fills a cavity.
    """

    title: str
    subtitle: str
    facts: tuple[tuple[str, str], ...]
    silicone: tuple[Reading, ...]
    resin: tuple[Reading, ...]
    checklist: tuple[str, ...]
    cautions: tuple[str, ...]
    warnings: tuple[tuple[Severity, str], ...]
    accepted: tuple[str, ...]
    batch_of: dict[CavityId, int]
    resin_name: str = ""
    poured: str = "Silicone"


def sheet_content(project: Project, findings: tuple[Finding, ...], date: str = "", name: str = "") -> SheetContent:
    """Return what the sheet of a project says.

    Parameters
    ----------
    project : Project
    findings : tuple of Finding
        The project's broken rules and advice.
    date : str
        As printed; empty leaves a line to write on.
    name : str
        What the project's file is called; empty: the project's own name.
    """
    pour, resin, times = silicone_pour(project), resin_pour(project), silicone_timeline(project)
    filled = sum(1 for c in project.cavities if not c.empty)
    temperature = temperature_text(project.pour.temperature_c, project.units)
    refused = {f.kind for f in findings if f.severity == Severity.REFUSE}
    said = f"{filled} {'cavity' if filled == 1 else 'cavities'} of {len(project.cavities)}"
    said = said if filled != len(project.cavities) else said.split(" of ")[0]
    return SheetContent(
        title=f"Pour sheet: {name or project.name}" if name or project.name else "Pour sheet",
        subtitle=f"{said} · A and B at {temperature} · {date or 'date ____________'}",
        facts=_facts(project, pour, resin),
        silicone=_silicone_readings(project, pour, times),
        resin=_resin_readings(project, resin),
        checklist=_checklist(project, pour, resin, times),
        cautions=cautions(project),
        warnings=tuple(
            (f.severity, f"{head(f)}: {message(f, project.units)}")
            for f in by_number(findings, project)
            if f.severity != Severity.INFO
        ),
        accepted=tuple(f"{o.kind.replace('_', ' ')}: {o.reason}" for o in project.overrides if o.kind in refused),
        batch_of={i: n for n, batch in enumerate(resin.batches, start=1) for i in batch.cavities},
        resin_name=mix_words(project.resin),
        poured=poured_words(project),
    )


def grams(value_g: float, step_g: float | None) -> str:
    """Return a scale reading: to the scale's step, else to 0.1 g.

    Examples
    --------
    >>> grams(377.06, None), grams(377.06, 0.5), grams(377.06, 5.0), grams(377.3, 0.25)
    ('377.1', '377.0', '375', '377.25')
    """
    step = step_g or FINEST_G
    decimals = min(3, len(f"{step:g}".partition(".")[2]))
    return f"{round(value_g / step) * step:.{decimals}f}"


def alike(readings: tuple[Reading, ...]) -> list[list[Reading]]:
    """Return cups that follow each other with the same readings, together."""
    groups: list[list[Reading]] = []
    for reading in readings:
        if groups and all(
            abs(x[1] - y[1]) < SAME_G for x, y in zip(groups[-1][0].readings, reading.readings, strict=True)
        ):
            groups[-1].append(reading)
        else:
            groups.append([reading])
    return groups


def line_text(value_mm: float, units: Units) -> str:
    """Return the height of the fill line as it is measured out: to 0.1 mm, or to 1/1000 in where inches are decimal."""
    return length_text(value_mm, units, decimals=1 if units.length == "mm" else 2)


def ranges(values: list[int]) -> str:
    """Return whole numbers as ranges: ``1-24, 30``.

    Examples
    --------
    >>> ranges([1, 2, 3, 7, 9, 10])
    '1-3, 7, 9-10'
    """
    parts: list[str] = []
    for value in sorted(values):
        if parts and int(parts[-1].split("-")[-1]) == value - 1:
            parts[-1] = f"{parts[-1].split('-')[0]}-{value}"
        else:
            parts.append(str(value))
    return ", ".join(parts)


def _facts(project: Project, pour: SiliconePour, resin: ResinPour) -> tuple[tuple[str, str], ...]:
    units, batch = project.units, pour.batch_dose
    # as the scale shows it: one number for a cup, here and in the readings
    a_g, whole_g = readings_g((batch.a_g, batch.b_g), project.pour.scale_step_g)
    cups = 1 if pour.batching.count is None else pour.batching.count
    found = [
        ("Fill line over the base", line_text(pour.pour_height_mm, units)),
        (poured_words(project), mix_words(project.silicone)),
        ("Net in the box", volume_text(pour.volumes.net_ml, units)),
        ("To mix", f"{volume_text(pour.batching.total_ml, units)}, {mass_text(whole_g * cups, units)}"),
        ("A + B a batch", _parts_words(pour, a_g, whole_g - a_g)),
        ("Batches", _batches_words(pour)),
        ("Container", container_words(project, pour)),
        ("Pot life today", _or_guess(minutes_text(pour.pot_life_min), project.silicone, "pot_life_min")),
        ("Demold after", _or_guess(minutes_text(pour.demold_min), project.silicone, "demold_min")),
    ]
    if pour.volumes.level_ml > 0.0:
        found.append(("For the bench's level", volume_text(pour.volumes.level_ml, units)))
    if pour.degas_min:
        most = limit(project, "vacuum").warn or 35.0
        gauge = gauge_inhg(most, project.pour.altitude_m)
        found.append(("Vacuum", f"{most:g} mbar absolute or less: {gauge:.1f} inHg on a gauge here"))
    if pour.filler_ml > 0.0:
        found.append(("Old silicone as filler", volume_text(pour.filler_ml, units)))
    if pour.kits is not None:
        left = f"left {pour.kits.left_a_g:.1f} g of A, {pour.kits.left_b_g:.1f} g of B"
        holds = f"{project.silicone.kit_a_g:g} + {project.silicone.kit_b_g:g} g"
        found.append(("Kits to buy", f"{pour.kits.count} of {holds}; {left}"))
    if resin.per_cavity_ml is not None:
        found.append(("Resin", f"{mix_words(project.resin)}, {_each_master(project)}"))
        loss = project.pour.resin_waste_pct
        lost = f", {loss:g} % for the loss in the cup" if loss > 0.0 else ""
        found.append(("Resin a cycle", f"{mass_text(resin.dose.mass_g, units)}{lost}{_kit_words(project, resin)}"))
    if resin.dose.pigment_g > 0.0:
        found.append(("Pigment a cycle", f"{resin.dose.pigment_g:.2f} g, stirred into A before B goes in"))
    return (*found, *_left_over(project, pour))


def _left_over(project: Project, pour: SiliconePour) -> list[tuple[str, str]]:
    """What the small molds kept ready get of what is left in the kits."""
    if not project.pour.small_molds or pour.kits is None:
        return []
    filled = fills(project)
    left = volume_text(leftover_ml(project), project.units)
    takes = {m.name: volume_text(m.volume_ml, project.units) for m in project.pour.small_molds}
    rest = [name for name in takes if name not in filled]
    words = f"{left}, fills " + ", ".join(f"{name} ({takes[name]})" for name in filled) if filled else left
    if rest:
        words += ("; not " if filled else ", too little for ") + ", ".join(f"{name} ({takes[name]})" for name in rest)
    return [("Left-over", words)]


def poured_words(project: Project) -> str:
    """Return what is poured in the box: silicone, or the resin of a rigid master mold's tray."""
    return "Tray resin" if project.silicone.is_resin else "Silicone"


def glued(words: str) -> str:
    """Return words with blanks that no line is broken at."""
    return words.replace(" ", "\u00a0")


def mix_words(mix: Mix) -> str:
    """Return what a material is called on paper; one typed without a name is called by its ratio."""
    if mix.name not in ("silicone", "resin"):
        return mix.name
    by = "by volume" if mix.ratio_by == "v" else "by weight"
    return f"{mix.name} {mix.ratio_a:g}:{mix.ratio_b:g} {by}, as typed"


def _or_guess(words: str, mix: Mix, field: str) -> str:
    return f"{words} (assumed)" if origin_of(mix, field) == "assumed" else words


def _kit_words(project: Project, resin: ResinPour) -> str:
    """How many cycles a kit of resin gives, or how many kits a cycle takes."""
    cycles, mix = cycles_of_a_kit(project.resin, resin), project.resin
    if cycles is None or mix.kit_a_g is None or mix.kit_b_g is None:
        return ""
    if cycles:
        return f", {cycles} {'cycle' if cycles == 1 else 'cycles'} a kit"
    kits = math.ceil(max(resin.dose.a_g / mix.kit_a_g, resin.dose.b_g / mix.kit_b_g) - 1e-9)
    return f", {kits} kits of {mix.kit_a_g:g} + {mix.kit_b_g:g} g"


def _parts_words(pour: SiliconePour, a_g: float, b_g: float) -> str:
    batch = pour.batch_dose
    return f"{_sum(a_g, b_g, 'g')}, by volume {_sum(batch.a_ml, batch.b_ml, 'mL')}"


def _sum(a: float, b: float, unit: str) -> str:
    return glued(f"{a:.1f} + {b:.1f} {unit}")


def _each_master(project: Project) -> str:
    """What one cavity of each master takes; of more than four, the range."""
    used = {c.master for c in project.cavities if not c.empty}
    each = [(m.name, cavity_ml(m, project.pour)) for m in project.masters if m.id in used]
    if len(each) == 1:
        return f"{each[0][1]:.2f} mL each"
    if len(each) > 4:
        return f"{min(v for _, v in each):.2f} to {max(v for _, v in each):.2f} mL each"
    return ", ".join(f"{name} {volume:.2f} mL" for name, volume in each)


def _batches_words(pour: SiliconePour) -> str:
    if pour.batching.count is None:
        return pour.why_none
    count = pour.batching.count
    return f"{count} ({pour.batching.because})" if pour.batching.because else f"{count}"


def _silicone_readings(project: Project, pour: SiliconePour, times: Timeline) -> tuple[Reading, ...]:
    start = project.pour.start
    found = []
    for clock in times.clocks:
        dose = pour.coat.dose if clock.row == "coat" and pour.coat else pour.batch_dose
        mix_at = clock_text(start, clock.contact_min)
        note = f"mix from {mix_at}, cup empty by {clock_text(start, clock.empty_by_min)}"
        if clock.row != "coat" and pour.batching.count is None:
            note = pour.why_none
        number = clock.row.rpartition(" ")[2]
        times_short = f"{number}:  {mix_at} to {clock_text(start, clock.empty_by_min)}"
        a_g, whole_g = readings_g((dose.a_g, dose.b_g), project.pour.scale_step_g)
        found.append(Reading(clock.row, (("A", a_g), ("A + B", whole_g)), note, times_short, "mix from, empty by"))
    return tuple(found)


def _resin_readings(project: Project, resin: ResinPour) -> tuple[Reading, ...]:
    number = numbers(project)
    found = []
    for index, batch in enumerate(resin.batches, start=1):
        dose, step = batch.dose, project.pour.scale_step_g
        readings = tuple(zip(("A", "A + B"), readings_g((dose.a_g, dose.b_g), step), strict=True))
        mixed_and_filled = minutes_text(project.resin.mix_min + batch.fill_min)
        word = "cavity" if len(batch.cavities) == 1 else "cavities"
        note = f"{word} {ranges([number[i] for i in batch.cavities])} within {mixed_and_filled}"
        if dose.pigment_g > 0.0:
            # the colour goes in before B, so that stirring it in takes nothing from the pot life
            parts = (dose.a_g, dose.pigment_g, dose.b_g)
            readings = tuple(zip(("A", "+ colour", "+ B"), readings_g(parts, step), strict=True))
            note += f"; colour {dose.pigment_g:.2f} g, about {dose.pigment_g / project.pour.drop_g:.0f} drops"
        times = f"{index}:  {ranges([number[i] for i in batch.cavities])}"
        found.append(Reading(f"batch {index}", readings, note, times, "the cavities of each"))
    return tuple(found)


def _checklist(project: Project, pour: SiliconePour, resin: ResinPour, times: Timeline) -> tuple[str, ...]:
    units, start = project.units, project.pour.start
    filled = sum(1 for c in project.cavities if not c.empty)
    line = line_text(pour.pour_height_mm, units)
    steps = []
    tray = project.silicone.is_resin
    if (project.silicone.cure or "platinum") == "platinum":
        steps.append("Test patch on master, glue and box has cured.")
    steps += [
        "Box dry-fitted, joints sealed outside; bench level both ways.",
        f"{filled} {'master' if filled == 1 else 'masters'} glued all round, sealed, dusted."
        if not tray
        else "The gang mold stands open face up on its pad, pinned or glued down, released.",
        f"Fill line drawn inside the side, {line} over the base.",
        f"A and B at {temperature_text(project.pour.temperature_c, units)}, container ready, cup tared.",
    ]
    if pour.coat is not None:
        wait = minutes_text(pour.coat.wait_min)
        steps.append(f"Detail coat weighed, mixed, brushed into every edge; wait {wait} until tacky.")
    if pour.filler_ml > 0.0:
        cover = length_text(project.pour.filler_cover_mm, units)
        steps.append(f"Old silicone clean, chopped, {cover} clear of masters and sides.")
    steps.append(f"Weigh A, then B; mix {minutes_text(pour.mix_min)}, scraping side and bottom.")
    if pour.degas_min:
        steps.append(f"Degas, {minutes_text(pour.degas_min)} in all: until the foam falls, then 1 to 3 min of it more.")
    steps.append("Pour a thin high stream into one corner, up to the line.")
    for name in fills(project):
        steps.append(f"Left-over silicone into the small mold {name}.")
    steps.append("Weigh what was used: ________ g.  Lot: ____________")
    steps.append(f"Demold from {clock_text(start, math.ceil(times.demold_min))}; number it, mark its back, log it.")
    if resin.batches:
        cast = "Release, weigh, mix and fill the cavities in the order of their numbers"
        steps.append(f"{cast}; demold after {minutes_text(resin.demold_min)}.")
        steps.append("First cast: weigh it, measure it, look at its back.")
    return tuple(steps)
