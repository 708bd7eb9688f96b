"""A panel: what is cut, what is drawn on it, and where it stands in the box put together."""

from dataclasses import dataclass
from typing import Literal

from layout.box.shapes import Bounds, Path, Shape, bounds_of_shapes

XYZ = tuple[float, float, float]
Cutter = Literal["knife", "laser", "router"]


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a panel stands in the box put together; box coordinates, z up from the top of the base.

    Parameters
    ----------
    origin : (x, y, z)
        Where the panel's own (0, 0) is, on its inner face, mm.
    along, up : (x, y, z)
        Unit vectors of the panel's own x and y. ``along`` cross ``up`` points out of the inner face.
    """

    origin: XYZ
    along: XYZ
    up: XYZ

    @property
    def outward(self) -> XYZ:
        """Unit vector from the inner face into the sheet."""
        (ax, ay, az), (bx, by, bz) = self.along, self.up
        return -(ay * bz - az * by), -(az * bx - ax * bz), -(ax * by - ay * bx)

    def at(self, x_mm: float, y_mm: float, depth_mm: float) -> XYZ:
        """Return the place in the box of a point of the panel, ``depth_mm`` below its inner face."""
        o, a, u, w = self.origin, self.along, self.up, self.outward
        return (
            o[0] + a[0] * x_mm + u[0] * y_mm + w[0] * depth_mm,
            o[1] + a[1] * x_mm + u[1] * y_mm + w[1] * depth_mm,
            o[2] + a[2] * x_mm + u[2] * y_mm + w[2] * depth_mm,
        )


@dataclass(frozen=True, slots=True)
class Solid:
    """A flat piece where it stands in the box put together.

    Parameters
    ----------
    outline : Shape
        In the piece's own coordinates, on its inner face.
    thickness_mm : float
    pose : Pose
    bevel_mm : (left, right)
        How much farther its outer face reaches than its inner one at the ends along its own x; negative: less far.
    """

    outline: Shape
    thickness_mm: float
    pose: Pose
    bevel_mm: tuple[float, float] = (0.0, 0.0)

    def at(self, x_mm: float, y_mm: float, depth_mm: float) -> XYZ:
        """Return the place in the box of a point of the piece; one on a bevelled end moves with the depth."""
        if self.bevel_mm != (0.0, 0.0):
            x0, _, x1, _ = bounds_of_shapes((self.outline,))
            left, right = (b * depth_mm / self.thickness_mm for b in self.bevel_mm)
            x_mm += right if x_mm >= x1 - 1e-9 else -left if x_mm <= x0 + 1e-9 else 0.0
        return self.pose.at(x_mm, y_mm, depth_mm)

    def plan(self) -> tuple[tuple[float, float], ...]:
        """Return where an upright piece stands, seen from above: its inner face's ends, then its outer one's."""
        x0, _, x1, _ = bounds_of_shapes((self.outline,))
        corners = ((x0, 0.0), (x1, 0.0), (x1, self.thickness_mm), (x0, self.thickness_mm))
        return tuple(self.at(x, 0.0, depth)[:2] for x, depth in corners)


@dataclass(frozen=True, slots=True)
class Panel:
    """One kind of panel, seen on the face that is in.

    Parameters
    ----------
    name : str
    outer : Shape
        Its contour, nominal, mm.
    thickness_mm : float
    poses : tuple of Pose
        One for each piece; empty for pieces that are not flat when put together.
    pieces : int
        How many to cut.
    holes, half : tuple of Shape
        Cut through inside the contour; cut to half depth.
    marks : tuple of Shape
        Drawn, not cut.
    remark : str
        What the one who cuts it must know; a sentence.
    folded : tuple of Solid
        The flat parts of a panel that is folded, where they stand in the end.
    """

    name: str
    outer: Shape
    thickness_mm: float
    poses: tuple[Pose, ...]
    pieces: int
    holes: tuple[Shape, ...] = ()
    half: tuple[Path, ...] = ()
    marks: tuple[Shape, ...] = ()
    remark: str = ""
    folded: tuple[Solid, ...] = ()

    @property
    def bounds(self) -> Bounds:
        """Bounds of the nominal contour, mm."""
        return bounds_of_shapes((self.outer,))

    @property
    def length_mm(self) -> float:
        """Extent along the panel's own x."""
        x0, _, x1, _ = self.bounds
        return x1 - x0

    @property
    def width_mm(self) -> float:
        """Extent along the panel's own y."""
        _, y0, _, y1 = self.bounds
        return y1 - y0


@dataclass(frozen=True, slots=True)
class Tube:
    """A length of bought tube that serves as the side of a round box, mm."""

    inner_diameter_mm: float
    wall_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class BoxParts:
    """All that a box is made of.

    Parameters
    ----------
    panels : tuple of Panel
    outside_mm : (x, y, z)
        True outside size of the box put together.
    widest_gap_mm : float
        The widest gap a joint has by design, to be taped or glued over: 0 for butt joints, the fit for tabs.
    tube : Tube or None
    steps : tuple of str
        How it is put together, a sentence each.
    """

    panels: tuple[Panel, ...]
    outside_mm: XYZ
    widest_gap_mm: float = 0.0
    tube: Tube | None = None
    steps: tuple[str, ...] = ()

    @property
    def solids(self) -> tuple[Solid, ...]:
        """Every flat piece where it stands in the box put together; a tube is not among them."""
        found: list[Solid] = []
        for panel in self.panels:
            found.extend(Solid(panel.outer, panel.thickness_mm, pose) for pose in panel.poses)
            found.extend(panel.folded)
        return tuple(found)
