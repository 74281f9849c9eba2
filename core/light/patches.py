"""Patches and tiles: the exposed surfaces cut into pieces.

A patch is what exchanges light with other patches; it is made of tiles, and a tile is what direct light falls on. Each
surface is cut along its own grid; where something stands on it, a tile keeps its exposed part. Direct light is not
smooth, so it is kept tile by tile; what is reflected over and over is smooth, so it is kept patch by patch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from core.light.cells import CellGrid, Cells, cells_of
from core.light.enclosure import Enclosure, Surface
from core.light.grid import BoolArray, FloatArray
from core.light.slots import Slot, finer_by, slots_of

__all__ = ["Patches", "cut_into_patches"]

LEAST_AREA = 1e-5
"""Slivers smaller than this are left out [m2]."""
KEPT_CUTS = 4096
"""Surfaces remembered cut up: when something is moved, most of the others stay as they are."""


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
    tile_surface : (m,) int
        On which of the enclosure's surfaces each tile lies.
    is_finer : (m,) bool
        Which tiles are smaller than elsewhere, since they lie in a slot.
    cells : Cells
        Which tile is at a spot.
    """

    area: FloatArray
    reflectance: FloatArray
    normals: FloatArray
    first_tile: NDArray[np.int64]
    tile_points: FloatArray
    tile_area: FloatArray
    tile_patch: NDArray[np.int64]
    tile_sides: FloatArray
    tile_surface: NDArray[np.int32]
    is_finer: BoolArray
    cells: Cells

    def __len__(self) -> int:
        return len(self.area)

    @property
    def tile_normals(self) -> FloatArray:
        """Unit normals of the tiles, (m, 3)."""
        return self.normals.take(self.tile_patch, axis=0)

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

    def average_single(self, on_tiles: NDArray[np.float32]) -> NDArray[np.float32]:
        """Average values on the tiles (m,) over each patch (n,) in single precision, quickly."""
        return np.add.reduceat(on_tiles * self.tile_share, self.first_tile[:-1])

    @cached_property
    def tile_share(self) -> NDArray[np.float32]:
        """Which share of its patch each tile is, (m,)."""
        return (self.tile_area / self.area[self.tile_patch]).astype(np.float32)


@dataclass(frozen=True)
class _Cut:
    """One surface cut up: its cells, and per tile its patch within the surface, its cell's size, centre and area, and
    whether it is finer than elsewhere."""

    cells: CellGrid
    patch: NDArray[np.int64]
    size: FloatArray
    centre: FloatArray
    area: FloatArray
    is_finer: BoolArray


def cut_into_patches(
    enclosure: Enclosure, size: float, side: int = 3, also: Sequence[Sequence[Slot]] | None = None
) -> Patches:
    """Cut every exposed surface into patches of about ``size`` [m], with ``side`` x ``side`` tiles each.

    In narrow slots there are more tiles to a patch. With some more parts of each surface (``also``) to be cut finer,
    each of the usual tiles is a patch of its own, so that little more than those parts is cut.
    """
    faces = enclosure.surfaces
    slots = slots_of(faces, size / side)
    shapes = shapely.to_wkb([[face.whole, face.exposed] for face in faces])
    counts = [_counts(face, size) for face in faces]
    if also is not None:
        slots = [[*usual, *more] for usual, more in zip(slots, also, strict=True)]
        counts, side = [(along * side, up * side) for along, up in counts], 1
    cuts = [_cut(*shape, *n, side, tuple(narrow)) for shape, n, narrow in zip(shapes, counts, slots, strict=True)]
    patches_of = [int(cut.patch.max()) + 1 if cut.patch.size else 0 for cut in cuts]
    first_patch = np.cumsum([0, *patches_of])
    first_tile = np.cumsum([0, *(len(cut.area) for cut in cuts)])
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
        tile_surface=np.repeat(np.arange(len(faces), dtype=np.int32), [len(cut.area) for cut in cuts]),
        is_finer=np.concatenate([cut.is_finer for cut in cuts]),
        cells=cells_of(faces, [cut.cells for cut in cuts], first_tile[:-1]),
    )


def _sides(face: Surface, cut: _Cut) -> FloatArray:
    axes = np.stack([face.u_axis, face.v_axis])
    return cut.size[:, :, None] * axes


