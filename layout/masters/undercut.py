"""How far the rim must stretch, or the silicone in a hole squeeze, to let a part out straight."""

import math
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely

from layout.geometry import FloatArray

IntArray = npt.NDArray[np.int64]

FLAT_BACK_TOL_MM: Final = 0.02
"""A triangle this near to the lowest point belongs to the flat back: meshes come rounded to single precision, and a
back is flat within 0.1 mm on a bench."""

MOST_LEVELS: Final = 80
"""Heights at which the girth is measured."""

MOST_ROOF_LEVELS: Final = 24
"""Heights at which holes and bays are looked at; each takes longer than a girth."""

LEAST_UNDERCUT: Final = 1e-3
"""A smaller strain is rounding of the mesh."""

LEAST_ROOF_MM: Final = 0.05
"""A roof over silicone narrower than this is rounding of the mesh."""

LOCKED: Final = 10.0
"""The strain that stands for silicone which can't get out at all: under a bridge, through a sideways hole."""


def undercut(vertices: FloatArray, faces: IntArray) -> float:
    """Return the strain that pulling the part straight out asks of the silicone, 0.0 for none, `LOCKED` at most.

    Parameters
    ----------
    vertices : array of shape (n, 3)
        z up from the glued back, which is the open rim of the mold.
    faces : array of shape (m, 3)
        Of a closed mesh.

    Notes
    -----
    Outside: (D_in - D_neck) / D_neck by girths, of what lies deeper in the mold (the hull of everything above) and of
    the section there, the neck it must pass; so a straight lean counts as far as it overhangs. In holes and bays: by
    how much silicone under a roof must shrink to pass the opening left beside it, by the root of its area.
    """
    worst = max(_girth_strain(vertices, faces), _roof_strain(vertices, faces))
    return min(worst, LOCKED) if worst >= LEAST_UNDERCUT else 0.0


def _girth_strain(vertices: FloatArray, faces: IntArray) -> float:
    edges = np.unique(np.sort(np.vstack((faces[:, :2], faces[:, 1:], faces[:, [2, 0]])), axis=1), axis=0)
    order = np.argsort(-vertices[:, 2], kind="stable")
    heights, plan = vertices[order, 2], vertices[order, :2]
    rising = vertices[edges[:, 0], 2] < vertices[edges[:, 1], 2]
    low = np.asfortranarray(vertices[np.where(rising, edges[:, 0], edges[:, 1])])
    high = np.asfortranarray(vertices[np.where(rising, edges[:, 1], edges[:, 0])])
    deeper = np.empty((0, 2))
    worst, taken = 0.0, 0
    for level in _levels(heights, MOST_LEVELS)[::-1]:
        upto = int(np.searchsorted(-heights, -level, side="left"))
        cut = np.flatnonzero((low[:, 2] < level) & (high[:, 2] > level))
        section = _passing(low[cut], high[cut], level)
        deeper = _hull(np.vstack((deeper, plan[taken:upto], section)))
        taken = upto
        neck = _girth(_hull(section))
        if neck > 0.0:
            worst = max(worst, (_girth(deeper) - neck) / neck)
    return worst


def _levels(z: FloatArray, most: int) -> FloatArray:
    """Return heights just below and above the corners' own and between them: all of them, or evenly chosen."""
    own = np.unique(np.round(z, 4))
    if len(own) < 2:
        return np.empty(0)
    if len(own) > most:
        own = own[np.unique(np.linspace(0, len(own) - 1, most).round().astype(int))]
    near = min(FLAT_BACK_TOL_MM, float(np.diff(own).min()) / 4.0)
    return np.unique(np.concatenate((own[1:] - near, own[:-1] + near, (own[:-1] + own[1:]) / 2.0)))


def _passing(low: FloatArray, high: FloatArray, level: float) -> FloatArray:
    """Return where edges from their lower to their higher ends pass a height."""
    share = (level - low[:, 2]) / (high[:, 2] - low[:, 2])
    return np.asarray(low[:, :2] + share[:, None] * (high[:, :2] - low[:, :2]))


