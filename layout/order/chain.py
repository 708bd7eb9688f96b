"""The chain of an order as data: the steps from one original to the parts delivered, each with what it takes.

A step can be left out or done more than once, and everything behind it follows: the time, the money, the shrink.
"""

import math
from dataclasses import replace
from typing import Final

from layout.batch_log import mold_life
from layout.model import Mix, Project
from layout.order.finish import CoatNeed, coats
from layout.order.kinds import kinds
from layout.order.needs import Needs
from layout.order.rigid_master import rigid_master, tray_resin
from layout.order.shrinkage import ShrinkChain, generation, shrink_chain
from layout.order.single_mold import single_mold
from layout.order.steps import STEPS, Step, require_steps
from layout.order.stints import Job
from layout.pour.batches import split
from layout.pour.mixing import mixed_g_per_ml
from layout.pour.resin import cavity_ml
from layout.pour.time import demold_min
from layout.units import counted, length_text, minutes_text

INTERMEDIATE_CAVITIES: Final = 6
"""Copies in the small gang mold that speeds up the casting of masters. Common practice, no source."""


def masters_needed(project: Project, cavities: int) -> int:
    """Return the masters of a mold: its positions and each kind's spares; for a single cavity the original itself."""
    return 1 if cavities == 1 else cavities + max(1, len(kinds(project))) * project.order.spare_masters


def spare_molds(project: Project) -> int:
    """Return the gang molds that are poured beyond those at work."""
    return dict(project.order.repeat).get("gang_mold", 1) - 1


def price_of(mix: Mix, grams: float) -> float:
    """Return the price of so many grams; 0 where the price is not known."""
    return (mix.price_per_kg or 0.0) * grams / 1000.0


def chain(project: Project, needed: Needs, casts: int, molds: int, *, each_mold: bool = True) -> tuple[Step, ...]:
    """Return the steps of an order, left-out ones included.

    Parameters
    ----------
    project : Project
        As laid out; its order says what is left out and repeated.
    needed : Needs
        Of this layout.
    casts, molds : int
    each_mold : bool
        Whether every further gang mold gets a job of its own; where only sums are asked there may be thousands of them.

    Raises
    ------
    BadValueError
        If a step is named that does not exist, can't be left out, or is repeated less than once.
    """
    require_steps(project.order)
    link = _Links(project, needed, casts, molds)
    return (
        link.original(), link.single_mold(), link.copies(), link.intermediate_mold(), link.gang_mold(),
        link.rigid_master(), link.more_molds(each_mold), link.casting(), link.trimming(), link.finish(),
        link.delivery(),
    )  # fmt: skip


def shrink_of(steps: tuple[Step, ...]) -> ShrinkChain:
    """Return the shrink over all steps that are not left out."""
    return shrink_chain(g for step in steps for g in step.generations)


