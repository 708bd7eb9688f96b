import re
from dataclasses import replace

import pytest
import shapely

from layout.box.panels import make_parts
from layout.box.relief import CLEAR_MM, with_relief
from layout.box.shapes import line_of, polygon_of
from layout.box.strokes import text_strokes
from layout.errors import LayoutError
from layout.geometry import Disc, as_polygon
from layout.model import Cavity, CavityId, Master, MasterId
from layout.regions import placed_cavities
from tests.layout.box.boxes import bare_project, bolt_project


def _letters(project, words, cutter="knife"):
    parts = with_relief(project, make_parts(project, cutter), words, cutter)
    return parts, [p for p in parts.panels if p.name.startswith("letter")]


def _places(letters):
    return [
        shapely.affinity.translate(polygon_of(p.outer, p.holes), p.poses[0].origin[0], p.poses[0].origin[1])
        for p in letters
    ]


def test_that_letters_keep_clear_of_cavities_and_sides() -> None:
    project = bolt_project()
    _, letters = _letters(project, "M12 2026-11-25")
    assert len(letters) == len("M122026-11-25")
    places = _places(letters)
    inside = shapely.box(0.0, 0.0, 215.9, 182.7823)
    for place in places:
        assert place.within(inside)
        assert place.distance(inside.exterior) >= CLEAR_MM - 1e-6
        assert all(place.distance(c) >= CLEAR_MM - 1e-6 for c in placed_cavities(project).values())
    for i, place in enumerate(places):
        assert all(place.disjoint(other) for other in places[:i])


def test_that_the_letters_stand_mirrored_on_the_base() -> None:
    # an L has its foot to the right of its stem; mirrored, to the left
    _, (letter,) = _letters(bare_project(100.0, 60.0), "L")
    polygon = polygon_of(letter.outer)
    x0, _, x1, _ = polygon.bounds
    assert polygon.centroid.x > (x0 + x1) / 2
    # and the order runs from right to left
    _, letters = _letters(bare_project(100.0, 60.0), "AB")
    assert letters[0].poses[0].origin[0] > letters[1].poses[0].origin[0]


def test_that_a_closed_letter_keeps_its_hole() -> None:
    _, (letter,) = _letters(bare_project(100.0, 60.0), "0")
    assert len(letter.holes) == 1


def test_that_no_room_is_said() -> None:
    with pytest.raises(LayoutError, match="no room"):
        _letters(bare_project(30.0, 30.0), "A VERY LONG NUMBER")


@pytest.mark.parametrize("character", "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-_.,/:+=()'\"%#<>°&!?")
def test_that_no_stretch_of_a_glyph_is_drawn_twice(character: str) -> None:
    from tests.layout.box.test_panels import doubled_mm

    strokes = text_strokes(character, (0.0, 0.0), 6.0)
    assert strokes
    assert doubled_mm(strokes) == pytest.approx(0.0, abs=1e-9)
    xs = [v[0] for s in strokes for v in s.vertices]
    ys = [v[1] for s in strokes for v in s.vertices]
    assert min(xs) >= 0.0
    assert max(xs) <= 4.0
    assert min(ys) >= 0.0
    assert max(ys) <= 6.0


def test_that_glyphs_differ_from_one_another() -> None:
    seen = {}
    for character in "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ":
        key = tuple(s.vertices for s in text_strokes(character, (0.0, 0.0), 6.0))
        assert key not in seen, f"{character} and {seen.get(key)} look alike"
        seen[key] = character


def test_that_a_box_of_ten_metres_finds_its_spot_quickly() -> None:
    _, letters = _letters(bare_project(9_000.0, 9_000.0), "M1")
    assert len(letters) == 2


def test_that_letters_without_a_glyph_are_refused_by_name() -> None:
    with pytest.raises(LayoutError, match="É漢"):
        _letters(bare_project(200.0, 100.0), "M-12 café 漢")


def test_that_letters_keep_the_projects_wall_and_edge_where_there_is_room() -> None:
    disc = Master(MasterId("d"), "d", "d", Disc(10.0), 5.0, 1.5, 314.0)
    cavities = (Cavity(CavityId("a"), disc.id, 30.0, 30.0), Cavity(CavityId("b"), disc.id, 120.0, 30.0))
    project = replace(bare_project(180.0, 120.0, joint="tab"), masters=(disc,), cavities=cavities)
    parts, letters = _letters(project, "M-12")
    inside = shapely.box(0.0, 0.0, 180.0, 120.0)
    written = [line_of(m) for m in make_parts(project).panels[0].marks]
    for place in _places(letters):
        assert place.distance(inside.exterior) >= project.rules.edge_mm - 1e-6
        for cavity in placed_cavities(project).values():
            assert place.distance(as_polygon(cavity)) >= project.rules.wall_mm - 1e-6
        assert all(place.disjoint(line) for line in written)
    assert not any("nearer" in step for step in parts.steps)
    # a full box has no such room, and the sheet says so
    full, _ = _letters(bolt_project(), "M12")
    assert any("nearer to a cavity or a side" in step for step in full.steps)


def test_that_a_laser_burns_no_letters_in_and_tells_where_they_go() -> None:
    project = bare_project(180.0, 120.0, sheet="acrylic")
    parts, letters = _letters(project, "M1", "laser")
    assert parts.panels[0].marks == make_parts(project, "laser").panels[0].marks
    bounds = shapely.union_all(_places(letters)).bounds
    (step,) = (step for step in parts.steps if "mirrored" in step)
    told = [float(v) for v in re.findall(r"(-?[0-9.]+) mm", step)]
    assert told[0] <= bounds[0] + 0.01
    assert told[1] >= bounds[2] - 0.01
    assert any("fill line by pen" in step for step in parts.steps)
