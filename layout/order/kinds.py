"""The kinds of part in a layout: one as a rule, several in a mixed box; each needs its own original and masters."""

import math
from collections import Counter
from dataclasses import dataclass

from layout.model import Master, Project


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of part.

    Parameters
    ----------
    master : Master
    cavities : int
        Positions of the mold that hold it.
    to_cast : int
        Masters still to be cast: positions and spares, less those in hand.
    """

    master: Master
    cavities: int
    to_cast: int


def kinds(project: Project) -> tuple[Kind, ...]:
    """Return the kinds of part that the layout holds, in the order of the project's masters.

    Notes
    -----
    Each kind gets the order's spares, since a flawed master is replaced by one of its kind. Masters in hand fill the
    positions of the first kind, then of the next; where all positions of a kind are filled, no spares are cast, so
    that they hold nothing up. A mold of one cavity takes the original itself.
    """
    count = Counter(c.master for c in project.cavities if not c.empty)
    alone = sum(count.values()) == 1
    in_hand = project.order.masters_in_hand
    found = []
    for master in project.masters:
        if not count[master.id]:
            continue
        positions = count[master.id]
        wanted = 1 if alone else positions + project.order.spare_masters
        there = min(in_hand, positions)
        in_hand -= there
        found.append(Kind(master, positions, 0 if there == positions else wanted - there))
    return tuple(found)


def parts_of_kinds(project: Project, parts: int) -> tuple[tuple[Kind, int], ...]:
    """Return how many parts of each kind an order of so many brings; they add up to the order.

    Notes
    -----
    In the proportion of the wanted numbers where every kind has one, else in the shares of the layout; rounded by the
    largest remainder.
    """
    found = kinds(project)
    shares = [k.master.wanted or 0 for k in found]
    if not all(shares):
        shares = [k.cavities for k in found]
    exact = [parts * share / sum(shares) for share in shares]
    whole = [math.floor(x + 1e-9) for x in exact]
    by_rest = sorted(range(len(found)), key=lambda i: (whole[i] - exact[i], i))
    for i in by_rest[: parts - sum(whole)]:
        whole[i] += 1
    return tuple(zip(found, whole, strict=True))


def casts_of(project: Project, cavities: int, parts: int, yield_share: float) -> int:
    """Return the fillings of the mold that an order takes: enough of the scarcest kind of part.

    Parameters
    ----------
    project : Project
    cavities : int
        Filled in a cast, 1 at least.
    parts : int
        Good parts of all kinds together.
    yield_share : float
    """
    made = parts_of_kinds(project, parts)
    if len(made) < 2:
        return casts_needed(parts, cavities, yield_share)
    return max(casts_needed(n, kind.cavities, yield_share) for kind, n in made)


def casts_needed(parts: int, cavities: int, yield_share: float) -> int:
    """Return the fillings that so many good parts take: ceil(P / (N y)).

    Examples
    --------
    >>> casts_needed(2000, 48, 0.97)
    43
    """
    return math.ceil(parts / (cavities * yield_share) - 1e-9)
