"""The boxes that `size` may choose from, and the tight one round a layout: rounded to what is written down."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely

from layout import edits
from layout.fill.search import Place
from layout.geometry import PlacedDisc
from layout.model import BoxShape, OutlineBox, Project, RectBox, RoundBox
from layout.regions import inner_area_mm2, inner_size_mm, placed_cavities, placed_keep_out
from layout.tolerances import LONGEST_LENGTH_MM

STEP_MM: Final = 1e-4
"""Sizes of boxes are written in such steps, mm."""

_BY_HAND_MM: Final = 5.0
"""The steps in which somebody would try sizes of a box by hand."""

_SLIMMEST: Final = 8.0
"""Nobody would try a box longer than so many times its width."""


def rounded_up_mm(value_mm: float) -> float:
    """Return the next size that is written down, mm; a tenth of what the check forgives is taken for rounding."""
    return round(math.ceil(value_mm / STEP_MM - 1e-3) * STEP_MM, 4)


def circle_round(project: Project) -> tuple[tuple[float, float], float]:
    """Return centre and radius of a small circle round all cavities, mm: the least, to a ten-thousandth for discs."""
    placed = list(placed_cavities(project).values())
    points = np.vstack([shapely.get_coordinates(p.polygon if isinstance(p, PlacedDisc) else p) for p in placed])
    around = shapely.minimum_bounding_circle(shapely.MultiPoint(points))
    x, y = around.centroid.x, around.centroid.y
    radius = max(
        math.hypot(p.x_mm - x, p.y_mm - y) + p.radius_mm
        if isinstance(p, PlacedDisc)
        else float(np.hypot(*(shapely.get_coordinates(p) - (x, y)).T).max())
        for p in placed
    )
    return (x, y), radius


@dataclass(frozen=True, slots=True)
class Start:
    """A layout to begin with, and the box round it."""

    places: tuple[Place, ...]
    shape: BoxShape


def start_of(project: Project) -> Start:
    """Return a project's free cavities and its box."""
    places = tuple((c.master, c.x_mm, c.y_mm, c.angle_deg) for c in project.cavities if not c.pinned)
    return Start(places, project.box.shape)


