"""Drawn pieces to closed outlines: doubled ones dropped, loose ends joined, everything else refused by name."""

import math
from collections import defaultdict
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from layout.errors import BadOutlineError
from layout.geometry import XY, FloatArray
from layout.masters.pieces import Arc, Line, Piece, is_closed
from layout.tolerances import OUTLINE_JOIN_TOL_MM, POINT_MERGE_TOL_MM

SAME_PIECE_SHARE: Final = 0.05
"""Two pieces are one drawn twice if ends and middles agree within this share of their length, and no worse than
`OUTLINE_JOIN_TOL_MM`: a doubled line encloses nothing."""

_COVERED_MM: Final = 1e-4
"""A line this near to others all along lies on them: well above rounding, far below a cut."""

Loop = tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class _End:
    piece: int
    last: bool


def closed_loops(pieces: list[Piece], where: str) -> list[Loop]:
    """Return the closed outlines that the pieces make, each run head to tail.

    Raises
    ------
    BadOutlineError
        If ends stay loose or more than two lines meet in a point.
    """
    pieces = _without_doubles([p for p in pieces if p.length_mm > POINT_MERGE_TOL_MM])
    closed: list[Loop] = [(p,) for p in pieces if is_closed(p)]
    rest = [p for p in pieces if not is_closed(p)]
    if not rest:
        return closed
    nodes = _nodes(rest)
    if any(len(ends) > 2 for ends in nodes):
        rest = _without_covered(rest, nodes)
        nodes = _nodes(rest)
    _refuse_branches(rest, nodes, where)
    mate = {ends[i]: ends[1 - i] for ends in nodes if len(ends) == 2 for i in (0, 1)}
    _join_loose([ends[0] for ends in nodes if len(ends) == 1], rest, mate, where)
    return closed + _walk(rest, mate)


def _point(pieces: list[Piece], end: _End) -> XY:
    return pieces[end.piece].end if end.last else pieces[end.piece].start


def _without_doubles(pieces: list[Piece]) -> list[Piece]:
    from scipy.spatial import cKDTree

    if len(pieces) < 2:
        return pieces
    rows = np.array([(*min(p.start, p.end), *max(p.start, p.end), *p.middle) for p in pieces])
    dropped: set[int] = set()
    # the order of two ends that differ by rounding may flip: then the other order is near
    flipped = rows[:, [2, 3, 0, 1, 4, 5]]
    tree = cKDTree(rows)
    for i, (near, far) in enumerate(
        zip(tree.query_ball_point(rows, OUTLINE_JOIN_TOL_MM), tree.query_ball_point(flipped, OUTLINE_JOIN_TOL_MM),
            strict=True)
    ):  # fmt: skip
        for j in {*near, *far}:
            if j <= i or i in dropped or j in dropped:
                continue
            apart = min(float(np.abs(rows[i] - rows[j]).max()), float(np.abs(flipped[i] - rows[j]).max()))
            reach = SAME_PIECE_SHARE * min(pieces[i].length_mm, pieces[j].length_mm)
            alike = abs(pieces[i].length_mm - pieces[j].length_mm) <= 2.0 * reach
            if alike and apart <= min(OUTLINE_JOIN_TOL_MM, reach):
                dropped.add(j)
    return [p for i, p in enumerate(pieces) if i not in dropped]


