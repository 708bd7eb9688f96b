"""More boxes to fill, of shapes that no method was tuned to; made here, not published."""

import math
from collections.abc import Sequence
from typing import Any

from shapely.geometry import Polygon

Points = list[tuple[float, float]]


def _arc(radius: float, first_deg: float, last_deg: float, steps: int, x: float = 0.0, y: float = 0.0) -> Points:
    angles = [math.radians(first_deg + (last_deg - first_deg) * k / steps) for k in range(steps + 1)]
    return [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]


def _gear(teeth: int, inner: float, outer: float) -> Points:
    step = 360.0 / teeth
    points: Points = []
    for k in range(teeth):
        for share, r in ((0.0, inner), (0.3, inner), (0.4, outer), (0.9, outer)):
            a = math.radians((k + share) * step)
            points.append((r * math.cos(a), r * math.sin(a)))
    return points


SHAPES: dict[str, Points] = {
    "oval": [(15.0 * math.cos(k * math.pi / 24), 8.0 * math.sin(k * math.pi / 24)) for k in range(48)],
    "tee": [(-4, 0), (4, 0), (4, 20), (14, 20), (14, 28), (-14, 28), (-14, 20), (-4, 20)],
    "channel": [(0, 0), (28, 0), (28, 22), (20, 22), (20, 8), (8, 8), (8, 22), (0, 22)],
    "plus": [
        (-4, -12), (4, -12), (4, -4), (12, -4), (12, 4), (4, 4), (4, 12), (-4, 12), (-4, 4), (-12, 4), (-12, -4),
        (-4, -4),
    ],
    "half disc": _arc(14.0, 0.0, 180.0, 24),
    "trapezoid": [(-14, 0), (14, 0), (7, 16), (-7, 16)],
    "keyhole": [(3.5, -7.0), (3.5, -26.0), (-3.5, -26.0), (-3.5, -7.0), *_arc(8.0, 240.0, -60.0, 30)],
    "rhomb": [(0, -9), (16, 0), (0, 9), (-16, 0)],
    "gear": _gear(10, 10.0, 13.0),
    "pentagon": _arc(12.0, 90.0, 378.0, 4),
    "crescent": [*_arc(14.0, -70.0, 250.0, 36), *_arc(9.0, 235.0, -55.0, 28, 0.0, -4.5)],
    "triangle": _arc(14.0, 90.0, 330.0, 2),
    # finer than the search likes: see layout.fill.parts.MOST_CORNERS
    "fine oval": [(15.0 * math.cos(k * math.pi / 64), 8.0 * math.sin(k * math.pi / 64)) for k in range(128)],
    "cog": _gear(22, 12.0, 14.5),
}  # fmt: skip
"""Counter-clockwise or clockwise, mm, anywhere."""

PARTS = (20, 60, 150, 350)
"""About so many parts go in the boxes of a shape."""

PROPORTIONS = (1.25, 1.0, 1.5, 1.35)
"""Length by width of these boxes."""

RULES = {"wall_mm": 6.35, "edge_mm": 8.0, "turns_deg": None}

MIXED = (
    (("hexagon", "drop"), (200.0, 150.0)),
    (("star", "arrow"), (260.0, 200.0)),
    (("disc", "angle", "bar"), (250.0, 180.0)),
    (("disc", "hexagon", "star", "drop"), (280.0, 210.0)),
    (("angle", "arrow", "drop"), (230.0, 230.0)),
)
"""Shapes of tests/data/fill_cases.json that go in one box, taken in turn."""


def more_cases(parts: Sequence[int] = PARTS) -> list[dict[str, Any]]:
    """Return a case of every shape in a box for about so many, for each of these numbers."""
    return [
        {"name": f"{name} {n}", "footprint_mm": points, "box_mm": _box_for(points, n), **RULES}
        for n in parts
        for name, points in SHAPES.items()
    ]


def _box_for(points: Points, parts: int) -> tuple[float, float]:
    """Return a box, in whole steps of 5 mm, whose inside has 1.2 times the area of so many grown by half a wall."""
    wall, edge = float(RULES["wall_mm"] or 0.0), float(RULES["edge_mm"] or 0.0)
    area = 1.2 * parts * float(Polygon(points).buffer(wall / 2.0).area)
    proportion = PROPORTIONS[PARTS.index(parts) if parts in PARTS else 0]
    length, width = math.sqrt(area * proportion), math.sqrt(area / proportion)
    return (5.0 * round((length - wall + 2.0 * edge) / 5.0), 5.0 * round((width - wall + 2.0 * edge) / 5.0))


def outlined_cases() -> list[dict[str, Any]]:
    """Return cases in boxes that are no rectangle: an L, a T and one with slanted corners."""
    shapes = {
        "ell": [(0, 0), (260, 0), (260, 110), (120, 110), (120, 230), (0, 230)],
        "tee": [(80, 0), (180, 0), (180, 120), (260, 120), (260, 220), (0, 220), (0, 120), (80, 120)],
        "slanted": [(50, 0), (210, 0), (260, 50), (260, 150), (210, 200), (50, 200), (0, 150), (0, 50)],
    }
    return [
        {"name": f"{name} in {shape}", "footprint_mm": SHAPES[name], "box_mm": (260.0, 230.0), "box_outline_mm": ring}
        | RULES
        for shape, ring in shapes.items()
        for name in ("half disc", "plus", "rhomb", "crescent")
    ]


def mixed_cases(cases: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the mixed boxes: several footprints, named.

    Parameters
    ----------
    cases : sequence
        Those of tests/data/fill_cases.json.
    """
    known = {case["name"]: case["footprint_mm"] for case in cases}
    return [
        {"name": "+".join(names), "footprints_mm": [known[n] for n in names], "names": names, "box_mm": box, **RULES}
        for names, box in MIXED
    ]
