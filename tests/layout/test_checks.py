"""The exact check against brute force: every pair and every side measured anew by another road."""

import math
from collections.abc import Iterator

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from layout import checks, edits
from layout.geometry import Disc, centred_outline, segment_length_mm
from layout.masters import read_master
from layout.model import (
    Box,
    BoxShape,
    KeepOut,
    KeepOutId,
    Master,
    MasterId,
    OutlineBox,
    Project,
    RectBox,
    RoundBox,
    Rules,
    Severity,
)
from layout.regions import edge_distance_mm, placed_cavities
from layout.tolerances import CLEARANCE_TOL_MM

ELL = ((0, 0), (14, 0), (14, 4), (5, 4), (5, 16), (0, 16))
STAR = tuple(
    ((9 if k % 2 else 4) * math.cos(math.pi * k / 5), (9 if k % 2 else 4) * math.sin(math.pi * k / 5))
    for k in range(10)
)
HOOK = ((0, 0), (18, 0), (18, 12), (9, 12), (9, 8), (13, 8), (13, 5), (4, 5), (4, 15), (0, 15))
CHEVRON_BOX = OutlineBox(((0, 0), (130, 0), (130, 90), (75, 60), (60, 110), (0, 95)))


def _outline_master(name: str, points: tuple[tuple[float, float], ...]) -> Master:
    return Master(MasterId(name), name, name, centred_outline(points, name), 8.0, 1.0, 100.0)


MASTERS = (
    _outline_master("ell", ELL),
    _outline_master("star", STAR),
    _outline_master("hook", HOOK),
    Master(MasterId("disc"), "disc", "disc", Disc(7.5), 8.0, 1.0, 176.0),
    Master(MasterId("bead"), "bead", "bead", Disc(3.0), 8.0, 1.0, 28.0),
)
SHAPES: tuple[BoxShape, ...] = (RectBox(120, 100), RoundBox(125), CHEVRON_BOX)


def random_layout(rng: np.random.Generator) -> Project:
    rules = Rules(wall_mm=float(rng.choice([0.0, 2.0, 6.35])), edge_mm=float(rng.choice([0.0, 3.0, 9.525])))
    project = Project("r", Box(SHAPES[rng.integers(len(SHAPES))]), MASTERS, rules)
    places = []
    for _ in range(rng.integers(2, 9)):
        master = MASTERS[rng.integers(len(MASTERS))].id
        angle = float(rng.choice([0.0, 90.0, rng.uniform(0, 360)]))
        places.append((master, float(rng.uniform(5, 120)), float(rng.uniform(5, 100)), angle))
    project, _ = edits.add_cavities(project, places)
    areas = [
        KeepOut(KeepOutId(""), *(float(v) for v in rng.uniform(10, 100, 2)), *(float(v) for v in rng.uniform(3, 20, 2)))
        for _ in range(rng.integers(0, 2))
    ]
    areas += [KeepOut(KeepOutId(""), 60.0, 50.0, 9.0, 9.0, round=True)] * int(rng.integers(0, 2))
    return edits.add_keep_outs(project, areas)


