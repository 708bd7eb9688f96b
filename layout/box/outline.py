"""Boxes of any outline: square-cornered ones from flat panels, rounded ones with a half-cut strip.

Square corners: each side ends where the next one begins to turn. At an outer corner it laps the next side by the
thickness; at an inner corner (of an L, T or U) it ends flush with the next side's inner face, which is shorter by the
thickness. So the inside is exact with straight cuts only.

Any outline without inner corners: one strip as long as the inside, half-cut from its outer face at every corner; the
inner paper is the hinge, and the outer grooves are taped.
"""

import math

import shapely
from shapely.geometry import LineString, Polygon

from layout.box.bulge import braces_mm
from layout.box.folded import require_foldable
from layout.box.marks import SideBand, base_marks, side_marks
from layout.box.panel import BoxParts, Cutter, Panel, Pose, Solid
from layout.box.round import FLAT_TOL_MM
from layout.box.shapes import (
    Layer,
    Path,
    Shape,
    corners_of,
    line,
    moved,
    offset,
    polyline,
    rectangle,
    turn_at,
    unit_vector,
)
from layout.box.strokes import text_strokes
from layout.errors import NotYetError
from layout.geometry import XY
from layout.model import OutlineBox, Project
from layout.tolerances import CLEARANCE_TOL_MM
from layout.volumes import pour_height_mm, side_height_mm


def outline_box(project: Project, shape: OutlineBox, cutter: Cutter) -> BoxParts:
    """Return the parts of a box of this outline.

    Raises
    ------
    BadValueError
        If it needs a strip and the sheet does not fold.
    NotYetError
        If it has inner corners that are not square, or two of its sides would fill the same place.
    """
    ring = list(corners_of(shape.points))
    if _is_square_cornered(ring):
        return _square_cornered(project, ring, cutter)
    if any(_turn(ring, i) < -1e-6 for i in range(len(ring))):
        raise NotYetError(
            "--outline",
            "a box with inner corners that are not square can't be cut from flat sheets",
            "draw it with square corners or without inner corners",
        )
    return _with_strip(project, ring, cutter)


def _turn(ring: list[XY], i: int) -> float:
    """How the ring turns at a corner: the sine, positive to the left (an outer corner)."""
    return turn_at(ring[i - 1], ring[i], ring[(i + 1) % len(ring)])


def _is_square_cornered(ring: list[XY]) -> bool:
    sides = zip(ring, [*ring[1:], ring[0]], strict=True)
    return all(a[0] == b[0] or a[1] == b[1] for a, b in sides)


def _square_cornered(project: Project, ring: list[XY], cutter: Cutter) -> BoxParts:
    t = project.box.thickness_mm
    drop = 0.0 if project.box.base == "under" else t
    count = len(ring)
    panels: list[Panel] = []
    plans: list[Polygon] = []
    for i in range(count):
        start, end = ring[i], ring[(i + 1) % count]
        lap = t if _turn(ring, (i + 1) % count) > 0.0 else 0.0
        cut = t if _turn(ring, i) < 0.0 else 0.0
        dx, dy = unit_vector(start, end)
        length = math.hypot(end[0] - start[0], end[1] - start[1])
        if length - cut <= CLEARANCE_TOL_MM:
            raise _too_tight(f"side {i + 1}")
        far, near = (end[0] + lap * dx, end[1] + lap * dy), (start[0] + cut * dx, start[1] + cut * dy)
        plans.append(Polygon([near, far, (far[0] + t * dy, far[1] - t * dx), (near[0] + t * dy, near[1] - t * dx)]))
        panels.append(
            _side(project, f"side {i + 1}", length - cut, lap, Pose((*far, -drop), (-dx, -dy, 0.0), _UP), cutter)
        )
    _refuse_overlap(plans)
    base = _base(project, ring, cutter, numbered=True)
    x0, y0, x1, y1 = shapely.union_all(plans).bounds
    outside = (x1 - x0, y1 - y0, side_height_mm(project) + t)
    steps = (
        "Stand the sides on the base in the order of their numbers, counter-clockwise from above.",
        "At an outer corner each side laps the one that follows; at an inner corner it ends flush with its inner face.",
        "Tape or hot-glue every joint on the outside.",
    )
    return BoxParts((base, *panels), outside, 0.0, None, steps)


