"""The example the window opens on request: bolt heads in a small box."""

from __future__ import annotations

from layout import arrange, edits
from layout.masters import read_master
from layout.model import Box, Project, RectBox


def example_project() -> Project:
    """Return 48 bolt heads, 8 by 6, at the least wall."""
    project = Project("Bolt heads", Box(RectBox(215.9, 182.7823)))
    project = edits.add_master(project, read_master("hex:19.05x6.35+dome:16x3", name="Bolt head"))
    edge, half = project.rules.edge_mm, 19.05 / 2.0
    high = 19.05 / 3.0**0.5
    project, first = edits.add_cavities(project, [(project.masters[0].id, edge + half, edge + high, 0.0)])
    return arrange.repeat_grid(project, first, 8, 6)[0]
