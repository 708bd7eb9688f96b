"""A box folded from one piece of foam board.

The sheet is half-cut from its outer face, through the outer paper and the core. The inner paper stays whole and is the
hinge, so the hinge lines enclose the inner size, and the sides are as high as the inside. Folded up, the cut edges open
on the outside: along every lower edge and at every corner an outer groove as wide as the sheet is thick, closed at the
inner paper. It is taped.
"""

from layout.box.bulge import braces_mm
from layout.box.cutters import require_foldable
from layout.box.marks import base_marks, burns
from layout.box.panel import BoxParts, Cutter, Panel, Pose, Solid
from layout.box.shapes import Layer, Shape, line, polyline, rectangle
from layout.box.strokes import text_strokes, text_width_mm
from layout.model import Project, RectBox
from layout.volumes import pour_height_mm, side_height_mm


def folded_box(project: Project, shape: RectBox, cutter: Cutter) -> BoxParts:
    """Return the one panel of a folded box, seen on the face that is in.

    Raises
    ------
    BadValueError
        If the sheet does not fold.
    """
    require_foldable(project.box.sheet, "--joint folded")
    length, width, t = shape.length_mm, shape.width_mm, project.box.thickness_mm
    h = side_height_mm(project)
    outline = polyline(
        [
            (h, 0.0), (h + length, 0.0), (h + length, h), (2 * h + length, h), (2 * h + length, h + width),
            (h + length, h + width), (h + length, 2 * h + width), (h, 2 * h + width), (h, h + width), (0.0, h + width),
            (0.0, h), (h, h),
        ]
    )  # fmt: skip
    x0, y0, x1, y1 = h, h, h + length, h + width
    hinges = (
        line((x0, y0), (x1, y0), Layer.HALF),
        line((x1, y0), (x1, y1), Layer.HALF),
        line((x1, y1), (x0, y1), Layer.HALF),
        line((x0, y1), (x0, y0), Layer.HALF),
    )
    panel = Panel(
        "box",
        outline,
        t,
        (),
        1,
        half=hinges,
        marks=(*base_marks(project, cutter, (-h, -h)), *_flap_marks(project, shape, h, cutter)),
        remark="Draw on the inner face. Turn the sheet over and half-cut from the outer face; the inner paper stays.",
        folded=_stood_up(length, width, h, t),
    )
    steps = (
        "Draw on the inner face, cut the outline through, turn the sheet over.",
        "Cut the hinge lines from the outer face through paper and core; leave the inner paper whole.",
        "Fold the sides up round the inner paper and tape the corners and the outer grooves.",
    )
    return BoxParts((panel,), (length + 2 * t, width + 2 * t, h + t), t, None, steps)


def _flap_marks(project: Project, shape: RectBox, h: float, cutter: Cutter) -> tuple[Shape, ...]:
    length, width = shape.length_mm, shape.width_mm
    fill = pour_height_mm(project)
    marks: list[Shape] = []
    if not burns(cutter) and fill < h:
        marks += [
            line((h, h - fill), (h + length, h - fill)),
            line((h, h + width + fill), (h + length, h + width + fill)),
            line((h - fill, h), (h - fill, h + width)),
            line((h + length + fill, h), (h + length + fill, h + width)),
        ]
    names = ("long side", "short side") if length >= width else ("short side", "long side")
    tick = max(0.2 * (h - fill), 1.0)
    for x in braces_mm(project, names[0]):
        marks += [line((h + x, 0.0), (h + x, tick)), line((h + x, 2 * h + width), (h + x, 2 * h + width - tick))]
    for y in braces_mm(project, names[1]):
        marks += [line((0.0, h + y), (tick, h + y)), line((2 * h + length, h + y), (2 * h + length - tick, h + y))]
    words = "box - this face in - half-cut from the back"
    height = min(5.0, 0.5 * (h - fill), 0.9 * length / text_width_mm(words, 1.0))
    if height >= 1.5:
        marks.extend(text_strokes(words, (h + length / 2.0, (h - fill - height) / 2.0), height, anchor="middle"))
    return tuple(marks)


def _stood_up(length: float, width: float, h: float, t: float) -> tuple[Solid, ...]:
    up = (0.0, 0.0, 1.0)

    def side(size: float, origin: tuple[float, float, float], along: tuple[float, float, float]) -> Solid:
        return Solid(rectangle(0.0, 0.0, size, h), t, Pose(origin, along, up))

    return (
        Solid(rectangle(0.0, 0.0, length, width), t, Pose((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))),
        side(length, (length, 0.0, 0.0), (-1.0, 0.0, 0.0)),
        side(length, (0.0, width, 0.0), (1.0, 0.0, 0.0)),
        side(width, (0.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
        side(width, (length, width, 0.0), (0.0, -1.0, 0.0)),
    )
