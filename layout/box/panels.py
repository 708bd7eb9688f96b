"""The parts of the box from the project: one line here for each joint."""

from dataclasses import replace

from layout.box.butt import butt_box
from layout.box.cutters import refuse_laser
from layout.box.folded import folded_box
from layout.box.marks import burns
from layout.box.outline import outline_box
from layout.box.panel import BoxParts, Cutter
from layout.box.round import round_box
from layout.box.tabs import tab_box
from layout.errors import BadValueError
from layout.materials import Sheet
from layout.model import Project, RectBox, RoundBox
from layout.regions import inner_size_mm
from layout.units import length_text
from layout.volumes import pour_height_mm, side_height_mm


def make_parts(project: Project, cutter: Cutter = "knife", known: tuple[Sheet, ...] = ()) -> BoxParts:
    """Return all parts of the project's box, nominal size, with what is drawn on them.

    Parameters
    ----------
    project : Project
    cutter : {"knife", "laser", "router"}
    known : tuple of Sheet
        Sheets the user has entered beside the program's own.

    Raises
    ------
    BadValueError
        If the cutter must not cut this sheet, or the box has no height.
    NotYetError
        If a box of this outline can't be cut from flat sheets.
    """
    box = project.box
    refuse_laser(box.sheet, cutter, known)
    if side_height_mm(project) <= 0.0:
        raise BadValueError("--floor", "the sides of the box would have no height", "add a master or give a floor")
    if not box.thickness_mm > 0.0:
        raise BadValueError("--panel", "the sheet has no thickness", "measure the sheet and give its thickness")
    if isinstance(box.shape, RoundBox):
        parts = round_box(project, box.shape, cutter)
    elif isinstance(box.shape, RectBox):
        joints = {"butt": butt_box, "tab": tab_box, "folded": folded_box}
        parts = joints[box.joint](project, box.shape, cutter)
    else:
        parts = outline_box(project, box.shape, cutter)
    return replace(parts, steps=(*parts.steps, _pen_words(project, cutter)))


def _pen_words(project: Project, cutter: Cutter) -> str:
    """Return where the fill line is, and what is left to the pen where a cutter would burn or score its lines."""
    height = length_text(pour_height_mm(project), project.units)
    if not burns(cutter):
        return f"The fill line is {height} above the base."
    return (
        f"Draw the fill line by pen, {height} above the base: a {cutter} would score or burn it in, and"
        f" {project.silicone.word} copies that. For the same reason nothing is drawn on the base but under the masters"
        " and the sides."
    )


def outside_mm(project: Project) -> tuple[float, float, float]:
    """Return the outside size of the box along x, y and z without making its panels, mm."""
    box = project.box
    length, width = inner_size_mm(box.shape)
    around = box.thickness_mm
    if isinstance(box.shape, RoundBox) and box.tube_wall_mm is not None:
        around = box.tube_wall_mm
    return length + 2.0 * around, width + 2.0 * around, side_height_mm(project) + box.thickness_mm
