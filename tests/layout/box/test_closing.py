"""The box put together in space, as solids: no overlap, the inside exactly right, no gap wider than stated."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.box.panel import BoxParts, Solid
from layout.box.panels import make_parts
from layout.box.round import FLAT_TOL_MM, strip_length_mm
from layout.box.shapes import Circle, Path, points_of, polygon_of
from layout.errors import LayoutError
from layout.model import Project
from layout.volumes import side_height_mm
from tests.layout.box.boxes import bare_project, round_project

SAME_MM = 1e-9


def _grid(values: list[float]) -> np.ndarray:
    ordered = np.unique(np.asarray(values))
    keep = np.concatenate(([True], np.diff(ordered) > SAME_MM))
    return ordered[keep]


def _corners(solid: Solid) -> np.ndarray:
    points = points_of(solid.outline)
    return np.array([solid.pose.at(x, y, d) for x, y in points for d in (0.0, solid.thickness_mm)])


class Space:
    """Axis-aligned solids on the grid of all their own coordinates: every cell is wholly in or wholly out of each."""

    def __init__(self, solids: tuple[Solid, ...], inside: tuple[float, float, float]) -> None:
        corners = np.vstack([*[_corners(s) for s in solids], np.zeros((1, 3)), np.array([inside])])
        self.axes = [_grid(list(corners[:, k])) for k in range(3)]
        self.middles = [(a[1:] + a[:-1]) / 2 for a in self.axes]
        self.count = np.zeros([len(m) for m in self.middles], dtype=int)
        for solid in solids:
            self.count += self._filled(solid)

    def _filled(self, solid: Solid) -> np.ndarray:
        x, y, z = np.meshgrid(*self.middles, indexing="ij")
        rel = np.stack([x, y, z], axis=-1) - np.array(solid.pose.origin)
        u = rel @ np.array(solid.pose.along)
        v = rel @ np.array(solid.pose.up)
        depth = rel @ np.array(solid.pose.outward)
        polygon = polygon_of(solid.outline)
        flat = shapely.contains_xy(polygon, u.ravel(), v.ravel()).reshape(u.shape)
        return (flat & (depth > 0) & (depth < solid.thickness_mm)).astype(int)

    def cells_between(self, low: tuple[float, float, float], high: tuple[float, float, float]) -> np.ndarray:
        masks = [(m > lo) & (m < hi) for m, lo, hi in zip(self.middles, low, high, strict=True)]
        return masks[0][:, None, None] & masks[1][None, :, None] & masks[2][None, None, :]

    def gap_widths(self, shell: np.ndarray) -> list[float]:
        """The least extent, over the axes, of each run of empty cells of the shell."""
        empty = shell & (self.count == 0)
        return [min(self._run(empty, cell, axis) for axis in range(3)) for cell in np.argwhere(empty)]

    def _run(self, empty: np.ndarray, cell: np.ndarray, axis: int) -> float:
        edges = self.axes[axis]
        lo = hi = int(cell[axis])

        def is_empty(k: int) -> bool:
            index = list(cell)
            index[axis] = k
            return bool(empty[tuple(index)])

        while lo > 0 and is_empty(lo - 1):
            lo -= 1
        while hi + 1 < empty.shape[axis] and is_empty(hi + 1):
            hi += 1
        return float(edges[hi + 1] - edges[lo])


def _space(project: Project, parts: BoxParts) -> tuple[Space, tuple[float, float, float]]:
    shape = project.box.shape
    inside = (shape.length_mm, shape.width_mm, side_height_mm(project))  # type: ignore[union-attr]
    return Space(parts.solids, inside), inside


def assert_closes(project: Project) -> None:
    parts = make_parts(project)
    space, inside = _space(project, parts)
    t = project.box.thickness_mm
    inner = space.cells_between((0.0, 0.0, 0.0), inside)
    outer = (inside[0] + t, inside[1] + t, inside[2])
    shell = space.cells_between((-t, -t, -t), outer) & ~inner
    assert space.count.max() == 1, "two panels fill the same place"
    assert not (space.count[inner] > 0).any(), "a panel stands in the inside"
    assert not (space.count[~shell & ~inner] > 0).any(), "a panel sticks out of the stated outside"
    if project.box.joint == "folded":
        assert parts.widest_gap_mm == t
        assert_open_only_in_the_grooves(space, inside, t)
    else:
        assert max(space.gap_widths(shell), default=0.0) <= parts.widest_gap_mm + SAME_MM
    corners = np.vstack([_corners(s) for s in parts.solids])
    assert np.ptp(corners, axis=0) == pytest.approx(parts.outside_mm, abs=1e-9)
    assert_sealed(space, inside)


def assert_open_only_in_the_grooves(space: Space, inside: tuple[float, float, float], t: float) -> None:
    """A folded box is open only where two sheets meet: square grooves outside the inner edges, a thickness wide."""
    length, width, height = inside
    for low, high in (
        ((0.0, 0.0, -t), (length, width, 0.0)),
        ((0.0, -t, 0.0), (length, 0.0, height)),
        ((0.0, width, 0.0), (length, width + t, height)),
        ((-t, 0.0, 0.0), (0.0, width, height)),
        ((length, 0.0, 0.0), (length + t, width, height)),
    ):
        assert (space.count[space.cells_between(low, high)] == 1).all()


def assert_sealed(space: Space, inside: tuple[float, float, float]) -> None:
    """Every bit of the inside's bottom and sides has a panel right behind it, but for the play of tabs."""
    # one cell beyond each face of the inside
    for axis in range(3):
        for end in (0, 1):
            if axis == 2 and end == 1:
                continue
            limit = inside[axis] if end else 0.0
            index = int(np.abs(space.axes[axis] - limit).argmin())
            layer = np.take(space.count, index if end else index - 1, axis=axis)
            inner = np.take(space.cells_between((0.0, 0.0, 0.0), inside), index - 1 if end else index, axis=axis)
            bare = inner & (layer == 0)
            assert not bare.any()


