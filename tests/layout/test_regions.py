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
