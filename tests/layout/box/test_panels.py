import io
import itertools
from dataclasses import replace

import ezdxf
import pyogrio
import pytest
import shapely

from layout.box.cutting import file_shapes, in_rows
from layout.box.marks import cavity_marks
from layout.box.panel import Cutter
from layout.box.panels import make_parts
from layout.box.shapes import Circle, Layer, Shape, line_of, points_of
from layout.box.stock import USUAL_STOCK
from layout.box.strokes import text_strokes
from layout.documents.dxf import to_dxf
from layout.geometry import Outline, as_polygon
from layout.model import Cavity, CavityId, Master, MasterId
from layout.regions import placed_cavity, placed_holes
from layout.units import parse_size_mm
from tests.layout.box.boxes import bare_project, bolt_project


def test_that_the_bolt_heads_panels_have_the_worked_sizes() -> None:
    # worked example, base under the sides, long sides lap, 3/16 in board: base 225.4 x 192.3, walls 28.4 high
    parts = make_parts(bolt_project())
    sizes = {p.name: (round(p.length_mm, 1), round(p.width_mm, 1), p.pieces) for p in parts.panels}
    assert sizes == {"base": (225.4, 192.3, 1), "long side": (225.4, 28.4, 2), "short side": (182.8, 28.4, 2)}


def test_that_the_base_between_the_sides_makes_them_higher_by_its_thickness() -> None:
    parts = make_parts(bare_project(100.0, 60.0, 20.0, thickness_mm=5.0, base="inside"))
    sizes = {p.name: (p.length_mm, p.width_mm) for p in parts.panels}
    assert sizes == {"base": (100.0, 60.0), "long side": (110.0, 25.0), "short side": (60.0, 25.0)}


def test_that_pinwheel_sides_are_longer_by_one_thickness_each() -> None:
    parts = make_parts(bare_project(100.0, 60.0, 20.0, thickness_mm=5.0, corners="pinwheel"))
    assert {p.name: p.length_mm for p in parts.panels} == {"base": 110.0, "long side": 105.0, "short side": 65.0}


def _dxf(project: object, version: str = "R2010", kerf: float = 0.0) -> tuple[bytes, tuple[Shape, ...]]:
    parts = make_parts(project)  # type: ignore[arg-type]
    shapes = file_shapes((in_rows(parts, kerf, 3.0),), kerf, ("mm",))
    return to_dxf(shapes, version), shapes  # type: ignore[arg-type]


@pytest.mark.parametrize("version", ["R2010", "R12"])
def test_that_the_file_passes_the_audit_and_has_real_extents(version: str) -> None:
    data, _ = _dxf(bolt_project(), version)
    document = ezdxf.read(io.StringIO(data.decode()))
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.header["$EXTMIN"][:2] == pytest.approx((3.0, 3.0))
    assert document.header["$EXTMAX"][0] == pytest.approx(3.0 + 215.9 + 2 * 4.7625)
    if version == "R2010":
        assert document.dxfversion == "AC1024"
        assert document.header["$INSUNITS"] == 4
    assert not document.layers.get("notes").is_on()


def test_that_gdal_reads_every_panel_right_to_a_millionth(tmp_path) -> None:
    data, _ = _dxf(bolt_project())
    path = tmp_path / "box.dxf"
    path.write_bytes(data)
    frame = pyogrio.raw.read(path, layer="entities")
    names = list(frame[0]["fields"])
    layers = frame[3][names.index("Layer")]
    lines = shapely.from_wkb(frame[2])
    cut = [g for g, layer in zip(lines, layers, strict=True) if layer == "through"]
    sizes = sorted((g.bounds[2] - g.bounds[0], g.bounds[3] - g.bounds[1]) for g in cut)
    expected = sorted([(225.425, 192.3073)] + 2 * [(225.425, 28.4)] + 2 * [(182.7823, 28.4)])
    for got, want in zip(sizes, expected, strict=True):
        assert got == pytest.approx(want, abs=1e-6)
    assert all(shapely.polygonize([g]).geoms[0].area == pytest.approx(w * h) for g, (w, h) in _with_sizes(cut))


