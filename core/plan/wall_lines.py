"""Lines that walls run on: what lies on one, which walls of two outlines are the same, where a shifted one ends."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from core.plan.room import Point

__all__ = ["SAME", "along_wall", "best_shift", "runs_through", "same_walls_and_corners", "shifted_corner"]

SAME = 0.001
"""Corners nearer than this [m] are the same; a tape measure cannot tell them apart."""
_IN_LINE = 1e-6
"""Sine of the angle below which two walls run in one line."""


def along_wall(wall: tuple[Point, Point], distance: float) -> Point:
    """Return the point of a wall at a distance from its first corner [m]."""
    share = distance / math.dist(*wall)
    (ax, ay), (bx, by) = wall
    return ax + (bx - ax) * share, ay + (by - ay) * share


def runs_through(wall: tuple[Point, Point], other: tuple[Point, Point], point: Point) -> bool:
    """Whether ``wall`` passes through a point in the direction of ``other``."""
    (ax, ay), (bx, by) = wall
    length, reach = math.dist(*wall), math.dist(*other)
    ux, uy = (bx - ax) / length, (by - ay) / length
    vx, vy = (other[1][0] - other[0][0]) / reach, (other[1][1] - other[0][1]) / reach
    if abs(ux * vy - uy * vx) > SAME or ux * vx + uy * vy < 0.0:
        return False
    along = (point[0] - ax) * ux + (point[1] - ay) * uy
    across = abs((point[0] - ax) * uy - (point[1] - ay) * ux)
    return across <= SAME and -SAME <= along <= length + SAME


def same_walls_and_corners(old: Sequence[Point], new: Sequence[Point]) -> tuple[list[int | None], list[int | None]]:
    """Return which new wall and corner is where each old one was."""

    def at(corner: Point) -> int | None:
        return next((i for i, other in enumerate(new) if math.dist(corner, other) <= SAME), None)

    corners = [at(corner) for corner in old]
    walls: list[int | None] = []
    for begins, ends in zip(corners, [*corners[1:], *corners[:1]], strict=True):
        same = begins is not None and ends is not None and ends == (begins + 1) % len(new)
        walls.append(begins if same else None)
    return walls, corners


def best_shift(old: Sequence[Point], new: Sequence[Point]) -> int:
    """Return by how many places to turn the new corners so that they lie nearest to the old ones."""
    before, after = np.array(old), np.array(new)
    costs = [np.hypot(*(np.roll(after, -shift, axis=0) - before).T).sum() for shift in range(len(after))]
    return int(np.argmin(costs))


def shifted_corner(corner: Point, beyond: Point, along: Point, out: Point, *, begins: bool) -> tuple[Point, ...]:
    """Return what becomes of one end of a shifted wall: one corner, or two beside a wall in line."""
    there = (corner[0] + out[0], corner[1] + out[1])
    reach = math.dist(corner, beyond)
    nx, ny = (beyond[0] - corner[0]) / reach, (beyond[1] - corner[1]) / reach
    sine = along[0] * ny - along[1] * nx
    if abs(sine) < _IN_LINE:
        return (corner, there) if begins else (there, corner)
    share = (out[0] * along[1] - out[1] * along[0]) / -sine
    return ((corner[0] + nx * share, corner[1] + ny * share),)