def _nodes(pieces: list[Piece]) -> list[list[_End]]:
    """Return the ends grouped by the point they share, to rounding."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    ends = [_End(i, last) for i in range(len(pieces)) for last in (False, True)]
    xy = np.array([_point(pieces, end) for end in ends])
    reach = POINT_MERGE_TOL_MM + 1e-9 * float(np.abs(xy).max())
    pairs = cKDTree(xy).query_pairs(reach, output_type="ndarray")
    graph = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(ends), len(ends)))
    _, labels = connected_components(graph, directed=False)
    groups: dict[int, list[_End]] = defaultdict(list)
    for end, label in zip(ends, labels, strict=True):
        groups[int(label)].append(end)
    return list(groups.values())


def _without_covered(pieces: list[Piece], nodes: list[list[_End]]) -> list[Piece]:
    """Return the pieces without straight lines that others lie on end to end (one long line over two short ones)."""
    suspects = {end.piece for ends in nodes if len(ends) > 2 for end in ends}
    lines = {i: shapely.LineString([p.start, p.end]) for i, p in enumerate(pieces) if isinstance(p, Line)}
    kept = dict(enumerate(pieces))
    numbers = list(lines)
    tree = shapely.STRtree(list(lines.values()))
    for i in sorted(suspects & set(lines), key=lambda i: -lines[i].length):
        near = (numbers[k] for k in tree.query(lines[i], predicate="dwithin", distance=_COVERED_MM))
        others = [lines[j] for j in near if j != i and j in kept]
        if others and shapely.union_all(others).buffer(_COVERED_MM).covers(lines[i]):
            del kept[i]
    return list(kept.values())


def _refuse_branches(pieces: list[Piece], nodes: list[list[_End]], where: str) -> None:
    branching = [ends for ends in nodes if len(ends) > 2]
    if branching:
        x, y = _point(pieces, branching[0][0])
        count = len(branching[0])
        raise BadOutlineError(
            where, f"{count} lines meet at {x:.3f}, {y:.3f} mm: the outline touches or crosses itself",
            "erase what is not outline",
        )  # fmt: skip


def _join_loose(loose: list[_End], pieces: list[Piece], mate: dict[_End, _End], where: str) -> None:
    """Pair loose ends by the least distance within the tolerance; the pairs go into ``mate``."""
    from scipy.spatial import cKDTree

    if not loose:
        return
    xy = np.array([_point(pieces, end) for end in loose])
    # ends drawn just that far apart come out a rounding farther
    pairs = cKDTree(xy).query_pairs(OUTLINE_JOIN_TOL_MM + POINT_MERGE_TOL_MM, output_type="ndarray")
    gaps = np.hypot(*(xy[pairs[:, 0]] - xy[pairs[:, 1]]).T) if len(pairs) else np.empty(0)
    for i, j in pairs[np.argsort(gaps, kind="stable")]:
        if loose[i] not in mate and loose[j] not in mate:
            mate[loose[i]], mate[loose[j]] = loose[j], loose[i]
    open_ends = [k for k, end in enumerate(loose) if end not in mate]
    if open_ends:
        raise _open_error(xy[open_ends], where)


def _open_error(xy: FloatArray, where: str) -> BadOutlineError:
    from scipy.spatial import cKDTree

    # the nearest place of each end is its own, the next one that of another end
    gaps = np.asarray(cKDTree(xy).query(xy, 2)[0])[:, 1]
    i = int(gaps.argmin())
    (x, y), gap = xy[i], float(gaps[i])
    # rounded up, or a gap a hair over the limit would read as the limit
    gap = math.ceil(gap * 1000.0 - 1e-6) / 1000.0
    far = f" {gap:.3f} mm apart" if len(xy) == 2 else ""
    return BadOutlineError(
        where, f"the outline is open: {len(xy)} loose ends{far}, one at {x:.3f}, {y:.3f} mm",
        f"close it (ends within {OUTLINE_JOIN_TOL_MM:g} mm are joined) and erase stray lines",
    )  # fmt: skip


def _walk(pieces: list[Piece], mate: dict[_End, _End]) -> list[Loop]:
    loops: list[Loop] = []
    left = dict.fromkeys(range(len(pieces)))
    while left:
        start = next(iter(left))
        chain: list[Piece] = []
        end = _End(start, True)
        while end.piece in left:
            del left[end.piece]
            chain.append(pieces[end.piece] if end.last else pieces[end.piece].reversed())
            entry = mate[end]
            end = _End(entry.piece, not entry.last)
        loops.append(tuple(chain))
    return loops


def twice_area_mm2(loop: Loop) -> float:
    """Return twice the signed area of a loop, exact; gaps between joined ends count as straight lines."""
    bridges = sum(
        Line(a.end, b.start).twice_area_mm2()
        for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)
        if a.end != b.start
    )
    return math.fsum(p.twice_area_mm2() for p in loop) + bridges


def counter_clockwise(loop: Loop) -> Loop:
    """Return the loop run counter-clockwise."""
    return loop if twice_area_mm2(loop) > 0.0 else tuple(p.reversed() for p in reversed(loop))


def circle_of(loop: Loop) -> tuple[XY, float] | None:
    """Return centre and radius if a loop is one whole circle, in one arc or in several; else None."""
    first = loop[0]
    if not isinstance(first, Arc) or first.radius_mm is None:
        return None
    sweep = 0.0
    for piece in loop:
        if not isinstance(piece, Arc) or piece.radius_mm is None:
            return None
        if math.dist(piece.centre, first.centre) > POINT_MERGE_TOL_MM:
            return None
        if abs(piece.radius_mm - first.radius_mm) > POINT_MERGE_TOL_MM:
            return None
        sweep += abs(piece.sweep_rad) if piece.turns_left == first.turns_left else -abs(piece.sweep_rad)
    if abs(abs(sweep) - 2.0 * math.pi) > 1e-6:
        return None
    return first.centre, max(p.radius_mm or 0.0 for p in loop if isinstance(p, Arc))
