"""Advice on what stands on the shelf: kits, dates, numbers that are only assumed, what the last pour taught."""

from datetime import date

from layout.advice.saying import about, finding, found
from layout.materials import origin_of
from layout.model import Finding, Mix, Project, Severity
from layout.pour.learned import learned_correction
from layout.pour.silicone import silicone_pour

NAMES = {
    "a_g_per_ml": "the density of A",
    "b_g_per_ml": "the density of B",
    "ratio_a": "the ratio",
    "pot_life_min": "the pot life",
    "pot_life_at_c": "the temperature of its pot life (24 °C, 75 °F)",
    "demold_min": "the demold time",
}
WORTH_LEARNING = 0.02
TIGHT_SHARE = 0.03
"""What stays in the bottles of a kit, over what is poured. Common practice, no source."""


def stock_advice(project: Project, today: str) -> tuple[Finding, ...]:
    """Return the advice on materials in stock."""
    mixes = (project.silicone, project.resin)
    return (
        *found(_kit(project), _tight(project), *(_assumed(m) for m in mixes), *(_old(m, today) for m in mixes)),
        *found(_learned(project)),
    )


def _kit(project: Project) -> Finding | None:
    kits = silicone_pour(project).kits
    if kits is None or kits.count == 0 or not (project.silicone.left_a_g or project.silicone.left_b_g):
        return None
    sentence = (
        f"What is on the shelf is not enough: {kits.count} more {'kit' if kits.count == 1 else 'kits'}"
        f" of {project.silicone.name}."
    )
    return finding("kit_short", Severity.WARN, sentence, measured=float(kits.count), unit="kits")


def _tight(project: Project) -> Finding | None:
    """The kit would be emptied to the last gram: what clings to the bottles is more than is left."""
    pour = silicone_pour(project)
    if pour.kits is None or pour.total_a_g <= 0.0:
        return None
    left, of = min(
        (pour.kits.left_a_g, pour.total_a_g), (pour.kits.left_b_g, pour.total_b_g), key=lambda p: p[0] / p[1]
    )
    if left >= TIGHT_SHARE * of:
        return None
    sentence = (
        f"Only {left:.1f} g of a part would be left of {project.silicone.name}; what clings to the bottles may be more:"
        " have another kit ready."
    )
    return finding("kit_tight", Severity.WARN, sentence, measured=left, required=TIGHT_SHARE * of, unit="g")


def _assumed(mix: Mix) -> Finding | None:
    names = [words for field, words in NAMES.items() if origin_of(mix, field) == "assumed"]
    if not names:
        return None
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    sentence = (
        f"{mix.name}: {listed} {'is' if len(names) == 1 else 'are'} only assumed, a guess: type in the data sheet's."
    )
    return finding("assumed_numbers", Severity.WARN, sentence)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text[:10])
    except ValueError:
        return None


def _old(mix: Mix, today: str) -> Finding | None:
    opened, now = _day(mix.opened), _day(today)
    if opened is None or now is None or mix.keeps_days is None:
        return None
    days = (now - opened).days
    if days <= mix.keeps_days:
        return None
    sentence = (
        f"{mix.name}{f', lot {mix.lot}' if mix.lot else ''}: opened {opened.isoformat()}, it keeps {mix.keeps_days}"
        " days. Cure a test cup before you trust it with a mold."
    )
    return finding(
        "old_lot", Severity.WARN, sentence, measured=float(days), required=float(mix.keeps_days), unit="days"
    )


def _learned(project: Project) -> Finding | None:
    learned = learned_correction(project)
    if learned is None or abs(learned / project.pour.correction - 1.0) < WORTH_LEARNING:
        return None
    sentence = (
        f"The last pour used {about(100 * learned / project.pour.correction)} % of what was predicted: set the"
        f" correction to {learned:.3f}, or find out where it went."
    )
    return finding("learned", Severity.INFO, sentence, measured=learned, required=project.pour.correction)
