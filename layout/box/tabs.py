"""Tab joints: every edge in an odd number of equal tabs and notches, so that no half tab stands at a corner.

Along the upright edges the long sides have the first and the last tab. Along the lower edges the base has them, and its
corners are whole. Play is taken from both flanks of every tab, half on each part.
"""

from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry import box as rectangle_between

from layout.box.bulge import braces_mm
from layout.box.marks import SideBand, base_marks, edge_words, side_marks
from layout.box.panel import BoxParts, Cutter, Panel, Pose
from layout.box.shapes import Path, contour_of
from layout.errors import BadValueError
from layout.model import Box, Project, RectBox
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import fine_length_text, length_text
from layout.volumes import pour_height_mm, side_height_mm

DEFAULT_TAB_THICKNESSES: Final = 3.0
WIDEST_FIT_MM: Final = 1.0
"""Play from which tabs hold nothing and every notch is a leak. Common practice, no source."""

LEAST_TAB_MM: Final = 2.0
"""A narrower tab breaks off foam board and acrylic alike. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Teeth:
    """An edge in ``count`` equal parts; ``first`` says whether the panel owns the first (and so the last)."""

    span_mm: float
    count: int
    first: bool
    play_mm: float

    def owned(self) -> list[tuple[float, float]]:
        """Where the panel's tabs are along the edge, play taken off inner flanks."""
        step = self.span_mm / self.count
        found = []
        for k in range(0 if self.first else 1, self.count, 2):
            start = 0.0 if k == 0 else k * step + self.play_mm / 2.0
            end = self.span_mm if k == self.count - 1 else (k + 1) * step - self.play_mm / 2.0
            found.append((start, end))
        return found


