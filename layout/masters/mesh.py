"""A closed triangle mesh to a part: volume, height, silhouette over all heights, glued back, undercut."""

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Polygon

from layout.errors import BadFileError
from layout.geometry import FloatArray, centred_outline, clean_ring
from layout.masters.outward import (
    MANY_CORNERS,
    NARROWEST_HOLE_MM,
    filled,
    middle_of,
    moved_ring,
    simplified_inward,
    simplified_outward,
)
from layout.masters.simple import Solid
from layout.masters.triangles import read_triangles
from layout.masters.undercut import FLAT_BACK_TOL_MM, undercut
from layout.tolerances import ARC_CHORD_TOL_MM, LONGEST_LENGTH_MM, POINT_MERGE_TOL_MM, SHORTEST_PART_MM
from layout.units import LengthUnit, plain_text

if TYPE_CHECKING:
    import trimesh

IntArray = npt.NDArray[np.int64]

MOST_CELLS: Final = 400
"""The largest places enclosed by rims that are tried as holes: a relief has thousands, and none of them is one."""

STITCH_DIGITS: Final = 4
"""Corners that agree in so many digits of a mm are tried as one if the mesh does not close exactly: text files are
often written so."""


def read_mesh(path: Path, units: LengthUnit | None) -> Solid:
    """Return the part in an STL or OBJ file; it stands on its lowest point, z up.

    Parameters
    ----------
    path : Path
    units : {"mm", "in"}, optional
        What one unit of the file is; mm if left out.

    Raises
    ------
    BadFileError
        If it is no mesh, is open, consists of several bodies, or is absurd in size.

    Notes
    -----
    No point of the mesh lies outside the footprint; a silhouette of more than `MANY_CORNERS` corners stands out by at
    most `ARC_CHORD_TOL_MM`. Volume and surface are those of the mesh.
    """
    mesh = _closed_mesh(read_triangles(path) * (25.4 if units == "in" else 1.0), path.name)
    _refuse_odd_size(mesh, path.name)
    mesh.apply_translation((0.0, 0.0, -float(mesh.bounds[0][2])))
    outline, holes = shadow(np.asarray(mesh.vertices), np.asarray(mesh.faces), path.name)
    glued = _glued_area_mm2(mesh)
    simple = simplified_outward(outline) if len(outline.exterior.coords) > MANY_CORNERS else outline
    middle = middle_of(simple.exterior.coords)
    return Solid(
        centred_outline(simple.exterior.coords, path.name),
        float(outline.area),
        float(mesh.bounds[1][2]),
        float(mesh.volume),
        glued,
        float(mesh.area) - glued,
        undercut(np.asarray(mesh.vertices), np.asarray(mesh.faces)),
        tuple(moved_ring(clean_ring(hole.exterior.coords, path.name), middle) for hole in holes),
    )


def _closed_mesh(triangles: FloatArray, where: str) -> "trimesh.Trimesh":
    """Return the triangles as one closed body with its outside out."""
    import trimesh

    mesh = trimesh.Trimesh(
        vertices=triangles.reshape(-1, 3), faces=np.arange(len(triangles) * 3).reshape(-1, 3), process=False
    )
    mesh.merge_vertices()
    _drop_collapsed(mesh)
    if not mesh.is_watertight:
        mesh.merge_vertices(digits_vertex=STITCH_DIGITS)
        _drop_collapsed(mesh)
    if len(mesh.faces) < 4:
        raise BadFileError(where, "the mesh is no solid body", "export the part again")
    if not mesh.is_watertight:
        raise _open_error(mesh, where)
    if not mesh.is_winding_consistent:
        repair: Any = trimesh.repair
        repair.fix_winding(mesh)
        if not mesh.is_winding_consistent:
            raise BadFileError(
                where, "inside and outside of the mesh can't be told apart", "repair and export it again"
            )
    return _one_body(mesh, where)


