"""Direct light on the tiles of a room's surfaces."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from core.light.direct import ShadowRays, direct
from core.light.grid import FloatArray
from core.light.patches import Patches
from core.light.sources import Source
from core.light.visibility import Blockers

__all__ = ["by_reach", "direct_on_tiles"]

NEARER = ((4.0, 4), (1.0, 8))
"""Sides of a tile: one nearer than this to the source gets light at so many times so many points on it. Its middle may
be dark and half of it the brightest spot in the room: that of a wall at the height of a strip an inch away."""


def by_reach(reach: FloatArray, nearer: tuple[tuple[float, int], ...]) -> Iterator[tuple[NDArray[np.int64], int]]:
    """Yield which places lie within each reach but not the next smaller one, and how many points to a side they get.

    ``nearer`` has reaches from the largest on, each with its points to a side.
    """
    for number, (most, side) in enumerate(nearer):
        least = nearer[number + 1][0] if number + 1 < len(nearer) else 0.0
        within = np.flatnonzero((reach < most) & (reach >= least))
        if within.size:
            yield within, side


def direct_on_tiles(
    patches: Patches, chosen: NDArray[np.int64], source: Source, shades: Blockers, rays: ShadowRays
) -> FloatArray:
    """Return the direct light on some tiles (k,) [lx]; on those close to the source, the mean over points on them."""
    points, normals = patches.tile_points[chosen], patches.tile_normals[chosen]
    lux = direct(points, normals, source, shades, rays)
    reach = source.gap_to(points) / np.linalg.norm(patches.tile_sides[chosen], axis=2).max(axis=1)
    reach[~patches.is_whole()[chosen]] = np.inf
    for near, side in by_reach(reach, NEARER):
        over = patches.spread_over(chosen[near], side)
        facing = np.broadcast_to(normals[near, None, :], over.shape)
        finer = direct(over.reshape(-1, 3), facing.reshape(-1, 3), source, shades, rays)
        lux[near] = finer.reshape(len(near), -1).mean(axis=1)
    return lux
