"""Projects of the box tests: the running example of the bolt head and small ones."""

import math
from dataclasses import replace

from layout.geometry import Disc, Outline
from layout.model import Box, Cavity, CavityId, Master, MasterId, Project, RectBox, RoundBox, Rules

# hexagon, two flats left and right: 19.05 mm across flats, corners along y
_R = 19.05 / math.sqrt(3.0)
HEXAGON = Outline(tuple((_R * math.cos(math.radians(a)), _R * math.sin(math.radians(a))) for a in range(30, 390, 60)))
BOLT = Master(MasterId("bolt"), "bolt head", "hex:19.05x6.35+dome:16x3", HEXAGON, 9.35, 2.3114, 314.3)


def bolt_project(**box: object) -> Project:
    """48 bolt heads, 8 x 6, walls 6.35, edge 9.525, in 215.9 x 182.7823 mm."""
    cavities = tuple(
        Cavity(
            CavityId(f"c{1 + i + 8 * j}"),
            BOLT.id,
            9.525 + 9.525 + i * 25.4,
            9.525 + _R + j * (2 * _R + 6.35),
        )
        for j in range(6)
        for i in range(8)
    )
    shape = RectBox(215.9, 182.7823)
    return Project("bolt heads", replace(Box(shape), **box), (BOLT,), Rules(), cavities)  # type: ignore[arg-type]


def bare_project(length: float, width: float, height: float = 20.0, **box: object) -> Project:
    """A box without cavities, sides ``height`` over the base."""
    rules = Rules(floor_mm=height * 0.75, freeboard_mm=height * 0.25)
    return Project("bare", replace(Box(RectBox(length, width)), **box), (), rules)  # type: ignore[arg-type]


def round_project(diameter: float, height: float = 20.0, **box: object) -> Project:
    """A round box with one disc in the middle, sides ``height`` over the base."""
    rules = Rules(floor_mm=height * 0.5, freeboard_mm=height * 0.25)
    master = Master(MasterId("puck"), "puck", "disc", Disc(diameter / 6), height * 0.25, 1.0, 10.0)
    cavity = Cavity(CavityId("c1"), master.id, diameter / 2, diameter / 2)
    return Project("round", replace(Box(RoundBox(diameter)), **box), (master,), rules, (cavity,))  # type: ignore[arg-type]