def _drop_collapsed(mesh: "trimesh.Trimesh") -> None:
    """Take away triangles that have become a line or a point."""
    faces = np.asarray(mesh.faces)
    whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    if not whole.all():
        mesh.update_faces(whole)
    mesh.remove_unreferenced_vertices()


def _open_error(mesh: "trimesh.Trimesh", where: str) -> BadFileError:
    _, counts = np.unique(np.asarray(mesh.edges_sorted), axis=0, return_counts=True)
    single, crowded = int((counts == 1).sum()), int((counts > 2).sum())
    if single:
        problem = f"the mesh is open: {single} edges have a triangle on one side only"
    else:
        problem = f"the mesh is no clean body: {crowded} edges have more than two triangles"
    return BadFileError(where, problem, "close or repair it and export it again")


def _one_body(mesh: "trimesh.Trimesh", where: str) -> "trimesh.Trimesh":
    """Return the one outer body, its outside out; closed hollows in it are dropped: no silicone gets there."""
    body, volumes = _bodies(np.asarray(mesh.vertices), np.asarray(mesh.faces))
    outer = int(np.abs(volumes).argmax())
    sign = 1.0 if volumes[outer] > 0.0 else -1.0
    solid = int((sign * volumes > 0.0).sum())
    if solid > 1:
        raise BadFileError(where, f"the mesh consists of {solid} separate bodies", "join them or export one part")
    if not solid:
        raise BadFileError(where, "the mesh encloses no volume", "export the part again")
    if len(volumes) > 1:
        mesh.update_faces(body == outer)
        mesh.remove_unreferenced_vertices()
    if sign < 0.0:
        mesh.invert()
    return mesh


