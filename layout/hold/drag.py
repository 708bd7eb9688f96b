"""A drag, from press to release, as the window uses it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from layout import edits
from layout.checks import check_placed
from layout.geometry import XY, FloatArray, Placed, Segment, distance_mm, moved, nearest_segment
from layout.hold.bodies import Kind
from layout.hold.situation import situation
from layout.hold.slide import Slide
from layout.model import BoxShape, CavityId, Finding, Project, RectBox
from layout.regions import edge_distance_mm, edge_segment
from layout.tolerances import CLEARANCE_TOL_MM


@dataclass(frozen=True, slots=True)
class Touch:
    """Something that holds a dragged cavity.

    Parameters
    ----------
    kind : {"cavity", "keep-out", "side"}
    name : str
        Id of the neighbour or keep-out; empty for the side of the box.
    cavity : CavityId
        The dragged cavity that is held.
    distance_mm : float
        The silicone between them.
    segment : Segment
        Where it is measured.
    """

    kind: Kind
    name: str
    cavity: CavityId
    distance_mm: float
    segment: Segment


@dataclass(frozen=True, slots=True)
class HeldMove:
    """Where the drag has come to.

    Parameters
    ----------
    dx_mm, dy_mm : float
        How far the cavities have moved since the drag began.
    touching : tuple of Touch
        What holds them, or is exactly at the least wall.
    held : bool
        Whether they are not where the pointer asks for.
    """

    dx_mm: float
    dy_mm: float
    touching: tuple[Touch, ...]
    held: bool


class Hold:
    """Cavities dragged together, held at the least wall.

    They go straight toward the pointer until something holds them, then slide along it as long as that brings them
    closer. They only ever go where an unbroken legal way leads: with the pointer beyond a neighbour they go round it if
    sliding leads there, else they wait, and never jump across. Rules that are broken as the drag begins may be mended
    and never made worse.

    Notes
    -----
    At rest the wall measures the rule or up to 1e-6 mm more; in a gap that just fits, the rule to 1e-9 mm. Not a
    snapshot: a `Hold` lives as long as one drag and remembers where it is.
    """

    def __init__(
        self, project: Project, ids: Collection[CavityId], placed: Mapping[CavityId, Placed] | None = None
    ) -> None:
        self._project = project
        self._ids = tuple(ids)
        self._slide = Slide(situation(project, ids, placed))
        self._start = np.zeros(2)
        self._passing = False

    @classmethod
    def begin(
        cls, project: Project, ids: Collection[CavityId], placed: Mapping[CavityId, Placed] | None = None
    ) -> "Hold":
        """Return a drag of these cavities from where they are.

        Parameters
        ----------
        placed : mapping of CavityId to Placed, optional
            Every cavity where the project has it, in its order, if that is known already.

        Raises
        ------
        UnknownNameError
            If one is not in the project.
        """
        edits.change_cavities(project, ids, lambda cavity: cavity)
        return cls(project, ids, placed)

    def move_to(self, dx_mm: float, dy_mm: float) -> HeldMove:
        """Follow the pointer and return where the cavities are.

        Parameters
        ----------
        dx_mm, dy_mm : float
            How far the pointer has moved since the drag began.
        """
        if self._passing:
            self._hold_from_here()
        target = np.array([dx_mm, dy_mm]) - self._start
        at = self._slide.toward(target)
        return self._moved(at, bool((at != target).any()))

    def pass_to(self, dx_mm: float, dy_mm: float) -> HeldMove:
        """Go to the pointer through everything (the modifier key); the next `move_to` holds again from there."""
        self._passing = True
        self._slide.at = np.array([dx_mm, dy_mm]) - self._start
        return self._moved(self._slide.at, held=False)

    def _hold_from_here(self) -> None:
        """Look at the surroundings anew: what the cavities were pulled through is no rule broken by the hold."""
        there = self.project()
        self._start = self._start + self._slide.at
        self._slide = Slide(situation(there, self._ids))
        self._passing = False

    def way(self) -> tuple[XY, ...]:
        """Return the corners of the unbroken way of the last `move_to`, from the old resting place to the new one."""
        return tuple((float(x), float(y)) for x, y in (self._start + at for at in self._slide.way))

    def project(self) -> Project:
        """Return the project with the cavities where the drag has brought them."""
        dx, dy = (float(v) for v in self._start + self._slide.at)
        return edits.move_cavities(self._project, self._ids, dx, dy)

    def findings(self) -> tuple[Finding, ...]:
        """Return the rules the dragged cavities break where they are, as `checks.check` would, but looking only near.

        Notes
        -----
        Held, these are at most the rules that were broken as the drag began; passing through, all it goes through.
        """
        around, at = self._slide.around, self._slide.at
        there = {i: moved(p, float(at[0]), float(at[1])) for i, p in zip(around.ids, around.parts, strict=True)}
        near = {other for _, other in around.near_pairs(at, CLEARANCE_TOL_MM)}
        for other in sorted(near):
            block = around.obstacles[other]
            if block.kind == "cavity":
                there[CavityId(block.name)] = block.outline
        return check_placed(self._project, there, around.ids)

    def _moved(self, at: FloatArray, held: bool) -> HeldMove:
        dx, dy = (float(v) for v in self._start + at)
        return HeldMove(dx, dy, self._touching(at), held)

    def _touching(self, at: FloatArray) -> tuple[Touch, ...]:
        around = self._slide.around
        rules, shape = self._project.rules, self._project.box.shape
        dx, dy = float(at[0]), float(at[1])
        found: list[Touch] = []
        for part, other in around.near_pairs(at, 1e-3):
            block = around.obstacles[other]
            if block.is_hollow or not (self._passing or around.may_touch(part, other, at)):
                continue
            wall = rules.wall_mm if block.kind == "cavity" else 0.0
            there = moved(around.parts[part], dx, dy)
            gap = distance_mm(there, block.outline)
            if gap <= wall + 2 * CLEARANCE_TOL_MM:
                segment = nearest_segment(there, block.outline)
                found.append(Touch(block.kind, block.name, around.ids[part], gap, segment))
        for cavity_id, placed in zip(around.ids, around.parts, strict=True):
            if not isinstance(shape, RectBox) or _may_touch_side(shape, rules.edge_mm, placed, (dx, dy)):
                found.extend(_side_touch(shape, rules.edge_mm, cavity_id, moved(placed, dx, dy)))
        return tuple(found)


def _may_touch_side(shape: RectBox, edge_mm: float, placed: Placed, by: XY) -> bool:
    x0, y0, x1, y1 = placed.bounds
    gap = min(x0 + by[0], y0 + by[1], shape.length_mm - x1 - by[0], shape.width_mm - y1 - by[1])
    return gap <= edge_mm + 3 * CLEARANCE_TOL_MM


def _side_touch(shape: BoxShape, edge_mm: float, cavity_id: CavityId, placed: Placed) -> list[Touch]:
    gap = edge_distance_mm(shape, placed)
    if gap > edge_mm + 2 * CLEARANCE_TOL_MM:
        return []
    return [Touch("side", "", cavity_id, gap, edge_segment(shape, placed))]
