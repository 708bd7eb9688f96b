"""What one layout takes: silicone for a mold, resin and minutes for a round. The only place that asks the pour."""

import math
from dataclasses import dataclass

from layout.model import Project
from layout.order.stints import Round
from layout.pour.mixing import mixed_g_per_ml
from layout.pour.resin import resin_pour
from layout.pour.silicone import silicone_pour


@dataclass(frozen=True, slots=True)
class Needs:
    """One gang mold and one round of it.

    Parameters
    ----------
    cavities : int
        Filled in each round; positions left empty are not.
    silicone_ml, silicone_g : float
        Of one mold, losses included.
    silicone_net_ml : float
    silicone_batches : int or None
    silicone_demold_min : float
        Today.
    resin_ml, resin_g : float
        Of one round, the loss in the cup included.
    resin_batches : int or None
        None if not one cavity can be filled in time.
    cavities_per_batch : int
        What one batch fills before it sets.
    fill_min : float
        To fill all cavities, moves included.
    round : Round
    mold_kg : float
        Mass of the cured mold.
    """

    cavities: int
    silicone_ml: float
    silicone_g: float
    silicone_net_ml: float
    silicone_batches: int | None
    silicone_demold_min: float
    resin_ml: float
    resin_g: float
    resin_batches: int | None
    cavities_per_batch: int
    fill_min: float
    round: Round
    mold_kg: float

    @property
    def hands_min(self) -> float:
        """Hands of one round, trimming not counted: the t_op of the cycle formula."""
        return self.round.cast_min + self.round.demold_min


def needs(project: Project) -> Needs:
    """Return what a layout takes, today.

    Notes
    -----
    Hands of a round: preparing (2.5 min), every cavity's move and fill, 0.75 min for each further batch of resin, and
    4 s a part to demold; all of it set in the order. A batch that can't be filled in time counts as one batch for each
    cavity: the plan is then refused elsewhere, by name.
    """
    order = project.order
    silicone, resin = silicone_pour(project), resin_pour(project)
    cavities = sum(not c.empty for c in project.cavities)
    fill_min = math.fsum(b.fill_min for b in resin.batches)
    batches = len(resin.batches) or None
    extra = order.prepare_each_min * ((batches or max(1, cavities)) - 1)
    turn = Round(
        cast_min=order.prepare_min + fill_min + extra,
        cure_min=resin.demold_min,
        demold_min=cavities * order.demold_s / 60.0,
        trim_min=cavities * order.trim_s / 60.0,
    )
    return Needs(
        cavities=cavities,
        silicone_ml=silicone.batching.total_ml + (silicone.coat.dose.volume_ml if silicone.coat else 0.0),
        silicone_g=silicone.total_a_g + silicone.total_b_g,
        silicone_net_ml=silicone.volumes.net_ml,
        silicone_batches=silicone.batching.count,
        silicone_demold_min=silicone.demold_min,
        resin_ml=resin.per_cycle_ml,
        resin_g=resin.dose.mass_g,
        resin_batches=batches,
        cavities_per_batch=resin.cavities_per_batch or 0,
        fill_min=fill_min,
        round=turn,
        mold_kg=silicone.volumes.net_ml * mixed_g_per_ml(project.silicone) / 1000.0,
    )
