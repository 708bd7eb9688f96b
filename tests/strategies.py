"""Hypothesis builders: whole projects, legal or not, with every kind of thing in them."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from layout import edits
from layout.masters import read_master
from layout.model import (
    Box,
    BoxShape,
    KeepOut,
    KeepOutId,
    LogEntry,
    OutlineBox,
    Project,
    RectBox,
    RoundBox,
    Rules,
)
from layout.units import Units

SPECS = ("disc:20x5", "hex:19.05x6.35+dome:16x3", "square:18x5", "oval:30x16x6", "ring:30x18x6", "poly5:22x8")

lengths = st.floats(0.0, 400.0)
names = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12)


@st.composite
def boxes(draw: Any) -> Box:
    """A box of any shape."""
    size = st.floats(60.0, 600.0)
    shape: BoxShape = draw(
        st.one_of(
            st.builds(RectBox, size, size),
            st.builds(RoundBox, size),
            st.just(OutlineBox(((0.0, 0.0), (130.0, 0.0), (130.0, 90.0), (60.0, 110.0), (0.0, 95.0)))),
        )
    )
    joint = draw(st.sampled_from(["butt", "tab", "folded"]))
    return Box(shape, draw(names), draw(st.floats(0.5, 20.0)), joint, draw(st.sampled_from(["under", "inside"])))


@st.composite
def projects(draw: Any, most_cavities: int = 8) -> Project:
    """A project with masters, cavities here and there, keep-outs, a log and units."""
    specs = draw(st.lists(st.sampled_from(SPECS), min_size=1, max_size=3))
    project = Project(draw(names), draw(boxes()))
    for spec in specs:
        turn = draw(st.sampled_from([None, "free", "90", "180", "0"]))
        count = draw(st.none() | st.integers(1, 99))
        project = edits.add_master(
            project, read_master(spec, turn=turn, count=count, name=draw(st.none() | st.just("é: x")))
        )
    rules = Rules(draw(lengths), draw(lengths), draw(lengths), draw(st.none() | lengths), "180")
    project = edits.set_rules(project, rules)
    places = st.tuples(
        st.sampled_from([m.id for m in project.masters]),
        st.floats(-500, 900),
        st.floats(-500, 900),
        st.floats(-720, 720),
    )
    project, ids = edits.add_cavities(project, draw(st.lists(places, max_size=most_cavities)))
    if ids:
        project = edits.pin_cavities(project, draw(st.lists(st.sampled_from(ids), unique=True)), True)
        project = edits.set_pour_order(project, draw(st.lists(st.sampled_from(ids), unique=True)))
    size = st.floats(0.1, 90.0)
    areas = st.builds(KeepOut, st.just(KeepOutId("")), lengths, lengths, size, size, st.booleans(), names)
    project = edits.add_keep_outs(project, draw(st.lists(areas, max_size=3)))
    if draw(st.booleans()):
        project = edits.accept(project, "thin_wall", "trial piece")
    log = (LogEntry("2026-01-02", "cast", "1", 130.5, draw(st.floats(0, 900)), 46, 2, "L7", 21.5, draw(names)),)
    units = draw(st.sampled_from([Units(), Units("in", 64), Units("in", 0)]))
    return replace(project, log=log if draw(st.booleans()) else (), units=units)
