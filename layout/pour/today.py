"""Fewer masters than positions today: which positions are left empty, by the numbers on the layout."""

from dataclasses import replace

from layout.errors import BadValueError, UnknownNameError
from layout.model import CavityId, Project
from layout.numbering import numbers


def with_empty(project: Project, text: str, where: str) -> Project:
    """Return the project with these positions left empty and all others filled.

    Parameters
    ----------
    project : Project
    text : str
        Numbers of the pouring order and ranges of them: ``3, 7-9``; ``none`` or nothing fills all.
    where : str
        The option or field, for the error.

    Raises
    ------
    BadValueError
        If it can't be read.
    UnknownNameError
        If a number is not on the layout.
    """
    by_number: dict[int, CavityId] = {n: i for i, n in numbers(project).items()}
    wanted = _numbers(text, where)
    for number in sorted(wanted):
        if number not in by_number:
            count = len(by_number)
            have = f"the layout has 1 to {count}" if count else "the layout has no cavity"
            raise UnknownNameError(where, f"there is no position {number}", have)
    empty = {by_number[n] for n in wanted}
    return replace(project, cavities=tuple(replace(c, empty=c.id in empty) for c in project.cavities))


def empty_numbers(project: Project) -> list[int]:
    """Return the numbers of the positions left empty, ascending."""
    number = numbers(project)
    return sorted(number[c.id] for c in project.cavities if c.empty)


def _numbers(text: str, where: str) -> set[int]:
    found: set[int] = set()
    if text.strip().lower() in ("", "none"):
        return found
    for part in text.replace(",", " ").split():
        first, dash, last = part.partition("-")
        if not first.isdecimal() or (dash and not last.isdecimal()) or len(first) > 6 or len(last) > 6:
            raise BadValueError(where, f"{part!r} is no number of a position", "write it like 3,7-9")
        low, high = int(first), int(last) if dash else int(first)
        if high < low or high - low > 10_000:
            raise BadValueError(where, f"{part!r} is no range", "write it like 7-9")
        found.update(range(low, high + 1))
    return found
