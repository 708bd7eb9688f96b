"""Butt joints: the long sides lap the short ones, or each side laps the next; the base under or between the sides."""

from layout.box.bulge import braces_mm
from layout.box.marks import SideBand, base_marks, edge_words, rim_words, side_marks
from layout.box.panel import BoxParts, Cutter, Panel, Pose
from layout.box.shapes import Shape, rectangle
from layout.model import Project, RectBox
from layout.volumes import pour_height_mm, side_height_mm


def butt_box(project: Project, shape: RectBox, cutter: Cutter) -> BoxParts:
    """Return the panels of a rectangular box with butt joints.

    Notes
    -----
    Base under the sides: base (L + 2t) x (W + 2t), sides as high as the inside. Base between them: base L x W, sides
    higher by t. Lapped: long sides L + 2t, short ones W. Pinwheel: L + t and W + t, each side laps the next.
    """
    box = project.box
    length, width, t = shape.length_mm, shape.width_mm, box.thickness_mm
    drop = 0.0 if box.base == "under" else t
    rim = t - drop
    words = "base - this face in"
    marks: tuple[Shape, ...] = base_marks(project, cutter, (-rim, -rim))
    marks += (
        rim_words(words, length + 2 * rim, rim) if rim else edge_words(words, length, project.rules.edge_mm, cutter)
    )
    base = Panel(
        "base",
        rectangle(0.0, 0.0, length + 2 * rim, width + 2 * rim),
        t,
        (Pose((-rim, -rim, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),),
        1,
        marks=marks,
        remark="Glue the masters to the drawn face.",
    )
    panels = (base, *_sides(project, shape, cutter, drop))
    outside = (length + 2 * t, width + 2 * t, side_height_mm(project) + t)
    return BoxParts(panels, outside, 0.0, None, _steps(project))


def _sides(project: Project, shape: RectBox, cutter: Cutter, drop_mm: float) -> tuple[Panel, Panel]:
    length, width, t = shape.length_mm, shape.width_mm, project.box.thickness_mm
    long_along_x = length >= width
    if project.box.corners == "pinwheel":
        # each side ends at an inner corner and laps the end of the one before it
        x_laps, y_laps = (t, 0.0), (t, 0.0)
    elif long_along_x:
        x_laps, y_laps = (t, t), (0.0, 0.0)
    else:
        x_laps, y_laps = (0.0, 0.0), (t, t)
    names = ("long side", "short side") if long_along_x else ("short side", "long side")
    front = Pose((length + x_laps[0], 0.0, -drop_mm), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    back = Pose((-x_laps[0], width, -drop_mm), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    left = Pose((0.0, -y_laps[0], -drop_mm), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    right = Pose((length, width + y_laps[0], -drop_mm), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0))
    along_x = _side(project, names[0], length, x_laps, (front, back), cutter, drop_mm)
    along_y = _side(project, names[1], width, y_laps, (left, right), cutter, drop_mm)
    return (along_x, along_y) if long_along_x else (along_y, along_x)


def _side(
    project: Project,
    name: str,
    inner_mm: float,
    laps_mm: tuple[float, float],
    poses: tuple[Pose, Pose],
    cutter: Cutter,
    drop_mm: float,
) -> Panel:
    height = side_height_mm(project) + drop_mm
    band = SideBand(laps_mm[0], laps_mm[0] + inner_mm, drop_mm, height)
    return Panel(
        name,
        rectangle(0.0, 0.0, inner_mm + sum(laps_mm), height),
        project.box.thickness_mm,
        poses,
        2,
        marks=side_marks(name, band, pour_height_mm(project), cutter, braces_mm(project, name)),
    )


def _steps(project: Project) -> tuple[str, ...]:
    base = "Stand the sides on the base, flush with its edge." if project.box.base == "under" else (
        "Stand the sides round the base, flush with its underside."
    )  # fmt: skip
    corners = (
        "Let each side lap the end of the next, all the same way round."
        if project.box.corners == "pinwheel"
        else "Let the long sides lap the ends of the short ones."
    )
    return base, corners, "Tape or hot-glue every joint on the outside."
