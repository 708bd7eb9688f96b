"""A mold number or date cast in: raised, mirrored letters glued to the base between cavities and sides.

The letters stand mirrored on the base, so they read right in the finished mold. Each is cut out by itself, from thin
card or from the box's sheet, and sinks into the open face as deep as it is thick.
"""

from dataclasses import replace
from typing import Final

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from layout.box.marks import burns
from layout.box.panel import BoxParts, Cutter, Panel, Pose
from layout.box.shapes import Layer, Path, bounds_of_shapes, line_of, moved, on_layer, polyline
from layout.box.strokes import text_strokes, text_width_mm
from layout.errors import BadValueError
from layout.geometry import XY, as_polygon
from layout.model import Project
from layout.regions import inner_polygon, placed_cavities, placed_keep_out

CLEAR_MM: Final = 2.0
"""Silicone left between a letter and a cavity or the side. Common practice, no source."""

TALLEST_MM: Final = 8.0
LEAST_MM: Final = 4.0
"""Height of the letters: a stroke of the least is 0.8 mm wide, about what a blade or a laser can leave standing."""

STROKE_SHARE: Final = 0.2
_STEP_MM: Final = 2.0
_MOST_STEPS: Final = 600


def relief_spot(project: Project, words: str) -> tuple[XY, float, float]:
    """Return where raised words go: middle of the bottom of the line, box coordinates, their height, their angle.

    Raises
    ------
    BadValueError
        If there is no room for letters of `LEAST_MM` clear of cavities, keep-outs and sides.
    """
    taken = [as_polygon(p).buffer(CLEAR_MM) for p in placed_cavities(project).values()]
    taken += [as_polygon(placed_keep_out(k)) for k in project.keep_outs if k.purpose != "label"]
    free = inner_polygon(project.box.shape).buffer(-CLEAR_MM).difference(shapely.union_all(taken))
    shapely.prepare(free)
    for height in np.arange(TALLEST_MM, LEAST_MM - 1e-9, -0.5):
        # the strokes stand out by half their width
        grown = STROKE_SHARE * float(height)
        length, tall = text_width_mm(words, float(height)) + grown, float(height) + grown
        for angle, (w, h) in ((0.0, (length, tall)), (90.0, (tall, length))):
            spot = _lowest_spot(free, w, h)
            if spot is not None:
                x, y = spot
                at = (x + w / 2.0, y + grown / 2.0) if angle == 0.0 else (x + w - grown / 2.0, y + h / 2.0)
                return at, float(height), angle
    raise BadValueError("--relief", f"there is no room on the base for {words!r}", "shorten it, or widen the edge")


def _lowest_spot(free: BaseGeometry, w: float, h: float) -> XY | None:
    if free.is_empty:
        return None
    x0, y0, x1, y1 = free.bounds
    if x1 - x0 < w or y1 - y0 < h:
        return None
    # a large base is searched more coarsely, so that no number of places is too large
    step = max(_STEP_MM, (x1 - x0 + y1 - y0) / _MOST_STEPS)
    xs = np.append(np.arange(x0, x1 - w, step), x1 - w)
    ys = np.append(np.arange(y0, y1 - h, step), y1 - h)
    gx, gy = np.meshgrid(xs, ys)
    boxes = shapely.box(gx.ravel(), gy.ravel(), gx.ravel() + w, gy.ravel() + h)
    fits = np.flatnonzero(shapely.covers(free, boxes))
    return None if fits.size == 0 else (float(gx.ravel()[fits[0]]), float(gy.ravel()[fits[0]]))


def with_relief(project: Project, parts: BoxParts, words: str, cutter: Cutter) -> BoxParts:
    """Return the parts with the letters as pieces of their own and, by pen, their places on the base.

    Raises
    ------
    BadValueError
        If the words are empty or there is no room for them.
    """
    if not words.strip():
        raise BadValueError("--relief", "there are no letters in it", "write a number or a date")
    at, height, angle = relief_spot(project, words)
    base = parts.panels[0]
    corner = base.poses[0].origin if base.poses else None
    letters: list[Panel] = []
    outlines: list[Path] = []
    for index, character in enumerate(words):
        for piece in _pieces(words, index, at, height, angle):
            outer, *holes = _contours(piece)
            letters.append(_panel(character, outer, tuple(holes), project.box.thickness_mm))
            outlines += [_drawn(contour) for contour in (outer, *holes)]
    if not burns(cutter):
        dx, dy = (-corner[0], -corner[1]) if corner is not None else _hinge_corner(base)
        marks = tuple(moved(outline, dx, dy) for outline in outlines)
        base = replace(base, marks=(*base.marks, *marks))
    step = (
        f"Glue the letters {words!r} mirrored to the base, as drawn; thin card makes a shallower mark than the sheet."
    )
    return replace(parts, panels=(base, *parts.panels[1:], *letters), steps=(*parts.steps, step))


def _hinge_corner(base: Panel) -> XY:
    x0, y0, _, _ = bounds_of_shapes(base.half)
    return x0, y0


def _drawn(contour: Path) -> Path:
    drawn = on_layer(contour, Layer.DRAW)
    assert isinstance(drawn, Path)
    return drawn


def _pieces(words: str, index: int, at: XY, height: float, angle: float) -> list[Polygon]:
    # the other letters are blanked, so that this one stays in its place on the line
    alone = " " * index + words[index] + " " * (len(words) - index - 1)
    strokes = text_strokes(alone, at, height, anchor="middle", angle_deg=angle, mirrored=True)
    half = STROKE_SHARE * height / 2.0
    grown = [line_of(s).buffer(half, cap_style="square", join_style="mitre", mitre_limit=1.5) for s in strokes]
    return [p for p in shapely.get_parts(shapely.union_all(grown)) if isinstance(p, Polygon) and not p.is_empty]


def _contours(piece: Polygon) -> list[Path]:
    clean = orient(piece)
    # holes run counter-clockwise too: a kerf moves every contour to its own right or left by the sign alone
    rings = [list(clean.exterior.coords[:-1]), *(list(ring.coords[:-1])[::-1] for ring in clean.interiors)]
    return [polyline([(x, y) for x, y in ring]) for ring in rings]


def _panel(character: str, outer: Path, holes: tuple[Path, ...], thickness_mm: float) -> Panel:
    x0, y0, _, _ = bounds_of_shapes((outer,))
    where = Pose((x0, y0, thickness_mm), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    contour, *inner = (moved(c, -x0, -y0) for c in (outer, *holes))
    return Panel(f"letter {character.upper()}", contour, thickness_mm, (where,), 1, holes=tuple(inner))
