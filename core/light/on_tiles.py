"""Direct light on the tiles of a room's surfaces."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.light.direct import ShadowRays, direct
from core.light.grid import FloatArray
from core.light.patches import Patches
from core.light.sources import Source
from core.light.visibility import Blockers

__all__ = ["direct_on_tiles"]

NEARER = ((4.0, 4), (1.0, 8))
"""Sides of a tile: one nearer than this to the source gets light at so many times so many points on it. Its middle may
be dark and half of it the brightest spot in the room: that of a wall at the height of a strip an inch away."""


def direct_on_tiles(
    patches: Patches, chosen: NDArray[np.int64], source: Source, shades: Blockers, rays: ShadowRays
) -> FloatArray:
    """Return the direct light on some tiles (k,) [lx]; on those close to the source, the mean over points on them."""
    points, normals = patches.tile_points[chosen], patches.tile_normals[chosen]
    lux = direct(points, normals, source, shades, rays)
    reach = source.gap_to(points) / np.linalg.norm(patches.tile_sides[chosen], axis=2).max(axis=1)
    is_whole = patches.is_whole()[chosen]
    for (most, side), (least, _) in zip(NEARER, (*NEARER[1:], (0.0, 0)), strict=True):
        near = np.flatnonzero((reach < most) & (reach >= least) & is_whole)
        if near.size:
            over = patches.spread_over(chosen[near], side)
            facing = np.broadcast_to(normals[near, None, :], over.shape)
            finer = direct(over.reshape(-1, 3), facing.reshape(-1, 3), source, shades, rays)
            lux[near] = finer.reshape(len(near), -1).mean(axis=1)
    return lux
