"""Light on faces and racks: vertical, cylindrical and semi-cylindrical illuminance, and the modelling ratio.

Cylindrical illuminance Ez is the mean of the vertical illuminance over all directions; for a point source
Ez = I sin(theta) / (pi d^2). Semi-cylindrical illuminance is the mean over the half that faces the person's view. The
modelling ratio is Ez / Eh at one point; 0.30 to 0.60 shows shapes well. Ez should be 50 lx at least, 150 lx where
faces matter, at 1.6 m standing (EN 12464-1, from luminaire makers' explainers).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.light.grid import FloatArray

__all__ = ["DIRECTIONS", "LEAST_CYLINDRICAL", "MODELLING", "FaceLight", "face_receivers"]

DIRECTIONS = 72
MODELLING = (0.30, 0.60)
LEAST_CYLINDRICAL = 50.0


@dataclass(frozen=True)
class FaceLight:
    """What each fixture gives at one point: ``around`` (72, fixtures) vertical from the facing direction on
    counter-clockwise, ``level`` (fixtures,) horizontal [lx]."""

    around: FloatArray
    level: FloatArray

    def vertical(self, shares: FloatArray) -> float:
        """Illuminance on the vertical plane that faces the view [lx]."""
        return float(self.around[0] @ shares)

    def cylindrical(self, shares: FloatArray) -> float:
        """Mean vertical illuminance over all directions [lx]."""
        return float((self.around @ shares).mean())

    def semicylindrical(self, shares: FloatArray) -> float:
        """Mean vertical illuminance over the half that faces the view [lx] (trapezoidal rule from -90 to 90 degree)."""
        lux = self.around @ shares
        quarter = len(lux) // 4
        half = np.roll(lux, quarter)[: 2 * quarter + 1]
        weights = np.ones(len(half))
        weights[[0, -1]] = 0.5
        return float((half * weights).sum() / weights.sum())

    def modelling(self, shares: FloatArray) -> float:
        """Cylindrical / horizontal illuminance; 0 in the dark."""
        level = float(self.level @ shares)
        return self.cylindrical(shares) / level if level > 0.0 else 0.0


def face_receivers(place: FloatArray, facing_deg: float) -> tuple[FloatArray, FloatArray]:
    """Return points and normals (73, 3) whose responses make a `FaceLight`: 72 vertical ones and one that looks up."""
    angles = math.radians(facing_deg) + 2.0 * math.pi * np.arange(DIRECTIONS) / DIRECTIONS
    normals = np.column_stack([np.cos(angles), np.sin(angles), np.zeros(DIRECTIONS)])
    normals = np.vstack([normals, [0.0, 0.0, 1.0]])
    return np.tile(np.asarray(place, float), (len(normals), 1)), normals
