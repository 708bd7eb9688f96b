"""Equal discs, and parts nearly as round: lattices first, then one more disc forced in again and again.

A lattice that fits gives the first layout in milliseconds. From then on the hunt tries to place one more than the
best: it lets all centres slide down their overlap energy from many starts, puts the worst-placed disc into the widest
hole when they get stuck, and finishes what is nearly legal by linear programs.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from layout.fill.bounds import upper_bound
from layout.fill.disc_domain import Domain, domain_of, lattice, rows_across
from layout.fill.disc_hunt import hunt
from layout.fill.search import Place, Search
from layout.geometry import Disc, FloatArray, Outline
from layout.tolerances import CLEARANCE_TOL_MM

METHOD: Final = "discs"

_LEAST_ROUNDNESS: Final = 0.93
"""Inscribed over circumscribed radius from which a part is worth treating as its circumscribed disc."""

_LATTICE_TURNS: Final = (0.0, 90.0, 15.0, 30.0, 45.0, 60.0, 75.0)


def disc_lattices(search: Search) -> Iterator[None]:
    """Offer the lattices, the first of them within milliseconds; yield after each few.

    Nothing is offered for a part that isn't nearly round.
    """
    region = _region(search)
    if region is None:
        return
    for points in lattices(region.domain):
        if len(points) > search.count:
            region.offer(search, points)
        yield


def disc_rounds(search: Search) -> Iterator[None]:
    """Try to place one more than the best so far, again and again; yield after each round, which is one descent.

    Notes
    -----
    Ends when the upper bound or ``task.most`` is reached, or at once for a part that isn't nearly round. While code is
    compiled for the first time on a machine it asks ``search.should_stop`` by itself.
    """
    region = _region(search)
    if region is None:
        return
    task = search.task
    most = task.most
    if isinstance(task.master.footprint, Disc):
        most = min(most, upper_bound(task.project, task.master) - len(task.project.cavities))
    yield from hunt(region.domain, search, region.offer, most)


@dataclass(frozen=True, slots=True)
class _Region:
    """A domain, and where the disc's centre is from the part's own."""

    domain: Domain
    dx_mm: float
    dy_mm: float

    def offer(self, search: Search, points: FloatArray) -> bool:
        master = search.task.master.id
        places: list[Place] = [(master, float(x) - self.dx_mm, float(y) - self.dy_mm, 0.0) for x, y in points]
        return search.offer(places, METHOD)


def _region(search: Search) -> _Region | None:
    found = round_part(search.task.master.footprint)
    if found is None:
        return None
    radius, (dx, dy) = found
    domain = domain_of(search.task, radius)
    x0, y0, x1, y1 = domain.extent
    if domain.apart_mm <= 0.0 or x1 < x0 - CLEARANCE_TOL_MM or y1 < y0 - CLEARANCE_TOL_MM:
        return None
    return _Region(domain, dx, dy)


def round_part(footprint: Disc | Outline) -> tuple[float, tuple[float, float]] | None:
    """Return radius and centre of the disc that contains a nearly round part, mm; None if it isn't nearly round.

    Examples
    --------
    >>> round_part(Disc(4.0))
    (4.0, (0.0, 0.0))
    >>> round_part(Outline(((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)))) is None
    True
    """
    if isinstance(footprint, Disc):
        return footprint.radius_mm, (0.0, 0.0)
    points = np.asarray(footprint.points)
    around = shapely.minimum_bounding_circle(shapely.MultiPoint(points)).centroid
    centre = np.array([around.x, around.y])
    radius = float(np.hypot(*(points - centre).T).max())
    inner = float(shapely.Polygon(points).exterior.distance(shapely.points(centre)))
    if inner < _LEAST_ROUNDNESS * radius:
        return None
    return radius, (float(centre[0]), float(centre[1]))


def lattices(domain: Domain) -> Iterator[FloatArray]:
    """Yield legal lattice layouts, the likeliest first: stretched rows, then hexagonal lattices at several turns."""
    for points in _row_lattices(domain):
        inside = points[domain.clearance_mm(points) >= -1e-9]
        if len(inside):
            yield inside
    pitch = domain.apart_mm * (1.0 + 1e-9)
    for angle in _LATTICE_TURNS:
        best = np.zeros((0, 2))
        for sx in np.arange(8) / 8.0:
            for sy in np.arange(8) / 8.0:
                points = lattice(domain, pitch, angle, (float(sx), float(sy)), 1.0)
                if len(points) <= len(best):
                    continue
                inside = points[domain.clearance_mm(points) >= 0.0]
                best = inside if len(inside) > len(best) else best
        if len(best):
            yield best
    # nothing fits a lattice: the roomiest single place
    x0, y0, x1, y1 = domain.extent
    gx, gy = np.meshgrid(np.linspace(x0, max(x0, x1), 41), np.linspace(y0, max(y0, y1), 41))
    grid = np.column_stack((gx.ravel(), gy.ravel()))
    clear = domain.clearance_mm(grid)
    if clear.max() >= -1e-9:
        yield grid[[int(clear.argmax())]]


def _row_lattices(domain: Domain) -> Iterator[FloatArray]:
    """Yield rows stretched over the bounds: n and n, n and n - 1, or a square grid, along x and along y."""
    x0, y0, x1, y1 = domain.extent
    apart = domain.apart_mm
    for upright in (False, True):
        w, h = (x1 - x0, y1 - y0) if not upright else (y1 - y0, x1 - x0)
        w, h = max(w, 0.0), max(h, 0.0)
        for n in range(1, math.floor(w / apart + 1e-9) + 2):
            for half in (0.5, 0.0):
                if n == 1 and half == 0.0:
                    continue
                pitch = w / (n - half) if n > half else w
                if pitch < apart * (1.0 - 1e-12):
                    continue
                rise = math.sqrt(max(apart**2 - min(pitch / 2.0, apart) ** 2, (apart / 2.0) ** 2, 0.0))
                rows = math.floor(h / max(rise, 1e-9) + 1e-9) + 1
                counts = [n if half or k % 2 == 0 else n - 1 for k in range(rows)]
                yield rows_across(domain, [c for c in counts if c], 0, upright=upright)
        columns, lines = math.floor(w / apart + 1e-9) + 1, math.floor(h / apart + 1e-9) + 1
        xs = np.linspace(x0, x1, columns) if columns > 1 else np.array([(x0 + x1) / 2])
        ys = np.linspace(y0, y1, lines) if lines > 1 else np.array([(y0 + y1) / 2])
        if not upright:
            gx, gy = np.meshgrid(xs, ys)
            yield np.column_stack((gx.ravel(), gy.ravel()))
