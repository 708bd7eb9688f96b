"""Round boxes: a base and a half-cut strip of foam board, or a base and a length of bought tube.

The strip is as long as the circle through the middle of its thickness, 2 pi (R + t/2), and half-cut across from its
outer face to half its depth, so it bends about its middle. Between two cuts it stays flat; there are so many cuts that
the flats stand at most `FLAT_TOL_MM` inside the circle.
"""

import math

from layout.box.corners import FLAT_TOL_MM
from layout.box.cutters import require_foldable
from layout.box.marks import SideBand, base_marks, burns, side_marks
from layout.box.panel import BoxParts, Cutter, Panel, Pose, Solid, Tube
from layout.box.shapes import Circle, Layer, Shape, line, rectangle
from layout.box.strokes import text_strokes, text_width_mm
from layout.errors import BadValueError
from layout.model import Project, RoundBox
from layout.units import length_text
from layout.volumes import pour_height_mm, side_height_mm


def strip_length_mm(inner_radius_mm: float, thickness_mm: float) -> float:
    """Return the length of the strip: the circle through the middle of its thickness, mm.

    Examples
    --------
    >>> round(strip_length_mm(100.0, 4.7625), 2)
    643.28
    """
    return 2.0 * math.pi * (inner_radius_mm + thickness_mm / 2.0)


def flats_needed(inner_radius_mm: float, thickness_mm: float) -> int:
    """Return how many flats the strip needs so that none stands more than `FLAT_TOL_MM` inside the circle."""
    middle = inner_radius_mm + thickness_mm / 2.0
    count = max(8, math.ceil(math.pi * math.sqrt(middle / (3.0 * FLAT_TOL_MM))))
    while inner_radius_mm - flat_radius_mm(inner_radius_mm, thickness_mm, count) > FLAT_TOL_MM:
        count += 1
    return count


def flat_radius_mm(inner_radius_mm: float, thickness_mm: float, flats: int) -> float:
    """Return the distance from the axis to the inner face of a flat in its middle, mm."""
    flat = strip_length_mm(inner_radius_mm, thickness_mm) / flats
    return flat / (2.0 * math.tan(math.pi / flats)) - thickness_mm / 2.0


def round_box(project: Project, shape: RoundBox, cutter: Cutter) -> BoxParts:
    """Return the parts of a round box.

    Raises
    ------
    BadValueError
        If the strip's sheet does not bend, or the tube has no wall.
    """
    box = project.box
    if box.tube_wall_mm is None:
        require_foldable(
            box.sheet, "--round", "give --tube with the wall of a bought tube, or --panel with foam board for a strip"
        )
        side_wall = box.thickness_mm
    else:
        side_wall = box.tube_wall_mm
        if not side_wall > 0.0:
            raise BadValueError("--tube", "the tube has no wall", "give the measured wall of the tube")
    radius = shape.diameter_mm / 2.0
    under = box.base == "under"
    drop = 0.0 if under else box.thickness_mm
    base_radius = radius + side_wall if under else radius
    base = _base(project, base_radius, radius, cutter)
    height = side_height_mm(project) + drop
    outside = (2 * (radius + side_wall), 2 * (radius + side_wall), side_height_mm(project) + box.thickness_mm)
    stand = "Stand the side on the base, flush with its edge." if under else "Slip the side over the edge of the base."
    if box.tube_wall_mm is not None:
        tube = Tube(shape.diameter_mm, side_wall, height)
        tube_steps = (
            "Saw the tube square: clamp it, wear eye protection, a mask against the dust.",
            stand,
            "Tape or hot-glue the joint on the outside.",
        )
        return BoxParts((base,), outside, 0.0, tube, tube_steps)
    strip = _strip(project, radius, height, drop, cutter)
    spare = length_text(math.pi * box.thickness_mm, project.units)
    flats = len(strip.half) + 1
    steps = (
        f"Half-cut the strip across from its outer face, to half its depth: {flats} flats of"
        f" {length_text(strip.length_mm / flats, project.units)}.",
        f"Bend it into a ring, drawn face in. {stand}",
        "The strip has the length of the circle through the middle of its thickness, the longest it can need. Close it"
        f" dry; where your board bends nearer its inner paper the ends overlap by up to {spare}: trim one end.",
        "Tape the ends together and tape or hot-glue the joint on the outside.",
    )
    return BoxParts((base, strip), outside, 0.0, None, steps)


def _base(project: Project, base_radius: float, inner_radius: float, cutter: Cutter) -> Panel:
    rim = base_radius - inner_radius
    marks: list[Shape] = list(base_marks(project, cutter, (-rim, -rim)))
    words = "base - this face in"
    # within the edge rule there is no cavity, but silicone: only a pen may write there
    up = 0.25 * project.rules.edge_mm
    height = min(4.0, 2.0 * up, 1.8 * math.sqrt(2.0 * inner_radius * up) / text_width_mm(words, 1.0))
    if not burns(cutter) and height >= 1.5:
        marks.extend(text_strokes(words, (base_radius, rim + up), height, anchor="middle"))
    return Panel(
        "base",
        Circle(base_radius, base_radius, base_radius),
        project.box.thickness_mm,
        (Pose((-rim, -rim, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),),
        1,
        marks=tuple(marks),
        remark="Glue the masters to the drawn face.",
    )


def _strip(project: Project, radius: float, height: float, drop: float, cutter: Cutter) -> Panel:
    t = project.box.thickness_mm
    length = strip_length_mm(radius, t)
    count = flats_needed(radius, t)
    flat = length / count
    cuts = tuple(line((k * flat, 0.0), (k * flat, height), Layer.HALF) for k in range(1, count))
    band = SideBand(0.0, length, drop, height)
    return Panel(
        "strip",
        rectangle(0.0, 0.0, length, height),
        t,
        (),
        1,
        half=cuts,
        marks=side_marks("strip", band, pour_height_mm(project), cutter),
        remark="Draw on the inner face. Turn the strip over and half-cut from the outer face to half the depth.",
        folded=_flats(radius, t, count, height, drop),
    )


def _flats(radius: float, t: float, count: int, height: float, drop: float) -> tuple[Solid, ...]:
    flat = strip_length_mm(radius, t) / count
    inner = flat_radius_mm(radius, t, count)
    found = []
    for k in range(count):
        angle = 2.0 * math.pi * (k + 0.5) / count
        c, s = math.cos(angle), math.sin(angle)
        # seen from the inside, a flat's own x runs clockwise round the axis
        along = (s, -c, 0.0)
        origin = (radius + inner * c - along[0] * flat / 2.0, radius + inner * s - along[1] * flat / 2.0, -drop)
        found.append(Solid(rectangle(0.0, 0.0, flat, height), t, Pose(origin, along, (0.0, 0.0, 1.0))))
    return tuple(found)
