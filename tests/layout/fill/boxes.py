"""Small projects for the tests of the fill, and the published tables."""

import csv
from collections.abc import Iterator
from pathlib import Path

from layout.fill.search import Search
from layout.geometry import Disc, Footprint, Outline, centred_outline
from layout.model import Box, BoxShape, Master, MasterId, Project, RectBox, Rules, Turn

DATA = Path(__file__).parents[2] / "data"


def table(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def master(footprint: Footprint, name: str = "part", wanted: int | None = None) -> Master:
    return Master(MasterId(name), name, "", footprint, 6.0, 1.0, 100.0, wanted=wanted)


def disc(radius_mm: float) -> Master:
    return master(Disc(radius_mm))


def rectangle(a: float, b: float) -> Outline:
    return centred_outline([(0, 0), (a, 0), (a, b), (0, b)], "test")


def project(
    shape: BoxShape | tuple[float, float], *masters: Master, wall: float = 0.0, edge: float = 0.0, turn: Turn = "free"
) -> Project:
    box = RectBox(*shape) if isinstance(shape, tuple) else shape
    return Project("test", Box(box), masters, Rules(wall, edge, turn=turn))


def run(search: Search, *works: Iterator[None]) -> None:
    """Do works of a search one after the other until it should stop."""
    for work in works:
        for _ in work:
            if search.should_stop():
                return