sizes = st.floats(30.0, 600.0)
heights = st.floats(15.0, 200.0)
sheets = st.floats(1.0, 12.0)


@settings(max_examples=40, deadline=None)
@given(sizes, sizes, heights, sheets, st.sampled_from(["under", "inside"]), st.sampled_from(["lap", "pinwheel"]))
def test_that_butt_boxes_close_exactly(l: float, w: float, h: float, t: float, base: str, corners: str) -> None:  # noqa: E741
    assert_closes(bare_project(l, w, h, thickness_mm=t, base=base, corners=corners))


@settings(max_examples=30, deadline=None)
@given(sizes, sizes, heights, sheets, st.floats(4.0, 40.0), st.floats(0.0, 0.4))
def test_that_tab_boxes_close_within_the_play(
    length: float, width: float, h: float, t: float, tab: float, fit: float
) -> None:
    wanted = min(tab, length / 3.0, width / 3.0)  # a wider one is refused, see below
    project = bare_project(length, width, h, thickness_mm=t, joint="tab", tab_mm=wanted, fit_mm=fit)
    assert_closes(project)


@settings(max_examples=20, deadline=None)
@given(sizes, sizes, heights, sheets)
def test_that_folded_boxes_enclose_the_inner_size(length: float, width: float, h: float, t: float) -> None:
    project = bare_project(length, width, h, thickness_mm=t, joint="folded")
    assert_closes(project)
    (panel,) = make_parts(project).panels
    hinges = shapely.polygonize([shapely.linestrings(line.vertices) for line in panel.half])
    x0, y0, x1, y1 = hinges.bounds
    assert (x1 - x0, y1 - y0) == pytest.approx((length, width))


def test_that_a_side_cut_too_long_is_found() -> None:
    # the proof itself must be able to fail
    project = bare_project(100.0, 60.0, 20.0, thickness_mm=5.0)
    parts = make_parts(project)
    bad = [
        Solid(Path(tuple((x * 1.01, y) for x, y in s.outline.vertices)), s.thickness_mm, s.pose)  # type: ignore[union-attr]
        for s in parts.solids
    ]
    assert Space(tuple(bad), (100.0, 60.0, 20.0)).count.max() == 2


@pytest.mark.parametrize("joint", ["butt", "tab"])
def test_that_no_two_panels_of_one_box_could_be_swapped_for_a_gap(joint: str) -> None:
    parts = make_parts(bare_project(80.0, 80.0, 30.0, thickness_mm=4.0, joint=joint))
    assert [p.pieces for p in parts.panels] == [1, 2, 2]


