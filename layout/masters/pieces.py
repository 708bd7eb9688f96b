"""Pieces of a drawn outline, exact: straight lines, arcs of circles and ellipses, free curves with a known error."""

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from layout.geometry import XY, FloatArray
from layout.tolerances import ARC_CHORD_TOL_MM, POINT_MERGE_TOL_MM

CURVE_CHORD_TOL_MM: Final = 0.3 * ARC_CHORD_TOL_MM
"""How far the points of a free curve may be apart from it between them. The outline is grown by as much there, its
sharpest corner by twice that, so the sum stays below `ARC_CHORD_TOL_MM`."""

_GAUSS_X, _GAUSS_W = np.polynomial.legendre.leggauss(16)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight piece, mm."""

    start: XY
    end: XY

    def reversed(self) -> "Line":
        """Return it run the other way."""
        return Line(self.end, self.start)

    @property
    def middle(self) -> XY:
        """The point half-way."""
        return (self.start[0] + self.end[0]) / 2.0, (self.start[1] + self.end[1]) / 2.0

    @property
    def length_mm(self) -> float:
        """Its length."""
        return math.dist(self.start, self.end)

    def twice_area_mm2(self) -> float:
        """Return its share of twice the enclosed area, the integral of x dy - y dx."""
        return self.start[0] * self.end[1] - self.start[1] * self.end[0]

    def flattened(self, outside: bool) -> FloatArray:  # noqa: ARG002 - a line is the same on both sides
        """Return its two points."""
        return np.array([self.start, self.end])


@dataclass(frozen=True, slots=True)
class Arc:
    """A piece of a circle or an ellipse: centre + u cos t + v sin t for t from ``from_rad`` over ``sweep_rad``."""

    centre: XY
    u: XY
    v: XY
    from_rad: float
    sweep_rad: float

    def at(self, t: FloatArray) -> FloatArray:
        """Return the points at these parameters, shape (n, 2)."""
        points: FloatArray = np.array(self.centre) + np.outer(np.cos(t), self.u) + np.outer(np.sin(t), self.v)
        return points

    @property
    def start(self) -> XY:
        """Its first point."""
        return self._point(self.from_rad)

    @property
    def end(self) -> XY:
        """Its last point."""
        return self.start if self.is_closed else self._point(self.from_rad + self.sweep_rad)

    @property
    def middle(self) -> XY:
        """The point half-way by parameter."""
        return self._point(self.from_rad + self.sweep_rad / 2.0)

    @property
    def is_closed(self) -> bool:
        """Whether it goes all the way round."""
        return abs(abs(self.sweep_rad) - 2.0 * math.pi) < 1e-9

    def _point(self, t: float) -> XY:
        c, s = math.cos(t), math.sin(t)
        return self.centre[0] + self.u[0] * c + self.v[0] * s, self.centre[1] + self.u[1] * c + self.v[1] * s

    def reversed(self) -> "Arc":
        """Return it run the other way."""
        return Arc(self.centre, self.u, self.v, self.from_rad + self.sweep_rad, -self.sweep_rad)

    @property
    def turns_left(self) -> bool:
        """Whether it runs counter-clockwise."""
        return (self.u[0] * self.v[1] - self.u[1] * self.v[0]) * self.sweep_rad > 0.0

    @property
    def greatest_radius_mm(self) -> float:
        """Its greatest half axis."""
        return float(np.linalg.norm(np.array([self.u, self.v]), 2))

    @property
    def radius_mm(self) -> float | None:
        """Its radius if it is a circle's, else None."""
        u, v = math.hypot(*self.u), math.hypot(*self.v)
        skew = abs(self.u[0] * self.v[0] + self.u[1] * self.v[1])
        return u if abs(u - v) <= 1e-9 * u and skew <= 1e-9 * u * u else None

    @property
    def length_mm(self) -> float:
        """Its length: exact for circles, to rounding for ellipses."""
        radius = self.radius_mm
        if radius is not None:
            return radius * abs(self.sweep_rad)
        steps = 16
        t0 = self.from_rad + self.sweep_rad * np.arange(steps) / steps
        half = self.sweep_rad / steps / 2.0
        t = (t0[:, None] + half * (1.0 + _GAUSS_X)).ravel()
        speed = np.hypot(*(np.outer(-np.sin(t), self.u) + np.outer(np.cos(t), self.v)).T)
        return float(abs(half) * (speed.reshape(steps, -1) @ _GAUSS_W).sum())

    def twice_area_mm2(self) -> float:
        """Return its share of twice the enclosed area, the integral of x dy - y dx; exact."""
        (x0, y0), (x1, y1) = self.start, self.end
        cross = self.u[0] * self.v[1] - self.u[1] * self.v[0]
        # chord and segment: by centre and sweep a flat arc of great radius would lose its digits
        return x0 * y1 - x1 * y0 + cross * _less_sine(self.sweep_rad)

    def flattened(self, outside: bool) -> FloatArray:
        """Return points from its start to its end, on one side of it and off it by at most the tolerance.

        Parameters
        ----------
        outside : bool
            On the right of its run: outside of an outline that runs counter-clockwise; else on the left.
        """
        a = self.greatest_radius_mm
        half = math.acos(a / (a + ARC_CHORD_TOL_MM))
        n = max(math.ceil(abs(self.sweep_rad) / (2.0 * half)), math.ceil(abs(self.sweep_rad) / (math.pi / 4.0)))
        step = self.sweep_rad / n
        if self.turns_left == outside:
            tangents = self.from_rad + step * (np.arange(n, dtype=np.float64) + 0.5)
            beyond = np.array(self.centre) + (self.at(tangents) - self.centre) / math.cos(step / 2.0)
            return np.vstack((self.start, beyond, self.end))
        points = self.at(self.from_rad + step * np.arange(n + 1, dtype=np.float64))
        points[0], points[-1] = self.start, self.end
        return points


