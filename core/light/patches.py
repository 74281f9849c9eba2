"""Patches and tiles: the exposed surfaces cut into pieces.

A patch is what exchanges light with other patches; it is made of tiles, and a tile is what direct light falls on. Each
surface is cut along its own grid; where something stands on it, a tile keeps its exposed part. Direct light is not
smooth, so it is kept tile by tile; what is reflected over and over is smooth, so it is kept patch by patch.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from core.light.enclosure import Enclosure, Surface
from core.light.grid import BoolArray, FloatArray

__all__ = ["Patches", "cut_into_patches"]

LEAST_AREA = 1e-5
"""Slivers smaller than this are left out [m2]."""


@dataclass(frozen=True)
class Patches:
    """The n patches of an enclosure and their m tiles, tiles in the order of their patches.

    Attributes
    ----------
    area, reflectance : (n,)
        [m2] and share.
    normals : (n, 3)
        Unit normals into the room.
    first_tile : (n + 1,) int
        Tiles of patch i are ``first_tile[i]:first_tile[i + 1]``.
    tile_points : (m, 3)
        Centre of the exposed part of each tile [m].
    tile_area : (m,)
        [m2].
    tile_patch : (m,) int
        Whose tile it is.
    tile_sides : (m, 2, 3)
        The sides of each tile's cell as vectors [m]; a tile that is partly covered is smaller than its cell.
    """

    area: FloatArray
    reflectance: FloatArray
    normals: FloatArray
    first_tile: NDArray[np.int64]
    tile_points: FloatArray
    tile_area: FloatArray
    tile_patch: NDArray[np.int64]
    tile_sides: FloatArray
    surfaces: tuple[_Grid, ...]

    def __len__(self) -> int:
        return len(self.area)

    @property
    def tile_normals(self) -> FloatArray:
        """Unit normals of the tiles, (m, 3)."""
        return self.normals[self.tile_patch]

    def spread_over(self, tiles: NDArray[np.int64], side: int) -> FloatArray:
        """Return ``side`` x ``side`` points over each of some whole tiles, (tiles, side * side, 3)."""
        step = (np.arange(side) + 0.5) / side - 0.5
        places = np.stack(np.meshgrid(step, step, indexing="ij"), axis=-1).reshape(-1, 2)
        points: FloatArray = self.tile_points[tiles, None, :] + np.einsum("pa,tac->tpc", places, self.tile_sides[tiles])
        return points

    def is_whole(self) -> BoolArray:
        """Tell which tiles are not covered in part, (m,)."""
        cell = np.linalg.norm(self.tile_sides, axis=2).prod(axis=1)
        whole: BoolArray = self.tile_area > (1.0 - 1e-6) * cell
        return whole

    def average(self, on_tiles: FloatArray) -> FloatArray:
        """Average values on the tiles, (m,) or (m, k), over each patch: (n,) or (n, k)."""
        weighted = (on_tiles.T * self.tile_area).T
        sums = np.add.reduceat(weighted, self.first_tile[:-1], axis=0)
        return (sums.T / self.area).T

    def tile_at(self, surface: NDArray[np.int32], places: FloatArray) -> NDArray[np.int32]:
        """Return the tile at places (k, 3) on known surfaces (k,), -1 where that spot is covered."""
        found = np.full(len(places), -1, dtype=np.int32)
        order = np.argsort(surface, kind="stable")
        edges = np.flatnonzero(np.diff(surface[order])) + 1
        for rows in np.split(order, edges):
            if rows.size:
                found[rows] = self.surfaces[int(surface[rows[0]])].tile_at(places[rows])
        return found


@dataclass(frozen=True)
class _Grid:
    """The tiles of one surface: its frame, the low corner and size of a tile, and which tile fills a cell (or -1)."""

    face: Surface
    low: FloatArray
    step: FloatArray
    tiles: NDArray[np.int32]

    def tile_at(self, places: FloatArray) -> NDArray[np.int32]:
        offset = places - self.face.origin
        u = ((offset @ self.face.u_axis - self.low[0]) / self.step[0]).astype(np.int64)
        v = ((offset @ self.face.v_axis - self.low[1]) / self.step[1]).astype(np.int64)
        nu, nv = self.tiles.shape
        found: NDArray[np.int32] = self.tiles[np.clip(u, 0, nu - 1), np.clip(v, 0, nv - 1)]
        return found


@dataclass(frozen=True)
class _Cut:
    """One surface cut up: per tile its grid cell, patch (counted within the surface), centre (u, v) and area."""

    low: FloatArray
    step: FloatArray
    shape: tuple[int, int]
    cell: NDArray[np.int64]
    patch: NDArray[np.int64]
    centre: FloatArray
    area: FloatArray


def cut_into_patches(enclosure: Enclosure, size: float, side: int = 3) -> Patches:
    """Cut every exposed surface into patches of about ``size`` [m], with ``side`` x ``side`` tiles each."""
    faces = enclosure.surfaces
    cuts = [_cut_surface(face, size, side) for face in faces]
    patches_of = [int(cut.patch.max()) + 1 if cut.patch.size else 0 for cut in cuts]
    first_patch = np.cumsum([0, *patches_of])
    first_tile = np.cumsum([0, *(len(cut.area) for cut in cuts)])
    grids = []
    for face, cut, start in zip(faces, cuts, first_tile[:-1], strict=True):
        tiles = np.full(cut.shape[0] * cut.shape[1], -1, dtype=np.int32)
        tiles[cut.cell] = start + np.arange(len(cut.cell))
        grids.append(_Grid(face, cut.low, cut.step, tiles.reshape(cut.shape)))
    tile_patch = np.concatenate([cut.patch + start for cut, start in zip(cuts, first_patch[:-1], strict=True)])
    tile_area = np.concatenate([cut.area for cut in cuts])
    count = int(first_patch[-1])
    return Patches(
        area=np.bincount(tile_patch, tile_area, minlength=count).astype(float),
        reflectance=np.repeat([face.reflectance for face in faces], patches_of),
        normals=np.repeat([face.normal for face in faces], patches_of, axis=0),
        first_tile=np.searchsorted(tile_patch, np.arange(count + 1)),
        tile_points=np.concatenate([face.to_room(cut.centre) for face, cut in zip(faces, cuts, strict=True)]),
        tile_area=tile_area,
        tile_patch=tile_patch,
        tile_sides=np.concatenate([_sides(face, cut) for face, cut in zip(faces, cuts, strict=True)]),
        surfaces=tuple(grids),
    )


def _sides(face: Surface, cut: _Cut) -> FloatArray:
    sides = np.stack([face.u_axis * cut.step[0], face.v_axis * cut.step[1]])
    return np.broadcast_to(sides, (len(cut.area), 2, 3))


def _cut_surface(face: Surface, size: float, side: int) -> _Cut:
    low, high = np.array(face.whole.bounds[:2]), np.array(face.whole.bounds[2:])
    patches = np.maximum(1, np.round((high - low) / size)).astype(int)
    nu, nv = (int(n) * side for n in patches)
    step = (high - low) / (nu, nv)
    iu, iv = (a.ravel() for a in np.meshgrid(np.arange(nu), np.arange(nv), indexing="ij"))
    corner = low + np.column_stack([iu, iv]) * step
    centre, area = _exposed_parts(face, corner, step)
    block = (iu // side) * (nv // side) + iv // side
    kept = np.flatnonzero(area > LEAST_AREA)
    order = kept[np.argsort(block[kept], kind="stable")]
    _, patch = np.unique(block[order], return_inverse=True)
    return _Cut(low, step, (nu, nv), order, patch, centre[order], area[order])


def _exposed_parts(face: Surface, corner: FloatArray, step: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return centre (k, 2) and area (k,) of the exposed part of each cell."""
    centre, area = corner + step / 2, np.full(len(corner), float(step.prod()))
    if face.exposed.is_empty:
        return centre, np.zeros(len(corner))
    boxes = shapely.box(*corner.T, *(corner + step).T)
    shapely.prepare(face.exposed)
    cut = np.flatnonzero(~shapely.contains_properly(face.exposed, boxes))
    part = shapely.intersection(boxes[cut], face.exposed)
    area[cut] = shapely.area(part)
    some = cut[area[cut] > LEAST_AREA]
    part = part[area[cut] > LEAST_AREA]
    middle = shapely.centroid(part)
    off = ~shapely.contains(part, middle)
    middle[off] = shapely.point_on_surface(part[off])
    centre[some] = shapely.get_coordinates(middle)
    return centre, area
