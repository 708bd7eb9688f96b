"""A mold number or date cast in: raised, mirrored letters glued to the base between cavities and sides.

The letters stand mirrored on the base, so they read right in the finished mold. Each is cut out by itself, from thin
card or from the box's sheet, and sinks into the open face as deep as it is thick.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from layout.box.cutters import is_foldable
from layout.box.marks import burns
from layout.box.panel import BoxParts, Cutter, Panel, Pose
from layout.box.shapes import (
    Bounds,
    Layer,
    Path,
    Shape,
    bounds_of_shapes,
    line_of,
    moved,
    on_layer,
    polygon_of,
    polyline,
)
from layout.box.strokes import text_strokes, text_width_mm, without_glyph
from layout.errors import BadValueError
from layout.geometry import XY, as_polygon
from layout.model import Project
from layout.regions import inner_polygon, placed_cavities, placed_keep_out
from layout.units import length_text

CLEAR_MM: Final = 2.0
"""Silicone left between a letter and a cavity or the side. Common practice, no source."""

TALLEST_MM: Final = 8.0
LEAST_MM: Final = 4.0
"""Height of the letters: a stroke of the least is 0.8 mm wide, about what a blade or a laser can leave standing."""

MOST_LETTERS: Final = 24
"""A number and a date; nobody cuts more by hand. Common practice, no source."""

STROKE_SHARE: Final = 0.2
_STEP_MM: Final = 2.0
_MOST_STEPS: Final = 600


@dataclass(frozen=True, slots=True)
class ReliefSpot:
    """Where raised words go.

    Parameters
    ----------
    at : (x, y)
        Middle of the bottom of the line, box coordinates.
    height_mm, angle_deg : float
        Of the letters.
    bounds : (x0, y0, x1, y1)
        The room they take.
    by_the_rules : bool
        Whether they keep the wall to cavities and the edge to the sides; else only `CLEAR_MM`.
    """

    at: XY
    height_mm: float
    angle_deg: float
    bounds: Bounds
    by_the_rules: bool


def relief_spot(project: Project, words: str, written: Sequence[Shape] = ()) -> ReliefSpot:
    """Return where raised words go: by the project's own wall and edge where there is room for that.

    Parameters
    ----------
    project : Project
    words : str
    written : sequence of Shape
        Words on the base already, box coordinates.

    Raises
    ------
    BadValueError
        If there is no room for letters of `LEAST_MM` clear of cavities, keep-outs and sides.
    """
    rules = project.rules
    distances = (
        (True, max(rules.wall_mm, CLEAR_MM), max(rules.edge_mm, CLEAR_MM)),
        (False, CLEAR_MM, CLEAR_MM),
    )
    for by_the_rules, wall, edge in distances:
        taken = [as_polygon(p).buffer(wall) for p in placed_cavities(project).values()]
        taken += [as_polygon(placed_keep_out(k)) for k in project.keep_outs if k.purpose != "label"]
        taken += [line_of(shape).buffer(0.5) for shape in written]
        free = inner_polygon(project.box.shape).buffer(-edge).difference(shapely.union_all(taken))
        shapely.prepare(free)
        for height in np.arange(TALLEST_MM, LEAST_MM - 1e-9, -0.5):
            spot = _spot_of_height(free, words, float(height), by_the_rules)
            if spot is not None:
                return spot
    raise BadValueError("--relief", f"there is no room on the base for {words!r}", "shorten it, or widen the edge")


def _spot_of_height(free: BaseGeometry, words: str, height: float, by_the_rules: bool) -> ReliefSpot | None:
    # the strokes stand out by half their width
    grown = STROKE_SHARE * height
    length, tall = text_width_mm(words, height) + grown, height + grown
    for angle, (w, h) in ((0.0, (length, tall)), (90.0, (tall, length))):
        spot = _lowest_spot(free, w, h)
        if spot is not None:
            x, y = spot
            at = (x + w / 2.0, y + grown / 2.0) if angle == 0.0 else (x + w - grown / 2.0, y + h / 2.0)
            return ReliefSpot(at, height, angle, (x, y, x + w, y + h), by_the_rules)
    return None


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
    if len(words) > MOST_LETTERS:
        raise BadValueError(
            "--relief", f"it has {len(words)} letters, each cut out by itself", f"take at most {MOST_LETTERS}"
        )
    strange = without_glyph(words)
    if strange:
        raise BadValueError("--relief", f"there is no letter to cut for {strange!r}", "use A to Z, figures and - . / :")
    base = parts.panels[0]
    corner = base.poses[0].origin if base.poses else None
    dx, dy = (-corner[0], -corner[1]) if corner is not None else _hinge_corner(base)
    spot = relief_spot(project, words, [moved(mark, -dx, -dy) for mark in _words_on(project, base, (dx, dy))])
    letters: list[Panel] = []
    outlines: list[Path] = []
    for index, character in enumerate(words):
        for piece in _pieces(words, index, spot.at, spot.height_mm, spot.angle_deg):
            outer, *holes = _contours(piece)
            letters.append(_panel(character, outer, tuple(holes), project.box.thickness_mm))
            outlines += [_drawn(contour) for contour in (outer, *holes)]
    if not burns(cutter):
        base = replace(base, marks=(*base.marks, *(moved(outline, dx, dy) for outline in outlines)))
    steps = (*parts.steps, *_steps(project, words, spot, cutter))
    return replace(parts, panels=(base, *parts.panels[1:], *letters), steps=steps)


def letters_of(parts: BoxParts) -> tuple[Polygon, ...]:
    """Return the raised letters where they are glued, box coordinates."""
    found = []
    for panel in parts.panels:
        if panel.name.startswith("letter ") and panel.poses:
            x, y, _ = panel.poses[0].origin
            found.append(translate(polygon_of(panel.outer, panel.holes), x, y))
    return tuple(found)


def _words_on(project: Project, base: Panel, by: XY) -> list[Shape]:
    """Return what is drawn on the base outside the cavities."""
    tree = shapely.STRtree([as_polygon(p) for p in placed_cavities(project).values()])
    found = []
    for mark in base.marks:
        x0, y0, x1, y1 = bounds_of_shapes((mark,))
        room = shapely.box(x0 - by[0], y0 - by[1], x1 - by[0], y1 - by[1])
        if not len(tree.geometries) or not tree.query(room, predicate="intersects").size:
            found.append(mark)
    return found


def _steps(project: Project, words: str, spot: ReliefSpot, cutter: Cutter) -> list[str]:
    """Return how the letters are cut and glued, a sentence each."""
    by_hand = is_foldable(project.box.sheet) and cutter == "knife"
    found = [
        "Cut the letters from thin card: as small as they are, they can't be cut from the board by hand."
        if by_hand
        else "Letters cut from thin card instead make a shallower mark than those of the sheet."
    ]
    where = "as drawn"
    if burns(cutter):
        x0, y0, x1, y1 = (length_text(v, project.units) for v in spot.bounds)
        where = (
            f"from {x0} to {x1} from the left and {y0} to {y1} from the front of the inside; their place is not burned"
            " in, as silicone would copy that"
        )
    found.append(f"Glue the letters {words!r} mirrored to the base, {where}.")
    if not spot.by_the_rules:
        found.append(
            "The letters stand nearer to a cavity or a side than the project's wall and edge, as there is no other"
            " room: keep them thin, so that the silicone over them stays thick."
        )
    return found


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
