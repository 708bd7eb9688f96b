"""Several cavities at once, Project to Project: repeat, line up, space, mirror, duplicate."""

from layout.arrange.lines import Axis, Side, line_up, mirror_layout, space_evenly
from layout.arrange.places import duplicate, nearest_place, place_near
from layout.arrange.repeat import least_pitch_mm, repeat_grid, repeat_round, row_pitch_mm
from layout.arrange.snap import NudgeSize, nudge_mm, snapped, snapped_angle

__all__ = [
    "Axis",
    "NudgeSize",
    "Side",
    "duplicate",
    "least_pitch_mm",
    "line_up",
    "mirror_layout",
    "nearest_place",
    "nudge_mm",
    "place_near",
    "repeat_grid",
    "repeat_round",
    "row_pitch_mm",
    "snapped",
    "snapped_angle",
    "space_evenly",
]