def _counts(face: Surface, size: float) -> tuple[int, int]:
    """Return into how many patches of about ``size`` [m] a surface is cut along u and v."""
    u0, v0, u1, v1 = face.whole.bounds
    return max(1, round((u1 - u0) / size)), max(1, round((v1 - v0) / size))


@lru_cache(maxsize=KEPT_CUTS)
def _cut(whole_wkb: bytes, exposed_wkb: bytes, along: int, up: int, side: int, slots: tuple[Slot, ...]) -> _Cut:
    """Cut up a surface, its shapes given as well-known binary, into ``along`` x ``up`` patches.

    Their number, unlike the size aimed at, stays when something else is moved, so the cut is known.
    """
    whole, exposed = shapely.from_wkb(whole_wkb), shapely.from_wkb(exposed_wkb)
    low, high = np.array(whole.bounds[:2]), np.array(whole.bounds[2:])
    shape = np.array([along, up])
    patch_size = (high - low) / shape
    sides = finer_by(slots, low, patch_size, shape, side).ravel()
    first = np.cumsum(sides**2) - sides**2
    block = np.repeat(np.arange(len(sides)), sides**2)
    inner, across = np.arange(len(block)) - first[block], sides[block]
    cell_size = patch_size / across[:, None]
    corner = low + np.column_stack(np.divmod(block, shape[1])) * patch_size
    corner += np.column_stack(np.divmod(inner, across)) * cell_size
    centre, area = _exposed_parts(exposed, corner, cell_size)
    kept = np.flatnonzero(area > LEAST_AREA)
    island = _islands(exposed, low, patch_size, shape, block[kept], centre[kept])
    order = np.lexsort((island, block[kept]))
    kept, island = kept[order], island[order]
    tiles = np.full(len(block), -1, dtype=np.int32)
    tiles[kept] = np.arange(len(kept))
    _, patch = np.unique(block[kept] * (int(island.max(initial=0)) + 1) + island, return_inverse=True)
    cells = CellGrid(low, patch_size, shape, sides, first, tiles)
    return _Cut(cells, patch, cell_size[kept], centre[kept], area[kept], across[kept] > side)


def _islands(
    exposed: BaseGeometry,
    low: FloatArray,
    size: FloatArray,
    shape: NDArray[np.int64],
    block: NDArray[np.int64],
    spot: FloatArray,
) -> NDArray[np.int64]:
    """Number the parts into which something that touches the surface divides a patch, for tiles at ``spot`` (k, 2).

    Two parts of a patch must not share their light: it would seep through a partition or a bench top.
    """
    corner = low + np.column_stack(np.divmod(np.arange(int(shape.prod())), shape[1])) * size
    boxes = shapely.box(*corner.T, *(corner + size).T)
    island = np.zeros(len(block), dtype=np.int64)
    if exposed.is_empty:
        return island
    cut = _reached(exposed, boxes)
    part = shapely.intersection(boxes[cut], exposed)
    for k in np.flatnonzero(shapely.get_num_geometries(part) > 1):
        tiles = np.flatnonzero(block == cut[k])
        for number, piece in enumerate(shapely.get_parts(part[k])):
            island[tiles[shapely.intersects_xy(piece, *spot[tiles].T)]] = number
    return island


def _reached(exposed: BaseGeometry, boxes: NDArray[np.object_]) -> NDArray[np.int64]:
    """Return which boxes lie in part on what is exposed; what a box has in common with it is long to find."""
    return np.flatnonzero(shapely.intersects(exposed, boxes) & ~shapely.covers(exposed, boxes))


def _exposed_parts(exposed: BaseGeometry, corner: FloatArray, step: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return centre (k, 2) and area (k,) of the exposed part of each cell, by low corners and sizes (k, 2)."""
    centre, area = corner + step / 2, step.prod(axis=1)
    if exposed.is_empty:
        return centre, np.zeros(len(corner))
    boxes = shapely.box(*corner.T, *(corner + step).T)
    shapely.prepare(exposed)
    cut = _reached(exposed, boxes)
    part = shapely.intersection(boxes[cut], exposed)
    area[~shapely.intersects(exposed, boxes)] = 0.0
    area[cut] = shapely.area(part)
    some = cut[area[cut] > LEAST_AREA]
    part = part[area[cut] > LEAST_AREA]
    middle = shapely.centroid(part)
    off = ~shapely.contains(part, middle)
    middle[off] = shapely.point_on_surface(part[off])
    centre[some] = shapely.get_coordinates(middle)
    return centre, area
