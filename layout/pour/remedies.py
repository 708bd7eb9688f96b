"""What would let a pour be one batch: a larger container or scale, a longer pot life, whichever stands in the way."""

import math
from dataclasses import dataclass, replace

from layout.limits import limit
from layout.materials import Catalogue, built_in
from layout.model import Mix, Project
from layout.pour.mixing import mixed_g_per_ml
from layout.pour.silicone import SiliconePour, silicone_pour, time_limit_share
from layout.pour.time import DOUBLING_C, pot_life_min, pot_reference, pour_min, temperature_factor
from layout.pour.timeline import silicone_timeline


@dataclass(frozen=True, slots=True)
class Remedies:
    """What it takes to pour one batch, limit by limit; None where a limit does not stand in the way or can't be met so.

    Parameters
    ----------
    late : bool
        One batch can't be poured in time; the next five are for that, or, where one batch fits, for taking no haste.
    without_degas : bool
        Leaving the vacuum out is enough.
    pot_life_min, pot_life_at_c : float
        The pot life a silicone needs, at the temperature of the present one's data sheet.
    slower : Mix or None
        The fastest silicone of the catalogue that fits.
    cooler_c : float or None
        Temperature of A and B that is enough, below today's, not so cold that it is warned of.
    two_hands_min, one_hand_min : float
        From the start of weighing to the end of the last pour, with a second pair of hands and without.
    container_ml : float or None
        The container one batch needs, where the present one is too small.
    scale_g : float or None
        What a scale must carry, container and one batch, where the present one can't.
    """

    late: bool
    without_degas: bool
    pot_life_min: float
    pot_life_at_c: float
    slower: Mix | None
    cooler_c: float | None
    two_hands_min: float
    one_hand_min: float
    container_ml: float | None
    scale_g: float | None


USUAL_SHORE_A = 20.0
LIKE_SHORE_A = 8.0
"""Silicones closer in hardness than this serve the same mold. Common practice, no source."""


def remedies(project: Project, catalogue: Catalogue | None = None) -> Remedies:
    """Return what would let the silicone be poured as one batch, or, if it is one, without haste."""
    settings, mix = project.pour, project.silicone
    row = limit(project, "silicone_time")
    pour = silicone_pour(project)
    one = _one_batch(project, pour, mix)
    late = one.minutes > time_limit_share(project, "silicone_time") * one.pot_min * (1.0 + 1e-9)
    share = time_limit_share(project, "silicone_time") if late or row.warn is None else row.warn
    by_mass = one.pot_min / pot_life_min(mix, settings.temperature_c)
    needed = one.minutes / share / by_mass
    t_ref, reference_c = pot_reference(mix)
    # nothing to mix or pour needs no time at all
    cooler = reference_c - DOUBLING_C * math.log2(needed / t_ref) if needed > 0.0 else settings.temperature_c
    coldest = limit(project, "cold_parts").warn
    cool = cooler < settings.temperature_c and (coldest is None or cooler >= coldest)
    # foam rises whatever headroom was typed
    foam = (limit(project, "headroom_degas").warn or 0.0) if settings.degas else 0.0
    container_ml, scale_g = max(settings.headroom, foam) * one.mixed_ml, one.mass_g + settings.container_tare_g
    small = settings.container_ml is not None and settings.container_ml < container_ml * (1.0 - 1e-9)
    weak = settings.scale_limit_g is not None and settings.scale_limit_g < scale_g * (1.0 - 1e-9)
    return Remedies(
        late=late,
        without_degas=settings.degas and one.minutes - settings.degas_min <= share * one.pot_min,
        pot_life_min=needed / temperature_factor(settings.temperature_c, reference_c),
        pot_life_at_c=reference_c,
        slower=_slower(project, pour, catalogue or built_in(), share),
        cooler_c=cooler if cool else None,
        two_hands_min=silicone_timeline(replace(project, pour=replace(settings, hands=2))).done_min,
        one_hand_min=silicone_timeline(replace(project, pour=replace(settings, hands=1))).done_min,
        container_ml=container_ml if small else None,
        scale_g=scale_g if weak else None,
    )


@dataclass(frozen=True, slots=True)
class _One:
    """The whole pour in one cup: mixed, mL and g; from contact to the empty cup, and its pot life, minutes."""

    mixed_ml: float
    mass_g: float
    minutes: float
    pot_min: float


def _one_batch(project: Project, pour: SiliconePour, mix: Mix) -> _One:
    settings = project.pour
    mixed = pour.poured_ml + settings.cup_film_ml * settings.correction
    mass = mixed * mixed_g_per_ml(mix)
    minutes = mix.mix_min + pour.degas_min + pour_min(pour.poured_ml, settings.pour_ml_per_s)
    return _One(mixed, mass, minutes, pot_life_min(mix, settings.temperature_c, mass))


def _slower(project: Project, pour: SiliconePour, catalogue: Catalogue, share: float) -> Mix | None:
    """The fastest silicone of the catalogue that fits in one batch; of the same cure and hardness if there is one."""
    fitting = []
    for mix in catalogue.resins if project.silicone.is_resin else catalogue.silicones:
        one = _one_batch(project, pour, mix)
        if one.minutes <= share * one.pot_min:
            softer = abs((mix.shore_a or USUAL_SHORE_A) - (project.silicone.shore_a or USUAL_SHORE_A)) > LIKE_SHORE_A
            other = mix.cure != (project.silicone.cure or "platinum")
            fitting.append((other, softer, one.pot_min, mix.name, mix))
    return min(fitting, key=lambda f: f[:4])[4] if fitting else None
