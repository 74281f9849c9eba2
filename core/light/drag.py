"""A drag frame: one fixture's column, quick enough to follow the mouse.

The same physics as the full column with fewer rays. On the work plane and the benches a diffuse rectangle keeps its
closed form, times the share of `PLACES` places of it that each point sees; other openings are summed over those places.
On the surfaces each tile sees one place, in turn, so that a patch sees several. What the room makes of it is one
product with an operator that was worked out when the room was made ready: light is linear.

Everything is single precision, laid out beforehand and worked on in blocks that stay near the processor, each block on
one thread from its rays to its light; only the fixture's places change from frame to frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.light.direct import CLEAR, spread_places
from core.light.grid import FloatArray
from core.light.receivers import UP
from core.light.roomlight import RoomLight
from core.light.sources import Source
from core.light.visibility import in_threads
from core.photometry.distribution import Axial

__all__ = ["DragColumn", "DragRoom"]

PLACES = 12
BLOCK_RAYS = 8000
Single = NDArray[np.float32]


@dataclass(frozen=True)
class DragColumn:
    """One fixture's light at drag quality: on the plane's points and on each bench's points [lx]."""

    plane: FloatArray
    benches: tuple[FloatArray, ...]


class DragRoom:
    """A room laid out for drag frames. Making one costs a solve of the room's exchange; keep it with the room."""

    def __init__(self, room: RoomLight) -> None:
        patches = room.patches
        self._room = room
        points = np.concatenate([room.plane.points, *(bench.points for bench in room.benches)])
        self._starts = np.ascontiguousarray((points + CLEAR * UP).T, dtype=np.float32)
        tiles = patches.tile_points + CLEAR * patches.tile_normals
        self._tile_starts = np.ascontiguousarray(tiles.T, dtype=np.float32)
        self._tile_normals = np.ascontiguousarray(patches.tile_normals.T, dtype=np.float32)
        self._tile_place = np.arange(len(tiles)) % PLACES
        self._least_square = (patches.tile_area / np.pi).astype(np.float32)
        self._weights = (patches.tile_area / patches.area[patches.tile_patch]).astype(np.float32)
        self._operator = room.transfer.carried(room.seen.factors)
        self._origins = np.repeat(self._starts.T, PLACES, axis=0)
        self._local = spread_places(PLACES)
        of_points, of_tiles = _blocks(len(points), BLOCK_RAYS // PLACES), _blocks(len(tiles), BLOCK_RAYS)
        self._blocks = [(True, part) for part in of_points] + [(False, part) for part in of_tiles]

    def rays(self, source: Source) -> tuple[Single, Single]:
        """Return origins and directions (n, 3) of the rays of one frame: the far end is origin + direction."""
        spots = self._spots(source)
        starts = np.concatenate([self._origins, self._tile_starts.T])
        ends = np.concatenate([np.tile(spots, (self._starts.shape[1], 1)), spots[self._tile_place]])
        return starts, ends - starts

    def column(self, source: Source) -> DragColumn:
        """Work out one fixture's column."""
        spots = self._spots(source)
        lux = np.empty(self._starts.shape[1], dtype=np.float32)
        on_tiles = np.empty(self._tile_starts.shape[1], dtype=np.float32)

        def light(some: slice) -> None:
            for is_point, part in self._blocks[some]:
                if is_point:
                    lux[part] = self._on_points(source, spots, part)
                else:
                    on_tiles[part] = self._on_tiles(source, spots, part)

        in_threads(light, len(self._blocks), least=2)
        on_patches = np.add.reduceat(on_tiles * self._weights, self._room.patches.first_tile[:-1])
        reflected = np.empty(len(self._operator), dtype=np.float32)

        def carry(part: slice) -> None:
            # einsum, not BLAS: its threads wait for one another on a busy machine, and a frame has no time for that.
            reflected[part] = np.einsum("rp,p->r", self._operator[part], on_patches)

        in_threads(carry, len(reflected), least=400)
        return self._assembled(lux, reflected)

    def _spots(self, source: Source) -> Single:
        return source.places(self._local).astype(np.float32)

    def _on_points(self, source: Source, spots: Single, part: slice) -> Single:
        starts = self._starts[:, part]
        x, y = (spots[None, :, axis] - starts[axis, :, None] for axis in (0, 1))
        z = spots[0, 2] - starts[2]  # an opening is level
        rays = np.empty((*x.shape, 3), dtype=np.float32)
        rays[..., 0], rays[..., 1], rays[..., 2] = x, y, z[:, None]
        first = slice(part.start * PLACES, part.stop * PLACES)
        free = ~self._room.blockers.occluded(self._origins[first], rays.reshape(-1, 3)).reshape(x.shape)
        square = x * x + y * y + (z * z)[:, None]
        up = np.maximum(z, np.float32(0.0))
        if source.is_diffuse:
            # Lambert's two cosines, both z / distance; z is the same for all places of a point.
            given = 1.0 / (square * square)
            whole = _whole(source, starts)
            factor = np.float32((1.0 - source.distribution.upward_share) / np.pi) * up * z
        else:
            distance = np.sqrt(square)
            given = _intensity(source, rays, z[:, None], distance) / (square * distance)
            whole, factor = None, up
        through = np.einsum("np,np->n", given, free.astype(np.float32))
        if whole is not None:
            lux: Single = whole * (through / given.sum(axis=1))
            return lux
        summed: Single = through * factor * np.float32(source.lumens / PLACES)
        return summed

    def _on_tiles(self, source: Source, spots: Single, part: slice) -> Single:
        rays = spots[self._tile_place[part]] - self._tile_starts[:, part].T
        free = ~self._room.blockers.occluded(self._tile_starts[:, part].T, rays)
        x, y, z = np.ascontiguousarray(rays.T)
        normals = self._tile_normals[:, part]
        square = x * x + y * y + z * z
        facing = np.maximum(x * normals[0] + y * normals[1] + z * normals[2], 0.0)
        distance = np.sqrt(square)
        lux: Single = _intensity(source, rays, z, distance) * facing * free
        lux *= np.float32(source.lumens) / (np.maximum(square, self._least_square[part]) * distance)
        return lux

    def _assembled(self, lux: Single, reflected: Single) -> DragColumn:
        plane_points, mesh = len(self._room.plane.points), len(self._room.plane.mesh)
        plane = lux[:plane_points] + self._room.plane.spread(reflected[:mesh])
        rest = lux[plane_points:] + reflected[mesh:]
        edges = np.cumsum([len(bench.points) for bench in self._room.benches])
        return DragColumn(plane, tuple(np.split(rest, edges[:-1])) if len(edges) else ())


def _blocks(count: int, size: int) -> list[slice]:
    return [slice(start, min(start + size, count)) for start in range(0, count, size)]


def _intensity(source: Source, rays: Single, rise: Single, distance: Single) -> Single:
    """Return the intensity per lumen towards where rays (..., 3) of some length come from; ``rise`` is their z."""
    distribution = source.distribution
    if isinstance(distribution, Axial):
        return distribution.of_cosine(rise / distance)
    return distribution.intensity(source.to_local(-rays / distance[..., None]))


def _whole(source: Source, starts: Single) -> Single | None:
    """Return what a diffuse opening gives points (3, n) that look up, nothing between; None where no form is known."""
    if not source.is_round:
        return _rectangle(source, starts)
    return _disc(source, starts) if source.half_length == source.half_width else None


def _disc(source: Source, starts: Single) -> Single:
    """A diffuse disc over points that look up: the parallel closed form (J. R. Howell, Catalog of Radiation Heat
    Transfer Configuration Factors, B-13: element to a parallel disc; from memory, tested against `closed_forms`)."""
    offset = np.asarray(source.centre, dtype=np.float32)[:, None] - starts
    aside, away = offset[0] ** 2 + offset[1] ** 2, offset[2] ** 2
    round_ = np.float32(source.half_length**2)
    root = np.sqrt((aside + away + round_) ** 2 - 4.0 * aside * round_)
    factor = 0.5 * (1.0 - (aside + away - round_) / np.maximum(root, 1e-12))
    exitance = source.lumens * (1.0 - source.distribution.upward_share) / (np.pi * source.half_length**2)
    return np.where(offset[2] > 0.0, factor * np.float32(exitance), np.float32(0.0))


def _rectangle(source: Source, starts: Single) -> Single:
    """A diffuse rectangle over points that look up: the parallel closed form, corner by corner (see `closed_forms`)."""
    along, across = source.axes
    offset = np.asarray(source.centre, dtype=np.float32)[:, None] - starts
    u = offset[0] * np.float32(along[0]) + offset[1] * np.float32(along[1])
    v = offset[0] * np.float32(across[0]) + offset[1] * np.float32(across[1])
    height = np.maximum(offset[2], 1e-4)
    total = np.zeros(starts.shape[1], dtype=np.float32)
    for sign_u in (1.0, -1.0):
        a = (u + np.float32(sign_u * source.half_length)) / height
        root_a = np.sqrt(1.0 + a * a)
        for sign_v in (1.0, -1.0):
            b = (v + np.float32(sign_v * source.half_width)) / height
            root_b = np.sqrt(1.0 + b * b)
            corner = a / root_a * np.arctan(b / root_a) + b / root_b * np.arctan(a / root_b)
            total += corner if sign_u * sign_v > 0.0 else -corner
    exitance = source.lumens * (1.0 - source.distribution.upward_share)
    exitance /= 4.0 * source.half_length * source.half_width
    return np.where(offset[2] > 0.0, np.abs(total) * np.float32(exitance / (2.0 * np.pi)), np.float32(0.0))
