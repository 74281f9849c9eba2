"""A drag frame: one fixture's column, quick enough to follow the mouse.

The same physics as the full column with fewer rays. On the work plane and the benches a diffuse rectangle keeps its
closed form, times the share of `PLACES` places of it that each point sees; other openings are summed over those places.
On the surfaces each tile sees one place, in turn, so that a patch sees several. What the room makes of it is one
product with an operator that was worked out when the room was made ready: light is linear.

Everything is single precision and laid out beforehand; only the fixture's places change from frame to frame.
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

__all__ = ["DragColumn", "DragRoom"]

PLACES = 12
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
        self._points = len(points)
        self._starts = np.ascontiguousarray((points + CLEAR * UP).T, dtype=np.float32)
        self._tile_starts = np.ascontiguousarray(
            (patches.tile_points + CLEAR * patches.tile_normals).T, dtype=np.float32
        )
        self._tile_normals = np.ascontiguousarray(patches.tile_normals.T, dtype=np.float32)
        self._tile_place = np.arange(len(patches.tile_points)) % PLACES
        self._least_square = (patches.tile_area / np.pi).astype(np.float32)
        self._weights = (patches.tile_area / patches.area[patches.tile_patch]).astype(np.float32)
        self._operator = room.transfer.carried(room.seen.factors)
        self._origins = np.concatenate(
            [np.repeat(self._starts.T, PLACES, axis=0), self._tile_starts.T], dtype=np.float32
        )
        self._local = spread_places(PLACES)

    def rays(self, source: Source) -> tuple[Single, Single]:
        """Return origins and directions (n, 3) of the rays of one frame: the far end is origin + direction."""
        spots = source.places(self._local).astype(np.float32)
        split = self._points * PLACES
        directions = np.empty_like(self._origins)
        near = directions[:split].reshape(self._points, PLACES, 3)
        np.subtract(spots[None, :, :], self._starts.T[:, None, :], out=near)
        np.subtract(spots[self._tile_place], self._tile_starts.T, out=directions[split:])
        return self._origins, directions

    def column(self, source: Source) -> DragColumn:
        """Work out one fixture's column."""
        origins, directions = self.rays(source)
        free = ~self._room.blockers.occluded(origins, directions)
        split = self._points * PLACES
        lux = np.empty(self._points, dtype=np.float32)

        def read(part: slice) -> None:
            rays = directions[:split].reshape(self._points, PLACES, 3)[part]
            seen = free[:split].reshape(self._points, PLACES)[part]
            lux[part] = self._on_points(source, self._starts[:, part], rays, seen)

        in_threads(read, self._points, least=1500)
        on_tiles = self._on_tiles(source, directions[split:], free[split:])
        on_patches = np.add.reduceat(on_tiles * self._weights, self._room.patches.first_tile[:-1])
        reflected = np.empty(len(self._operator), dtype=np.float32)

        def carry(part: slice) -> None:
            # einsum, not BLAS: its threads wait for one another on a busy machine, and a frame has no time for that.
            reflected[part] = np.einsum("rp,p->r", self._operator[part], on_patches)

        in_threads(carry, len(reflected), least=400)
        return self._assembled(lux, reflected)

    def _on_points(self, source: Source, starts: Single, rays: Single, seen: NDArray[np.bool_]) -> Single:
        x, y, z = rays[..., 0], rays[..., 1], rays[..., 2]
        square = x * x + y * y + z * z
        up = np.maximum(z, 0.0)
        if source.is_diffuse:
            given = up * np.abs(z) / (square * square)
        else:
            distance = np.sqrt(square)
            leaving = source.to_local(-rays / distance[..., None])
            given = source.distribution.intensity(leaving) * up / (square * distance)
        through = np.where(seen, given, 0.0).sum(axis=1)
        if not source.is_diffuse or source.is_round:
            factor = source.lumens / PLACES
            if source.is_diffuse:
                factor *= (1.0 - source.distribution.upward_share) / np.pi
            lux: Single = through * np.float32(factor)
            return lux
        share: Single = through / np.maximum(given.sum(axis=1), 1e-12)
        whole = _rectangle(source, starts)
        whole *= share
        return whole

    def _on_tiles(self, source: Source, rays: Single, free: NDArray[np.bool_]) -> Single:
        square = np.einsum("nc,nc->n", rays, rays)
        facing = np.maximum(np.einsum("nc,cn->n", rays, self._tile_normals), 0.0)
        distance = np.sqrt(square)
        leaving = source.to_local(-rays / distance[:, None])
        lux: Single = source.distribution.intensity(leaving) * facing * free
        lux *= np.float32(source.lumens) / (np.maximum(square, self._least_square) * distance)
        return lux

    def _assembled(self, lux: Single, reflected: Single) -> DragColumn:
        plane_points, mesh = len(self._room.plane.points), len(self._room.plane.mesh)
        plane = lux[:plane_points] + self._room.plane.spread(reflected[:mesh])
        rest = lux[plane_points:] + reflected[mesh:]
        edges = np.cumsum([len(bench.points) for bench in self._room.benches])
        return DragColumn(plane, tuple(np.split(rest, edges[:-1])) if len(edges) else ())


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
