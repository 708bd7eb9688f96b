"""The background job of the Order page: every count of cavities planned, a first answer at once, a better one after."""

from __future__ import annotations

from app.jobs import Control
from layout.model import Project
from layout.order.boxes import quick_boxes
from layout.order.plan import Plan, plan

FIRST_STEPS = 5
"""Sides tried for the first curve, which comes at once."""


def compare_counts(project: Project, control: Control) -> Plan:
    """Return the plan over every count of cavities; reports the first one as soon as it is there."""
    if len(project.masters) > 1:
        return plan(project, [])
    first = quick_boxes(project, should_stop=control.should_stop, steps=FIRST_STEPS)
    best = plan(project, first.values(), should_stop=control.should_stop)
    control.report(best)
    if control.should_stop():
        return best
    finer = quick_boxes(project, should_stop=control.should_stop)
    for count, boxed in first.items():
        if count not in finer or boxed.area_mm2 < finer[count].area_mm2:
            finer[count] = boxed
    return plan(project, finer.values(), should_stop=control.should_stop)


def same_task(found: Plan, project: Project) -> bool:
    """Whether a comparison is still about this project: the same order, parts and materials, whatever the layout.

    A mixed box is planned as it is laid out, so there the layout is part of the task.
    """
    made = found.best.project
    if len(project.masters) > 1 and (made.box, made.cavities) != (project.box, project.cavities):
        return False
    same = (made.order, made.masters, made.rules, made.pour) == (
        project.order, project.masters, project.rules, project.pour,
    )  # fmt: skip
    return same and (made.silicone.name, made.resin.name) == (project.silicone.name, project.resin.name)