def _with_sizes(lines):
    return [(g, (g.bounds[2] - g.bounds[0], g.bounds[3] - g.bounds[1])) for g in lines]


def doubled_mm(shapes: tuple[Shape, ...]) -> float:
    """Length drawn or cut more than once on one layer, mm."""
    total = 0.0
    for layer in Layer:
        pieces = []
        for shape in shapes:
            if shape.layer == layer:
                xy = shapely.get_coordinates(line_of(shape))
                pieces.extend(shapely.linestrings([[a, b] for a, b in itertools.pairwise(xy)]))
        if not pieces:
            continue
        tree = shapely.STRtree(pieces)
        left, right = tree.query(pieces, predicate="intersects")
        for i, j in zip(left, right, strict=True):
            if i < j:
                total += pieces[i].intersection(pieces[j]).length
    return total


def test_that_no_line_is_there_twice() -> None:
    _, shapes = _dxf(bolt_project())
    assert doubled_mm(shapes) == pytest.approx(0.0, abs=1e-9)
    assert doubled_mm((*shapes, shapes[-1], shapes[0])) > 1.0


def test_that_the_doubled_side_of_two_touching_masters_is_drawn_once() -> None:
    from dataclasses import replace

    from layout.geometry import Outline
    from layout.model import Cavity, CavityId, Master, MasterId

    square = Master(MasterId("s"), "s", "s", Outline(((-5, -5), (5, -5), (5, 5), (-5, 5))), 5.0, 0.5, 100.0)
    project = replace(
        bare_project(60.0, 60.0),
        masters=(square,),
        cavities=(Cavity(CavityId("c1"), square.id, 20.0, 20.0), Cavity(CavityId("c2"), square.id, 30.0, 20.0)),
    )
    _, shapes = _dxf(project)
    assert doubled_mm(shapes) == pytest.approx(0.0, abs=1e-9)


def test_that_forty_eight_outlines_are_drawn_where_the_cavities_are() -> None:
    data, _ = _dxf(bolt_project())
    document = ezdxf.read(io.StringIO(data.decode()))
    drawn = [e for e in document.modelspace().query('LWPOLYLINE[layer=="draw"]') if e.closed and len(e) == 6]
    areas = [shapely.Polygon([p[:2] for p in e.get_points()]).area for e in drawn]
    # area of a hexagon 19.05 across flats: sqrt(3)/2 AF^2
    hexagons = [a for a in areas if a == pytest.approx(314.28, abs=0.02)]
    assert len(hexagons) == 48


def test_that_a_laser_gets_no_line_that_silicone_would_copy() -> None:
    project = bolt_project(sheet="acrylic", thickness_mm=3.0)
    parts = make_parts(project, "laser")
    base, long_side, _ = parts.panels
    from layout.regions import placed_cavities

    covered = shapely.union_all(list(placed_cavities(project).values())).buffer(-0.1)
    inside = shapely.box(0.0, 0.0, 215.9, 182.7823)
    for mark in base.marks:
        line = shapely.affinity.translate(line_of(mark), -3.0, -3.0)
        assert covered.covers(line) or not inside.intersects(line)
    assert all(min(y for _, y in m.vertices) > 18.875 for m in long_side.marks)


def test_that_the_same_panels_give_the_same_bytes() -> None:
    assert _dxf(bolt_project())[0] == _dxf(bolt_project())[0]


@pytest.mark.parametrize("joint", ["butt", "tab", "folded"])
def test_that_the_outside_is_known_without_making_panels(joint: str) -> None:
    from layout.box.panels import outside_mm
    from tests.layout.box.boxes import round_project

    project = bolt_project(joint=joint)
    assert outside_mm(project) == pytest.approx(make_parts(project).outside_mm)
    tube = round_project(80.0, tube_wall_mm=2.0)
    assert outside_mm(tube) == pytest.approx(make_parts(tube).outside_mm)