@settings(max_examples=60, deadline=None)
@given(sizes, heights, sheets, st.floats(3.0, 60.0))
def test_that_no_half_tab_stands_at_a_corner(length: float, h: float, t: float, tab: float) -> None:
    project = bare_project(length, 100.0, h, thickness_mm=t, joint="tab", tab_mm=min(tab, length / 3.0, 100.0 / 3.0))
    parts = make_parts(project)
    for panel in parts.panels:
        xy = list(panel.outer.vertices)  # type: ignore[union-attr]
        x0, y0, x1, y1 = panel.bounds
        for axis, low, high in ((0, y0, y1), (1, x0, x1)):
            for level in (low, high):
                ends = [
                    sorted((a[axis], b[axis]))
                    for a, b in zip(xy, [*xy[1:], xy[0]], strict=True)
                    if a[1 - axis] == level == b[1 - axis]
                ]
                widths = sorted(e[1] - e[0] for e in ends)
                # tabs on one edge are all as wide, those at a corner at least as wide
                assert widths[0] >= widths[-1] - 2 * t - 1e-9 or len(widths) == 1
                assert widths[0] >= 2.0 - 1e-9


@settings(max_examples=40, deadline=None)
@given(st.floats(30.0, 600.0), heights, st.floats(1.0, 10.0), st.sampled_from(["under", "inside"]))
def test_that_a_round_strip_closes_round_its_base(diameter: float, h: float, t: float, base: str) -> None:
    project = round_project(diameter, h, thickness_mm=t, base=base)
    parts = make_parts(project)
    radius = diameter / 2
    disc, strip = parts.panels
    assert isinstance(disc.outer, Circle)
    assert disc.outer.radius_mm == pytest.approx(radius + t if base == "under" else radius)
    # closed form: the circle through the middle of the thickness
    assert strip.length_mm == pytest.approx(2 * math.pi * (radius + t / 2))
    assert strip.length_mm == pytest.approx(strip_length_mm(radius, t))
    assert strip.width_mm == pytest.approx(side_height_mm(project) + (t if base == "inside" else 0.0))
    flats = strip.folded
    assert len(flats) == len(strip.half) + 1
    inner_middles, mid_ends = [], []
    for flat in flats:
        s = flat.outline.vertices[1][0]  # type: ignore[union-attr]
        inner_middles.append(flat.pose.at(s / 2, 0.0, 0.0)[:2])
        mid_ends.append((flat.pose.at(0.0, 0.0, t / 2)[:2], flat.pose.at(s, 0.0, t / 2)[:2]))
    # neighbours meet at the middle of the thickness, the last meets the first
    for k, (start, _) in enumerate(mid_ends):
        end = mid_ends[(k + 1) % len(flats)][1]
        assert math.dist(start, end) == pytest.approx(0.0, abs=1e-7)
    distances = [math.dist(p, (radius, radius)) for p in inner_middles]
    assert all(radius - FLAT_TOL_MM - 1e-9 <= d <= radius for d in distances)
    bottom = {round(flat.pose.origin[2], 9) for flat in flats}
    assert bottom == {round(-t if base == "inside" else 0.0, 9)}


@pytest.mark.parametrize(("tab", "fit"), [(33.4, 0.0), (300.0, 0.0), (10.0, 1.1), (10.0, 5.0)])
def test_that_tabs_too_wide_for_a_side_or_too_loose_are_refused(tab: float, fit: float) -> None:
    with pytest.raises(LayoutError, match="three times" if fit == 0.0 else "play"):
        make_parts(bare_project(100.0, 150.0, 30.0, joint="tab", tab_mm=tab, fit_mm=fit))
    assert make_parts(bare_project(100.0, 150.0, 30.0, joint="tab", tab_mm=33.3, fit_mm=1.0)).widest_gap_mm == 1.0


def test_that_a_bought_tube_gets_a_base_to_its_outside() -> None:
    parts = make_parts(round_project(50.8, 30.0, thickness_mm=3.0, sheet="acrylic", tube_wall_mm=2.5))
    assert [p.name for p in parts.panels] == ["base"]
    assert parts.tube is not None
    assert parts.panels[0].length_mm == pytest.approx(55.8)
    assert (parts.tube.inner_diameter_mm, parts.tube.length_mm) == pytest.approx((50.8, 30.0))


def test_that_acrylic_is_not_folded() -> None:
    with pytest.raises(LayoutError, match="does not fold"):
        make_parts(bare_project(100.0, 60.0, sheet="acrylic", joint="folded"))


@pytest.mark.parametrize("sheet", ["foam board", "expanded PVC", "Foamboard white", "vinyl sheet", "white sheet"])
def test_that_no_laser_file_is_made_of_foam_board_pvc_or_the_unknown(sheet: str) -> None:
    with pytest.raises(LayoutError, match="laser"):
        make_parts(bare_project(100.0, 60.0, sheet=sheet), "laser")