class Brute:
    """The same judgement the slow way: shapely's affinity, no tree, no shortcut."""

    def __init__(self, project: Project) -> None:
        self.project = project
        self.shapes: dict[str, tuple[shapely.Geometry, float]] = {}
        for c in project.cavities:
            footprint = project.master(c.master).footprint
            if isinstance(footprint, Disc):
                self.shapes[c.id] = shapely.Point(c.x_mm, c.y_mm), footprint.radius_mm
            else:
                turned = affinity.rotate(shapely.Polygon(footprint.points), c.angle_deg, origin=(0, 0))
                self.shapes[c.id] = affinity.translate(turned, c.x_mm, c.y_mm), 0.0

    def apart(self, a: str, b: str) -> float:
        (ga, ra), (gb, rb) = self.shapes[a], self.shapes[b]
        return float(shapely.distance(ga, gb)) - ra - rb

    def overlaps(self, a: str, b: str) -> bool:
        (ga, ra), (gb, rb) = self.shapes[a], self.shapes[b]
        return self.apart(a, b) < -CLEARANCE_TOL_MM if ra or rb else shapely.intersection(ga, gb).area > 1e-10

    def edge(self, name: str) -> float:
        shape, (geometry, radius) = self.project.box.shape, self.shapes[name]
        if isinstance(shape, RoundBox):
            r = shape.diameter_mm / 2
            return r - radius - max(math.hypot(x - r, y - r) for x, y in shapely.get_coordinates(geometry))
        inside = (
            shapely.box(0, 0, shape.length_mm, shape.width_mm)
            if isinstance(shape, RectBox)
            else shapely.Polygon(shape.points)
        )
        if inside.contains(geometry):
            return float(shapely.distance(inside.exterior, geometry)) - radius
        return -math.inf

    def kinds(self) -> set[tuple[str, tuple[str, ...]]]:
        rules, found = self.project.rules, set()
        names = list(self.shapes)
        for i, a in enumerate(names):
            for b in names[i + 1 :]:
                if self.overlaps(a, b):
                    found.add(("overlap", (a, b)))
                elif self.apart(a, b) < rules.wall_mm - CLEARANCE_TOL_MM:
                    found.add(("thin_wall", (a, b)))
        for a in names:
            edge = self.edge(a)
            if edge < -CLEARANCE_TOL_MM:
                found.add(("outside_box", (a,)))
            elif edge < rules.edge_mm - CLEARANCE_TOL_MM:
                found.add(("thin_edge", (a,)))
            if any(self.in_area(a, k) for k in self.project.keep_outs):
                found.add(("in_keep_out", (a,)))
        return found

    def in_area(self, name: str, area: KeepOut) -> bool:
        geometry, radius = self.shapes[name]
        if area.round:
            return float(shapely.distance(geometry, shapely.Point(area.x_mm, area.y_mm))) < radius + area.length_mm / 2
        dx, dy = area.length_mm / 2, area.width_mm / 2
        rectangle = shapely.box(area.x_mm - dx, area.y_mm - dy, area.x_mm + dx, area.y_mm + dy)
        return float(shapely.distance(geometry, rectangle)) < radius if radius else geometry.intersects(rectangle)


def layouts(count: int) -> Iterator[Project]:
    rng = np.random.default_rng(20)
    for _ in range(count):
        yield random_layout(rng)


def test_that_a_thousand_random_layouts_are_judged_as_by_brute_force() -> None:
    seen: dict[str, int] = {}
    for number, project in enumerate(layouts(1000)):
        brute = Brute(project)
        findings = checks.check(project)
        ours = {(f.kind, tuple(str(c) for c in f.cavities)) for f in findings}
        assert ours == brute.kinds(), f"layout {number}"
        for f in findings:
            seen[f.kind] = seen.get(f.kind, 0) + 1
            assert f.severity == Severity.REFUSE
            if f.kind == "thin_wall":
                assert f.measured == pytest.approx(max(0.0, brute.apart(*f.cavities)), abs=1e-9)
            elif f.kind == "thin_edge":
                assert f.measured == pytest.approx(brute.edge(f.cavities[0]), abs=1e-9)
            assert f.segment is not None
            if f.kind in {"thin_wall", "thin_edge"} and (f.measured or 0.0) > CLEARANCE_TOL_MM:
                assert segment_length_mm(f.segment) == pytest.approx(f.measured, abs=1e-6)
    assert min(seen[k] for k in ("overlap", "thin_wall", "outside_box", "thin_edge", "in_keep_out")) > 100


def test_that_the_thinnest_places_are_those_of_brute_force() -> None:
    for project in layouts(300):
        brute, thinnest = Brute(project), checks.clearances(project)
        names = list(brute.shapes)
        pairs = [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]
        if not any(brute.overlaps(a, b) for a, b in pairs):
            assert thinnest.least_wall_mm == pytest.approx(min(brute.apart(a, b) for a, b in pairs), abs=1e-9)
        else:
            assert thinnest.least_wall_mm is not None
            assert thinnest.least_wall_mm < 0.0
        edges = [brute.edge(a) for a in names]
        if min(edges) > -math.inf:
            assert thinnest.least_edge_mm == pytest.approx(min(edges), abs=1e-9)


