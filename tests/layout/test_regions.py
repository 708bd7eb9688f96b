import pytest
import shapely
import shapely.affinity

from layout.geometry import Placed, PlacedDisc, moved, segment_length_mm
from layout.model import OutlineBox, RectBox, RoundBox
from layout.regions import edge_distance_mm, edge_distances_mm, edge_segment


def test_that_a_part_over_an_inner_corner_of_the_box_sticks_out_by_how_deep_the_corner_pokes() -> None:
    box = OutlineBox(((0, 0), (20, 0), (20, 10), (10, 10), (10, 20), (0, 20)))
    # every corner of the part is inside the box or on its side; only the box's corner at (10, 10) is in the part
    part = shapely.Polygon([(4, 6), (14, 6), (4, 16)])
    assert edge_distance_mm(box, part) == 0.0
    poked = shapely.Polygon([(4, 6), (15, 6), (4, 17)])
    assert edge_distance_mm(box, poked) == pytest.approx(-(0.5**0.5))
    assert segment_length_mm(edge_segment(box, poked)) == pytest.approx(0.5**0.5)


def test_that_of_two_corners_of_the_box_in_a_part_the_deeper_counts() -> None:
    # a bay wall with corners at (40, 30) and (60, 35) in a square 30 to 70 along x, 25 to 65 along y: 5 and 10 deep
    box = OutlineBox(((0, 0), (40, 0), (40, 30), (60, 35), (60, 0), (100, 0), (100, 100), (0, 100)))
    square = shapely.box(30.0, 25.0, 70.0, 65.0)
    assert edge_distance_mm(box, square) == pytest.approx(-10.0)
    assert segment_length_mm(edge_segment(box, square)) == pytest.approx(10.0)


def test_that_many_edges_measured_at_once_are_the_same_to_the_last_digit() -> None:
    ell = shapely.Polygon([(0, 0), (14, 0), (14, 4), (5, 4), (5, 16), (0, 16)])
    parts: list[Placed] = [shapely.affinity.rotate(moved(ell, 7.3 * k - 9.0, 3.1 * k), 31.7 * k) for k in range(20)]
    outline = OutlineBox(((0, 0), (130, 0), (130, 90), (75, 60), (60, 110), (0, 95)))
    for shape in (RectBox(120.0, 70.0), RoundBox(150.0), outline):
        for placed in (parts, [*parts, PlacedDisc(20.0, 3.0, 6.0)], []):
            assert edge_distances_mm(shape, placed) == [edge_distance_mm(shape, p) for p in placed]
