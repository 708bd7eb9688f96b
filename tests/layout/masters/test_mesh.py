"""Meshes: volume, height, silhouette and undercut against closed forms and a general mesh library; damaged files."""

import itertools
import math
import struct
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layout.errors import BadFileError, LayoutError
from layout.geometry import footprint_polygon
from layout.masters import read_master
from layout.masters.outward import simplified_outward
from layout.model import Master
from layout.tolerances import ARC_CHORD_TOL_MM


def read(mesh: trimesh.Trimesh, folder: Path, kind: str = "stl") -> Master:
    path = folder / f"part.{kind.removesuffix('_ascii')}"
    path.write_bytes(_bytes(mesh, kind))
    return read_master(str(path))


def _bytes(mesh: trimesh.Trimesh, kind: str) -> bytes:
    data = mesh.export(file_type=kind)
    return data if isinstance(data, bytes) else data.encode()


def lathe(profile: list[tuple[float, float]], sections: int = 128) -> trimesh.Trimesh:
    return trimesh.creation.revolve(np.array(profile, dtype=float), sections=sections)


def tilted(mesh: trimesh.Trimesh, angle: float) -> trimesh.Trimesh:
    turned = mesh.copy()
    turned.apply_transform(trimesh.transformations.rotation_matrix(angle, [1.0, 0.3, 0.2]))
    return turned


SHAPES = {
    "box": trimesh.creation.box((10, 20, 30)),
    "ball": trimesh.creation.icosphere(3, 10),
    "cylinder": trimesh.creation.cylinder(10, 8, sections=90),
    "cone": trimesh.creation.cone(10, 15, sections=90),
    "capsule": trimesh.creation.capsule(12, 4),
    "neck": lathe([(0, 0), (10, 0), (10, 5), (11, 7), (11, 10), (0, 10)]),
    "tilted box": tilted(trimesh.creation.box((10, 20, 30)), 0.7),
    "tilted neck": tilted(lathe([(0, 0), (10, 0), (10, 5), (11, 7), (11, 10), (0, 10)]), 0.4),
    "ring": trimesh.creation.annulus(9, 15, 6, sections=64),
}


@pytest.mark.parametrize("kind", ["stl", "stl_ascii", "obj"])
@pytest.mark.parametrize("name", SHAPES)
def test_that_volume_height_and_surface_are_those_of_a_general_mesh_library(
    name: str, kind: str, tmp_path: Path
) -> None:
    mesh = SHAPES[name]
    master = read(mesh, tmp_path, kind)
    assert master.volume_ml * 1000 == pytest.approx(mesh.volume, rel=2e-6)
    assert master.height_mm == pytest.approx(mesh.extents[2], rel=1e-6)
    assert master.surface_mm2 is not None
    assert master.surface_mm2 + master.glued_area_mm2 == pytest.approx(mesh.area, rel=1e-6)


def test_that_closed_forms_hold(tmp_path: Path) -> None:
    # cone pi r^2 h / 3 = 1570.8 (r 10, h 15), frustum pi h (R^2 + R r + r^2) / 3 = 1834.7 (10, 7, h 8), ring
    # 2 pi^2 R r^2 = 2131.8 (12, 3): mensuration, textbook
    fine = 1024
    assert read(lathe([(0, 0), (10, 0), (0, 15)], fine), tmp_path).volume_ml == pytest.approx(1.5708, abs=1e-4)
    assert read(lathe([(0, 0), (10, 0), (7, 8), (0, 8)], fine), tmp_path).volume_ml == pytest.approx(1.8347, abs=1e-4)
    torus = trimesh.creation.torus(12, 3, major_sections=256, minor_sections=128)
    assert read(torus, tmp_path).volume_ml == pytest.approx(2.1318, abs=2e-3)


