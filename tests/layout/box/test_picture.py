import math
from dataclasses import replace
from itertools import pairwise

import pytest

from layout.box.panels import make_parts
from layout.box.picture import Facet, picture_of, project_point
from layout.model import Box, OutlineBox
from layout.volumes import pour_height_mm
from tests.layout.box.boxes import bare_project, bolt_project, round_project

CASES = {
    "butt": bolt_project(),
    "tab": bolt_project(joint="tab"),
    "folded": bolt_project(joint="folded"),
    "strip": round_project(100.0),
    "tube": round_project(100.0, tube_wall_mm=3.0, base="inside"),
}


def _of(kind: str, facets: tuple[Facet, ...]) -> list[Facet]:
    return [f for f in facets if f.kind == kind]


@pytest.mark.parametrize("name", CASES)
def test_that_the_picture_shows_every_cavity_the_fill_line_and_the_panels(name: str) -> None:
    project = CASES[name]
    facets = picture_of(project, make_parts(project))
    assert len(_of("cavity", facets)) == len(project.cavities)
    assert len(_of("fill line", facets)) == 1
    assert len(_of("panel", facets)) >= 10
    assert all(0.0 <= f.shade <= 1.0 for f in facets)


def test_that_the_picture_reaches_as_far_as_the_box() -> None:
    project = bare_project(100.0, 60.0, 20.0, thickness_mm=5.0)
    facets = picture_of(project, make_parts(project))
    xs = [x for f in facets for x, _ in f.points]
    ys = [y for f in facets for _, y in f.points]
    assert min(xs) == pytest.approx(project_point((-5.0, -5.0, -5.0))[0])
    assert max(xs) == pytest.approx(project_point((105.0, 65.0, 20.0))[0])
    assert min(ys) == pytest.approx(project_point((105.0, -5.0, -5.0))[1])
    assert max(ys) == pytest.approx(project_point((-5.0, 65.0, 20.0))[1])


def test_that_sides_in_front_are_painted_after_those_behind() -> None:
    project = bare_project(100.0, 60.0, 20.0)
    facets = picture_of(project, make_parts(project))
    fill = next(i for i, f in enumerate(facets) if f.kind == "fill line")
    front = project_point((50.0, 0.0, 20.0))[1]
    after = [y for f in facets[fill + 1 :] for _, y in f.points]
    assert min(after) < front


def test_that_a_tube_is_drawn_by_its_edges_and_not_as_slats() -> None:
    project = round_project(100.0, 40.0, tube_wall_mm=3.0)
    facets = picture_of(project, make_parts(project))
    edges = [f for f in facets if f.kind == "edge"]
    assert len(edges) == 3 + 5
    # the outer rim and the base are as wide as the tube
    wide = [max(x for x, _ in e.points) - min(x for x, _ in e.points) for e in edges]
    assert sorted(wide)[-3:] == pytest.approx([106.0] * 3, rel=1e-3)
    # of the tube's many faces none has an outline: only those of the base have
    assert sum(f.border for f in facets if f.kind == "panel") <= 2


def test_that_an_outlined_box_shows_its_fill_line_inside_only() -> None:
    ring = ((0.0, 0.0), (150.0, 0.0), (150.0, 120.0), (75.0, 45.0), (0.0, 120.0))
    for sheet in ("foam board", "acrylic"):
        project = replace(bare_project(10.0, 10.0, 40.0), box=Box(OutlineBox(ring), sheet, 4.0))
        lines = [f for f in picture_of(project, make_parts(project)) if f.kind == "fill line"]
        z = pour_height_mm(project)
        sides = {(project_point((*a, z)), project_point((*b, z))) for a, b in pairwise([*ring, ring[0]])}
        assert 2 <= len(lines) < 5
        for line in lines:
            ends = (line.points[0], line.points[-1])
            assert any(
                math.dist(ends[0], a) + math.dist(ends[1], b) < 0.1
                or math.dist(ends[0], b) + math.dist(ends[1], a) < 0.1
                for a, b in sides
            )
