"""Contrast between lamps, ceiling and walls: average luminances L = rho E / pi of diffuse surfaces.

Averages are taken over points spread evenly over the exposed part of each surface. EN 12464-1:2011 asks for 30 lx on
the ceiling and 50 lx on walls at least (from memory, not verified); a ceiling darker than a tenth of the task makes
lamps look harsh (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from core.light.enclosure import Enclosure, Surface
from core.light.grid import FloatArray

__all__ = ["CEILING_LEAST", "TASK_SHARE", "WALL_LEAST", "Faces", "surface_points"]

CEILING_LEAST, WALL_LEAST = 30.0, 50.0
TASK_SHARE = 0.1
PER_SURFACE = 24
_OFF = 1e-3


@dataclass(frozen=True)
class Faces:
    """A group of surfaces, the ceiling or all walls: average illuminance (fixtures,) [lx] and exitance / illuminance.

    ``exitance`` (fixtures,) is the average of rho E [lm/m2].
    """

    illuminance: FloatArray
    exitance: FloatArray

    def lux(self, shares: FloatArray) -> float:
        """Return the average illuminance [lx]."""
        return float(self.illuminance @ shares)

    def luminance(self, shares: FloatArray) -> float:
        """Return the average luminance [cd/m2]."""
        return float(self.exitance @ shares) / math.pi


def surface_points(enclosure: Enclosure, kind: str) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Spread points over the exposed part of the 'ceiling' or of every 'wall'.

    Returns
    -------
    points, normals : (n, 3)
    weights : (n,)
        Share of the area that a point stands for; they add up to 1.
    reflectance : (n,)
    """
    faces = [face for face in enclosure.surfaces if face.name.split()[0] == kind and not face.exposed.is_empty]
    points, normals, weights, reflectance = [], [], [], []
    for face in faces:
        spots = _spread(face)
        points.append(face.to_room(spots) + _OFF * face.normal)
        normals.append(np.tile(face.normal, (len(spots), 1)))
        weights.append(np.full(len(spots), face.exposed.area / len(spots)))
        reflectance.append(np.full(len(spots), face.reflectance))
    if not faces:
        return np.zeros((0, 3)), np.zeros((0, 3)), np.zeros(0), np.zeros(0)
    weight = np.concatenate(weights)
    return np.concatenate(points), np.concatenate(normals), weight / weight.sum(), np.concatenate(reflectance)


def _spread(face: Surface) -> FloatArray:
    """Return about `PER_SURFACE` places on a surface, shape (n, 2)."""
    u0, v0, u1, v1 = face.exposed.bounds
    aim = PER_SURFACE * (u1 - u0) * (v1 - v0) / face.exposed.area
    nu = max(1, round(math.sqrt(aim * (u1 - u0) / max(v1 - v0, 1e-6))))
    nv = max(1, round(aim / nu))
    us, vs = u0 + (np.arange(nu) + 0.5) * (u1 - u0) / nu, v0 + (np.arange(nv) + 0.5) * (v1 - v0) / nv
    grid = np.stack(np.meshgrid(us, vs, indexing="ij"), axis=-1).reshape(-1, 2)
    grid = grid[shapely.contains_xy(face.exposed, grid[:, 0], grid[:, 1])]
    if not len(grid):
        grid = np.array(face.exposed.representative_point().coords)
    return grid