@pytest.mark.parametrize("name", SHAPES)
def test_that_the_footprint_is_the_shadow_of_all_heights(name: str, tmp_path: Path) -> None:
    mesh = SHAPES[name]
    ours = footprint_polygon(read(mesh, tmp_path).footprint)
    # brute force: every triangle seen from above, united on a grid of 1e-6 mm
    triangles = shapely.polygons(mesh.vertices[mesh.faces][:, :, :2])
    shadow = shapely.union_all(triangles[shapely.area(triangles) > 1e-9], grid_size=1e-6)
    shadow = shapely.Polygon(shadow.exterior)
    x0, y0, x1, y1 = shadow.bounds
    shadow = shapely.affinity.translate(shadow, -(x0 + x1) / 2, -(y0 + y1) / 2)
    rounding = 2e-5  # single precision in the file
    assert ours.buffer(rounding).covers(shadow)
    assert shapely.hausdorff_distance(ours.exterior, shadow.exterior) <= ARC_CHORD_TOL_MM + rounding


def test_that_the_silhouette_agrees_with_the_mesh_librarys_own(tmp_path: Path) -> None:
    from trimesh.path.polygons import projected

    for name in ("box", "ball", "cone", "tilted box", "tilted neck"):
        theirs = projected(SHAPES[name], normal=[0, 0, 1])
        ours = footprint_polygon(read(SHAPES[name], tmp_path).footprint)
        assert ours.area == pytest.approx(theirs.area, rel=1e-5)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 2**32 - 1))
def test_that_no_corner_of_any_mesh_lies_outside_its_footprint(tmp_path: Path, seed: int) -> None:
    rng = np.random.default_rng(seed)
    ball = trimesh.creation.icosphere(2, 10)
    radial = 1 + 0.35 * np.sin(ball.vertices @ rng.uniform(-0.4, 0.4, (3, 3))).sum(axis=1) / 3
    lump = tilted(trimesh.Trimesh(ball.vertices * radial[:, None], ball.faces, process=False), rng.uniform(0, 3))
    master = read(lump, tmp_path)
    ours = footprint_polygon(master.footprint)
    rounded = lump.vertices[:, :2].astype(np.float32).astype(float)
    middle = (rounded.min(axis=0) + rounded.max(axis=0)) / 2
    assert shapely.distance(ours, shapely.points(rounded - middle)).max() <= 2e-5
    assert master.volume_ml * 1000 == pytest.approx(lump.volume, rel=1e-5)


def test_that_a_fine_silhouette_is_simplified_outward_within_the_tolerance(tmp_path: Path) -> None:
    mesh = lathe([(0, 0), (10, 0), (10, 5), (11, 7), (11, 10), (0, 10)], 3000)
    ours = footprint_polygon(read(mesh, tmp_path).footprint)
    assert len(ours.exterior.coords) < 400
    circle = shapely.Point(0, 0).buffer(11, quad_segs=4000)
    assert ours.buffer(2e-5).covers(circle)
    assert ours.within(shapely.Point(0, 0).buffer(11 + ARC_CHORD_TOL_MM, quad_segs=4000))


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(5, 400))
def test_that_simplifying_outward_contains_and_stays_within_its_room(seed: int, corners: int) -> None:
    rng = np.random.default_rng(seed)
    angles = np.sort(rng.uniform(0, 2 * math.pi, corners))
    reach = 20 + rng.uniform(0, 0.02 if seed % 2 else 8.0, corners)
    polygon = shapely.Polygon(np.column_stack((reach * np.cos(angles), reach * np.sin(angles))))
    simple = simplified_outward(polygon)
    assert simple.covers(polygon)
    assert shapely.distance(polygon, shapely.points(simple.exterior.coords)).max() <= ARC_CHORD_TOL_MM
    assert len(simple.exterior.coords) <= len(polygon.exterior.coords)


def test_that_the_undercut_is_the_stretch_at_the_neck(tmp_path: Path) -> None:
    # common practice: strain = (D_in - D_neck) / D_neck; 22 in a neck of 20 is 10 %
    assert read(SHAPES["neck"], tmp_path).undercut == pytest.approx(0.10, abs=1e-6)
    for name in ("box", "cylinder", "cone", "ring"):
        assert read(SHAPES[name], tmp_path).undercut == 0.0
    wasp = lathe([(0, 0), (10, 0), (8, 5), (12, 10), (0, 10)])
    assert read(wasp, tmp_path).undercut == pytest.approx(0.5, abs=0.02)