def test_that_checking_only_some_cavities_finds_what_concerns_them() -> None:
    for project in layouts(100):
        chosen = {c.id for c in project.cavities[::2]}
        everything = checks.check(project)
        expected = [f for f in everything if chosen & set(f.cavities)]
        assert sorted(checks.check(project, only=chosen), key=repr) == sorted(expected, key=repr)


@given(st.floats(0, 360), st.floats(0.5, 20), st.floats(0, 360))
def test_that_parts_exactly_at_the_wall_pass_at_any_angle(direction: float, wall: float, turn: float) -> None:
    # measured distances of such pairs come out up to 4e-15 mm short
    project = Project("w", Box(RectBox(400, 400)), MASTERS, Rules(wall_mm=wall, edge_mm=0.0))
    d, c, s = 15.0 + wall, math.cos(math.radians(direction)), math.sin(math.radians(direction))
    project, _ = edits.add_cavities(
        project, [(MasterId("disc"), 200, 200, turn), (MasterId("disc"), 200 + d * c, 200 + d * s, 0)]
    )
    assert checks.is_legal(project)
    nearer = edits.move_cavities(project, [project.cavities[1].id], -c * 1e-5, -s * 1e-5)
    assert [f.kind for f in checks.check(nearer)] == ["thin_wall"]


@given(st.floats(0, 360), st.floats(0.5, 20))
def test_that_squares_exactly_at_the_wall_pass_at_any_turn(turn: float, wall: float) -> None:
    square = read_master("square:18x5")
    project = Project("w", Box(RectBox(400, 400)), (square,), Rules(wall_mm=wall, edge_mm=0.0))
    d, c, s = 18.0 + wall, math.cos(math.radians(turn)), math.sin(math.radians(turn))
    project, _ = edits.add_cavities(project, [(square.id, 200, 200, turn), (square.id, 200 + d * c, 200 + d * s, turn)])
    assert checks.is_legal(project)


def test_that_a_cavity_flush_with_the_side_is_reported_unless_the_edge_is_nothing() -> None:
    for shape, x in ((RectBox(100, 100), 7.5), (RoundBox(100), 7.5)):
        project = Project("f", Box(shape), MASTERS, Rules(edge_mm=1.0))
        project, _ = edits.add_cavities(project, [(MasterId("disc"), x, 50.0, 0.0)])
        (finding,) = checks.check(project)
        assert (finding.kind, finding.measured) == ("thin_edge", 0.0)
        assert checks.is_legal(edits.set_rules(project, Rules(edge_mm=0.0)))


def test_that_touching_parts_pass_where_the_wall_is_nothing() -> None:
    project = Project("t", Box(RectBox(100, 100)), (read_master("square:18x5"),), Rules(wall_mm=0.0, edge_mm=0.0))
    name = project.masters[0].id
    project, _ = edits.add_cavities(
        project, [(name, 20, 20, 0), (name, 38, 20, 0), (name, 20, 38, 90), (name, 56, 38, 0)]
    )
    assert checks.is_legal(project)
    assert checks.clearances(project).least_wall_mm == pytest.approx(0.0, abs=1e-12)


def test_that_one_part_inside_another_overlaps_by_its_own_width() -> None:
    project = Project("i", Box(RectBox(100, 100)), MASTERS, Rules())
    project, _ = edits.add_cavities(project, [(MasterId("disc"), 50, 50, 0), (MasterId("bead"), 51, 50, 0)])
    (finding,) = checks.check(project)
    assert (finding.kind, finding.measured) == ("overlap", -6.0)


