"""Line up, space evenly, mirror: edits by the bounding boxes of footprints."""

from collections.abc import Collection
from dataclasses import replace
from typing import Literal

from shapely import affinity

from layout import edits
from layout.errors import BadValueError
from layout.geometry import Disc, Footprint, footprint_polygon
from layout.mirror import mirrored_footprint
from layout.model import Cavity, CavityId, Project
from layout.regions import inner_size_mm, placed_cavities

Side = Literal["left", "right", "top", "bottom", "middle-x", "middle-y"]
"""What comes to lie on one line; ``middle-x``: the middles, one above the other; ``middle-y``: side by side."""

Axis = Literal["x", "y"]

_Bounds = tuple[float, float, float, float]


def _bounds(project: Project, ids: Collection[CavityId], least: int, what: str) -> dict[CavityId, _Bounds]:
    edits.change_cavities(project, ids, lambda cavity: cavity)
    chosen = set(ids)
    if len(chosen) < least:
        raise BadValueError(what, f"{len(chosen)} chosen", f"choose at least {least} cavities")
    return {i: p.bounds for i, p in placed_cavities(project).items() if i in chosen}


def line_up(project: Project, ids: Collection[CavityId], side: Side) -> Project:
    """Return the project with these cavities moved along one axis until a side of each lies on one line.

    Parameters
    ----------
    side : Side
        ``left`` takes the leftmost left side of the chosen, ``top`` the highest top; ``middle-x`` and ``middle-y`` the
        middle of the box about all of them.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    BadValueError
        If fewer than two are chosen.
    """
    bounds = _bounds(project, ids, 2, "line up")
    moves = {i: _to_line(b, side, list(bounds.values())) for i, b in bounds.items()}

    def moved(cavity: Cavity) -> Cavity:
        dx, dy = moves[cavity.id]
        return replace(cavity, x_mm=cavity.x_mm + dx, y_mm=cavity.y_mm + dy)

    return edits.change_cavities(project, ids, moved)


def _to_line(own: _Bounds, side: Side, every: list[_Bounds]) -> tuple[float, float]:
    x0, y0, x1, y1 = own
    left, bottom = min(b[0] for b in every), min(b[1] for b in every)
    right, top = max(b[2] for b in every), max(b[3] for b in every)
    return {
        "left": (left - x0, 0.0),
        "right": (right - x1, 0.0),
        "bottom": (0.0, bottom - y0),
        "top": (0.0, top - y1),
        "middle-x": ((left + right) / 2.0 - (x0 + x1) / 2.0, 0.0),
        "middle-y": (0.0, (bottom + top) / 2.0 - (y0 + y1) / 2.0),
    }[side]


def space_evenly(project: Project, ids: Collection[CavityId], axis: Axis) -> Project:
    """Return the project with equal gaps between the bounding boxes of these cavities; the outermost two stay.

    Raises
    ------
    UnknownNameError
        If one is not in the project.
    BadValueError
        If fewer than three are chosen.
    """
    bounds = _bounds(project, ids, 3, "space evenly")
    low, high = (0, 2) if axis == "x" else (1, 3)
    order = sorted(bounds, key=lambda i: (bounds[i][low] + bounds[i][high], bounds[i][1 - low]))
    first, last = bounds[order[0]], bounds[order[-1]]
    between = sum(bounds[i][high] - bounds[i][low] for i in order[1:-1])
    gap = (last[low] - first[high] - between) / (len(order) - 1)
    moves: dict[CavityId, float] = {}
    at = first[high]
    for i in order[1:-1]:
        moves[i] = at + gap - bounds[i][low]
        at += gap + bounds[i][high] - bounds[i][low]

    def moved(cavity: Cavity) -> Cavity:
        step = moves[cavity.id]
        if axis == "x":
            return replace(cavity, x_mm=cavity.x_mm + step)
        return replace(cavity, y_mm=cavity.y_mm + step)

    return edits.change_cavities(project, list(moves), moved)


def mirror_layout(project: Project, axis: Axis = "x", ids: Collection[CavityId] | None = None) -> Project:
    """Return the project with its cavities where a mirror would show them: right-handed parts at mirrored places.

    Parameters
    ----------
    axis : {"x", "y"}
        ``x`` exchanges left and right, ``y`` top and bottom.
    ids : collection of CavityId, optional
        These about their own middle; None: all, and the keep-outs, about the middle of the box.

    Notes
    -----
    A part is not turned into its mirror image: there is only the one master. One that is its own mirror image, turned
    or not, ends up exactly as the mirror shows it; another takes the one of the two turns that covers most of it.
    """
    length, width = inner_size_mm(project.box.shape)
    chosen = [c.id for c in project.cavities] if ids is None else list(ids)
    if not chosen and ids is not None:
        return project
    if ids is None:
        about = length if axis == "x" else width
    else:
        bounds = _bounds(project, chosen, 1, "mirror").values()
        low, high = (0, 2) if axis == "x" else (1, 3)
        about = min(b[low] for b in bounds) + max(b[high] for b in bounds)
    halves = {m.id: _is_better_half_turned(m.footprint, axis) for m in project.masters}

    def shown(cavity: Cavity) -> Cavity:
        angle = (180.0 if halves[cavity.master] else 0.0) - cavity.angle_deg
        if axis == "x":
            return replace(cavity, x_mm=about - cavity.x_mm, angle_deg=angle % 360.0)
        return replace(cavity, y_mm=about - cavity.y_mm, angle_deg=angle % 360.0)

    after = edits.change_cavities(project, chosen, shown)
    if ids is not None or not project.keep_outs:
        return after
    areas = [
        replace(k, x_mm=length - k.x_mm) if axis == "x" else replace(k, y_mm=width - k.y_mm) for k in after.keep_outs
    ]
    return replace(after, keep_outs=tuple(areas))


def _is_better_half_turned(footprint: Footprint, axis: Axis) -> bool:
    """Whether a half turn brings a footprint nearer to its mirror image than none does."""
    if isinstance(footprint, Disc):
        return False
    own = footprint_polygon(footprint)
    image = footprint_polygon(mirrored_footprint(footprint))
    if axis == "y":
        image = affinity.rotate(image, 180.0, origin=(0.0, 0.0))
    turned = affinity.rotate(own, 180.0, origin=(0.0, 0.0))
    return bool(image.symmetric_difference(turned).area < image.symmetric_difference(own).area - 1e-9)
