import pytest
import shapely

from layout.geometry import segment_length_mm
from layout.model import OutlineBox
from layout.regions import edge_distance_mm, edge_segment


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
