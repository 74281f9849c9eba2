"""Cells: which tile fills which spot of a surface.

Each surface is a grid of patches and each patch a grid of cells, filled by one tile or covered. All surfaces lie one
after another in flat arrays, so that spots on any mixture of them are looked up together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from core.light.enclosure import Surface
from core.light.grid import FloatArray

__all__ = ["CellGrid", "Cells", "cells_of"]


@dataclass(frozen=True)
class CellGrid:
    """How one surface is cut: ``shape`` patches of ``size`` from ``low`` on, and which tile fills each cell (or -1).

    Patch b, counted in rows along v, has ``sides[b]`` x ``sides[b]`` cells, the first of them ``first[b]``. Tiles are
    counted within the surface.
    """

    low: FloatArray
    size: FloatArray
    shape: NDArray[np.int64]
    sides: NDArray[np.int64]
    first: NDArray[np.int64]
    tiles: NDArray[np.int32]


@dataclass(frozen=True)
class Cells:
    """The cells of all s surfaces. A place p on surface k lies at ``along[k] . p - start[k, 0]`` patches along u, and
    likewise ``across`` along v; its patches, ``shape[k]`` of them, are counted from ``first_patch[k]``."""

    along: FloatArray
    across: FloatArray
    start: FloatArray
    shape: NDArray[np.int32]
    first_patch: NDArray[np.int32]
    sides: NDArray[np.int32]
    first_cell: NDArray[np.int32]
    tiles: NDArray[np.int32]

    def tile_at(self, surface: NDArray[np.int32], places: FloatArray) -> NDArray[np.int32]:
        """Return the tile at places (k, 3) on known surfaces (k,), -1 where that spot is covered."""
        # numpy.take is several times quicker than an index in brackets.
        u, iu = self._split(self.along, 0, surface, places)
        v, iv = self._split(self.across, 1, surface, places)
        patch = self.first_patch.take(surface) + iu * self._along_v.take(surface) + iv
        side = self.sides.take(patch)
        cell = np.minimum((u * side).astype(np.int32), side - 1)
        cell *= side
        cell += np.minimum((v * side).astype(np.int32), side - 1)
        cell += self.first_cell.take(patch)
        found: NDArray[np.int32] = self.tiles.take(cell)
        return found

    @cached_property
    def _along_v(self) -> NDArray[np.int32]:
        return np.ascontiguousarray(self.shape[:, 1])

    def _split(
        self, way: FloatArray, axis: int, surface: NDArray[np.int32], places: FloatArray
    ) -> tuple[FloatArray, NDArray[np.int32]]:
        """Return how far along its patch each place lies, 0..1 or a trifle outside, and which patch that is."""
        at = np.einsum("nk,nk->n", way.take(surface, axis=0), places) - self.start[:, axis].take(surface)
        patch = np.clip(at.astype(np.int32), 0, self.shape[:, axis].take(surface) - 1)
        return np.maximum(at - patch, 0.0), patch


def cells_of(faces: Sequence[Surface], grids: Sequence[CellGrid], first_tile: NDArray[np.int64]) -> Cells:
    """Lay the grids of surfaces one after another; ``first_tile`` (s,) is the number of each one's first tile."""
    size = np.array([grid.size for grid in grids])
    low = np.array([grid.low for grid in grids]) / size
    along = np.array([face.u_axis for face in faces]) / size[:, :1]
    across = np.array([face.v_axis for face in faces]) / size[:, 1:]
    origin = np.array([face.origin for face in faces])
    start = low + np.stack([(along * origin).sum(axis=1), (across * origin).sum(axis=1)], axis=1)
    patches = np.cumsum([0, *(len(grid.sides) for grid in grids)])[:-1]
    cells = np.cumsum([0, *(len(grid.tiles) for grid in grids)])[:-1]
    tiles = np.concatenate([grid.tiles for grid in grids])
    number = np.repeat(first_tile, [len(grid.tiles) for grid in grids])
    return Cells(
        along,
        across,
        start,
        shape=np.array([grid.shape for grid in grids], dtype=np.int32),
        first_patch=patches.astype(np.int32),
        sides=np.concatenate([grid.sides for grid in grids]).astype(np.int32),
        first_cell=np.concatenate([grid.first + at for grid, at in zip(grids, cells, strict=True)]).astype(np.int32),
        tiles=np.where(tiles < 0, -1, tiles + number).astype(np.int32),
    )