def tab_count(span_mm: float, tab_mm: float) -> int:
    """Return the odd number of equal parts of an edge whose width comes nearest to the wanted tab; at least 3.

    Examples
    --------
    >>> tab_count(100.0, 15.0), tab_count(28.4, 14.3)
    (7, 3)
    """
    low = max(3, 2 * int((span_mm / tab_mm - 1.0) // 2.0) + 1)
    return min((low, low + 2), key=lambda n: abs(span_mm / n - tab_mm))


def tab_width_mm(box: Box) -> float:
    """Return the wanted width of a tab: the user's, else three thicknesses."""
    return DEFAULT_TAB_THICKNESSES * box.thickness_mm if box.tab_mm is None else box.tab_mm


def _refuse_unfit(project: Project, spans_mm: tuple[float, ...]) -> None:
    """Raise if the play or the wanted tab can't be: too loose to hold, or not three times along a side."""
    box, units = project.box, project.units
    if box.fit_mm < 0.0:
        raise BadValueError("--fit", "the play of a tab is negative", "give 0 or more")
    if box.fit_mm > WIDEST_FIT_MM:
        raise BadValueError(
            "--fit",
            f"tabs with {fine_length_text(box.fit_mm, units)} of play hold nothing, and every notch would leak",
            f"give at most {fine_length_text(WIDEST_FIT_MM, units)}",
        )
    short = min(spans_mm)
    if box.tab_mm is not None and 3.0 * box.tab_mm > short + CLEARANCE_TOL_MM:
        raise BadValueError(
            "--tab",
            f"a tab of {length_text(box.tab_mm, units)} does not go three times along a side of"
            f" {length_text(short, units)}, tab, notch and tab",
            f"give less than {length_text(short / 3.0, units)}, or use butt joints",
        )


def _counted(span_mm: float, project: Project, where: str) -> int:
    box, units = project.box, project.units
    count = tab_count(span_mm, tab_width_mm(box))
    if span_mm / count - box.fit_mm < LEAST_TAB_MM:
        raise BadValueError(
            "--joint tab",
            f"the {where} is only {length_text(span_mm, units)}: its tabs would be narrower than"
            f" {fine_length_text(LEAST_TAB_MM, units)}",
            "use butt joints, wider tabs or less play",
        )
    return count


def tab_box(project: Project, shape: RectBox, cutter: Cutter) -> BoxParts:
    """Return the panels of a rectangular box with tab joints, base included.

    Raises
    ------
    BadValueError
        If an edge is too short for three tabs, or the play is negative or too much for tabs to hold.
    """
    box = project.box
    _refuse_unfit(project, (shape.length_mm, shape.width_mm))
    length, width, t = shape.length_mm, shape.width_mm, box.thickness_mm
    height = side_height_mm(project)
    play = box.fit_mm
    along_x = _counted(length, project, "side along x")
    along_y = _counted(width, project, "side along y")
    upright = _counted(height, project, "upright edge")
    x_is_long = length >= width
    base = _base(project, cutter, _Teeth(length, along_x, True, play), _Teeth(width, along_y, True, play))
    sides = []
    for name, inner, count, laps, poses in (
        ("long side" if x_is_long else "short side", length, along_x, x_is_long, _x_poses(length, width)),
        ("short side" if x_is_long else "long side", width, along_y, not x_is_long, _y_poses(length, width)),
    ):
        lower = _Teeth(inner, count, False, play)
        sides.append(_side(project, name, lower, _Teeth(height, upright, laps, play), poses, cutter))
    long_first = sides if x_is_long else sides[::-1]
    u = project.units
    widths = tuple(length_text(s / n, u) for s, n in ((length, along_x), (width, along_y), (height, upright)))
    steps = (
        f"Tabs are {widths[0]} wide along x, {widths[1]} along y and {widths[2]} up the corners: an odd number of tabs"
        " and notches on each edge.",
        "Push the tabs of the short sides into the long ones, then set both on the base.",
        "Run glue or tape along every joint on the outside.",
    )
    return BoxParts((base, *long_first), (length + 2 * t, width + 2 * t, height + t), play, None, steps)


def _x_poses(length: float, width: float) -> tuple[Pose, Pose]:
    front = Pose((length, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    return front, Pose((0.0, width, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def _y_poses(length: float, width: float) -> tuple[Pose, Pose]:
    left = Pose((0.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    return left, Pose((length, width, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0))


def _base(project: Project, cutter: Cutter, x_teeth: _Teeth, y_teeth: _Teeth) -> Panel:
    t = project.box.thickness_mm
    length, width = x_teeth.span_mm, y_teeth.span_mm
    parts = [rectangle_between(0.0, 0.0, length, width)]
    for a, b in x_teeth.owned():
        # the end tabs take the corner with them
        a, b = (-t if a == 0.0 else a), (length + t if b == length else b)
        parts += [rectangle_between(a, -t, b, 0.0), rectangle_between(a, width, b, width + t)]
    for a, b in y_teeth.owned():
        parts += [rectangle_between(-t, a, 0.0, b), rectangle_between(length, a, length + t, b)]
    pose = Pose((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    words = edge_words("base - this face in", length, project.rules.edge_mm, cutter)
    marks = (*base_marks(project, cutter, (0.0, 0.0)), *words)
    return Panel("base", _contour(parts), t, (pose,), 1, marks=marks, remark="Glue the masters to the drawn face.")


def _side(
    project: Project, name: str, lower: _Teeth, upright: _Teeth, poses: tuple[Pose, Pose], cutter: Cutter
) -> Panel:
    t = project.box.thickness_mm
    inner, height = lower.span_mm, upright.span_mm
    parts = [rectangle_between(0.0, 0.0, inner, height)]
    parts += [rectangle_between(a, -t, b, 0.0) for a, b in lower.owned()]
    for a, b in upright.owned():
        parts += [rectangle_between(-t, a, 0.0, b), rectangle_between(inner, a, inner + t, b)]
    marks = side_marks(
        name, SideBand(0.0, inner, 0.0, height), pour_height_mm(project), cutter, braces_mm(project, name)
    )
    return Panel(name, _contour(parts), t, poses, 2, marks=marks)


def _contour(parts: list[shapely.Polygon]) -> Path:
    """Return the outline of rectangles put together, counter-clockwise, no point on a straight side."""
    whole = shapely.union_all(parts)
    assert isinstance(whole, shapely.Polygon)  # every tab shares a side with the middle
    return contour_of(whole)
