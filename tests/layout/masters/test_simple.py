"""Simple solids against closed forms of textbooks and, for the domes and prisms, a general mesh library."""

import math

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from layout.errors import BadValueError, LayoutError
from layout.geometry import Disc, Outline, footprint_polygon, footprint_size_mm
from layout.masters import read_master
from layout.masters.simple import ellipse_around, ellipse_perimeter_mm, read_simple
from layout.tolerances import ARC_CHORD_TOL_MM

SPECS = (
    "disc:20x5",
    "hex:19.05x6.35",
    "square:18x5",
    "rect:30x12x8",
    "oval:30x16x6",
    "ring:30x18x6",
    "poly3:22x8",
    "poly5:22x8",
    "poly8:22x8",
    "hex:19.05x6.35+dome:16x3",
    "disc:20x5+dome:20x4",
    "rect:30x12x8+dome:12x8",
)


def test_that_the_bolt_head_has_the_volume_of_the_worked_example() -> None:
    # worked example: hex prism (sqrt3/2) AF^2 h = 1995.7, cap pi h (3 a^2 + h^2) / 6 = 315.7, sum 2311.4 mm3
    master = read_master("hex:19.05x6.35+dome:16x3")
    assert master.volume_ml == pytest.approx(2.3114, abs=5e-5)
    assert master.height_mm == pytest.approx(9.35, abs=1e-12)
    assert master.glued_area_mm2 == pytest.approx(math.sqrt(3) / 2 * 19.05**2, rel=1e-14)
    width, depth = footprint_size_mm(master.footprint)
    assert width == 19.05
    assert depth == pytest.approx(22.00, abs=5e-3)


@pytest.mark.parametrize(
    ("spec", "area", "volume"),
    [
        ("disc:20x5", math.pi * 100, math.pi * 500),
        ("square:18x5", 324.0, 1620.0),
        ("rect:30x12x8", 360.0, 2880.0),
        ("oval:30x16x6", math.pi * 15 * 8, math.pi * 15 * 8 * 6),
        # octagon of 20 mm across flats: (n/4) AF^2 tan(pi/n) = 331.37 mm2 (mensuration, textbook)
        (f"poly8:{20 / math.cos(math.pi / 8)!r}x1", 331.37, 331.37),
    ],
)
def test_that_areas_and_volumes_are_the_textbooks(spec: str, area: float, volume: float) -> None:
    solid = read_simple(spec, "--master")
    assert solid.footprint_area_mm2 == pytest.approx(area, abs=5e-3)
    assert solid.volume_mm3 == pytest.approx(volume, abs=5e-3)


def test_that_a_ring_is_glued_by_its_rim_and_keeps_its_hole_in_the_footprint() -> None:
    solid = read_simple("ring:30x18x6", "--master")
    assert solid.footprint == Disc(15.0)
    assert solid.glued_area_mm2 == pytest.approx(math.pi * (15**2 - 9**2), rel=1e-14)
    assert solid.volume_mm3 == pytest.approx(math.pi * (15**2 - 9**2) * 6, rel=1e-14)
    mesh = trimesh.creation.annulus(9.0, 15.0, 6.0, sections=4096)
    assert solid.volume_mm3 == pytest.approx(mesh.volume, rel=2e-6)
    assert solid.surface_mm2 is not None
    assert solid.surface_mm2 + solid.glued_area_mm2 == pytest.approx(mesh.area, rel=2e-6)


@pytest.mark.parametrize("spec", [s for s in SPECS if "ring" not in s and "dome" not in s and "disc" not in s])
def test_that_prisms_agree_with_a_general_mesh_library(spec: str) -> None:
    solid = read_simple(spec, "--master")
    plan = shapely.get_coordinates(footprint_polygon(solid.footprint))
    corners = [np.column_stack((plan, np.full(len(plan), z))) for z in (0.0, solid.height_mm)]
    mesh = trimesh.convex.convex_hull(np.vstack(corners))
    tolerance = 5e-3 if spec.startswith("oval") else 1e-12
    assert solid.volume_mm3 == pytest.approx(mesh.volume, rel=tolerance)
    assert solid.surface_mm2 is not None
    assert solid.surface_mm2 + solid.glued_area_mm2 == pytest.approx(mesh.area, rel=tolerance)


@pytest.mark.parametrize(("base", "rise"), [(16.0, 3.0), (20.0, 10.0), (10.0, 9.0)])
def test_that_a_dome_adds_a_spherical_cap(base: float, rise: float) -> None:
    bare, domed = read_simple("disc:20x5", ""), read_simple(f"disc:20x5+dome:{base}x{rise}", "")
    a = base / 2
    radius = (a * a + rise * rise) / (2 * rise)
    # a lathe of the cap's profile by a general mesh library
    polar = np.linspace(0.0, math.acos((radius - rise) / radius), 400)[::-1]
    profile = np.column_stack((radius * np.sin(polar), radius * np.cos(polar) - (radius - rise)))
    profile = np.vstack(([0.0, 0.0], profile))
    profile[-1, 0] = 0.0
    mesh = trimesh.creation.revolve(profile, sections=400)
    assert domed.volume_mm3 - bare.volume_mm3 == pytest.approx(abs(mesh.volume), rel=1e-4)
    assert domed.surface_mm2 is not None
    assert bare.surface_mm2 is not None
    assert domed.surface_mm2 - bare.surface_mm2 == pytest.approx(mesh.area - 2 * math.pi * a * a, abs=1e-4 * mesh.area)


