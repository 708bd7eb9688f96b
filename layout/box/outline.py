"""Boxes of any outline: flat panels with square or bevelled ends, or a strip of foam board that is half-cut and bent.

Square corners: each side ends where the next one begins to turn. At an outer corner it laps the next side by the
thickness; at an inner corner (of an L, T or U) it ends flush with the next side's inner face, which is shorter by the
thickness. So the inside is exact with straight cuts only.

Any other outline of a sheet that folds: one strip as long as the inside, half-cut from its outer face at every corner;
the inner paper is the hinge, and the outer grooves are taped. At an inner corner the outer face would be pressed
together, so a wedge is cut out of it there.

Any other outline of a stiff sheet: a panel for each side, its ends bevelled to half the angle of the corner, so that
two of them meet in the corner's bisector.
"""

import math
from collections.abc import Sequence
from typing import Final

import shapely
from shapely.geometry import Polygon

from layout.box.bulge import braces_mm
from layout.box.corners import angle_at, is_square_cornered, ring_of, sine_at, strip_flats
from layout.box.cutters import is_foldable
from layout.box.marks import SideBand, base_marks, side_marks
from layout.box.panel import BoxParts, Cutter, Panel, Pose, Solid
from layout.box.shapes import Layer, Path, Shape, contour_of, line, moved, polyline, rectangle, unit_vector
from layout.box.strokes import text_strokes
from layout.errors import BadValueError
from layout.geometry import XY
from layout.model import OutlineBox, Project
from layout.tolerances import CLEARANCE_TOL_MM
from layout.units import length_text
from layout.volumes import pour_height_mm, side_height_mm

MOST_SIDES: Final = 40
"""A stiff sheet is not cut into more bevelled sides than this: that is a curve."""

SHARPEST_RAD: Final = math.radians(150.0)
"""A corner that turns by more is too sharp to bevel or to fold a sheet into."""

_MOST_MITRE: Final = 10.0
_HAIR_MM: Final = 1e-4
_UP: Final = (0.0, 0.0, 1.0)


def outline_box(project: Project, shape: OutlineBox, cutter: Cutter) -> BoxParts:
    """Return the parts of a box of this outline.

    Raises
    ------
    BadValueError
        If two of its sides would fill the same place, a corner is too sharp, or it is a curve in a stiff sheet.
    """
    ring = ring_of(shape)
    if is_square_cornered(ring):
        return _square_cornered(project, ring, cutter)
    if is_foldable(project.box.sheet):
        return _with_strip(project, ring, cutter)
    return _bevelled(project, ring, cutter)


def _square_cornered(project: Project, ring: list[XY], cutter: Cutter) -> BoxParts:
    t = project.box.thickness_mm
    drop = 0.0 if project.box.base == "under" else t
    count = len(ring)
    panels: list[Panel] = []
    for i in range(count):
        start, end = ring[i], ring[(i + 1) % count]
        lap = t if sine_at(ring, (i + 1) % count) > 0.0 else 0.0
        cut = t if sine_at(ring, i) < 0.0 else 0.0
        dx, dy = unit_vector(start, end)
        length = math.dist(start, end)
        if length - cut <= CLEARANCE_TOL_MM:
            raise _too_tight(f"side {i + 1}")
        far = (end[0] + lap * dx, end[1] + lap * dy)
        pose = Pose((*far, -drop), (-dx, -dy, 0.0), _UP)
        panels.append(_side(project, f"side {i + 1}", length - cut, lap, pose, cutter))
    solids = [Solid(p.outer, t, p.poses[0]) for p in panels]
    steps = (
        "Stand the sides on the base in the order of their numbers, counter-clockwise from above.",
        "At an outer corner each side laps the one that follows; at an inner corner it ends flush with its inner face.",
        "Tape or hot-glue every joint on the outside.",
    )
    return _put_together(project, _base(project, ring, cutter, numbered=True), panels, solids, 0.0, steps)


def _put_together(
    project: Project,
    base: Panel,
    panels: Sequence[Panel],
    solids: Sequence[Solid],
    gap_mm: float,
    steps: tuple[str, ...],
) -> BoxParts:
    """Return the parts; two sides in one place are refused, and the outside is that of all pieces as they stand."""
    plans = [Polygon(solid.plan()) for solid in solids]
    # neighbours touch: only what is still in one place when both are a hair smaller is refused
    smaller = [plan.buffer(-_HAIR_MM, join_style="mitre") for plan in plans]
    left, right = shapely.STRtree(smaller).query(smaller, predicate="intersects")
    for i, j in zip(left, right, strict=True):
        if i < j:
            raise _too_tight(f"the place between side {i + 1} and side {j + 1}")
    x, y = base.poses[0].origin[:2]
    bx0, by0, bx1, by1 = base.bounds
    x0, y0, x1, y1 = shapely.MultiPolygon([*plans, shapely.box(x + bx0, y + by0, x + bx1, y + by1)]).bounds
    outside = (x1 - x0, y1 - y0, side_height_mm(project) + project.box.thickness_mm)
    return BoxParts((base, *panels), outside, gap_mm, None, steps)


