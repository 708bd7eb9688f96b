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
    Each kind gets the order's spares, since a flawed master is replaced by one of its kind. Masters in hand are counted
    off the first kind, then the next. A mold of one cavity takes the original itself.
    """
    count = Counter(c.master for c in project.cavities if not c.empty)
    alone = sum(count.values()) == 1
    in_hand = project.order.masters_in_hand
    found = []
    for master in project.masters:
        if not count[master.id]:
            continue
        wanted = 1 if alone else count[master.id] + project.order.spare_masters
        found.append(Kind(master, count[master.id], max(0, wanted - in_hand)))
        in_hand = max(0, in_hand - wanted)
    return tuple(found)


def parts_of_kinds(project: Project, parts: int) -> tuple[tuple[Kind, int], ...]:
    """Return how many parts of each kind an order of so many brings, at least: in the shares of the layout."""
    found = kinds(project)
    cavities = sum(k.cavities for k in found)
    return tuple((k, math.ceil(parts * k.cavities / cavities - 1e-9)) for k in found)
