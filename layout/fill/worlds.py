"""From a room to the plain arrays that the kernels read, and from their layouts back to places."""

import math
from typing import Final

import numpy as np
import shapely
from shapely.geometry import Point

from layout.fill.energy import CIRCLE, OUTLINE, RECTANGLE, Common, Obstacles, Regions, World
from layout.fill.nofit import NoFit
from layout.fill.room import Room
from layout.fill.search import Place
from layout.geometry import FloatArray, IntArray, turned
from layout.model import MasterId, RectBox, RoundBox

AIM_MM: Final = 1e-4
"""Walls and edges are aimed at this much too wide, so that a descent may stop short of them by `ENOUGH_MM`."""

ENOUGH_MM: Final = 9e-5
"""A layout whose worst lack is no more than this keeps every rule."""


def world_of(room: Room, nofit: NoFit, angles_deg: tuple[float, ...] | None, halt: IntArray) -> World:
    """Return what the kernels need to know about a room and a part.

    Parameters
    ----------
    angles_deg : tuple of float or None
        The turns allowed; None for any angle. A part without corners never turns.
    halt : array (1,)
        See `energy.Common`.
    """
    part = room.part
    if len(part.points) == 1:
        angles_deg = (0.0,)
    kind, box = _box(room)
    wall = nofit.wall_mm + AIM_MM
    common = Common(
        points=np.ascontiguousarray(part.points),
        wall=wall,
        reach=2.0 * part.radius_mm + wall,
        turn_mm=max(0.7 * part.radius_mm, 1e-3),
        kind=kind,
        box=box,
        inset=room.inset_mm + AIM_MM,
        halt=halt,
    )
    return World(common, None if angles_deg is None else _regions(nofit, angles_deg), _obstacles(room))


def _regions(nofit: NoFit, classes: tuple[float, ...]) -> Regions:
    rings: list[FloatArray] = []
    region_cuts = [0]
    for a in classes:
        for b in classes:
            rings.extend(turned(ring, a) for ring in nofit.region(b - a).rings)
            region_cuts.append(len(rings))
    return Regions(np.concatenate(rings), _cuts(rings), np.array(region_cuts, dtype=np.int64), len(classes))


def _cuts(rings: list[FloatArray]) -> IntArray:
    return np.concatenate(([0], np.cumsum([len(ring) for ring in rings]))).astype(np.int64)


def _box(room: Room) -> tuple[int, FloatArray]:
    inset = room.inset_mm + AIM_MM
    if isinstance(room.shape, RectBox):
        return RECTANGLE, np.array([[inset, inset], [room.shape.length_mm - inset, room.shape.width_mm - inset]])
    if isinstance(room.shape, RoundBox):
        r = room.shape.diameter_mm / 2.0
        return CIRCLE, np.array([[r, r], [r - inset, 0.0]])
    return OUTLINE, np.array(room.shape.points, dtype=np.float64)


def _obstacles(room: Room) -> Obstacles | None:
    rings: list[FloatArray] = []
    keep: list[float] = []
    for shape, distance in room.obstacles:
        rings.append(np.asarray(shapely.get_coordinates(shape))[: 1 if isinstance(shape, Point) else -1])
        keep.append(distance + AIM_MM)
    if not isinstance(room.shape, (RectBox, RoundBox)):
        # a notch of the box reaches between a part's corners: its corner is an obstacle of its own
        for point in room.shape.points:
            rings.append(np.array([point]))
            keep.append(room.inset_mm + AIM_MM)
    if not rings:
        return None
    return Obstacles(np.concatenate(rings), _cuts(rings), np.array(keep))


def layout_of(world: World, x_mm: FloatArray, y_mm: FloatArray, angle_deg: FloatArray) -> FloatArray:
    """Return places as the kernels have them: x, y, and the angle in radians times ``turn_mm``; shape (n, 3)."""
    return np.column_stack((x_mm, y_mm, np.radians(angle_deg) * world.turn_mm))


def classes_of(angle_deg: FloatArray, angles_deg: tuple[float, ...] | None) -> IntArray:
    """Return the class of each angle: its index in the list of turns allowed; 0 where any is."""
    if angles_deg is None or len(angles_deg) == 1:
        return np.zeros(len(angle_deg), dtype=np.int64)
    gaps = np.abs((angle_deg[:, None] - np.array(angles_deg)[None, :] + 180.0) % 360.0 - 180.0)
    return np.asarray(gaps.argmin(axis=1), dtype=np.int64)


def places_of(
    world: World, z: FloatArray, turn: IntArray, angles_deg: tuple[float, ...] | None, master: MasterId
) -> tuple[Place, ...]:
    """Return a layout of the kernels as places; frozen angles come back exactly."""
    if angles_deg is not None:
        angles = [angles_deg[int(k)] for k in turn] if world.classes > 1 else [angles_deg[0]] * len(z)
    else:
        angles = [math.degrees(a / world.turn_mm) % 360.0 for a in z[:, 2].tolist()]
    return tuple((master, x, y, angle) for x, y, angle in zip(z[:, 0].tolist(), z[:, 1].tolist(), angles, strict=True))