def test_that_the_glued_back_is_what_touches_the_base(tmp_path: Path) -> None:
    assert read(SHAPES["box"], tmp_path).glued_area_mm2 == pytest.approx(200)
    ring = read(SHAPES["ring"], tmp_path)
    assert ring.glued_area_mm2 == pytest.approx(SHAPES["ring"].volume / 6, rel=1e-6)
    assert read(SHAPES["ball"], tmp_path).glued_area_mm2 == pytest.approx(0.0, abs=1.0)


def test_that_a_mesh_turned_inside_out_is_turned_back(tmp_path: Path) -> None:
    mesh = trimesh.creation.box((10, 20, 30))
    mesh.invert()
    assert read(mesh, tmp_path).volume_ml == pytest.approx(6.0)
    mixed = trimesh.creation.box((10, 20, 30))
    mixed.faces[::3] = mixed.faces[::3][:, ::-1]
    assert read(mixed, tmp_path).volume_ml == pytest.approx(6.0)


def test_that_a_closed_hollow_is_not_taken_off(tmp_path: Path) -> None:
    hollow = trimesh.creation.icosphere(2, 3)
    hollow.invert()
    part = trimesh.util.concatenate([trimesh.creation.box((10, 20, 30)), hollow])
    assert read(part, tmp_path).volume_ml == pytest.approx(6.0)


def test_that_binary_files_that_say_solid_or_carry_more_bytes_are_read(tmp_path: Path) -> None:
    data = _bytes(trimesh.creation.box((10, 20, 30)), "stl")
    for name, written in (("a.stl", b"solid" + data[5:]), ("b.stl", data + b"\0" * 7)):
        (tmp_path / name).write_bytes(written)
        assert read_master(str(tmp_path / name)).volume_ml == pytest.approx(6.0)


def test_that_inches_are_asked_for_by_option(tmp_path: Path) -> None:
    path = tmp_path / "part.stl"
    trimesh.creation.box((1, 1, 1)).export(path)
    assert read_master(str(path), units="in").volume_ml == pytest.approx(16.387064)
    with pytest.raises(LayoutError):
        read_master(str(path), height_mm=3.0)


def test_that_an_open_mesh_is_refused_with_its_open_edges(tmp_path: Path) -> None:
    mesh = trimesh.creation.box((10, 20, 30))
    mesh.update_faces(np.arange(len(mesh.faces)) != 3)
    with pytest.raises(BadFileError, match="open: 3 edges"):
        read(mesh, tmp_path)


def test_that_bodies_which_are_not_one_part_are_refused(tmp_path: Path) -> None:
    apart = trimesh.creation.box((1, 1, 1)).apply_translation((5, 0, 0))
    two = trimesh.util.concatenate([trimesh.creation.box((1, 1, 1)), apart])
    with pytest.raises(BadFileError, match="2 separate bodies"):
        read(two, tmp_path)
    flat = trimesh.Trimesh([[0, 0, 0], [1, 0, 0], [0, 1, 0]], [[0, 1, 2], [0, 2, 1]], process=False)
    with pytest.raises(BadFileError):
        read(flat, tmp_path)


@pytest.mark.parametrize("scale", [1e-4, 1e5])
def test_that_an_absurd_size_is_refused_by_its_unit(scale: float, tmp_path: Path) -> None:
    with pytest.raises(BadFileError, match="unit"):
        read(trimesh.creation.box((10 * scale, 20 * scale, 30 * scale)), tmp_path)


def test_that_a_header_that_claims_four_billion_triangles_is_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "part.stl"
    path.write_bytes(b"\0" * 80 + struct.pack("<I", 2**32 - 1) + b"\0" * 100)
    with pytest.raises(BadFileError, match="claims 4294967295 triangles but it holds 2"):
        read_master(str(path))