def _bodies(vertices: FloatArray, faces: IntArray) -> tuple[IntArray, FloatArray]:
    """Return the connected body each face belongs to, and the signed volume of every body."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    ends = np.vstack((faces[:, :2], faces[:, 1:]))
    graph = coo_matrix((np.ones(len(ends)), (ends[:, 0], ends[:, 1])), shape=(len(vertices), len(vertices)))
    count, labels = connected_components(graph, directed=False)
    body = labels[faces[:, 0]].astype(np.int64)
    a, b, c = (vertices[faces[:, k]] - vertices.mean(axis=0) for k in range(3))
    volumes = np.bincount(body, np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0, minlength=count)
    return body, np.asarray(volumes, dtype=np.float64)


def _refuse_odd_size(mesh: "trimesh.Trimesh", where: str) -> None:
    extents = np.ptp(np.asarray(mesh.bounds), axis=0)
    if not np.isfinite(extents).all() or extents.max() > LONGEST_LENGTH_MM or extents.min() < SHORTEST_PART_MM:
        size = " by ".join(plain_text(float(e), 3) for e in extents)
        raise BadFileError(where, f"the part measures {size} mm", "check the unit it was exported in (--units)")


def silhouette(vertices: FloatArray, faces: IntArray, where: str) -> Polygon:
    """Return the outline of a closed mesh seen from above, holes filled; see `shadow`."""
    return shadow(vertices, faces, where)[0]


def shadow(vertices: FloatArray, faces: IntArray, where: str) -> tuple[Polygon, tuple[Polygon, ...]]:
    """Return the outline of a closed mesh seen from above, holes filled, and the holes through it.

    No corner of the mesh lies outside the outline, none inside a hole.

    Notes
    -----
    The rim of the shadow is made of edges between a triangle that faces up and one that does not. What those edges
    enclose is the shadow and its holes. If rounding breaks a rim, all triangles are united instead, which takes longer.
    """
    corners = vertices[faces][:, :, :2]
    d1, d2 = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    twice = d1[:, 0] * d2[:, 1] - d1[:, 1] * d2[:, 0]
    if not (twice > POINT_MERGE_TOL_MM**2).any():
        raise BadFileError(where, "the mesh has no extent seen from above", "export the part again")
    points = shapely.points(vertices[:, :2])
    cells = _cells_of_rims(vertices, faces, twice > 0.0)
    outline = filled(shapely.union_all([Polygon(cell.exterior) for cell in cells]))
    open_cells = _without_material(cells, corners[twice > POINT_MERGE_TOL_MM**2])
    if outline.is_empty or not _covers_all(outline, points):
        outline, open_cells = _united(corners[np.abs(twice) > POINT_MERGE_TOL_MM**2], points)
    cleaned = shapely.simplify(outline, 0.0)
    whole = cleaned if isinstance(cleaned, Polygon) and cleaned.is_valid else outline
    return whole, _holes(open_cells, points)


def _without_material(cells: list[Polygon], up: FloatArray) -> list[Polygon]:
    """Return the cells between the rims over which no triangle that faces up lies: there is no material in them."""
    if len(cells) < 2:
        return []
    wide = sorted((c for c in cells if _is_wide(c)), key=lambda c: -c.area)[:MOST_CELLS]
    low, high = up.min(axis=1), up.max(axis=1)
    found = []
    for cell in wide:
        point = np.asarray(cell.representative_point().coords[0])
        near = up[((low <= point) & (point <= high)).all(axis=1)]
        away, along = near - point, np.roll(near, -1, axis=1) - near
        side = along[:, :, 0] * away[:, :, 1] - along[:, :, 1] * away[:, :, 0]
        # seen counter-clockwise, a point inside has every side on its left
        if not (side <= 0.0).all(axis=1).any():
            found.append(cell)
    return found


def _is_wide(cell: Polygon) -> bool:
    return bool(2.0 * cell.area > NARROWEST_HOLE_MM * cell.length)


def _holes(open_cells: list[Polygon], points: Any) -> tuple[Polygon, ...]:
    holes = []
    for part in shapely.get_parts(shapely.union_all(open_cells)):
        hole = filled(shapely.simplify(filled(part), 0.0))
        if len(hole.exterior.coords) > MANY_CORNERS:
            hole = simplified_inward(hole)
        inside = hole.buffer(-ARC_CHORD_TOL_MM)
        shapely.prepare(inside)
        # a hole that rounding tore open into the part is none
        if hole.is_valid and not inside.is_empty and not shapely.contains_properly(inside, points).any():
            holes.append(hole)
    return tuple(holes)


def _cells_of_rims(vertices: FloatArray, faces: IntArray, up: npt.NDArray[np.bool_]) -> list[Polygon]:
    edges = np.sort(np.vstack((faces[:, :2], faces[:, 1:], faces[:, [2, 0]])), axis=1)
    face = np.tile(np.arange(len(faces)), 3)
    order = np.lexsort((edges[:, 1], edges[:, 0]))
    first, second = order[0::2], order[1::2]  # the mesh is closed: each edge is there twice
    rim = edges[first][up[face[first]] != up[face[second]]]
    lines = shapely.linestrings(vertices[rim][:, :, :2])
    return list(shapely.get_parts(shapely.polygonize([shapely.union_all(lines)])))


def _united(corners: FloatArray, points: Any) -> tuple[Polygon, list[Polygon]]:
    united = shapely.union_all(shapely.polygons(np.concatenate((corners, corners[:, :1]), axis=1)))
    outline = filled(united)
    if not _covers_all(outline, points):
        farthest = float(np.max(shapely.distance(outline, points)))
        united = united.buffer(farthest, join_style="mitre")
        outline = filled(united)
    body = max(shapely.get_parts(united), key=lambda part: float(part.area))
    return outline, [hole for hole in map(Polygon, body.interiors) if _is_wide(hole)]


def _covers_all(outline: Polygon, points: Any) -> bool:
    shapely.prepare(outline)
    return bool(np.all(shapely.dwithin(outline, points, POINT_MERGE_TOL_MM)))


def _glued_area_mm2(mesh: "trimesh.Trimesh") -> float:
    corners = np.asarray(mesh.triangles)
    flat = (corners[:, :, 2] <= FLAT_BACK_TOL_MM).all(axis=1)
    return float(np.asarray(mesh.area_faces)[flat].sum())