def _less_sine(sweep: float) -> float:
    """Return sweep - sin(sweep) without losing digits where it is small."""
    if abs(sweep) > 0.1:
        return sweep - math.sin(sweep)
    square = sweep * sweep
    return sweep * square / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0 * (1.0 - square / 72.0)))


@dataclass(frozen=True, slots=True)
class Curve:
    """A free curve as points on it, closer to it between them than `CURVE_CHORD_TOL_MM`.

    Parameters
    ----------
    points : tuple of (x, y)
    twice_area : float
        Integral of x dy - y dx along the true curve, mm2.
    length_mm : float
    """

    points: tuple[XY, ...]
    twice_area: float
    length_mm: float

    @property
    def start(self) -> XY:
        """Its first point."""
        return self.points[0]

    @property
    def end(self) -> XY:
        """Its last point."""
        return self.points[-1]

    @property
    def middle(self) -> XY:
        """The middle one of its points."""
        return self.points[len(self.points) // 2]

    def reversed(self) -> "Curve":
        """Return it run the other way."""
        return Curve(self.points[::-1], -self.twice_area, self.length_mm)

    def twice_area_mm2(self) -> float:
        """Return its share of twice the enclosed area."""
        return self.twice_area

    def flattened(self, outside: bool) -> FloatArray:  # noqa: ARG002 - its points lie on it
        """Return its points."""
        return np.array(self.points)


Piece = Line | Arc | Curve


def is_closed(piece: Piece) -> bool:
    """Return whether a piece is a whole outline by itself."""
    if isinstance(piece, Line):
        return False
    if isinstance(piece, Arc):
        return piece.is_closed
    gap = math.dist(piece.start, piece.end)
    return gap <= POINT_MERGE_TOL_MM and piece.length_mm > 10.0 * POINT_MERGE_TOL_MM


def spline_curve(
    knots: FloatArray, controls: FloatArray, weights: FloatArray | None, degree: int, *, most_points: int
) -> Curve | None:
    """Return a B-spline, rational if it has weights, as a curve; None if it needs more points than allowed.

    Notes
    -----
    Each span between knots gets as many steps as its greatest second difference over 64 steps asks for, doubled for
    safety: the error of a chord is at most the second derivative times the square of the step over 8.
    """
    from scipy.interpolate import BSpline

    w = np.ones(len(controls)) if weights is None else weights
    spline = BSpline(knots, np.column_stack((controls * w[:, None], w)), degree)
    slope = spline.derivative()

    def at(t: FloatArray) -> FloatArray:
        h = spline(t)
        return np.asarray(h[:, :2] / h[:, 2:], dtype=np.float64)

    first, last = float(knots[degree]), float(knots[len(controls)])
    spans = np.unique(knots[(knots >= first) & (knots <= last)])
    rows: list[FloatArray] = []
    area = length = 0.0
    for t0, t1 in pairwise(spans):
        probe = at(np.linspace(t0, t1, 65))
        bend = float(np.hypot(*np.diff(probe, 2, axis=0).T).max())
        n = max(1, math.ceil(64.0 * math.sqrt(2.0 * bend / (8.0 * CURVE_CHORD_TOL_MM))))
        if n + sum(map(len, rows)) > most_points:
            return None
        rows.append(at(np.linspace(t0, t1, n + 1))[:-1])
        t = (t0 + t1) / 2.0 + (t1 - t0) / 2.0 * _GAUSS_X
        h, d = spline(t), slope(t)
        xy = h[:, :2] / h[:, 2:]
        velocity = (d[:, :2] - xy * d[:, 2:]) / h[:, 2:]
        share = _GAUSS_W * (t1 - t0) / 2.0
        area += float(share @ (xy[:, 0] * velocity[:, 1] - xy[:, 1] * velocity[:, 0]))
        length += float(share @ np.hypot(velocity[:, 0], velocity[:, 1]))
    points = np.vstack((*rows, at(np.array([last]))))
    if not np.isfinite(points).all() or not math.isfinite(area + length):
        return None
    return Curve(tuple((float(x), float(y)) for x, y in points), area, length)
