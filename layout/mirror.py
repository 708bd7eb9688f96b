"""The mold seen from its open face: the mirror image of the layout as it is glued.

Masters' backs are glued to the base and silicone is poured over them; the block is then flipped over for use. So who
looks into the finished mold sees left and right exchanged. The parts themselves come out as drawn.
"""

from dataclasses import replace

from layout.geometry import XY, Disc, Footprint, Outline
from layout.model import BoxShape, OutlineBox, Project, RectBox, RoundBox
from layout.regions import inner_size_mm

AS_GLUED = "seen from above, as the masters are glued"
OPEN_FACE = "mirror image: the finished mold seen from its open face"


def view_name(mirrored: bool) -> str:
    """Return the label that says which of the two views is shown."""
    return OPEN_FACE if mirrored else AS_GLUED


def mirrored_footprint(footprint: Footprint) -> Footprint:
    """Return a footprint with left and right exchanged."""
    if isinstance(footprint, Disc):
        return footprint
    return Outline(mirrored_ring(footprint.points))


def mirrored_ring(points: tuple[XY, ...]) -> tuple[XY, ...]:
    """Return an outline about the origin with left and right exchanged, still counter-clockwise."""
    return tuple((-x, y) for x, y in reversed(points))


def mirrored_shape(shape: BoxShape) -> BoxShape:
    """Return the inner outline of a box with left and right exchanged, still starting at the origin."""
    if isinstance(shape, (RectBox, RoundBox)):
        return shape
    width = inner_size_mm(shape)[0]
    return OutlineBox(tuple((width - x, y) for x, y in reversed(shape.points)))


def mirrored(project: Project) -> Project:
    """Return the layout as the finished mold shows it from its open face, to be drawn, never to be saved.

    Notes
    -----
    Every outline is reflected, so all walls measure the same; ids stay, so numbers of the original fit. Twice
    mirrored is the original but for rounding.
    """
    width = inner_size_mm(project.box.shape)[0]
    return replace(
        project,
        box=replace(project.box, shape=mirrored_shape(project.box.shape)),
        masters=tuple(
            replace(m, footprint=mirrored_footprint(m.footprint), holes=tuple(mirrored_ring(h) for h in m.holes))
            for m in project.masters
        ),
        cavities=tuple(replace(c, x_mm=width - c.x_mm, angle_deg=-c.angle_deg % 360.0) for c in project.cavities),
        keep_outs=tuple(replace(k, x_mm=width - k.x_mm) for k in project.keep_outs),
    )
