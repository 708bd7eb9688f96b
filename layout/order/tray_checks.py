"""What to mind before the resin of a rigid master mold is poured: time, heat, draft, the silicone's cure."""

from dataclasses import dataclass
from typing import Final

from layout.limits import limit
from layout.model import Finding, Mix, Project, Severity
from layout.order.rigid_master import LAYER_MM, LEAST_POT_LIFE_MIN, RigidMaster, tray_resin
from layout.pour.mixing import mixed_g_per_ml
from layout.pour.time import largest_batch_ml, pot_life_min, pour_min
from layout.shop import RigidSettings
from layout.units import counted, length_text, minutes_text

LEAST_DRAFT_DEG: Final = 2.0
"""Lean of a tray's inner sides from which a mold comes out, up to 5 degrees. Common practice, no source."""

MOST_BATCHES: Final = 50
"""A tray that takes more batches than this is not poured in time at all. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class TrayTime:
    """The tray's resin against its pot life, minutes, today.

    Parameters
    ----------
    pot_life_min : float
        Of the whole mass in one batch.
    needed_min : float
        To mix and pour it in one batch.
    batches : int or None
        Batches that each fit in the allowed share; None if no number does.
    """

    pot_life_min: float
    needed_min: float
    batches: int | None


def tray_time(project: Project, tray: RigidMaster) -> TrayTime:
    """Return whether the tray's resin can be mixed and poured before it sets.

    Notes
    -----
    The pot life falls with the mass of a batch, so the cap of a batch is found by trying 1, 2, 3 ... batches.
    """
    resin, settings = tray_resin(project), project.pour
    share = limit(project, "resin_time").refuse or 1.0
    pot = pot_life_min(resin, settings.temperature_c, tray.mass_g)
    needed = resin.mix_min + pour_min(tray.resin_ml, settings.pour_ml_per_s)
    for count in range(1, MOST_BATCHES + 1):
        each = tray.resin_ml / count
        life = pot_life_min(resin, settings.temperature_c, each * mixed_g_per_ml(resin))
        cap = largest_batch_ml(life, resin.mix_min, 0.0, settings.pour_ml_per_s, share)
        if each <= cap:
            return TrayTime(pot, needed, count)
    return TrayTime(pot, needed, None)


def tray_findings(project: Project, tray: RigidMaster, settings: RigidSettings | None = None) -> tuple[Finding, ...]:
    """Return the advice for a tray; it changes no exit code."""
    chosen = settings or project.order.rigid
    resin, time = tray_resin(project), tray_time(project, tray)
    found: list[Finding] = []
    if time.pot_life_min < LEAST_POT_LIFE_MIN:
        found.append(
            Finding(
                "tray_pot_life", Severity.WARN, (), time.pot_life_min, LEAST_POT_LIFE_MIN, "min",
                detail=f"{tray.mass_g:.0f} g of {resin.name} set in {minutes_text(time.pot_life_min)}: it may gel in"
                f" the cup and overheat. Take a resin with {LEAST_POT_LIFE_MIN:g} min or more at this mass, or pour"
                " smaller batches.",
            )
        )  # fmt: skip
    if time.batches != 1:
        words = (
            "it sets on the way, however it is split. Take a slower resin or a cooler shop"
            if time.batches is None
            else f"in one go it may set on the way. Pour {counted(time.batches, 'batch')}, mixed one after the other"
        )
        found.append(
            Finding(
                "tray_time", Severity.REFUSE if time.batches is None else Severity.WARN, (), time.needed_min,
                (limit(project, "resin_time").refuse or 1.0) * time.pot_life_min, "min",
                detail=f"Mixing and pouring take {minutes_text(time.needed_min)} of a pot life of"
                f" {minutes_text(time.pot_life_min)}: {words}.",
            )
        )  # fmt: skip
    if tray.layers > 1:
        thick, layer, most = (
            length_text(v, project.units, decimals=1) for v in (tray.outer_mm[2], tray.layer_mm, LAYER_MM)
        )
        found.append(
            Finding(
                "tray_heat", Severity.INFO, (), tray.outer_mm[2], LAYER_MM, "mm",
                detail=f"{thick} of resin can run hot, over {most} a layer: if it heats, pour {tray.layers} layers of"
                f" {layer}, spread left-overs in a metal tray, and follow the product's safety data.",
            )
        )  # fmt: skip
    if chosen.draft_deg <= 0.0:
        found.append(
            Finding(
                "tray_draft", Severity.INFO, (), 0.0, LEAST_DRAFT_DEG, "deg",
                detail="The tray's sides have no draft: 2 to 5 degrees let the mold out; else cut a notch or an air"
                " hole that breaks the suction.",
            )
        )  # fmt: skip
    found.extend((*_caution(resin), _patch(project)))
    return tuple(found)


def _caution(resin: Mix) -> tuple[Finding, ...]:
    """Return what the resin asks of the one who pours it."""
    what = {
        "urethane": "Urethane gives off isocyanates, which can sensitize lungs and skin for good",
        "epoxy": "Epoxy can sensitize skin for good, and a large batch heats itself",
        "polyester": "Polyester gives off styrene",
    }.get(resin.cure or "")
    if what is None:
        return ()
    return (
        Finding(
            "tray_caution", Severity.INFO, unit="",
            detail=f"{what}: ventilate, nitrile gloves, goggles, and follow the product's safety data and your local"
            " rules.",
        ),
    )  # fmt: skip


def _patch(project: Project) -> Finding:
    platinum = project.silicone.cure == "platinum"
    why = (
        "Fresh urethane and epoxy can keep platinum silicone from curing."
        if platinum
        else "Resin and sealer can keep silicone from curing."
    )
    return Finding(
        "tray_inhibition", Severity.WARN if platinum else Severity.INFO, unit="",
        detail=f"{why} Pour a test patch on the sealed tray and wait one demold time; sticky means stop and seal or"
        " bake again, as the data sheets say.",
    )  # fmt: skip