_UP = (0.0, 0.0, 1.0)


def _too_tight(name: str) -> NotYetError:
    return NotYetError("--outline", f"{name} has no room for the sheet's thickness", "use a thinner sheet")


def _refuse_overlap(plans: list[Polygon]) -> None:
    tree = shapely.STRtree(plans)
    left, right = tree.query(plans, predicate="intersects")
    for i, j in zip(left, right, strict=True):
        if i < j and plans[i].intersection(plans[j]).area > 1e-6:
            raise _too_tight(f"the place between side {i + 1} and side {j + 1}")


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
    inner = polyline(ring)
    outer = offset(inner, t) if under else inner
    assert isinstance(outer, Path)
    x0, y0 = min(v[0] for v in outer.vertices), min(v[1] for v in outer.vertices)
    marks: list[Shape] = list(base_marks(project, cutter, (x0, y0)))
    if under and numbered:
        # the rim under the sides is covered, whatever draws on it
        for i, start in enumerate(ring):
            end = ring[(i + 1) % len(ring)]
            dx, dy = unit_vector(start, end)
            size = 0.6 * t
            middle = ((start[0] + end[0]) / 2.0 + 0.8 * t * dy - x0, (start[1] + end[1]) / 2.0 - 0.8 * t * dx - y0)
            if math.hypot(end[0] - start[0], end[1] - start[1]) > 3.0 * size:
                angle = math.degrees(math.atan2(dy, dx))
                marks += text_strokes(str(i + 1), middle, size, anchor="middle", angle_deg=angle)
    return Panel(
        "base",
        moved(outer, -x0, -y0),
        t,
        (Pose((x0, y0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),),
        1,
        marks=tuple(marks),
        remark="Glue the masters to the drawn face.",
    )


def _with_strip(project: Project, ring: list[XY], cutter: Cutter) -> BoxParts:
    box = project.box
    require_foldable(box.sheet, "--joint")
    t = box.thickness_mm
    drop = 0.0 if box.base == "under" else t
    height = side_height_mm(project) + drop
    corners = _hinges(ring)
    lengths = [math.dist(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    at = [math.fsum(lengths[: k + 1]) for k in range(len(lengths))]
    # on the inner face the strip is seen from the inside: the outline runs from right to left
    total = at[-1]
    half = tuple(line((total - x, 0.0), (total - x, height), Layer.HALF) for x in at[:-1])
    band = SideBand(0.0, total, drop, height)
    strip = Panel(
        "strip",
        rectangle(0.0, 0.0, total, height),
        t,
        (),
        1,
        half=half,
        marks=side_marks("strip", band, pour_height_mm(project), cutter),
        remark="Draw on the inner face. Turn the strip over and half-cut from the outer face; the inner paper stays.",
        folded=_stood(corners, height, drop, t),
    )
    base = _base(project, ring, cutter, numbered=False)
    xs = [p[0] for p in ring]
    ys = [p[1] for p in ring]
    outside = (max(xs) - min(xs) + 2 * t, max(ys) - min(ys) + 2 * t, side_height_mm(project) + t)
    steps = (
        "Half-cut the strip from its outer face at every line, through paper and core; leave the inner paper whole.",
        "Bend it round the base with the drawn face in, close the ends, tape the outer grooves and the joint.",
    )
    return BoxParts((base, strip), outside, t, None, steps)


def _hinges(ring: list[XY]) -> list[XY]:
    """Return the corners the strip is cut at; those of a curve thinned until a flat leaves it by `FLAT_TOL_MM`."""
    thinned = LineString([*ring, ring[0]]).simplify(FLAT_TOL_MM, preserve_topology=True)
    return [(float(x), float(y)) for x, y in thinned.coords[:-1]]


def _stood(corners: list[XY], height: float, drop: float, t: float) -> tuple[Solid, ...]:
    found = []
    for start, end in zip(corners, [*corners[1:], corners[0]], strict=True):
        dx, dy = unit_vector(start, end)
        pose = Pose((*end, -drop), (-dx, -dy, 0.0), _UP)
        found.append(Solid(rectangle(0.0, 0.0, math.dist(start, end), height), t, pose))
    return tuple(found)
