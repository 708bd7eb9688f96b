"""The worked example that many tests measure: 48 domed hexagons in a box cut to them. An invented part of our own."""

import math

from layout.geometry import Outline
from layout.materials import parse_mix
from layout.model import Box, Cavity, CavityId, Master, MasterId, Project, RectBox

FLATS_MM = 19.05
HEIGHT_MM = 9.35
PART_ML = (math.sqrt(3) / 2 * FLATS_MM**2 * 6.35 + math.pi * 3 * (3 * 64 + 9) / 6) / 1000
BACK_MM2 = math.sqrt(3) / 2 * FLATS_MM**2
MIX = "a=1.10,b=1.18,ratio=1:1v"


def hexagon() -> Master:
    """Hexagonal prism 19.05 across flats and 6.35 high, a dome of base radius 8 and rise 3 on it."""
    r = FLATS_MM / math.sqrt(3)
    corners = tuple(
        (r * math.cos(math.radians(30 + 60 * k)), r * math.sin(math.radians(30 + 60 * k))) for k in range(6)
    )
    return Master(MasterId("bolt"), "bolt", "hex", Outline(corners), HEIGHT_MM, PART_ML, BACK_MM2, undercut=0.0)


def grid_of_48(mix: str = MIX, kit: str = ",kit=450+450g") -> Project:
    """The example's box, 8 by 6 cavities at a wall of 6.35 and an edge of 9.525 mm."""
    length, width = 215.9, 182.7823
    tall = 2 * FLATS_MM / math.sqrt(3)
    places = [
        (9.525 + FLATS_MM / 2 + 25.4 * i, 9.525 + tall / 2 + (tall + 6.35) * j) for j in range(6) for i in range(8)
    ]
    cavities = tuple(Cavity(CavityId(f"c{n}"), MasterId("bolt"), x, y) for n, (x, y) in enumerate(places, start=1))
    return Project(
        "bolts",
        Box(RectBox(length, width)),
        (hexagon(),),
        cavities=cavities,
        silicone=parse_mix(mix + kit, "--silicone", "silicone"),
    )