def _too_tight(name: str) -> BadValueError:
    return BadValueError("--outline", f"{name} has no room for the sheet's thickness", "use a thinner sheet")


def _side(project: Project, name: str, inner_mm: float, lap_mm: float, pose: Pose, cutter: Cutter) -> Panel:
    drop = -pose.origin[2]
    height = side_height_mm(project) + drop
    band = SideBand(lap_mm, lap_mm + inner_mm, drop, height)
    marks = side_marks(name, band, pour_height_mm(project), cutter, braces_mm(project, name))
    return Panel(
        name, rectangle(0.0, 0.0, inner_mm + lap_mm, height), project.box.thickness_mm, (pose,), 1, marks=marks
    )


def _base(project: Project, ring: list[XY], cutter: Cutter, *, numbered: bool) -> Panel:
    t = project.box.thickness_mm
    under = project.box.base == "under"
    outer = grown(ring, t) if under else polyline(ring)
    x0, y0 = min(v[0] for v in outer.vertices), min(v[1] for v in outer.vertices)
    marks: list[Shape] = list(base_marks(project, cutter, (x0, y0)))
    if under and numbered:
        # the rim under the sides is covered, whatever draws on it
        for i, start in enumerate(ring):
            end = ring[(i + 1) % len(ring)]
            dx, dy = unit_vector(start, end)
            size = 0.6 * t
            middle = ((start[0] + end[0]) / 2.0 + 0.8 * t * dy - x0, (start[1] + end[1]) / 2.0 - 0.8 * t * dx - y0)
            if math.dist(start, end) > 3.0 * size:
                angle = math.degrees(math.atan2(dy, dx))
                marks += text_strokes(str(i + 1), middle, size, anchor="middle", angle_deg=angle)
    moved_outer = moved(outer, -x0, -y0)
    pose = Pose((x0, y0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    remark = "Glue the masters to the drawn face."
    return Panel("base", moved_outer, t, (pose,), 1, marks=tuple(marks), remark=remark)


def grown(ring: Sequence[XY], by_mm: float) -> Path:
    """Return the outline moved outwards, corners kept sharp.

    Raises
    ------
    BadValueError
        If a bay of the outline is too narrow for that.
    """
    outer = Polygon(ring).buffer(by_mm, join_style="mitre", mitre_limit=_MOST_MITRE)
    if not isinstance(outer, Polygon) or outer.interiors:
        raise _too_tight("a bay of the outline")
    return contour_of(outer)


def _bevelled(project: Project, ring: list[XY], cutter: Cutter) -> BoxParts:
    t = project.box.thickness_mm
    if len(ring) > MOST_SIDES:
        raise BadValueError(
            "--outline",
            f"{project.box.sheet} does not bend, and this curve would take {len(ring)} bevelled sides",
            "use foam board, which is half-cut and bent",
        )
    drop = 0.0 if project.box.base == "under" else t
    height = side_height_mm(project) + drop
    past = _past_corners(ring, project)
    panels, solids = [], []
    for i, start in enumerate(ring):
        end = ring[(i + 1) % len(ring)]
        # seen from the inside the side runs from its end, on the left, to its start
        bevels = past[(i + 1) % len(ring)], past[i]
        left, right = max(bevels[0], 0.0), max(bevels[1], 0.0)
        length = math.dist(start, end)
        if length + min(bevels[0], 0.0) + min(bevels[1], 0.0) <= CLEARANCE_TOL_MM:
            raise _too_tight(f"side {i + 1}")
        dx, dy = unit_vector(start, end)
        pose = Pose((end[0] + left * dx, end[1] + left * dy, -drop), (-dx, -dy, 0.0), _UP)
        name = f"side {i + 1}"
        band = SideBand(left, left + length, drop, height)
        marks = list(side_marks(name, band, pour_height_mm(project), cutter, braces_mm(project, name)))
        marks += [line((x, 0.0), (x, height)) for x, b in ((left, left), (left + length, right)) if b > 0.0]
        solid = Solid(rectangle(left, 0.0, length, height), t, pose, bevels)
        solids.append(solid)
        angles = angle_at(ring, (i + 1) % len(ring)), angle_at(ring, i)
        outer = rectangle(0.0, 0.0, left + length + right, height)
        panels.append(Panel(name, outer, t, (), 1, marks=tuple(marks), remark=_bevel_words(angles), folded=(solid,)))
    steps = (
        "Bevel both ends of every side as its remark says: with a tilted, guarded saw and a clamped piece, or sanded on"
        " a slanted rest; eye protection, and a mask against the dust.",
        "Stand the sides on the base in the order of their numbers, counter-clockwise from above; their bevels meet.",
        "Tape or glue every joint on the outside.",
    )
    return _put_together(project, _base(project, ring, cutter, numbered=True), panels, solids, 0.0, steps)


def _past_corners(ring: list[XY], project: Project) -> list[float]:
    """Return how far a side's outer face reaches past each corner; negative at inner corners."""
    t = project.box.thickness_mm
    found = []
    for i in range(len(ring)):
        angle = angle_at(ring, i)
        if abs(angle) > SHARPEST_RAD:
            raise BadValueError(
                "--outline",
                f"the corner {length_text(ring[i][0], project.units)} from the left and"
                f" {length_text(ring[i][1], project.units)} from the front is too sharp for a sheet to be fitted into",
                "cut the corner off in the drawing",
            )
        found.append(t * math.tan(angle / 2.0))
    return found


def _bevel_words(angles: tuple[float, float]) -> str:
    ends = []
    for side, angle in zip(("left", "right"), angles, strict=True):
        longer = "outer" if angle > 0.0 else "inner"
        ends.append(f"{side} end {math.degrees(abs(angle)) / 2.0:.1f} degrees off square, the {longer} face the longer")
    return f"Bevel, seen on the face that is in: {'; '.join(ends)}."


def _with_strip(project: Project, ring: list[XY], cutter: Cutter) -> BoxParts:
    box = project.box
    t = box.thickness_mm
    drop = 0.0 if box.base == "under" else t
    height = side_height_mm(project) + drop
    corners, flats = strip_flats(ring, t)
    at = [math.fsum(flats[: k + 1]) for k in range(len(flats))]
    half = tuple(line((x, 0.0), (x, height), Layer.HALF) for x in at[:-1])
    # hinge k is the left end of flat k; the flats run against the ring, hinge 0 is the seam
    past = _past_corners(corners, project)
    wedges = [min(past[-k], 0.0) for k in range(len(flats))]
    solids = _stood(corners, height, drop, t, [min(p, 0.0) for p in past])
    starts = [0.0, *at[:-1]]
    braces = tuple(x + b for k, x in enumerate(starts, 1) for b in braces_mm(project, f"flat {k} of the strip"))
    marks = side_marks("strip", SideBand(0.0, at[-1], drop, height), pour_height_mm(project), cutter, braces)
    strip = Panel(
        "strip",
        rectangle(0.0, 0.0, at[-1], height),
        t,
        (),
        1,
        half=half,
        marks=marks,
        remark="Draw on the inner face. Turn the strip over and half-cut from the outer face; the inner paper stays.",
        folded=solids,
    )
    steps = [
        "Half-cut the strip from its outer face at every line, through paper and core; leave the inner paper whole.",
        "Bend it along the edge of the base's inside with the drawn face in, close the ends, tape the outer grooves and"
        " the joint."
        if box.base == "under"
        else "Bend it round the base with the drawn face in, close the ends, tape the outer grooves and the joint.",
    ]
    steps[1:1] = _wedge_words(project, wedges, at)
    base = _base(project, ring, cutter, numbered=False)
    return _put_together(project, base, [strip], solids, t, tuple(steps))


def _wedge_words(project: Project, wedges: list[float], at: list[float]) -> list[str]:
    """Return where a wedge is cut out of the outer face, so that an inner corner can close; none without one."""
    found = []
    for k, past in enumerate(wedges):
        if past < -0.5:
            where = "at both ends" if k == 0 else f"{length_text(at[k - 1], project.units)} from the left"
            found.append(f"{where}: {length_text(-2.0 * past, project.units)} wide")
    if not found:
        return []
    return [
        "At inner corners cut a wedge out of the outer face, down to the inner paper, its middle on the line; seen on"
        f" the face that is in, {'; '.join(found)} on the outer face."
    ]


def _stood(corners: list[XY], height: float, drop: float, t: float, past: list[float]) -> tuple[Solid, ...]:
    found = []
    for i, start in enumerate(corners):
        end = corners[(i + 1) % len(corners)]
        dx, dy = unit_vector(start, end)
        length = math.dist(start, end)
        bevels = past[(i + 1) % len(corners)], past[i]
        if length + sum(bevels) <= CLEARANCE_TOL_MM:
            raise _too_tight("a flat between two inner corners")
        pose = Pose((*end, -drop), (-dx, -dy, 0.0), _UP)
        found.append(Solid(rectangle(0.0, 0.0, length, height), t, pose, bevels))
    return tuple(found)