def test_that_a_part_whose_centre_lies_beside_it_is_numbered_on_itself_without_a_cross() -> None:
    ell = Outline(((-12.0, -12.0), (12.0, -12.0), (12.0, -6.0), (-6.0, -6.0), (-6.0, 12.0), (-12.0, 12.0)))
    master = Master(MasterId("l"), "l", "l", ell, 5.0, 1.0, shapely.Polygon(ell.points).area)
    cavity = Cavity(CavityId("c1"), master.id, 50.0, 50.0, 30.0)
    project = replace(bare_project(100.0, 100.0), masters=(master,), cavities=(cavity,))
    outline, *number = cavity_marks(project, "knife")
    placed = shapely.Polygon(points_of(outline))
    assert number
    assert all(placed.contains(line_of(stroke)) for stroke in number)
    # a 1 is one stroke for its figure and one for its foot; a cross would be two more
    assert len(number) == len(text_strokes("1", (0.0, 0.0), 1.0))


def test_that_usual_sheets_have_the_size_that_is_typed() -> None:
    sizes = {(s.length_mm, s.width_mm) for s in USUAL_STOCK}
    for typed in ("20x30in", "32x40in", "24x12in", "24x48in"):
        assert parse_size_mm(typed, "--stock") in sizes


@pytest.mark.parametrize("cutter", ["knife", "laser"])
@pytest.mark.parametrize("angle", [0.0, 37.0])
def test_that_the_base_shows_a_hole_and_nothing_stands_in_it(cutter: Cutter, angle: float) -> None:
    plate = Outline(((-20.0, -15.0), (20.0, -15.0), (20.0, 15.0), (-20.0, 15.0)))
    hole = ((-3.0, -3.0), (3.0, -3.0), (3.0, 3.0), (-3.0, 3.0))
    master = Master(MasterId("p"), "p", "p.dxf", plate, 5.0, 5.82, 1164.0, holes=(hole,))
    cavity = Cavity(CavityId("c1"), master.id, 50.0, 50.0, angle)
    project = replace(bare_project(100.0, 100.0), masters=(master,), cavities=(cavity,))
    marks = cavity_marks(project, cutter)
    opening = placed_holes(project, cavity)[0]
    assert sum(_is_closed(s) for s in marks) == 2  # the rim and the hole's
    assert sum(not _is_closed(s) for s in marks) == len(text_strokes("1", (0.0, 0.0), 1.0))
    room = 0.5 - 1e-9 if cutter == "laser" else -1e-9
    for mark in marks:
        drawn = line_of(mark) if not _is_closed(mark) else shapely.Polygon(points_of(mark)).exterior
        assert drawn.distance(opening) >= room
        assert as_polygon(placed_cavity(project, cavity)).buffer(1e-9).covers(drawn)


def _is_closed(shape: Shape) -> bool:
    return isinstance(shape, Circle) or shape.closed


@pytest.mark.parametrize("play", [0.0, 0.15, 0.4])
def test_that_every_tab_has_its_play_at_each_flank_and_none_at_the_ends(play: float) -> None:
    """Flank by flank along the edges where two panels meet, in box coordinates: a feeler gauge would find the fit."""
    project = bare_project(150.0, 90.0, 50.0, thickness_mm=3.0, joint="tab", tab_mm=10.0, fit_mm=play)
    base, long_side, short_side = make_parts(project).panels
    low = [xy for xy in base.outer.vertices if xy[1] <= 1e-9]  # type: ignore[union-attr]
    feet = [(150.0 - x, y) for x, y in long_side.outer.vertices if y <= 1e-9]  # type: ignore[union-attr]
    ups = ([y for x, y in side.outer.vertices if x <= 1e-9 and y >= 0.0] for side in (long_side, short_side))  # type: ignore[union-attr]
    bottoms = (sorted({x for x, _ in edge if 0.0 < x < 150.0}) for edge in (low, feet))
    uprights = (sorted({y for y in edge if 0.0 < y < 50.0}) for edge in ups)
    for one, other in (bottoms, uprights):
        assert len(one) == len(other) >= 2
        assert [abs(a - b) for a, b in zip(one, other, strict=True)] == pytest.approx([play] * len(one))
