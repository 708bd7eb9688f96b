"""Endless rows cropped to a box of any shape, round pinned cavities and keep-outs."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from layout.fill.room import Room
from layout.fill.rows import Kind, Tables
from layout.fill.stacks import Stack
from layout.geometry import FloatArray


@dataclass(frozen=True, slots=True)
class Lattice:
    """Places that repeat along x and from row to row.

    Parameters
    ----------
    x_mm, y_mm, angle_deg : array
        One cell.
    along_mm : float
        Step along x.
    up : tuple of (float, float)
        Step to the next cell above, mm.
    """

    x_mm: FloatArray
    y_mm: FloatArray
    angle_deg: FloatArray
    along_mm: float
    up: tuple[float, float]


def lattice_of(tables: Tables, kind: Kind, shift_mm: float, zigzag: bool) -> Lattice:
    """Return endless rows of a kind, each shifted against the one below: always the same way, or to and fro."""
    x, y, angle = np.zeros(1), np.zeros(1), np.array([kind.angle_deg])
    along = kind.pitch_mm / 2.0
    if not kind.plain:
        x, y = np.array([0.0, kind.there_mm]), np.array([0.0, kind.rise_mm])
        angle = np.array([kind.angle_deg, kind.other_deg])
        along = kind.pitch_mm
    first = _height(tables, x, y, angle, along, shift_mm)
    if not zigzag:
        return Lattice(x, y, angle, along, (shift_mm, first))
    second = _height(tables, x, y, angle, along, -shift_mm)
    return Lattice(
        np.concatenate((x, x + shift_mm)),
        np.concatenate((y, y + first)),
        np.concatenate((angle, angle)),
        along,
        (0.0, first + second),
    )


def _height(tables: Tables, x: FloatArray, y: FloatArray, angle: FloatArray, along: float, shift: float) -> float:
    """Return the exact height of a row on an equal one."""
    nofit = tables.nofit
    around = int((nofit.reach_mm() + abs(shift)) / along) + 2
    cells = np.arange(-around, around + 1) * along
    heights = [
        float(nofit.highest(float(angle[i]), float(angle[j]), shift + x[j] - x[i] + cells).max()) + float(y[i] - y[j])
        for i in range(len(x))
        for j in range(len(x))
    ]
    return max(heights)


def crops(room: Room, lattice: Lattice, quarter: bool, phases: int) -> Iterator[Stack]:
    """Yield the places of a lattice that the room allows, at phases x phases positions of the lattice.

    Parameters
    ----------
    quarter : bool
        Turn the whole lattice by 90 degrees.
    """
    x0, y0, width, height = room.inside_mm
    across, upward = (height, width) if quarter else (width, height)
    x, y, angle = _endless(lattice, across, upward)
    if quarter:
        x, y, angle = -y, x, (angle + 90.0) % 360.0
    step_x, step_y = (lattice.up[1], lattice.along_mm) if quarter else (lattice.along_mm, lattice.up[1])
    middle_x, middle_y, spare = x0 + width / 2.0, y0 + height / 2.0, room.part.radius_mm
    for i in range(phases):
        for j in range(phases):
            px, py = x + middle_x + i / phases * step_x, y + middle_y + j / phases * step_y
            near = (np.abs(px - middle_x) <= width / 2.0 + spare) & (np.abs(py - middle_y) <= height / 2.0 + spare)
            px, py, turn = px[near], py[near], angle[near]
            fine = room.allows(px, py, turn) if len(px) else near[:0]
            yield Stack(px[fine], py[fine], turn[fine], 0.0)


def cropped_at(room: Room, lattice: Lattice, quarter: bool, count: int, rng: np.random.Generator) -> Stack | None:
    """Return just so many places of a lattice, at a random position, in a room a little too large; None if too few.

    Notes
    -----
    Of too many, those that the true room lacks least for, by the distance from its middle, are kept.
    """
    x0, y0, width, height = room.inside_mm
    x, y, angle = _endless(lattice, *((height, width) if quarter else (width, height)))
    x, y = x + rng.uniform(-0.5, 0.5) * lattice.along_mm, y + rng.uniform(-0.5, 0.5) * lattice.up[1]
    if quarter:
        x, y, angle = -y, x, (angle + 90.0) % 360.0
    wider = replace(room, inset_mm=room.inset_mm - float(rng.uniform(0.5, 5.0)))
    x, y = x + x0 + width / 2.0, y + y0 + height / 2.0
    near = (np.abs(x - x0 - width / 2.0) <= width / 2.0 + 5.0) & (np.abs(y - y0 - height / 2.0) <= height / 2.0 + 5.0)
    x, y, angle = x[near], y[near], angle[near]
    fine = wider.allows(x, y, angle) if len(x) else near[:0]
    x, y, angle = x[fine], y[fine], angle[fine]
    if len(x) < count:
        return None
    far = np.hypot(x - x0 - width / 2.0, y - y0 - height / 2.0)
    kept = np.sort(np.argsort(far, kind="stable")[:count])
    return Stack(x[kept], y[kept], angle[kept], 0.0)


def _endless(lattice: Lattice, width: float, height: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return places round the origin that cover a rectangle of this size at any phase."""
    rows = int(height / 2.0 / lattice.up[1]) + 3
    columns = int((width / 2.0) / lattice.along_mm) + 3
    k = np.arange(-rows, rows + 1)
    # each row starts near the origin again, however far the shifts have carried it
    drift = k * lattice.up[0]
    drift = drift - np.round(drift / lattice.along_mm) * lattice.along_mm
    x = drift[:, None, None] + np.arange(-columns, columns + 1)[None, :, None] * lattice.along_mm + lattice.x_mm
    y = k[:, None, None] * lattice.up[1] + 0.0 * x + lattice.y_mm
    angle = np.broadcast_to(lattice.angle_deg, x.shape)
    return x.ravel(), y.ravel(), angle.ravel().copy()
