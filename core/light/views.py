"""Views: what the surfaces and points of a room see of its surfaces.

The configuration factor F[i, j] is the share of patch i's view that patch j fills. It is counted with rays that leave
points spread over patch i in cosine-weighted directions and stop at the first surface they meet, so everything that
hides or is hidden is taken into account, and every row adds up to 1 but for rays that find nothing or land on a covered
spot. Directions follow an evenly spread sequence (additive recurrences: of the plastic number for direction, of the
golden ratio for origin), shifted from patch to patch by another one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from core.light.enclosure import Enclosure
from core.light.grid import FloatArray
from core.light.patches import Patches
from core.light.visibility import Blockers, in_threads

__all__ = ["Viewers", "Views", "count_views", "tangents", "viewers_at", "viewers_of_patches"]

CLEAR = 1e-4
CHUNK_RAYS = 80_000
_PLASTIC = 1.324717957244746  # the root of x**3 = x + 1
_GOLDEN = 1.618033988749895  # the root of x**2 = x + 1
_FOURTH = 1.2207440846057596  # the root of x**4 = x + 1
_STEPS = np.array([1.0 / _PLASTIC, 1.0 / _PLASTIC**2, 1.0 / _GOLDEN])
_BETWEEN = np.array([1.0 / _FOURTH, 1.0 / _FOURTH**2, 1.0 / _FOURTH**3])
"""By how much each viewer's rays are shifted from those of the one before it: neighbours fill each other's gaps."""


@dataclass(frozen=True)
class Viewers:
    """Places that look into the room: row i looks along ``normals[i]`` from origins ``first[i]:first[i + 1]``."""

    origins: FloatArray
    first: NDArray[np.int64]
    normals: FloatArray

    def __len__(self) -> int:
        return len(self.normals)

    @cached_property
    def starts(self) -> FloatArray:
        """Where rays start, just off the surface: (origins, 3), single precision."""
        normals = np.repeat(self.normals, np.diff(self.first), axis=0)
        starts: FloatArray = (self.origins + CLEAR * normals).astype(np.float32)
        return starts


def viewers_of_patches(patches: Patches) -> Viewers:
    """Return every patch as a viewer, from the centres of all its tiles."""
    return Viewers(patches.tile_points, patches.first_tile, patches.normals)


def viewers_at(points: FloatArray, normals: FloatArray) -> Viewers:
    """Return single points as viewers."""
    return Viewers(np.asarray(points, float), np.arange(len(points) + 1), np.asarray(normals, float))


@dataclass(frozen=True)
class Views:
    """What each of the viewers sees.

    Attributes
    ----------
    tiles : (viewers, rays) int32
        The tile that each ray met (-1: nothing), in the order of the rays' origins.
    rays_from : (origins,) int
        How many rays left each origin.
    patch_of : (tiles,) int
        Whose tile each is, of ``patches`` patches in all.
    """

    tiles: NDArray[np.int32]
    rays_from: NDArray[np.int64]
    patch_of: NDArray[np.int64]
    patches: int

    def factors(self, rows: NDArray[np.int64] | None = None) -> FloatArray:
        """Count the configuration factors of all viewers or some (k,), (k, patches) float32.

        A row's sum is below 1 by what found nothing.
        """
        met = self.tiles if rows is None else self.tiles[rows]
        factors = np.empty((len(met), self.patches), dtype=np.float32)
        most = max(1, CHUNK_RAYS // max(1, met.shape[1]))

        def work(part: slice) -> None:
            for start in range(part.start, part.stop, most):
                stop = min(start + most, part.stop)
                factors[start:stop] = self._shares(met[start:stop])

        in_threads(work, len(met), least=most)
        return factors

    def _shares(self, tiles: NDArray[np.int32]) -> FloatArray:
        rows, rays = tiles.shape
        columns = self.patches + 1  # the last one is for rays that met nothing
        patch = np.append(self.patch_of, self.patches).take(tiles)
        patch += np.arange(rows)[:, None] * columns
        counts = np.bincount(patch.ravel(), minlength=rows * columns).reshape(rows, columns)
        shares: FloatArray = counts[:, :-1] / rays
        return shares

    def gather(self, lit: FloatArray) -> FloatArray:
        """Average what the rays of each origin met: light given back by the tiles (m,), result (origins,).

        An origin without a ray gets nan.
        """
        met = np.append(lit, lit.dtype.type(0)).take(self.tiles.ravel())
        sums = np.zeros(len(self.rays_from), dtype=lit.dtype)
        used = np.flatnonzero(self.rays_from)
        starts = np.concatenate([[0], np.cumsum(self.rays_from)[:-1]])[used]
        sums[used] = np.add.reduceat(met, starts) if used.size else 0.0
        with np.errstate(invalid="ignore"):
            mean: FloatArray = sums / self.rays_from.astype(lit.dtype)
        return mean


def count_views(
    viewers: Viewers,
    rays: int,
    enclosure: Enclosure,
    patches: Patches,
    blockers: Blockers,
    step: Callable[[float], None] | None = None,
) -> Views:
    """Send rays from each viewer and note what they meet; ``step`` is told the share of the work done now and then."""
    tiles = np.empty((len(viewers), rays), dtype=np.int32)
    rays_from = np.zeros(len(viewers.origins), dtype=np.int64)
    rows = max(1, CHUNK_RAYS // rays)

    def work(part: slice) -> None:
        for start in range(part.start, part.stop, rows):
            stop = min(start + rows, part.stop)
            origins, met = _tiles_met(viewers, start, stop, rays, enclosure, patches, blockers)
            tiles[start:stop] = met
            low, high = viewers.first[start], viewers.first[stop]
            rays_from[low:high] = np.bincount(origins.ravel() - low, minlength=high - low)
            if step is not None:
                step((stop - part.start) / (part.stop - part.start))

    in_threads(work, len(viewers), least=rows)
    return Views(tiles, rays_from, patches.tile_patch, len(patches))


def _tiles_met(
    viewers: Viewers,
    start: int,
    stop: int,
    rays: int,
    enclosure: Enclosure,
    patches: Patches,
    blockers: Blockers,
) -> tuple[NDArray[np.int64], NDArray[np.int32]]:
    """Send rays from viewers start..stop; return origin and tile met of each, both (stop - start, rays)."""
    rows = np.arange(start, stop)
    shift = (rows[:, None, None] * _BETWEEN) % 1.0
    a, b, c = (_wrapped(_even_spread(rays)[:, axis] + shift[..., axis]) for axis in range(3))
    a, b = a.astype(np.float32), b.astype(np.float32)
    first, count = viewers.first[rows][:, None], np.diff(viewers.first)[rows][:, None]
    # Short integers are sorted by their digits, which is several times quicker.
    within: NDArray[np.signedinteger] = (c * count).astype(np.int16 if int(count.max()) < 2**15 else np.int64)
    if len(viewers.origins) > len(viewers):
        order = np.argsort(within, axis=1, kind="stable")
        within = np.take_along_axis(within, order, axis=1)
        a, b = np.take_along_axis(a, order, axis=1), np.take_along_axis(b, order, axis=1)
    which = first + within
    origin = viewers.starts.take(which.ravel(), axis=0)
    direction = _cosine_directions(a, b, viewers.normals[rows].astype(np.float32)).reshape(-1, 3)
    triangle, distance = blockers.first_hit(origin, direction)
    tile = np.full(len(origin), -1, dtype=np.int32)
    met: slice | NDArray[np.int64] = slice(None) if (triangle >= 0).all() else np.flatnonzero(triangle >= 0)
    places = origin[met] + direction[met] * distance[met, None]
    tile[met] = patches.cells.tile_at(enclosure.triangle_surface.take(triangle[met]), places)
    return which, tile.reshape(len(rows), rays)


@lru_cache(maxsize=64)
def _even_spread(rays: int) -> FloatArray:
    """Return the first so many of the points spread evenly over the cube 0..1, (rays, 3)."""
    spread: FloatArray = (np.arange(rays)[:, None] * _STEPS) % 1.0
    spread.flags.writeable = False
    return spread


def _wrapped(sums: FloatArray) -> FloatArray:
    """Take 1 off all numbers that are not below it, in place."""
    return np.subtract(sums, 1.0, out=sums, where=sums >= 1.0)


def _cosine_directions(a: FloatArray, b: FloatArray, normals: FloatArray) -> FloatArray:
    """Map (n, k) pairs of 0..1 to unit directions about normals (n, 3), dense where the cosine is large."""
    tangent, other = tangents(normals)
    radius, angle = np.sqrt(a), 2.0 * np.pi * b
    x, y, z = radius * np.cos(angle), radius * np.sin(angle), np.sqrt(1.0 - a)
    directions = np.empty((*a.shape, 3), dtype=a.dtype)
    for axis in range(3):
        sideways = x * tangent[:, None, axis] + y * other[:, None, axis]
        np.add(sideways, z * normals[:, None, axis], out=directions[..., axis])
    return directions


def tangents(normals: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return two unit vectors square to each normal and to each other, each (n, 3)."""
    steep = np.abs(normals[:, 2]) > 0.9
    helper = np.where(steep[:, None], [[1.0, 0.0, 0.0]], [[0.0, 0.0, 1.0]])
    tangent = np.cross(helper, normals)
    tangent /= np.linalg.norm(tangent, axis=1, keepdims=True)
    return tangent, np.cross(normals, tangent)
