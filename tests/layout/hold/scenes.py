"""Random legal layouts to drag about in: concave, turned, round and fine-cornered parts in every kind of box."""

import math
import random

from layout import edits
from layout.arrange import repeat_grid
from layout.checks import check
from layout.geometry import Disc, Footprint, centred_outline
from layout.model import (
    Box,
    BoxShape,
    CavityId,
    KeepOut,
    KeepOutId,
    Master,
    MasterId,
    OutlineBox,
    Project,
    RectBox,
    RoundBox,
    Rules,
)
from layout.regions import placed_cavities


def master(name: str, footprint: Footprint) -> Master:
    return Master(MasterId(name), name, name, footprint, 8.0, 1.0, 100.0)


def outline(name: str, points: list[tuple[float, float]]) -> Master:
    return master(name, centred_outline(points, name))


def _wavy(corners: int) -> list[tuple[float, float]]:
    angles = [2 * math.pi * i / corners for i in range(corners)]
    return [((10 + 2 * math.cos(5 * a)) * math.cos(a), (10 + 2 * math.cos(5 * a)) * math.sin(a)) for a in angles]


ELL = outline("ell", [(0, 0), (30, 0), (30, 8), (8, 8), (8, 30), (0, 30)])
CHANNEL = outline("channel", [(0, 0), (40, 0), (40, 36), (32, 36), (32, 8), (8, 8), (8, 36), (0, 36)])
PIN = master("pin", Disc(6.0))
HEX = outline("hex", [(10 * math.cos(math.radians(a)), 10 * math.sin(math.radians(a))) for a in range(30, 390, 60)])
STAR = outline("star", _wavy(200))
MASTERS = (ELL, CHANNEL, PIN, HEX, STAR)
SHAPES: tuple[BoxShape, ...] = (
    RectBox(200.0, 160.0),
    RoundBox(190.0),
    OutlineBox(((0.0, 0.0), (200.0, 0.0), (200.0, 90.0), (120.0, 90.0), (120.0, 160.0), (0.0, 160.0))),
)


def scene(rng: random.Random) -> Project:
    rules = Rules(rng.choice([6.35, 5.0, 2.0, 0.5, 0.0]), rng.choice([9.525, 5.0, 1.0, 0.0]))
    project = Project("scene", Box(rng.choice(SHAPES)), MASTERS, rules)
    if rng.random() < 0.6:
        area = KeepOut(
            KeepOutId(""),
            rng.uniform(0, 200),
            rng.uniform(0, 160),
            rng.uniform(5, 40),
            rng.uniform(5, 30),
            rng.random() < 0.5,
        )
        project = edits.add_keep_outs(project, [area])
    wanted = rng.randint(2, 14)
    for _ in range(6 * wanted):
        angle = rng.choice([0.0, 90.0, 180.0, 45.0, rng.uniform(0, 360)])
        place = (rng.choice(MASTERS).id, rng.uniform(0, 200), rng.uniform(0, 160), angle)
        grown, new = edits.add_cavities(project, [place])
        if not check(grown, only=new):
            project = grown
        if len(project.cavities) == wanted:
            break
    return project


def jagged(rng: random.Random) -> Master:
    """A part of 5 to 30 corners, most of them reflex or sharp."""
    count = rng.randint(5, 30)
    return outline(
        "jagged",
        [
            (r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count))
            for i, r in enumerate(rng.uniform(4, 16) for _ in range(count))
        ],
    )


def packed(rng: random.Random) -> Project:
    """A box filled with rows at the least wall, a few cavities taken out: nothing has more room than it needs."""
    rules = Rules(rng.choice([6.35, 3.0, 1.0, 0.0]), rng.choice([9.525, 3.0, 0.0]))
    part = jagged(rng) if rng.random() < 0.7 else rng.choice(MASTERS)
    box = Box(RectBox(rng.uniform(120, 200), rng.uniform(100, 160)))
    project, first = edits.add_cavities(
        Project("packed", box, (part,), rules), [(part.id, 0.0, 0.0, rng.choice([0.0, 90.0, rng.uniform(0, 360)]))]
    )
    x0, y0, _, _ = placed_cavities(project)[first[0]].bounds
    project = edits.move_cavities(project, first, rules.edge_mm - x0, rules.edge_mm - y0)
    project, new = repeat_grid(project, first, None, None, staggered=rng.random() < 0.5, leave_out=True)
    return edits.remove_cavities(project, rng.sample(new, len(new) // 4))


def some(rng: random.Random, project: Project) -> list[CavityId]:
    """One to three cavities of a layout."""
    count = min(rng.choice([1, 1, 1, 2, 3]), len(project.cavities))
    return [c.id for c in rng.sample(project.cavities, count)]
