"""The kinds of part in a layout: one as a rule, several in a mixed box; each needs its own original and masters."""

import math
from collections import Counter
from dataclasses import dataclass

from layout.errors import BadValueError
from layout.model import Master, Project
from layout.units import parse_number


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
    that they hold nothing up. (A mold of one cavity takes the original itself: nothing is cast for it.)
    """
    count = Counter(c.master for c in project.cavities if not c.empty)
    in_hand = project.order.masters_in_hand
    found = []
    for master in project.masters:
        if not count[master.id]:
            continue
        positions = count[master.id]
        wanted = positions + project.order.spare_masters
        there = min(in_hand, positions)
        in_hand -= there
        found.append(Kind(master, positions, 0 if there == positions else wanted - there))
    return tuple(found)


def parts_of_kinds(project: Project, parts: int) -> tuple[tuple[Kind, int], ...]:
    """Return how many parts of each kind an order of so many brings; they add up to the order.

    Notes
    -----
    In the proportion of the order's own numbers for each kind, else of the masters' wanted numbers, where every kind
    has one; else in the shares of the layout; rounded by the largest remainder.
    """
    found = kinds(project)
    ordered = dict(project.order.kind_parts)
    shares = [ordered.get(k.master.id, 0) for k in found]
    if not all(shares):
        shares = [k.master.wanted or 0 for k in found]
    if not all(shares):
        shares = [k.cavities for k in found]
    exact = [parts * share / sum(shares) for share in shares]
    whole = [math.floor(x + 1e-9) for x in exact]
    by_rest = sorted(range(len(found)), key=lambda i: (whole[i] - exact[i], i))
    for i in by_rest[: parts - sum(whole)]:
        whole[i] += 1
    return tuple(zip(found, whole, strict=True))


def parse_kind_parts(text: str, project: Project, where: str) -> tuple[tuple[str, int], ...]:
    """Return typed numbers of parts of each kind, ``knob=70, bolt=60``, by the ids of their masters.

    Raises
    ------
    BadValueError
        If it can't be read, a kind of the layout is missing, or one is named that is not in it.
    """
    found = kinds(project)
    known = {k.master.name.casefold(): k.master for k in found}
    example = ", ".join(f"{k.master.name}={n}" for k, n in parts_of_kinds(project, max(100, len(found))))
    remedy = f"write it like {example}" if found else "fill the box first"
    numbers: dict[str, int] = {}
    for piece in text.split(","):
        name, _, number = (part.strip() for part in piece.rpartition("="))
        if name.casefold() not in known:
            raise BadValueError(where, f"{piece.strip()!r} names no part of the layout", remedy)
        amount = parse_number(number, where, least=1.0, most=1e7)
        if amount != int(amount):
            raise BadValueError(where, f"{number!r} is not a whole number", remedy)
        numbers[known[name.casefold()].id] = int(amount)
    missing = [k.master.name for k in found if k.master.id not in numbers]
    if missing:
        raise BadValueError(where, f"{missing[0]} is missing", remedy)
    return tuple(numbers.items())


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