def test_that_more_than_half_a_ball_on_a_part_is_an_undercut_and_counts_in_the_footprint() -> None:
    solid = read_simple("disc:20x5+dome:20x18", "--master")
    radius = (100 + 18**2) / 36
    assert solid.footprint == Disc(radius)
    assert solid.undercut == pytest.approx(radius / 10 - 1, rel=1e-12)
    square = read_simple("square:20x5+dome:20x18", "--master")
    face = footprint_polygon(square.footprint)
    assert face.covers(shapely.Point(0, 0).buffer(radius, quad_segs=64))
    assert face.covers(shapely.box(-10, -10, 10, 10))


@pytest.mark.parametrize("spec", SPECS)
def test_that_every_footprint_is_centred_by_its_bounding_box(spec: str) -> None:
    x0, y0, x1, y1 = footprint_polygon(read_simple(spec, "").footprint).bounds
    assert abs(x0 + x1) < 1e-9
    assert abs(y0 + y1) < 1e-9


def test_that_a_polygon_has_a_corner_up_and_a_hexagon_flats_left_and_right() -> None:
    five = read_simple("poly5:22x8", "").footprint
    assert isinstance(five, Outline)
    highest = max(five.points, key=lambda p: p[1])
    assert highest[0] == pytest.approx(0.0, abs=1e-12)
    assert len([p for p in five.points if p[1] > highest[1] - 1e-6]) == 1
    six = read_simple("hex:20x5", "").footprint
    assert isinstance(six, Outline)
    assert sorted(p[0] for p in six.points) == [-10, -10, 0, 0, 10, 10]


@given(st.floats(0.02, 400.0), st.floats(0.02, 400.0))
def test_that_an_oval_contains_its_ellipse_by_no_more_than_the_tolerance(a: float, b: float) -> None:
    polygon = shapely.Polygon(ellipse_around(a, b))
    angles = np.linspace(0, 2 * math.pi, 2000)
    inner = shapely.points(a * np.cos(angles) * (1 - 1e-12), b * np.sin(angles) * (1 - 1e-12))
    assert shapely.covers(polygon, inner).all()
    true = shapely.Polygon(np.column_stack((a * np.cos(angles), b * np.sin(angles))))
    farthest = shapely.distance(true, shapely.points(shapely.get_coordinates(polygon))).max()
    sagitta = max(a, b) * (1 - math.cos(math.pi / 1999))
    assert farthest <= ARC_CHORD_TOL_MM + sagitta + 1e-9


def test_that_the_perimeter_of_an_ellipse_is_the_complete_elliptic_integral() -> None:
    # 4 a E(e) with scipy's complete elliptic integral of the second kind, parameter m = 1 - b^2 / a^2
    from scipy.special import ellipe

    for a, b in ((15.0, 8.0), (8.0, 15.0), (10.0, 10.0), (100.0, 0.5)):
        big, small = max(a, b), min(a, b)
        assert ellipse_perimeter_mm(a, b) == pytest.approx(4 * big * ellipe(1 - (small / big) ** 2), rel=1e-13)


@pytest.mark.parametrize(
    "spec",
    [
        "disc:0x5", "disc:-20x5", "disc:nanx5", "disc:infx5", "disc:20", "disc:20x5x5", "disc:", "disc:20x1e9",
        "ball:20", "poly2:20x5", "poly:20x5", "hex6:20x5", "ring:18x30x6", "ring:18x18x6", "disc:20x5+dome:21x3",
        "disc:20x5+dome:10", "disc:20x5+dome:10x0", "disc:20x5+cone:10x3", "disc:20x5+", "ring:30x18x6+dome:5x1",
        "poly99999999999:20x5", "", ":", "disc:20x5 6", "poly5:22x8+dome:22x3", "nowhere.dxf@8", "nowhere.stl",
        "nowhere.svg@8", "scan.png@8", "part.3mf", "a\0b.dxf@3",
    ],
)  # fmt: skip
def test_that_what_is_no_solid_is_refused_in_one_sentence(spec: str) -> None:
    with pytest.raises(LayoutError) as caught:
        read_master(spec)
    assert "\n" not in str(caught.value)
    assert str(caught.value).endswith(".")


@given(st.text(alphabet="dischexrngpolyv:x+.0123456789- @domefl", max_size=24))
def test_that_no_text_makes_the_reader_fail_in_another_way(text: str) -> None:
    try:
        master = read_master(text)
    except LayoutError:
        return
    assert master.volume_ml > 0


def test_that_inches_are_read_and_bare_numbers_are_millimetres() -> None:
    assert read_simple("disc:3/4inx1/4in", "").footprint == Disc(9.525)
    assert read_simple("disc:20x1/4in", "").height_mm == 6.35


def test_that_ids_are_free_and_can_be_typed_before_a_colon() -> None:
    assert read_master("disc:20x5").id == "disc"
    assert read_master("disc:20x5", taken_ids=["disc", "disc-2"]).id == "disc-3"
    assert read_master("disc:20x5", name="Lid, small: (2)").id == "Lid-small-2"


def test_that_options_which_do_not_go_with_a_solid_are_refused() -> None:
    with pytest.raises(BadValueError):
        read_master("disc:20x5", height_mm=3.0)
    with pytest.raises(BadValueError):
        read_master("disc:20x5", count=0)
    with pytest.raises(BadValueError):
        read_master("disc:20x5", name="  ")


def test_that_a_ring_keeps_its_hole_inside_the_true_one() -> None:
    ring, disc = read_master("ring:30x18x6"), read_master("disc:30x6")
    (hole,) = ring.holes
    assert disc.holes == ()
    far = [math.hypot(x, y) for x, y in hole]
    assert max(far) <= 9.0
    area = shapely.Polygon(hole).area
    # the handbook's circle, less what a chord may miss along the whole rim
    assert math.pi * 81.0 - 2.0 * math.pi * 9.0 * ARC_CHORD_TOL_MM <= area <= math.pi * 81.0
    assert shapely.LinearRing(hole).is_ccw
