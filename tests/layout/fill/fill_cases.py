"""The ten cases of tests/data/fill_cases.json as projects, and boxes of other shapes."""

import json
from pathlib import Path
from typing import Any

from layout.geometry import centred_outline
from layout.model import Box, Master, MasterId, Project, RectBox, Rules, Turn

DATA = Path(__file__).parents[2] / "data" / "fill_cases.json"
CASES: dict[str, dict[str, Any]] = {case["name"]: case for case in json.loads(DATA.read_text("utf-8"))}


def turn_of(turns_deg: list[float] | None) -> Turn:
    if turns_deg is None:
        return "free"
    return "90" if 90.0 in turns_deg else "0"


def project_of(name: str) -> Project:
    case = CASES[name]
    footprint = centred_outline(case["footprint_mm"], name)
    master = Master(MasterId(name), name, name, footprint, height_mm=5.0, volume_ml=1.0, glued_area_mm2=100.0)
    rules = Rules(wall_mm=case["wall_mm"], edge_mm=case["edge_mm"], turn=turn_of(case["turns_deg"]))
    return Project(name, Box(RectBox(*case["box_mm"])), (master,), rules)
