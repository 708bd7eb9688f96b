"""Mixed boxes: several masters in one box, wanted numbers first, then filled up in the shares asked for.

First each kind gets a strip of its own rows, as high as its number needs. Then, round after round, one more part is
forced in where it costs least, and all parts give way (overlap energy, hops), until it fits.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from layout import edits
from layout.checks import is_legal
from layout.fill.insertion import inserted
from layout.fill.mixed_strips import strips
from layout.fill.pairs import Pairs
from layout.fill.search import Place, Search, at_allowed_turns, legal_part
from layout.model import Master, MasterId


@dataclass(slots=True)
class MixedSearch(Search):
    """A search whose better layout is the one that comes nearer to the wanted numbers, then the fuller one.

    Parameters
    ----------
    masters : tuple of Master
        What may be placed. ``task.master`` is one of them and isn't looked at.
    """

    masters: tuple[Master, ...] = ()
    score: tuple[int, int] = (0, 0)
    pinned: dict[MasterId, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(self.seed)
        for cavity in self.task.project.cavities:
            self.pinned[cavity.master] = self.pinned.get(cavity.master, 0) + 1

    def begin_with(self, places: tuple[Place, ...], method: str) -> None:
        """Take over a layout that another search of the same task admitted."""
        self.best, self.method, self.score = places, method, self.score_of(places)

    def offer(self, places: Iterable[Place], method: str) -> bool:
        """Hand in a layout; return whether it was legal and better than the best so far; see `MixedSearch`."""
        layout = at_allowed_turns(self.task.project, self._no_more_than_wanted(tuple(places)))
        if not layout:
            return False
        score = self.score_of(layout)
        if score <= self.score:
            return False
        if not is_legal(edits.add_cavities(self.task.project, layout)[0]):
            return False
        self.best, self.method, self.score = layout, method, score
        if self.on_better:
            self.on_better(layout, method)
        return True

    def _no_more_than_wanted(self, places: tuple[Place, ...]) -> tuple[Place, ...]:
        """Return no more than ``task.most`` of the places: those of the masters that are needed first."""
        if len(places) <= self.task.most:
            return places
        counts = self.counts(())
        waiting = {m.id: [p for p in places if p[0] == m.id][::-1] for m in self.masters}
        kept: list[Place] = []
        while len(kept) < self.task.most:
            ranked = [*self.ranked(counts), *self.masters]
            master = next(m.id for m in ranked if waiting[m.id])
            kept.append(waiting[master].pop())
            counts[master] += 1
        return tuple(kept)

    def counts(self, places: Sequence[Place]) -> dict[MasterId, int]:
        """Return how many of each master there are with these places, pinned ones included."""
        found = {m.id: self.pinned.get(m.id, 0) for m in self.masters}
        for place in places:
            found[place[0]] = found.get(place[0], 0) + 1
        return found

    def score_of(self, places: Sequence[Place]) -> tuple[int, int]:
        """Return how many wanted ones are there, and how many in all."""
        counts = self.counts(places)
        met = sum(min(counts[m.id], m.wanted) for m in self.masters if m.wanted is not None)
        return met, len(places)

    def ranked(self, counts: dict[MasterId, int]) -> list[Master]:
        """Return which master to add next, the most urgent first: wanted ones, then the fill in its shares.

        Notes
        -----
        Masters without a wanted number fill the box up, equally. If all have one, they all do, in the proportion of
        their numbers.
        """
        lacking = [m for m in self.masters if m.wanted is not None and counts[m.id] < m.wanted]
        if lacking:
            return sorted(lacking, key=lambda m: counts[m.id] / max(m.wanted or 1, 1))
        return self.fillers(counts)

    def ranked_now(self) -> list[Master]:
        """Return the same for the best layout."""
        return self.ranked(self.counts(self.best))

    def fillers(self, counts: dict[MasterId, int]) -> list[Master]:
        """Return the masters that fill the box up, the rarest for its share first."""
        fill = [m for m in self.masters if m.wanted is None] or [m for m in self.masters if m.wanted]
        return sorted(fill, key=lambda m: counts[m.id] / (m.wanted or 1))


def mixed_strips(search: MixedSearch) -> Iterator[None]:
    """Offer strips of rows, less what box, pins and keep-outs forbid; yield after each piece of work."""
    project = search.task.project
    for places in strips(project, search.masters, search.ranked, search.counts(())):
        if places:
            search.offer(legal_part(project, places), "strips")
        yield
    yield from inserted(search, search.ranked_now)


def mixed_rounds(search: MixedSearch, pairs: Pairs) -> Iterator[None]:
    """Force in one more part, again and again; yield after each round. Imports numba: warm it first (`warm_mixed`)."""
    from layout.fill.mixed_hops import Hopper

    hopper = Hopper(search, pairs)
    while not pairs.halted():
        before = search.best
        hopper.round()
        yield
        if search.best != before:
            found = search.count
            for _ in inserted(search, search.ranked_now):
                pass
            if search.count > found:
                hopper.begin_again()


def warm_mixed() -> None:
    """Compile or load the kernels."""
    from layout.fill.mixed_hops import warm

    warm()