def test_that_a_disc_in_a_corner_of_an_outline_box_is_measured_exactly() -> None:
    project = Project("o", Box(CHEVRON_BOX), MASTERS, Rules())
    project, ids = edits.add_cavities(project, [(MasterId("disc"), 20, 20, 0)])
    placed = placed_cavities(project)[ids[0]]
    assert edge_distance_mm(CHEVRON_BOX, placed) == pytest.approx(12.5, abs=1e-12)


@pytest.mark.parametrize(("short_mm", "kinds"), [(0.0, []), (0.9e-6, []), (2e-6, ["thin_edge"])])
def test_that_an_edge_passes_at_the_rule_less_one_millionth_of_a_millimetre(short_mm: float, kinds: list[str]) -> None:
    disc = read_master("disc:20x5")
    project = Project("p", Box(RectBox(100.0, 100.0)), (disc,))
    placed, _ = edits.add_cavities(project, [(disc.id, 10.0 + project.rules.edge_mm - short_mm, 50.0, 0.0)])
    assert [f.kind for f in checks.check(placed)] == kinds


@given(st.integers(0, 10_000), st.floats(0.0, 12.0))
def test_that_many_pairs_judged_at_once_are_judged_as_one_by_one(seed: int, wall_mm: float) -> None:
    rng = np.random.default_rng(seed)
    masters = (
        Master(MasterId("hook"), "hook", "h", centred_outline(HOOK, "hook"), 8.0, 1.0, 100.0),
        Master(MasterId("star"), "star", "s", centred_outline(STAR, "star"), 8.0, 1.0, 100.0),
        Master(MasterId("pin"), "pin", "p", Disc(6.0), 8.0, 1.0, 100.0),
    )
    places = [
        (masters[int(rng.integers(3))].id, *rng.uniform(15.0, 105.0, 2).tolist(), float(rng.uniform(0.0, 360.0)))
        for _ in range(14)
    ]
    empty = Project("p", Box(RectBox(120.0, 120.0)), masters, Rules(wall_mm, 0.0))
    project = edits.add_cavities(empty, places)[0]
    placed = placed_cavities(project)
    walls = {f.cavities: f for f in checks.check(project) if len(f.cavities) == 2}
    ids = list(placed)
    for i, a in enumerate(ids):
        for b in ids[i + 1 :]:
            apart, finding = checks.distance_mm(placed[a], placed[b]), walls.get((a, b))
            deep = apart <= 0.0 and checks.depth_mm(placed[a], placed[b])[0] > CLEARANCE_TOL_MM
            thin = apart < wall_mm - CLEARANCE_TOL_MM and wall_mm > CLEARANCE_TOL_MM
            assert (finding.kind if finding else "") == ("overlap" if deep else "thin_wall" if thin else "")
            if finding and finding.kind == "thin_wall":
                assert finding.measured == pytest.approx(apart, abs=1e-9)
                assert segment_length_mm(finding.segment or ((0.0, 0.0), (9.0, 9.0))) == pytest.approx(apart, abs=1e-9)


def test_that_a_wall_nothing_keeps_measures_no_pair_of_outlines_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    hook = Master(MasterId("hook"), "hook", "h", centred_outline(HOOK, "hook"), 8.0, 1.0, 100.0)
    places = [(hook.id, 20.0 + 25.0 * i, 20.0 + 25.0 * j, 0.0) for i in range(12) for j in range(12)]
    empty = Project("p", Box(RectBox(340.0, 340.0)), (hook,), Rules(9.0, 0.0))
    project = edits.add_cavities(empty, places)[0]
    alone: list[object] = []
    monkeypatch.setattr(checks, "distance_mm", lambda *pair: alone.append(pair) or 0.0)
    monkeypatch.setattr(checks, "nearest_segment", lambda *pair: alone.append(pair) or ((0.0, 0.0), (0.0, 0.0)))
    found = checks.check(project)
    assert len(found) >= 12 * 11
    assert not alone
    # nor is what was prepared for it kept
    made = list(placed_cavities(project).values())
    checks.check_placed(project, placed := dict(zip([c.id for c in project.cavities], made, strict=True)), placed)
    assert not shapely.is_prepared(made).any()
