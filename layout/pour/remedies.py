"""What would let a pour be mixed, degassed and poured as one batch in its pot life."""

import math
from dataclasses import dataclass, replace

from layout.limits import limit
from layout.materials import Catalogue, built_in
from layout.model import Mix, Project
from layout.pour.mixing import mixed_g_per_ml
from layout.pour.silicone import silicone_pour, time_limit_share
from layout.pour.time import DOUBLING_C, pot_life_min, pot_reference, pour_min, temperature_factor
from layout.pour.timeline import silicone_timeline


@dataclass(frozen=True, slots=True)
class Remedies:
    """Changes that would each make one batch fit; None where a change does not.

    Parameters
    ----------
    without_degas : bool
        Leaving the vacuum out is enough.
    pot_life_min, pot_life_at_c : float
        The pot life a silicone needs, at the temperature of the present one's data sheet.
    slower : Mix or None
        The fastest silicone of the catalogue that fits.
    cooler_c : float or None
        Temperature of A and B that is enough, not below 15 deg C.
    two_hands_min, one_hand_min : float
        From the start of weighing to the end of the last pour, with a second pair of hands and without.
    """

    without_degas: bool
    pot_life_min: float
    pot_life_at_c: float
    slower: Mix | None
    cooler_c: float | None
    two_hands_min: float
    one_hand_min: float


COLDEST_C = 15.0
USUAL_SHORE_A = 20.0
LIKE_SHORE_A = 8.0
"""Silicones closer in hardness than this serve the same mold. Common practice, no source."""


def remedies(project: Project, catalogue: Catalogue | None = None) -> Remedies:
    """Return what would let the silicone be poured as one batch, or, if it is one, without haste."""
    pour = silicone_pour(project)
    settings, mix = project.pour, project.silicone
    row = limit(project, "silicone_time")
    fits = pour.batching.count == 1 and row.warn is not None
    share = row.warn if fits and row.warn is not None else time_limit_share(project, "silicone_time")
    one_ml = (_poured_ml(project) + settings.cup_film_ml) * settings.correction
    bare = mix.mix_min + pour_min(one_ml, settings.pour_ml_per_s)
    one_g = one_ml * mixed_g_per_ml(mix)
    pot_of_one = pot_life_min(mix, settings.temperature_c, one_g)
    by_mass = pot_of_one / pot_life_min(mix, settings.temperature_c)
    needed = (bare + pour.degas_min) / share / by_mass
    t_ref, reference_c = pot_reference(mix)
    at_reference = needed / temperature_factor(settings.temperature_c, reference_c)
    # nothing to mix or pour needs no time at all
    cooler = reference_c - DOUBLING_C * math.log2(needed / t_ref) if needed > 0.0 else settings.temperature_c
    return Remedies(
        without_degas=settings.degas and bare <= share * pot_of_one,
        pot_life_min=at_reference,
        pot_life_at_c=reference_c,
        slower=_slower(project, catalogue or built_in(), share),
        cooler_c=cooler if cooler >= COLDEST_C else None,
        two_hands_min=silicone_timeline(replace(project, pour=replace(settings, hands=2))).done_min,
        one_hand_min=silicone_timeline(replace(project, pour=replace(settings, hands=1))).done_min,
    )


def _poured_ml(project: Project) -> float:
    pour = silicone_pour(project)
    coat = pour.coat.volume_ml if pour.coat else 0.0
    return max(0.0, pour.volumes.net_ml - pour.filler_ml - coat) * (1.0 + project.pour.waste_pct / 100.0)


def _slower(project: Project, catalogue: Catalogue, share: float) -> Mix | None:
    """The fastest silicone of the catalogue that fits in one batch; of the same cure and hardness if there is one."""
    settings = project.pour
    fitting = []
    for mix in catalogue.silicones:
        one_ml = (_poured_ml(replace(project, silicone=mix)) + settings.cup_film_ml) * settings.correction
        degas = settings.degas_min if settings.degas else 0.0
        pot = pot_life_min(mix, settings.temperature_c, one_ml * mixed_g_per_ml(mix))
        if mix.mix_min + degas + pour_min(one_ml, settings.pour_ml_per_s) <= share * pot:
            softer = abs((mix.shore_a or USUAL_SHORE_A) - (project.silicone.shore_a or USUAL_SHORE_A)) > LIKE_SHORE_A
            fitting.append((mix.cure != (project.silicone.cure or "platinum"), softer, pot, mix.name, mix))
    return min(fitting, key=lambda f: f[:4])[4] if fitting else None