def _hull(points: FloatArray) -> FloatArray:
    """Return the corners of the convex hull of points, the first repeated at the end."""
    return np.asarray(shapely.get_coordinates(shapely.MultiPoint(points).convex_hull), dtype=np.float64)


def _girth(hull: FloatArray) -> float:
    """Return the length of a closed hull; of a line there and back."""
    return float(np.hypot(*np.diff(hull, axis=0).T).sum()) * (2.0 if len(hull) == 2 else 1.0) if len(hull) > 1 else 0.0


def _roof_strain(vertices: FloatArray, faces: IntArray) -> float:
    """Return the worst strain of silicone in the part's own holes and bays, from the top down."""
    z = vertices[faces][:, :, 2]
    lowest, highest = z.min(axis=1), z.max(axis=1)
    if not _has_roof(vertices, faces):
        return 0.0
    above: shapely.Geometry = shapely.Polygon()
    worst = 0.0
    for level in _levels(vertices[:, 2], MOST_ROOF_LEVELS)[::-1]:
        section = _section(vertices, faces[(lowest < level) & (highest > level)], level)
        roof = shapely.buffer(shapely.difference(above, section), -LEAST_ROOF_MM / 2.0)
        if not roof.is_empty:
            worst = max(worst, _worst_bay(section, above, roof))
        above = shapely.union(above, section)
    return worst


def _has_roof(vertices: FloatArray, faces: IntArray) -> bool:
    """Return whether any triangle above the back faces down: without one there is nothing to look for."""
    corners = vertices[faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    high = corners[:, :, 2].max(axis=1) > vertices[:, 2].min() + FLAT_BACK_TOL_MM
    return bool((high & (normal[:, 2] < -1e-6 * np.linalg.norm(normal, axis=1))).any())


def _section(vertices: FloatArray, faces: IntArray, level: float) -> shapely.Geometry:
    """Return the section of a closed mesh at a height, its holes left open."""
    edges = np.sort(np.stack((faces[:, :2], faces[:, 1:], faces[:, [2, 0]]), axis=1), axis=2)
    low, high = vertices[edges[:, :, 0]], vertices[edges[:, :, 1]]
    cut = (low[:, :, 2] - level) * (high[:, :, 2] - level) < 0.0
    both = cut.sum(axis=1) == 2  # the levels lie between the corners' heights
    ends = _passing(low[both][cut[both]], high[both][cut[both]], level).reshape(-1, 2, 2)
    rings = shapely.get_parts(shapely.polygonize([shapely.union_all(shapely.linestrings(ends))]))
    # every ring crossed changes from outside to inside and back
    inside = [ring for ring in rings if _crossings(ring.representative_point(), ends) % 2]
    return shapely.union_all(inside) if inside else shapely.Polygon()


def _crossings(point: shapely.Point, segments: FloatArray) -> int:
    """Return how many segments a ray from the point to the right crosses."""
    (x0, y0), (x1, y1) = segments[:, 0].T, segments[:, 1].T
    spans = (y0 > point.y) != (y1 > point.y)
    at = x0[spans] + (point.y - y0[spans]) / (y1[spans] - y0[spans]) * (x1[spans] - x0[spans])
    return int((at > point.x).sum())


def _worst_bay(section: shapely.Geometry, above: shapely.Geometry, roof: shapely.Geometry) -> float:
    """Return the strain of the worst of the bays and holes of a section that lie partly under a roof."""
    bays = shapely.difference(shapely.convex_hull(section), section)
    worst = 0.0
    for bay in shapely.get_parts(bays):
        if bay.area > LEAST_ROOF_MM**2 and shapely.intersection(bay, roof).area > LEAST_ROOF_MM**2:
            way_out = float(shapely.difference(bay, above).area)
            ratio = float(bay.area) / way_out if way_out > 0.0 else math.inf
            worst = max(worst, min(math.sqrt(ratio) - 1.0, LOCKED))
    return worst
