"""More boxes to fill, of shapes that no method was tuned to; made here, not published."""

import math
from typing import Any

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
}  # fmt: skip
"""Counter-clockwise or clockwise, mm, anywhere."""

BOXES = ((160.0, 120.0), (230.0, 180.0), (380.0, 300.0))
"""Small, middling and large inner sizes, mm."""


def more_cases() -> list[dict[str, Any]]:
    """Return a case of every shape in one of the boxes, and every third in the largest too."""
    rules = {"wall_mm": 6.35, "edge_mm": 8.0, "turns_deg": None}
    return [
        {"name": f"{name} {size[0]:.0f}x{size[1]:.0f}", "footprint_mm": points, "box_mm": size, **rules}
        for k, (name, points) in enumerate(SHAPES.items())
        for size in [BOXES[k % 2]] + ([BOXES[2]] if k % 3 == 0 else [])
    ]