@pytest.mark.parametrize(
    "data",
    [
        b"", b"solid\nendsolid\n", b"solid\nfacet\nvertex 0 0 nan\nvertex 1 0 0\nvertex 0 1 0\n",
        b"solid x\nfacet\nvertex 1 2\n", b"\0" * 84, b"hello", bytes(range(256)) * 9, b"v 1 2 3\nf 1 2 3\n",
        b"solid x\nfacet\nvertex a b c\nvertex 0 0 0\nvertex 1 1 1\n", "solid Größe".encode("cp1252"),
        b"\0" * 80 + struct.pack("<I", 2) + struct.pack("<12fH", *[math.nan] * 12, 0) * 2,
        b"\0" * 80 + struct.pack("<I", 4) + struct.pack("<12fH", *[1e38] * 12, 0) * 4,
    ],
)  # fmt: skip
@pytest.mark.parametrize("suffix", ["stl", "obj"])
def test_that_damaged_files_get_one_sentence(data: bytes, suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"part.{suffix}"
    path.write_bytes(data)
    with pytest.raises(LayoutError) as caught:
        read_master(str(path))
    assert "\n" not in str(caught.value)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 2**32 - 1), st.sampled_from(["stl", "stl_ascii", "obj"]))
def test_that_no_damage_makes_the_reader_fail_in_another_way(tmp_path: Path, seed: int, kind: str) -> None:
    rng = np.random.default_rng(seed)
    data = bytearray(_bytes(trimesh.creation.box((10, 20, 30)), kind))
    for _ in range(rng.integers(1, 6)):
        data[rng.integers(len(data))] = rng.integers(256)
    if rng.random() < 0.3:
        del data[rng.integers(len(data)) :]
    path = tmp_path / f"part.{kind.removesuffix('_ascii')}"
    path.write_bytes(bytes(data))
    try:
        master = read_master(str(path))
    except LayoutError:
        return
    assert master.volume_ml > 0
    assert math.isfinite(master.volume_ml)


def _prism(plan: shapely.Polygon, height: float) -> trimesh.Trimesh:
    """A prism of any plan, holes too, by triangles that keep the plan's corners."""
    cells = list(shapely.get_parts(shapely.constrained_delaunay_triangles(plan)))
    xy = np.unique(shapely.get_coordinates(plan), axis=0)
    index = {tuple(p): k for k, p in enumerate(xy)}
    tops = [[index[tuple(p)] for p in shapely.get_coordinates(shapely.orient_polygons(t))[:3]] for t in cells]
    n, faces = len(xy), []
    for a, b, c in tops:
        faces += [[a + n, b + n, c + n], [a, c, b]]
    for ring in (plan.exterior, *plan.interiors):
        run = [index[tuple(p)] for p in shapely.get_coordinates(ring)]
        faces += [f for a, b in itertools.pairwise(run) for f in ([a, b, b + n], [a, b + n, a + n])]
    vertices = np.vstack((np.column_stack((xy, np.zeros(n))), np.column_stack((xy, np.full(n, height)))))
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    mesh.fix_normals()
    return mesh


def _on_edge(plan: shapely.Polygon, thickness: float) -> trimesh.Trimesh:
    """A flat part stood upright: its plan seen from the side."""
    mesh = _prism(plan, thickness)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(math.pi / 2, [1, 0, 0]))
    return mesh


def test_that_silicone_under_a_bridge_or_through_a_sideways_hole_is_locked(tmp_path: Path) -> None:
    arch = shapely.Polygon([(0, 0), (5, 0), (5, 10), (15, 10), (15, 0), (20, 0), (20, 15), (0, 15)])
    drilled = shapely.box(0, 0, 20, 15) - shapely.box(8, 5, 12, 9)
    for plan in (arch, drilled):
        assert read(_on_edge(plan, 6.0), tmp_path).undercut == 10.0


