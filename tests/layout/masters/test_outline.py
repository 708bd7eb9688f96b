"""Drawn outlines: exact areas, footprints that contain the true curve by no more than the tolerance, and refusals."""

import math
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
import shapely
from ezdxf.math import closed_uniform_bspline
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layout.errors import BadFileError, BadOutlineError, LayoutError
from layout.geometry import Disc, Outline, footprint_polygon
from layout.masters import read_master
from layout.masters.dxf import read_pieces
from layout.masters.loops import closed_loops
from layout.masters.outline import one_outline, read_box_outline, safe_ring
from layout.masters.pieces import Line, _less_sine
from layout.model import Master, OutlineBox, RectBox, RoundBox
from layout.tolerances import ARC_CHORD_TOL_MM
from tests.layout.masters.drawings import Draw, drawing, rectangle


def read(folder: Path, draw: Draw, **how: Any) -> Master:
    return read_master(drawing(folder, draw, **how) + "@8")


def _fine_points(entity: Any) -> list[tuple[float, float]]:
    if entity.dxftype() == "SPLINE":
        tool = entity.construction_tool()
        knots = tool.knots()
        spread = np.linspace(knots[tool.degree], knots[-tool.degree - 1], 20_001)
        return [(v.x, v.y) for v in tool.points(spread)]
    if entity.dxftype() == "LINE":
        return [(v.x, v.y) for v in (entity.dxf.start, entity.dxf.end)]
    return [(v.x, v.y) for v in entity.flattening(1e-6)]


def _single(entity: Any) -> list[Any]:
    return list(entity.virtual_entities()) if entity.dxftype() in {"LWPOLYLINE", "POLYLINE"} else [entity]


def true_outline(path: str) -> shapely.Polygon:
    """The outline by another flattening, far finer than ours: that of the DXF library."""
    space = ezdxf.readfile(path).modelspace()
    lines = [shapely.LineString(_fine_points(part)) for e in space for part in _single(e)]
    (region,) = shapely.get_parts(shapely.polygonize([shapely.union_all(lines, grid_size=1e-6)]))
    return region


def assert_contains_tightly(path: str) -> None:
    """Nothing of the true outline lies outside of ours, and nothing of ours farther out than the tolerance."""
    true = true_outline(path)
    outer, _ = one_outline(closed_loops(read_pieces(Path(path), None), path), path)
    ours = shapely.Polygon(safe_ring(outer, path, outside=True))
    rounding = 3e-6  # the other flattening is good to 1e-6 and snapped to 1e-6
    assert ours.buffer(rounding).covers(true)
    assert shapely.hausdorff_distance(ours.exterior, true.exterior) <= ARC_CHORD_TOL_MM + rounding
    # and the footprint is that ring, centred
    footprint = footprint_polygon(read_master(path + "@1").footprint)
    assert footprint.area == pytest.approx(ours.area, rel=1e-9)


def test_that_a_circle_is_exact(tmp_path: Path) -> None:
    master = read(tmp_path, lambda m: m.add_circle((5, 6), 9.7))
    assert master.footprint == Disc(9.7)
    assert master.volume_ml == pytest.approx(math.pi * 9.7**2 * 8 / 1000, rel=1e-14)


