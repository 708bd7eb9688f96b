"""The running example: 48 bolt heads, hex 19.05 x 6.35 with a dome 16 x 3, 8 x 6 in a box that just holds them."""

import math

from layout import edits
from layout.geometry import centred_outline
from layout.model import Box, Master, MasterId, Project, RectBox

FLATS_MM = 19.05
CORNERS_MM = 2 * FLATS_MM / math.sqrt(3)
WALL_MM, EDGE_MM = 6.35, 9.525
HEX_ML = math.sqrt(3) / 2 * FLATS_MM**2 * 6.35 / 1000
DOME_ML = math.pi * 3 * (3 * 8**2 + 3**2) / 6 / 1000


def bolt_head() -> Master:
    r = CORNERS_MM / 2
    corners = [(r * math.cos(math.radians(30 + 60 * k)), r * math.sin(math.radians(30 + 60 * k))) for k in range(6)]
    return Master(
        MasterId("bolt-head"), "bolt head", "hex:19.05x6.35+dome:16x3", centred_outline(corners, "hex"), 9.35,
        HEX_ML + DOME_ML, math.sqrt(3) / 2 * FLATS_MM**2, surface_mm2=900.0, undercut=0.0,
    )  # fmt: skip


def bolt_heads(columns: int = 8, rows: int = 6) -> Project:
    """The layout of columns x rows, straight rows, in the least box."""
    px, py = FLATS_MM + WALL_MM, CORNERS_MM + WALL_MM
    length = columns * px - WALL_MM + 2 * EDGE_MM
    width = rows * py - WALL_MM + 2 * EDGE_MM + 1e-6
    project = Project("bolt heads", Box(RectBox(length, width)), (bolt_head(),))
    places = [
        (MasterId("bolt-head"), EDGE_MM + FLATS_MM / 2 + i * px, EDGE_MM + CORNERS_MM / 2 + j * py, 0.0)
        for j in range(rows)
        for i in range(columns)
    ]
    return edits.add_cavities(project, places)[0]