class _Links:
    """Builds the steps one after the other."""

    def __init__(self, project: Project, needed: Needs, casts: int, molds: int) -> None:
        self.project, self.needed, self.casts, self.molds = project, needed, casts, molds
        self.order = project.order
        self.times = dict(project.order.repeat)
        self.celsius = project.pour.temperature_c
        self.masters = masters_needed(project, needed.cavities)
        self.kinds = kinds(project)
        self.to_cast = sum(k.to_cast for k in self.kinds)
        self.spares = spare_molds(project)
        self.with_tray = not self._skipped("rigid_master") and molds + self.spares > 1
        self.small_gang = (
            not self._skipped("intermediate_mold")
            and len(self.kinds) == 1
            and not self._no_copies()
            and self.to_cast > INTERMEDIATE_CAVITIES
            and needed.cavities > INTERMEDIATE_CAVITIES
        )

    def _length(self, mm: float) -> str:
        return length_text(mm, self.project.units, decimals=1)

    def _skipped(self, step: str) -> bool:
        return step in self.order.skip

    def _no_copies(self) -> str:
        if self.needed.cavities == 1:
            return "one cavity: the original itself is the master"
        if self.to_cast == 0:
            return f"{self.order.masters_in_hand} masters are in hand"
        if self._skipped("single_mold") or self._skipped("copies"):
            return "left out: the masters come from elsewhere"
        return ""

    def _each_kind(self, counts: list[int]) -> str:
        return ", ".join(f"{n} {k.master.name}" for k, n in zip(self.kinds, counts, strict=True) if n)

    def _masters_are_there(self) -> bool:
        return self.needed.cavities > 1 and bool(self._no_copies())

    def _left_out(self, step: str, why: str) -> Step:
        return Step(step, STEPS[step], detail=why, left_out=True)

    def _lossy_ml(self, net_ml: float) -> float:
        pour = self.project.pour
        return split(net_ml * (1.0 + pour.waste_pct / 100.0), pour.cup_film_ml, ()).total_ml * pour.correction

    def original(self) -> Step:
        count = max(1, len(self.kinds))
        hands = count * self.order.original_min
        names = f"{', '.join(k.master.name for k in self.kinds)}: " if count > 1 else ""
        # the test patch of the silicone on it is looked at after one demold time: sticky means stop
        patch = 0.0 if self._masters_are_there() else demold_min(self.project.silicone, self.celsius)
        job = Job("prepare the originals" if count > 1 else "prepare the original", hands, patch)
        return Step("original", STEPS["original"],
                    detail=f"{names}seal, measure, weigh; test patch of the silicone on it",
                    count=count, hands_min=hands, wait_min=patch, jobs=(job,))  # fmt: skip

    def _copies_to_cast(self) -> list[int]:
        """Masters to be cast in single molds, of each kind."""
        return [INTERMEDIATE_CAVITIES] if self.small_gang else [k.to_cast for k in self.kinds]

    def single_mold(self) -> Step:
        why = self._no_copies()
        if why:
            return self._left_out("single_mold", why)
        mix, life = self.project.silicone, mold_life(self.project)
        made = [
            (single_mold(self.project, kind.master), max(self.singles, math.ceil(copies / life)))
            for kind, copies in zip(self.kinds, self._copies_to_cast(), strict=True)
            if copies
        ]
        count = sum(n for _, n in made)
        grams = math.fsum(n * self._lossy_ml(tube.silicone_ml) for tube, n in made) * mixed_g_per_ml(mix)
        hands, wait = count * self.order.single_mold_min, demold_min(mix, self.celsius)
        return Step(
            "single_mold", STEPS["single_mold"], mix.name,
            "; ".join(
                f"tube {self._length(tube.diameter_mm)} inside, poured {self._length(tube.height_mm)} high,"
                f" {tube.silicone_ml:.1f} mL each (net)"
                for tube in dict.fromkeys(t for t, _ in made)
            ),
            count, grams, "g", hands, wait, price_of(mix, grams),
            (Job("pour the single mold" if count == 1 else "pour the single molds", hands, wait),),
            (generation("single mold", mix, silicone=True),),
        )  # fmt: skip

    @property
    def singles(self) -> int:
        """Single molds cast at a time."""
        return max(1, self.order.single_molds) * self.times.get("single_mold", 1)

    def copies(self) -> Step:
        why = self._no_copies()
        if why:
            return self._left_out("copies", why)
        mix, settings = self.project.resin, self.project.pour
        wanted = [n * self.times.get("copies", 1) for n in self._copies_to_cast()]
        count = sum(wanted)
        net_ml = math.fsum(n * cavity_ml(k.master, settings) for k, n in zip(self.kinds, wanted, strict=True))
        grams = net_ml * (1.0 + settings.resin_waste_pct / 100.0) * mixed_g_per_ml(mix)
        cure, left = demold_min(mix, self.celsius), wanted
        jobs = []
        while any(left):
            now = [min(self.singles, n) for n in left]
            hands = sum(now) * self.order.prepare_min
            # the first mold of the round cures while the others are cast
            jobs.append(Job("cast masters", hands, max(0.0, self.order.prepare_min + cure - hands)))
            left = [n - k for n, k in zip(left, now, strict=True)]
        # masters in hand stand in positions, so that all spares are among those cast
        spare = sum(self.order.spare_masters for n in wanted if n)
        return Step(
            "copies", STEPS["copies"], mix.name,
            (f"{self._each_kind(wanted)}: " if len(self.kinds) > 1 else "")
            + f"{count} from {self.singles * sum(n > 0 for n in wanted)} at a time"
            + ("" if self.small_gang else f", {spare} of them spare"),
            count, grams, "g", math.fsum(j.hands_min for j in jobs), math.fsum(j.wait_min for j in jobs),
            price_of(mix, grams), tuple(jobs), (generation("masters", mix),),
        )  # fmt: skip

    def intermediate_mold(self) -> Step:
        if not self.small_gang:
            why = (
                "left out"
                if self._skipped("intermediate_mold")
                else ("a mixed box takes none" if len(self.kinds) > 1 else "this order needs none")
            )
            return self._left_out("intermediate_mold", why)
        silicone, resin = self.project.silicone, self.project.resin
        share = INTERMEDIATE_CAVITIES / self.needed.cavities
        net = self.needed.silicone_net_ml * share
        grams = self._lossy_ml(net) * mixed_g_per_ml(silicone)
        rounds = math.ceil(self.to_cast / INTERMEDIATE_CAVITIES)
        wait, cure = demold_min(silicone, self.celsius), demold_min(resin, self.celsius)
        hands = self.order.prepare_min + share * (self.needed.fill_min + self.needed.round.demold_min)
        generations = self.times.get("intermediate_mold", 1)
        jobs = [
            Job("pour the small gang mold", self.order.box_min / 2.0, wait),
            *(Job("cast masters in the small gang mold", hands, cure) for _ in range(rounds)),
        ] * generations
        resin_g = generations * self.to_cast * self.needed.resin_g / self.needed.cavities
        return Step(
            "intermediate_mold", STEPS["intermediate_mold"], f"{silicone.name}, {resin.name}",
            f"{INTERMEDIATE_CAVITIES} cavities, cast {rounds} times; silicone estimated from the gang mold's share."
            " One more pair of shrinks",
            generations, generations * grams + resin_g, "g", math.fsum(j.hands_min for j in jobs),
            math.fsum(j.wait_min for j in jobs),
            generations * price_of(silicone, grams) + price_of(resin, resin_g), tuple(jobs),
            (generation("small gang mold", silicone, silicone=True), generation("masters", resin)) * generations,
        )  # fmt: skip

    def _pour_job(self, hands_min: float, mold: int) -> Job:
        return Job(f"pour gang mold {mold + 1}", hands_min, self.needed.silicone_demold_min, mold)

    def _mold_hands_min(self) -> float:
        order, cavities = self.order, self.needed.cavities
        return order.box_min + cavities * order.box_each_min if cavities > 1 else order.single_mold_min

    def gang_mold(self) -> Step:
        mix, hands = self.project.silicone, self._mold_hands_min()
        batches = self.needed.silicone_batches
        poured = "in no number of batches" if batches is None else counted(batches, "batch")
        name = STEPS["gang_mold"] if self.needed.cavities > 1 else "Mold of one cavity"
        return Step(
            "gang_mold", name, mix.name, f"{counted(self.needed.cavities, 'cavity')}, {poured}",
            1, self.needed.silicone_g, "g", hands, self.needed.silicone_demold_min,
            price_of(mix, self.needed.silicone_g) + self.order.box_cost,
            (replace(self._pour_job(hands, 0), ready_mold=None if self.with_tray else 0),),
            (generation("gang mold", mix, silicone=True),),
        )  # fmt: skip

    def rigid_master(self) -> Step:
        if not self.with_tray:
            why = "left out" if self._skipped("rigid_master") else "one gang mold is enough"
            return self._left_out("rigid_master", why)
        mix, count = tray_resin(self.project), self.times.get("rigid_master", 1)
        tray = rigid_master(self.project)
        patch = demold_min(self.project.silicone, self.celsius)
        grams, wait = count * tray.mass_g, demold_min(mix, self.celsius) + patch
        hands = count * self.order.tray_min
        return Step(
            "rigid_master", STEPS["rigid_master"], mix.name,
            f"cast in the first gang mold, with {minutes_text(patch)} for the test patch on it; molds from it are alike"
            f" and give parts {self._smaller_pct(mix):.2f} % smaller than the first mold's",
            count, grams, "g", hands, count * wait, price_of(mix, grams) + count * self.order.tray_cost,
            # the first gang mold lies in the resin of the last tray until it is pulled
            tuple(Job("pour the rigid master mold", self.order.tray_min, wait, 0 if k == count - 1 else None)
                  for k in range(count)),
            (generation("rigid master mold", mix), generation("gang mold", self.project.silicone, silicone=True)),
        )  # fmt: skip

    def _smaller_pct(self, tray: Mix) -> float:
        """How much smaller the parts of molds from the tray are than those of the first mold, per cent."""
        pair = (generation("", tray), generation("", self.project.silicone, silicone=True))
        return 100.0 * (1.0 - shrink_chain(pair).factor)

    def more_molds(self, each_mold: bool) -> Step:
        count = self.molds - 1 + self.spares
        if count < 1:
            return self._left_out("more_molds", "one gang mold is enough")
        mix = self.project.silicone
        each = self.order.remold_min if self.with_tray else self._mold_hands_min()
        box_cost = 0.0 if self.with_tray else self.order.box_cost
        grams = count * self.needed.silicone_g
        spare = (
            replace(self._pour_job(each, self.molds), name="pour a spare gang mold", ready_mold=None),
        ) * self.spares
        return Step(
            "more_molds", STEPS["more_molds"], mix.name,
            ("poured in the rigid master mold" if self.with_tray else "each in a new box with the masters glued in")
            + (f", {self.spares} spare" if self.spares else ""),
            count, grams, "g", count * each, count * self.needed.silicone_demold_min,
            price_of(mix, grams) + count * box_cost,
            tuple(self._pour_job(each, mold) for mold in range(1, self.molds if each_mold else 1)) + spare,
        )  # fmt: skip

    def casting(self) -> Step:
        mix, turn = self.project.resin, self.needed.round
        grams = self.casts * self.needed.resin_g
        batches = self.needed.resin_batches
        words = counted(batches, "batch") if batches else "no batches"
        return Step(
            "casting", STEPS["casting"], mix.name,
            f"{counted(self.casts, 'filling')} of {counted(self.needed.cavities, 'cavity')}, {words} each,"
            f" {minutes_text(turn.cure_min)} to demold",
            self.casts, grams, "g", self.casts * self.needed.hands_min, turn.cure_min, price_of(mix, grams),
            generations=(generation("parts", mix),),
        )  # fmt: skip

    def trimming(self) -> Step:
        if self._skipped("trimming"):
            return self._left_out("trimming", "left out")
        times = self.times.get("trimming", 1)
        hands = times * self.casts * self.needed.round.trim_min
        return Step("trimming", STEPS["trimming"], detail="flash off, backs level, bad ones out, counted",
                    count=self.casts * self.needed.cavities, hands_min=hands)  # fmt: skip

    def finish(self) -> Step:
        needed = [] if self._skipped("finish") else coats(self.project, self.order.parts)
        if not needed:
            why = "left out" if self._skipped("finish") else "no coats"
            return self._left_out("finish", why)
        needed = needed * self.times.get("finish", 1)
        return Step(
            "finish", STEPS["finish"], ", ".join(dict.fromkeys(c.name for c in needed)), _coat_words(needed),
            self.order.parts, math.fsum(c.volume_ml for c in needed), "mL", math.fsum(c.hands_min for c in needed),
            math.fsum(c.wait_min for c in needed), math.fsum(c.cost for c in needed),
            tuple(Job(c.name, c.hands_min, c.wait_min) for c in needed),
        )  # fmt: skip

    def delivery(self) -> Step:
        return Step("delivery", STEPS["delivery"], detail="packed, labelled, molds stored flat",
                    count=self.order.parts)  # fmt: skip


def _coat_words(needed: list[CoatNeed]) -> str:
    return "; ".join(f"{c.name} {c.volume_ml:.0f} mL, dry after {c.wait_min:.0f} min" for c in needed)