def test_that_half_circles_make_an_exact_disc(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_arc((5, 6), 9.7, 0, 180)
        m.add_lwpolyline([(5 - 9.7, 6, 0, 0, 1), (5 + 9.7, 6)], format="xyseb")

    footprint = read(tmp_path, draw).footprint
    assert isinstance(footprint, Disc)
    assert footprint.radius_mm == pytest.approx(9.7, abs=1e-12)


def test_that_lines_keep_every_digit(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        corners = rectangle(30.125, 12.25, 3, 4)
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
            m.add_line(b, a)

    master = read(tmp_path, draw)
    assert isinstance(master.footprint, Outline)
    assert len(master.footprint.points) == 4
    assert footprint_polygon(master.footprint).bounds == (-15.0625, -6.125, 15.0625, 6.125)
    assert master.volume_ml == pytest.approx(30.125 * 12.25 * 8 / 1000, rel=1e-14)
    assert master.surface_mm2 == pytest.approx(30.125 * 12.25 + 2 * (30.125 + 12.25) * 8, rel=1e-14)


def _slot(m: Any) -> None:
    m.add_lwpolyline(
        [(0, 0, 0, 0, 0), (30, 0, 0, 0, 1), (30, 10, 0, 0, 0), (0, 10, 0, 0, 1)], format="xyseb", close=True
    )


def _bite(m: Any) -> None:
    m.add_lwpolyline([(0, 0), (30, 0), (30, 20)])
    m.add_arc((15, 20), 8, 180, 360)
    m.add_line((30, 20), (23, 20))
    m.add_line((7, 20), (0, 20))
    m.add_line((0, 20), (0, 0))


def _oval(m: Any) -> None:
    m.add_ellipse((3, 4), (18, 7), 0.45)


def _half_oval(m: Any) -> None:
    m.add_ellipse((0, 0), (18, 0), 0.5, 0, math.pi)
    m.add_line((-18, 0), (18, 0))


def _spline(m: Any) -> None:
    m.add_spline([(0, 0), (10, 5), (20, 0), (30, 12), (15, 20), (2, 14)])
    m.add_line((2, 14), (0, 0))


def _closed_spline(m: Any) -> None:
    tool = closed_uniform_bspline([(0, 0, 0), (20, -4, 0), (30, 15, 0), (12, 10, 0), (4, 22, 0)])
    m.add_spline().apply_construction_tool(tool)


def _rational(m: Any) -> None:
    m.add_rational_spline([(0, 0, 0), (20, 0, 0), (20, 20, 0), (0, 20, 0)], [1, 3, 0.5, 1])
    m.add_line((0, 0), (0, 20))


def _polyline2d(m: Any) -> None:
    m.add_polyline2d([(0, 0, 0.4), (30, 0, -0.3), (30, 20, 0.2), (0, 20, 0)], format="xyb", close=True)


def _mirrored_arc(m: Any) -> None:
    m.add_arc((-5, 5), 5, 90, 270, dxfattribs={"extrusion": (0, 0, -1)})
    m.add_lwpolyline([(5, 0), (-20, 0), (-20, 10), (5, 10)])


CURVED = [_slot, _bite, _oval, _half_oval, _spline, _closed_spline, _rational, _polyline2d, _mirrored_arc]


@pytest.mark.parametrize("draw", CURVED, ids=lambda d: d.__name__)
def test_that_a_curved_footprint_contains_the_true_outline_by_no_more_than_the_tolerance(
    draw: Draw, tmp_path: Path
) -> None:
    path = drawing(tmp_path, draw)
    assert_contains_tightly(path)


@pytest.mark.parametrize(
    ("draw", "area"),
    [
        (_slot, 300 + math.pi * 25),
        (_bite, 600 - math.pi * 32),
        (_oval, math.pi * (18**2 + 7**2) * 0.45),
        (_half_oval, math.pi * 18 * 9 / 2),
        (_mirrored_arc, 250 + math.pi * 25 / 2),
    ],
)
def test_that_volumes_are_those_of_the_true_curves(draw: Draw, area: float, tmp_path: Path) -> None:
    assert read(tmp_path, draw).volume_ml * 1000 / 8 == pytest.approx(area, rel=1e-12)


def test_that_the_area_of_a_spline_is_that_of_its_fine_polygon(tmp_path: Path) -> None:
    for draw in (_spline, _closed_spline, _rational):
        path = drawing(tmp_path, draw)
        assert read_master(path + "@1").volume_ml * 1000 == pytest.approx(true_outline(path).area, rel=2e-6)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(3, 9), st.integers(0, 2**32 - 1))
def test_that_any_polyline_of_arcs_is_contained(tmp_path: Path, corners: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    angles = (np.arange(corners) + rng.uniform(-0.2, 0.2, corners)) * 2 * math.pi / corners
    reach = rng.uniform(8, 30, corners)
    bulges = rng.uniform(-0.3, 0.3, corners)
    points = [(r * math.cos(a), r * math.sin(a), 0, 0, b) for r, a, b in zip(reach, angles, bulges, strict=True)]
    path = drawing(tmp_path, lambda m: m.add_lwpolyline(points, format="xyseb", close=True))
    try:
        true_outline(path)
    except ValueError:  # it crosses itself
        return
    assert_contains_tightly(path)


def test_that_loose_ends_within_the_tolerance_are_joined_and_wider_ones_refused(tmp_path: Path) -> None:
    def gap(width: float) -> Draw:
        def draw(m: Any) -> None:
            m.add_line((0, 0), (30, 0))
            m.add_line((30, width), (30, 20))
            m.add_line((30, 20), (0, 20 - width))
            m.add_line((0, 20), (0, 0))

        return draw

    assert read(tmp_path, gap(0.04)).volume_ml == pytest.approx(30 * 20 * 8 / 1000, rel=2e-3)
    with pytest.raises(BadOutlineError, match="open"):
        read(tmp_path, gap(0.06))


def test_that_thousands_of_loose_lines_are_refused_as_fast_as_two() -> None:
    hatch = [Line((float(i), 0.0), (float(i), 5.0)) for i in range(20_000)]
    with pytest.raises(BadOutlineError, match="40000 loose ends"):
        closed_loops(hatch, "hatch.dxf")


def test_that_lines_that_overshoot_their_corner_are_cut_there(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_line((0, 0), (30.03, 0))
        m.add_line((30, -0.03), (30, 20))
        m.add_line((30, 20), (0, 20))
        m.add_line((0, 20), (0, 0))

    master = read(tmp_path, draw)
    assert footprint_polygon(master.footprint).area == pytest.approx(600, abs=1e-2)


def test_that_doubled_lines_are_dropped(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_lwpolyline(rectangle(30, 20), close=True)
        m.add_line((30, 20), (30, 0))
        m.add_line((0, 0), (12, 0))
        m.add_line((12, 0), (30, 0.001))
        m.add_circle((15, 10), 4)
        m.add_circle((15, 10), 4)
        m.add_arc((15, 10), 4, 10, 200)

    with pytest.raises(BadOutlineError):  # the arc over the circle is a line too much
        read(tmp_path, draw)

    def twice(m: Any) -> None:
        m.add_lwpolyline(rectangle(30, 20), close=True)
        m.add_lwpolyline(rectangle(30, 20)[::-1], close=True)
        m.add_line((0, 0), (12, 0))
        m.add_line((12, 0), (30, 0))
        m.add_circle((15, 10), 4)
        m.add_circle((15, 10), 4)

    master = read(tmp_path, twice)
    assert master.volume_ml * 1000 / 8 == pytest.approx(600 - math.pi * 16, rel=1e-12)


def test_that_short_steps_of_a_digitised_line_are_no_doubles(tmp_path: Path) -> None:
    angles = np.linspace(0, 2 * math.pi, 3001)
    ring = [(10 * math.cos(a), 6 * math.sin(a)) for a in angles[:-1]]

    def draw(m: Any) -> None:
        for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
            m.add_line(a, b)

    master = read(tmp_path, draw)
    true = shapely.Polygon(ring)
    ours = footprint_polygon(master.footprint)
    assert master.volume_ml * 1000 / 8 == pytest.approx(true.area, rel=1e-12)
    assert len(ours.exterior.coords) < 400
    assert ours.buffer(1e-3).covers(true)
    assert shapely.hausdorff_distance(ours, true) <= ARC_CHORD_TOL_MM


def test_that_holes_belong_to_the_footprint_and_not_to_the_volume(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_lwpolyline(rectangle(30, 20), close=True)
        m.add_circle((8, 10), 3)
        m.add_lwpolyline(rectangle(5, 5, 20, 5), close=True)

    master = read(tmp_path, draw)
    section = 600 - math.pi * 9 - 25
    assert footprint_polygon(master.footprint).area == 600
    assert master.silhouette_mm2 == pytest.approx(600)
    assert master.volume_ml == pytest.approx(section * 8 / 1000, rel=1e-12)
    assert master.glued_area_mm2 == pytest.approx(section, rel=1e-12)
    assert master.surface_mm2 == pytest.approx(section + (100 + 6 * math.pi + 20) * 8, rel=1e-12)


def test_that_a_thin_rim_is_no_outline_drawn_twice(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_circle((0, 0), 50)
        m.add_circle((0, 0), 49.8)

    assert read(tmp_path, draw).glued_area_mm2 == pytest.approx(math.pi * (50**2 - 49.8**2), rel=1e-9)

    def twice(m: Any) -> None:
        m.add_circle((0, 0), 50)
        m.add_lwpolyline([(-50, 0.01, 1), (50, 0.01, 1)], format="xyb", close=True)

    assert read(tmp_path, twice).glued_area_mm2 == pytest.approx(math.pi * 2500, rel=1e-9)


def test_that_nested_inserts_are_resolved_with_their_scales(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        inner = m.doc.blocks.new("INNER")
        inner.add_arc((0, 0), 5, 0, 180)
        inner.add_line((-5, 0), (5, 0))
        outer = m.doc.blocks.new("OUTER")
        outer.add_blockref("INNER", (1, 1), dxfattribs={"xscale": -2, "yscale": 1.5, "rotation": 30})
        m.add_blockref("OUTER", (3, 4), dxfattribs={"xscale": 1.2, "yscale": 1.2})

    area = math.pi * 12.5 * 2 * 1.5 * 1.2**2
    assert read(tmp_path, draw).volume_ml * 1000 / 8 == pytest.approx(area, rel=1e-9)


@pytest.mark.parametrize(("unit", "mm"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (14, 100.0), (9, 0.0254)])
def test_that_the_header_unit_is_read(unit: int, mm: float, tmp_path: Path) -> None:
    size = 20 / mm
    master = read(tmp_path, lambda m: m.add_lwpolyline(rectangle(size, size), close=True), units=unit)
    assert master.volume_ml == pytest.approx(400 * 8 / 1000, rel=1e-9)


@pytest.mark.parametrize("how", [{"units": 0}, {"version": "R12"}, {"units": 18}])
def test_that_a_drawing_without_a_unit_asks_for_one(how: dict[str, Any], tmp_path: Path) -> None:
    path = drawing(tmp_path, lambda m: m.add_circle((0, 0), 1), **how)
    with pytest.raises(BadFileError, match="--units"):
        read_master(path + "@8")
    assert read_master(path + "@8", units="in").footprint == Disc(25.4)
    assert read_master(path, height_mm=8.0, units="mm").footprint == Disc(1.0)


def _refused(draw: Draw, tmp_path: Path, words: str | None) -> None:
    with pytest.raises(LayoutError, match=words) as caught:
        read(tmp_path, draw)
    assert "\n" not in str(caught.value)


def test_that_outlines_which_are_not_one_part_are_refused(tmp_path: Path) -> None:
    bow = [(0, 0), (30, 20), (30, 0), (0, 12)]
    _refused(lambda m: m.add_lwpolyline(bow, close=True), tmp_path, "crosses itself")
    _refused(lambda m: m.add_lwpolyline(rectangle(30, 20)), tmp_path, "open: 2 loose ends 20.000 mm apart")
    _refused(lambda m: None, tmp_path, "no outline")
    _refused(lambda m: m.add_text("hello"), tmp_path, "only TEXT")
    _refused(lambda m: m.add_line((0, 0), (0, 0)), tmp_path, "no area")
    _refused(lambda m: (m.add_circle((0, 0), 5), m.add_circle((20, 0), 5)), tmp_path, "2 outlines side by side")
    _refused(lambda m: (m.add_circle((0, 0), 5), m.add_circle((6, 0), 5)), tmp_path, "cross")
    _refused(lambda m: [m.add_circle((0, 0), r) for r in (9, 6, 3)], tmp_path, "in each other")
    eight = [(0, 0), (10, 0), (10, 10), (20, 10), (20, 20), (10, 20), (10, 10), (0, 10)]
    _refused(lambda m: m.add_lwpolyline(eight, close=True), tmp_path, "meet at")
    _refused(lambda m: m.add_circle((0, 0), 1e7), tmp_path, "unit")
    _refused(lambda m: m.add_circle((0, 0), 4e-3), tmp_path, "unit")
    _refused(lambda m: m.add_lwpolyline([(0, 0), (float("nan"), 4), (9, 9)], close=True), tmp_path, None)


def test_that_bulges_too_flat_to_matter_are_straight(tmp_path: Path) -> None:
    corners = [(0, 0, 1e-7), (30, 0, -1e-9), (30, 20, 1e-15), (0, 20, -1e-8)]
    for draw in (
        lambda m: m.add_lwpolyline(corners, format="xyb", close=True),
        lambda m: m.add_polyline2d(corners, format="xyb", close=True),
    ):
        assert read(tmp_path, draw).volume_ml * 1000 / 8 == pytest.approx(600, abs=1e-4)


@pytest.mark.parametrize(
    "scales",
    [{"xscale": -1, "rotation": 30}, {"xscale": 2, "yscale": 0.5, "rotation": 77}, {"zscale": -1}, {"yscale": -1}],
)
def test_that_mirrored_and_stretched_inserts_keep_their_bulges(scales: dict[str, float], tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        _slot(m.doc.blocks.new("SLOT"))
        m.add_blockref("SLOT", (5, 5), dxfattribs=scales)

    assert read(tmp_path, draw).volume_ml * 1000 / 8 == pytest.approx(300 + math.pi * 25, rel=1e-9)


def test_that_hidden_layers_are_left_out(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        m.add_circle((0, 0), 5)
        for name in ("OFF", "FROZEN"):
            m.add_line((0, 0), (50, 50), dxfattribs={"layer": name})
        m.doc.layers.add("OFF").off()
        m.doc.layers.add("FROZEN").freeze()

    assert read(tmp_path, draw).footprint == Disc(5.0)


def test_that_inserts_that_would_explode_are_refused_at_once(tmp_path: Path) -> None:
    def draw(m: Any) -> None:
        block = m.doc.blocks.new("B0")
        block.add_line((0, 0), (1, 0))
        for level in range(1, 9):
            block = m.doc.blocks.new(f"B{level}")
            for i in range(10):
                block.add_blockref(f"B{level - 1}", (i, 0))
        m.add_blockref("B8", (0, 0))

    _refused(draw, tmp_path, "more than")

    def itself(m: Any) -> None:
        block = m.doc.blocks.new("LOOP")
        block.add_blockref("LOOP", (1, 0))
        m.add_blockref("LOOP", (0, 0))

    _refused(itself, tmp_path, None)


def test_that_a_file_which_is_no_drawing_is_refused(tmp_path: Path) -> None:
    good = Path(drawing(tmp_path, _slot)).read_bytes()
    files = {
        "empty.dxf": b"",
        "junk.dxf": bytes(range(256)) * 100,
        "text.dxf": b"this is not a drawing\n" * 50,
        "cut.dxf": good[: len(good) // 3],
        "png.dxf": b"\x89PNG\r\n\x1a\n" + b"\0" * 100,
        "latin.dxf": "Größe der Gießform SECTION ENTITIES".encode("cp1252"),
    }
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
        with pytest.raises(LayoutError) as caught:
            read_master(f"{tmp_path / name}@8")
        assert "\n" not in str(caught.value)


def test_that_the_height_is_needed_and_read_from_the_right(tmp_path: Path) -> None:
    path = drawing(tmp_path, _slot, name="plate@2.dxf")
    assert read_master(path + "@1/4in").height_mm == 6.35
    assert read_master(path, height_mm=3.0).height_mm == 3.0
    for spec in (path, path + "@", path + "@0", path + "@nan", path + "@-3"):
        with pytest.raises(LayoutError):
            read_master(spec)


def test_that_a_box_is_read_from_its_outline_and_lies_inside_it(tmp_path: Path) -> None:
    assert read_box_outline(Path(drawing(tmp_path, lambda m: m.add_circle((9, 9), 60))), None) == RoundBox(120.0)
    path = drawing(tmp_path, lambda m: m.add_lwpolyline(rectangle(200, 150, 7, 9), close=True))
    assert read_box_outline(Path(path), None) == RectBox(200.0, 150.0)
    for draw in (_slot, _bite, _spline, _half_oval, _polyline2d):
        path = drawing(tmp_path, draw)
        box = read_box_outline(Path(path), None)
        assert isinstance(box, OutlineBox)
        true = true_outline(path)
        # the box starts at the origin by its own bounding box, which lies up to the tolerance inside the true one
        inner = shapely.affinity.translate(shapely.Polygon(box.points), *true.bounds[:2])
        assert true.buffer(ARC_CHORD_TOL_MM + 1e-4).covers(inner)
        assert inner.area < true.area
        assert true.area - inner.area < ARC_CHORD_TOL_MM * true.length
    with pytest.raises(BadOutlineError, match="inside the box"):
        read_box_outline(
            Path(drawing(tmp_path, lambda m: (m.add_circle((0, 0), 60), m.add_circle((0, 0), 6)))), None
        )  # fmt: skip


def test_that_inner_outlines_are_kept_as_holes_in_the_footprint_s_own_coordinates(tmp_path: Path) -> None:
    def draw(space: Any) -> None:
        space.add_lwpolyline(rectangle(40.0, 30.0, 100.0, 50.0), close=True)
        space.add_circle((110.0, 60.0), 4.0)
        space.add_lwpolyline(rectangle(6.0, 5.0, 130.0, 70.0), close=True)

    master = read(tmp_path, draw)
    round_one, square_one = sorted(map(shapely.Polygon, master.holes), key=lambda p: p.centroid.x)
    assert (round_one.centroid.x, round_one.centroid.y) == pytest.approx((-10.0, -5.0), abs=1e-9)
    true = shapely.Point(-10.0, -5.0).buffer(4.0, quad_segs=400)
    assert true.buffer(1e-4).covers(round_one)
    assert shapely.hausdorff_distance(true.exterior, round_one.exterior, densify=0.01) <= 2.0 * ARC_CHORD_TOL_MM
    assert square_one.bounds == pytest.approx((10.0, 5.0, 16.0, 10.0))
    assert all(shapely.LinearRing(hole).is_ccw for hole in master.holes)


def test_that_the_hole_of_a_drawn_washer_lies_about_the_middle_of_its_circle(tmp_path: Path) -> None:
    def draw(space: Any) -> None:
        space.add_circle((50.0, 70.0), 12.0)
        space.add_circle((53.0, 70.0), 5.0)

    master = read(tmp_path, draw)
    assert isinstance(master.footprint, Disc)
    assert shapely.Polygon(master.holes[0]).bounds == pytest.approx((-2.0, -5.0, 8.0, 5.0), abs=2 * ARC_CHORD_TOL_MM)


@given(st.floats(-0.1, 0.1).filter(bool))
def test_that_the_segment_of_a_flat_arc_keeps_its_digits(sweep: float) -> None:
    """sweep - sin sweep by its power series in fractions: sine's own, textbook."""
    t = Fraction(sweep)
    series = sum((-1) ** (k + 1) * t ** (2 * k + 1) / math.factorial(2 * k + 1) for k in range(1, 9))
    assert _less_sine(sweep) == pytest.approx(float(series), rel=1e-15)


@pytest.mark.parametrize(("unit", "named"), [(4, "millimetres"), (1, "inches")])
def test_that_an_old_drawing_is_not_said_to_have_an_unknown_unit(unit: int, named: str, tmp_path: Path) -> None:
    path = Path(drawing(tmp_path, lambda m: m.add_circle((0, 0), 9), version="R12"))
    old = path.read_text().replace("AC1009\n", f"AC1009\n  9\n$INSUNITS\n 70\n     {unit}\n", 1)
    path.write_text(old)
    with pytest.raises(BadFileError, match=rf"R12 has no field for its unit.*names {named}.*--units") as caught:
        read_master(f"{path}@8")
    assert "not known" not in str(caught.value)
    assert read_master(f"{path}@8", units="mm").footprint == Disc(9.0)


def _angle_open_by(gap_mm: float) -> Draw:
    corners = [(12, 12 + gap_mm), (12, 45), (0, 45), (0, 0), (40, 0), (40, 12), (12, 12)]
    return lambda m: [m.add_line(a, b) for a, b in pairwise(corners)]


def test_that_ends_just_at_the_limit_are_joined_and_a_gap_over_it_reads_so(tmp_path: Path) -> None:
    assert read(tmp_path, _angle_open_by(0.05)).volume_ml == pytest.approx(8 * (40 * 12 + 12 * 33) / 1000, rel=1e-4)
    _refused(_angle_open_by(0.0502), tmp_path, "2 loose ends 0.051 mm apart")


def test_that_the_length_of_a_huge_outline_is_no_power_of_ten(tmp_path: Path) -> None:
    with pytest.raises(BadOutlineError, match="the outline is 40000 mm long"):
        read(tmp_path, lambda m: m.add_lwpolyline(rectangle(40, 20), close=True), units=6)