@dataclass(frozen=True, slots=True)
class Shapes:
    """The boxes allowed: rectangles stay rectangles, tubes tubes, an outline keeps its proportions.

    Parameters
    ----------
    base : Project
        With its pinned cavities only, which stay where they are, as keep-outs do.
    max_length_mm, max_width_mm : float or None
    proportion : (float, float) or None
        Length to width of a rectangle, exactly.
    """

    base: Project
    max_length_mm: float | None
    max_width_mm: float | None
    proportion: tuple[float, float] | None

    @property
    def given(self) -> BoxShape:
        """The project's own box."""
        return self.base.box.shape

    @property
    def free(self) -> bool:
        """Whether boxes may have any proportion."""
        return isinstance(self.given, RectBox) and self.proportion is None

    @property
    def fixed(self) -> bool:
        """Whether something in the box stays where it is."""
        return bool(self.base.cavities or self.base.keep_outs)

    def of(self, area_mm2: float, share: float) -> BoxShape | None:
        """Return the box of this area and length over width, or the nearest to it allowed; None if none is.

        Notes
        -----
        Where the length or the width is at its limit, the other side makes up for it. Tubes, outlines and boxes of a
        given proportion have no other share than their own.
        """
        if isinstance(self.given, RoundBox):
            return self._tube(math.sqrt(area_mm2 * 4.0 / math.pi))
        if isinstance(self.given, OutlineBox):
            return self._scaled(math.sqrt(area_mm2 / inner_area_mm2(self.given)))
        if self.proportion:
            share = self.proportion[0] / self.proportion[1]
        length, width = math.sqrt(area_mm2 * share), math.sqrt(area_mm2 / share)
        if self.max_length_mm and length > self.max_length_mm:
            length, width = self.max_length_mm, area_mm2 / self.max_length_mm
        if self.max_width_mm and width > self.max_width_mm:
            length, width = area_mm2 / self.max_width_mm, self.max_width_mm
        return self.rect(length, width)

    def rect(self, length: float, width: float) -> RectBox | None:
        """Return the smallest allowed rectangle that is at least so large; None if the limits forbid it."""
        if self.proportion:
            a, b = self.proportion
            scale = max(length / a, width / b)
            length, width = a * scale, b * scale
        shape = RectBox(rounded_up_mm(length), rounded_up_mm(width))
        return shape if self._allowed(shape) else None

    def by_hand(self, best_mm2: Callable[[], float], either_way: bool) -> Iterator[BoxShape]:
        """Yield boxes of whole 5 mm, each the largest not tried yet that is smaller than the best so far.

        Parameters
        ----------
        best_mm2 : callable
            The area of the best box so far, asked for each box anew.
        either_way : bool
            Whether a box turned by a quarter is the same.

        Notes
        -----
        Somebody who tries sizes by hand tries these, and must find none better.
        """
        tried: set[BoxShape] = set()
        while self.free and not self.fixed:
            best, left = best_mm2(), []
            for number in range(1, math.ceil(math.sqrt(best * _SLIMMEST) / _BY_HAND_MM)):
                length = number * _BY_HAND_MM
                width = math.floor((best - 1e-6) / length / _BY_HAND_MM) * _BY_HAND_MM
                if length > _SLIMMEST * width or width > (1.0 if either_way else _SLIMMEST) * length:
                    continue
                shape = self.rect(length, width)
                if shape is not None and shape not in tried:
                    left.append(shape)
            if not left:
                return
            shape = max(left, key=inner_area_mm2)
            tried.add(shape)
            yield shape

    def _tube(self, diameter: float) -> RoundBox | None:
        shape = RoundBox(rounded_up_mm(diameter))
        return shape if self._allowed(shape) else None

    def _scaled(self, scale: float) -> OutlineBox | None:
        assert isinstance(self.given, OutlineBox)
        shape = OutlineBox(tuple((x * scale, y * scale) for x, y in self.given.points))
        return shape if self._allowed(shape) else None

    def _allowed(self, shape: BoxShape) -> bool:
        length, width = inner_size_mm(shape)
        return (
            length <= (self.max_length_mm or LONGEST_LENGTH_MM) + STEP_MM
            and width <= (self.max_width_mm or LONGEST_LENGTH_MM) + STEP_MM
        )

    def largest(self) -> BoxShape | None:
        """Return the largest box allowed; None if none is the largest."""
        length, width = self.max_length_mm or math.inf, self.max_width_mm or math.inf
        if isinstance(self.given, RoundBox):
            return self._tube(min(length, width)) if math.isfinite(min(length, width)) else None
        if self.proportion or isinstance(self.given, OutlineBox):
            a, b = self.proportion or inner_size_mm(self.given)
            scale = min(length / a, width / b)
            if not math.isfinite(scale):
                return None
            return self._scaled(scale) if isinstance(self.given, OutlineBox) else RectBox(a * scale, b * scale)
        return RectBox(length, width) if math.isfinite(length * width) else None

    def fitted(self, project: Project) -> Project | None:
        """Return a layout in the smallest box allowed round it, in the middle of it; None if none is large enough.

        Notes
        -----
        Where something stays in its place, so do all, and the box ends behind them. An outline stays as it is.
        """
        shape = self._tight(project)
        if shape is None:
            return None
        moved = edits.set_box(project, replace(project.box, shape=shape))
        if self.fixed or isinstance(shape, OutlineBox):
            return moved
        length, width = inner_size_mm(shape)
        if isinstance(shape, RoundBox):
            (x, y), _ = circle_round(project)
        else:
            bounds = np.array([p.bounds for p in placed_cavities(project).values()])
            x = float(bounds[:, 0].min() + bounds[:, 2].max()) / 2.0
            y = float(bounds[:, 1].min() + bounds[:, 3].max()) / 2.0
        return edits.move_cavities(moved, [c.id for c in moved.cavities], length / 2.0 - x, width / 2.0 - y)

    def _tight(self, project: Project) -> BoxShape | None:
        edge = self.base.rules.edge_mm
        if isinstance(self.given, OutlineBox) or (isinstance(self.given, RoundBox) and self.fixed):
            return project.box.shape
        if isinstance(self.given, RoundBox):
            return self._tube(2.0 * (circle_round(project)[1] + edge))
        bounds = np.array([p.bounds for p in placed_cavities(project).values()])
        if not self.fixed:
            length = float(bounds[:, 2].max() - bounds[:, 0].min()) + 2.0 * edge
            width = float(bounds[:, 3].max() - bounds[:, 1].min()) + 2.0 * edge
            return self.rect(length, width)
        ends = np.array([placed_keep_out(k).bounds for k in project.keep_outs]).reshape(-1, 4)
        length = max(float(bounds[:, 2].max()) + edge, float(ends[:, 2].max(initial=0.0)))
        width = max(float(bounds[:, 3].max()) + edge, float(ends[:, 3].max(initial=0.0)))
        return self.rect(length, width)