def test_that_a_hole_that_widens_below_its_mouth_is_an_undercut(tmp_path: Path) -> None:
    # a bore of radius 6 under a mouth of radius 5: the silicone in it must shrink from 12 to 10 mm
    profile = [(6, 0), (12, 0), (12, 10), (5, 10), (5, 6), (6, 6), (6, 0)]
    assert read(lathe(profile), tmp_path).undercut == pytest.approx(0.2, abs=1e-3)
    open_up = [(5, 0), (12, 0), (12, 10), (6, 10), (6, 4), (5, 4), (5, 0)]
    assert read(lathe(open_up), tmp_path).undercut == 0.0


def test_that_plain_holes_and_bays_are_no_undercut(tmp_path: Path) -> None:
    ell = shapely.Polygon([(0, 0), (20, 0), (20, 6), (6, 6), (6, 20), (0, 20)])
    for plan in (ell, shapely.box(0, 0, 30, 20) - shapely.box(8, 5, 12, 9)):
        assert read(_prism(plan, 7.0), tmp_path).undercut == 0.0


@pytest.mark.parametrize("by", [0.0, 0.3])
def test_that_a_hole_one_can_look_through_is_kept_and_no_other(by: float, tmp_path: Path) -> None:
    """A ring's hole; leaning, what is left of it: the two rims' ellipses in common, by the general mesh library's."""
    mesh = trimesh.creation.annulus(9, 15, 6, sections=64)
    mesh.apply_transform(trimesh.transformations.rotation_matrix(by, [1.0, 0.0, 0.0]))
    mesh.apply_translation((50.0, -20.0, 3.0))
    (hole,) = map(shapely.Polygon, read(mesh, tmp_path).holes)
    shadow = shapely.union_all([shapely.Polygon(t[:, :2]).buffer(1e-6) for t in mesh.triangles])
    (opening,) = map(shapely.Polygon, shadow.interiors)
    x0, y0, x1, y1 = shadow.bounds
    opening = shapely.affinity.translate(opening, -(x0 + x1) / 2.0, -(y0 + y1) / 2.0)
    assert shapely.hausdorff_distance(hole.exterior, opening.exterior) <= 1e-3


@pytest.mark.parametrize("name", sorted(SHAPES.keys() - {"ring"}))
def test_that_a_part_without_a_through_hole_has_none(name: str, tmp_path: Path) -> None:
    assert read(SHAPES[name], tmp_path).holes == ()


def test_that_a_cup_has_no_through_hole_and_a_sieve_has_each_of_its_own(tmp_path: Path) -> None:
    assert read(lathe([(0, 0), (10, 0), (10, 8), (8, 8), (8, 3), (0, 3)]), tmp_path).holes == ()
    plate = {(i, j) for i in range(7) for j in range(3)} - {(1, 1), (3, 1), (4, 1)}
    holes = [shapely.Polygon(h) for h in read(of_cells(plate, 4.0), tmp_path).holes]
    assert sorted(h.bounds for h in holes) == [
        pytest.approx((-10.0, -2.0, -6.0, 2.0)), pytest.approx((-2.0, -2.0, 6.0, 2.0)),
    ]  # fmt: skip


def of_cells(cells: set[tuple[int, int]], side: float) -> trimesh.Trimesh:
    """A plate of upright square cells: of each the top, the bottom and the sides that have no neighbour."""
    triangles = []
    for i, j in cells:
        a, b, c, d = (i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)
        quads = [[(*p, 1) for p in (a, b, c, d)], [(*p, 0) for p in (d, c, b, a)]]
        for near, p, q in (((i, j - 1), a, b), ((i + 1, j), b, c), ((i, j + 1), c, d), ((i - 1, j), d, a)):
            if near not in cells:
                quads.append([(*p, 0), (*q, 0), (*q, 1), (*p, 1)])
        triangles += [t for q in quads for t in ((q[0], q[1], q[2]), (q[0], q[2], q[3]))]
    corners = np.array(triangles, dtype=float) * side
    return trimesh.Trimesh(corners.reshape(-1, 3), np.arange(len(triangles) * 3).reshape(-1, 3))
