"""The parts of the box from the project: one line here for each joint."""

from layout.box.butt import butt_box
from layout.box.cutters import refuse_laser
from layout.box.panel import BoxParts, Cutter
from layout.errors import BadValueError, NotYetError
from layout.model import Project, RectBox
from layout.volumes import side_height_mm


def make_parts(project: Project, cutter: Cutter = "knife") -> BoxParts:
    """Return all parts of the project's box, nominal size, with what is drawn on them.

    Raises
    ------
    BadValueError
        If the cutter must not cut this sheet, or the box has no height.
    NotYetError
        If this joint can't be had for this box.
    """
    box = project.box
    refuse_laser(box.sheet, cutter)
    if side_height_mm(project) <= 0.0:
        raise BadValueError("--floor", "the sides of the box would have no height", "add a master or give a floor")
    if isinstance(box.shape, RectBox) and box.joint == "butt":
        return butt_box(project, box.shape, cutter)
    raise NotYetError("--joint", f"{box.joint} joints can't be cut for this box yet", "use butt joints on --box LxW")
