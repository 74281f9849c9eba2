"""A smooth picture of values on a grid.

Cells without a value (under a cabinet, outside the room) continue their neighbours, ring by ring,
so that the picture runs on beneath whatever covers it. The *values*, not the colours, are then made finer
by cubic convolution (Keys, IEEE Trans. ASSP 29 (1981) 1153-1160, a = -1/2), kept within the four values
around each point so that a shadow's edge does not ring, and looked up in the colour table last. Weights
and neighbours are prepared once a grid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage

from app.light.colours import SIZE, SPAN, packed_table
from core.light.grid import BoolArray, FloatArray, Grid

__all__ = ["FieldPicture", "division"]

_Indices = NDArray[np.intp]
_Floats = NDArray[np.float32]

_RINGS = 12  # cells to which the light runs on beneath a box or beyond a wall
FINE = 270  # points along the longer side of the picture, about
_MOST = 8  # finest division of a cell
_SLOPE = 0.8  # share of the slope that goes on beyond the last known cell
_NEAR = [(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1) if (i, j) != (0, 0)]


@dataclass(frozen=True)
class _Ring:
    """Cells next to known ones, and known cells near each with their weights, both (n, 16)."""

    cells: _Indices
    neighbours: _Indices
    weights: _Floats


class FieldPicture:
    """The picture of one grid: give it values, then draw `image` or read `at`.

    Parameters
    ----------
    grid : Grid
        Where the values lie.
    inside : (ny, nx) bool
        Cells that have a value.
    fine : int
        Wanted number of points along the longer side of the picture.
    """

    def __init__(self, grid: Grid, inside: BoolArray, fine: int = FINE) -> None:
        self.grid = grid
        self.inside = inside
        self._rings = _rings(inside)
        self._ny, self._nx = grid.shape
        self.factor = division(grid, fine)
        self._weights = _cubic(self.factor)
        shape = (self._ny * self.factor, self._nx * self.factor)
        self._index = np.zeros(shape, dtype=np.intp)
        self._pixels = np.zeros(shape, dtype=np.uint32)
        self.values: _Floats = np.zeros(grid.shape, dtype=np.float32)
        self.fine: _Floats = np.zeros(shape, dtype=np.float32)

    @property
    def rect(self) -> QRectF:
        """What the picture covers, in the grid's own frame [m]; `top` is its lowest y."""
        return QRectF(self.grid.x0, self.grid.y0, self._nx * self.grid.step, self._ny * self.grid.step)

    @property
    def fine_axes(self) -> tuple[FloatArray, FloatArray]:
        """Where the columns and rows of `fine` lie [m]."""
        step = self.grid.step / self.factor
        columns = np.arange(self._nx * self.factor) + 0.5
        rows = np.arange(self._ny * self.factor) + 0.5
        return self.grid.x0 + columns * step, self.grid.y0 + rows * step

    def set_values(self, values: FloatArray) -> None:
        """Take values of the grid's shape; those of cells outside `inside` are not read."""
        if not self.inside.any():
            self.values = np.zeros(self.grid.shape, dtype=np.float32)
            self.fine = np.zeros_like(self.fine)
            return
        self.values = self._filled(values)
        if self.factor == 1:
            self.fine = self.values
            return
        smooth = self._finer(self.values)
        low, high = (self._spread(limit) for limit in _spans(self.values))
        self.fine = np.minimum(np.maximum(smooth, low, out=smooth), high, out=smooth)

    def image(self, target: float, dark: bool) -> QImage:
        """Return the picture with ``target`` at the middle of the colours; its last row is the lowest y.

        The pixels live in a buffer of this object: draw the image before the next call.
        """
        np.multiply(self.fine[::-1], (SIZE - 1) / (SPAN * target), out=self._index, casting="unsafe")
        np.take(packed_table(dark), self._index, out=self._pixels, mode="clip")
        height, width = self._pixels.shape
        return QImage(self._pixels.data, width, height, width * 4, QImage.Format.Format_RGB32)

    def at(self, x: float, y: float, known: BoolArray | None = None) -> float | None:
        """Return the value at a point of the grid's frame [m], bilinear.

        None off the grid and in cells outside ``known``, by default those outside `inside`.
        """
        known = self.inside if known is None else known
        column, row = (x - self.grid.x0) / self.grid.step, (y - self.grid.y0) / self.grid.step
        if not (0.0 <= column <= self._nx and 0.0 <= row <= self._ny):
            return None
        if not known[min(int(row), self._ny - 1), min(int(column), self._nx - 1)]:
            return None
        j, v = _between(column - 0.5, self._nx)
        i, u = _between(row - 0.5, self._ny)
        i1, j1 = min(i + 1, self._ny - 1), min(j + 1, self._nx - 1)
        near, far = self.values[i], self.values[i1]
        below, above = near[j] * (1 - v) + near[j1] * v, far[j] * (1 - v) + far[j1] * v
        return float(below * (1 - u) + above * u)

    def _finer(self, values: _Floats) -> _Floats:
        """Return cubic convolution along y, then along x; no BLAS, whose threads wait on a busy machine."""
        padded = _padded(values, 2)
        tall = np.empty((self._ny + 1, self.factor, self._nx + 4), dtype=np.float32)
        for part in range(self.factor):
            tall[:, part] = self._weighted([padded[k : k + self._ny + 1] for k in range(4)], part)
        rows = self._cut(tall.reshape(-1, self._nx + 4), self._ny)
        wide = np.empty((len(rows), self._nx + 1, self.factor), dtype=np.float32)
        for part in range(self.factor):
            wide[..., part] = self._weighted([rows[:, k : k + self._nx + 1] for k in range(4)], part)
        return self._cut(wide.reshape(len(rows), -1).T, self._nx).T

    def _weighted(self, around: list[_Floats], part: int) -> _Floats:
        """Return the sum of the four values around each fine point, times the weights for its place between them."""
        total: _Floats = around[0] * self._weights[0, part]
        for values, weight in zip(around[1:], self._weights[1:, part], strict=True):
            total += values * weight
        return total

    def _cut(self, fine: _Floats, cells: int) -> _Floats:
        """Return those rows that lie in the grid's so many cells; the first lie between nothing and the first value."""
        skip = (self.factor + 1) // 2
        return fine[skip : skip + cells * self.factor]

    def _spread(self, between: _Floats) -> _Floats:
        """Return values between cells (ny + 1, nx + 1) at all fine points."""
        tall = self._cut(between.repeat(self.factor, axis=0), self._ny)
        return self._cut(tall.T.repeat(self.factor, axis=0), self._nx).T

    def _filled(self, values: FloatArray) -> _Floats:
        flat = np.where(self.inside, values, 0.0).astype(np.float32).ravel()
        if self._rings:
            known = self.inside.ravel()
            flat[~known] = flat[known].mean()
        for ring in self._rings:
            flat[ring.cells] = (flat[ring.neighbours] * ring.weights).sum(axis=1)
        return flat.reshape(self.grid.shape)


def division(grid: Grid, fine: int) -> int:
    """Return into how many parts a cell is divided for about ``fine`` points along the longer side."""
    return int(min(max(round(fine / max(grid.shape)), 1), _MOST))


def _rings(inside: BoolArray) -> list[_Ring]:
    """Return how values run on from the known cells, nearest cells first."""
    known = np.pad(inside, 2)
    rings: list[_Ring] = []
    while len(rings) < _RINGS and inside.any():
        near = np.stack([_shifted(known, i, j) for i, j in _NEAR], axis=-1)
        rows, columns = np.nonzero(near.any(axis=-1) & ~known[2:-2, 2:-2])
        if rows.size == 0:
            break
        # The slope goes on for one cell; further on it would run wild.
        beyond = np.stack([_shifted(known, 2 * i, 2 * j) for i, j in _NEAR], axis=-1) & (len(rings) == 0)
        rings.append(_ring(rows, columns, near[rows, columns], beyond[rows, columns], inside.shape))
        known[rows + 2, columns + 2] = True
    return rings


def _ring(rows: _Indices, columns: _Indices, near: BoolArray, beyond: BoolArray, shape: tuple[int, int]) -> _Ring:
    """Return the ring of some cells: each known neighbour speaks, with its slope."""
    ny, nx = shape
    weights = near / np.array([i * i + j * j for i, j in _NEAR])
    weights /= weights.sum(axis=1, keepdims=True)
    slope = _SLOPE * weights * beyond
    cells = [
        np.clip(rows + k * i, 0, ny - 1) * nx + np.clip(columns + k * j, 0, nx - 1) for k in (1, 2) for i, j in _NEAR
    ]
    both = np.hstack([weights + slope, -slope]).astype(np.float32)
    return _Ring(rows * nx + columns, np.stack(cells, axis=-1), both)


def _shifted(padded: BoolArray, i: int, j: int) -> BoolArray:
    """Return what lies ``i`` rows, ``j`` columns on; ``padded`` has two cells more all round."""
    rows, columns = padded.shape
    return padded[2 + i : rows - 2 + i, 2 + j : columns - 2 + j]


def _padded(values: _Floats, cells: int) -> _Floats:
    """Return values with their edges carried on: the slope for one cell, level after that."""
    ny, nx = values.shape
    padded = np.pad(values, cells, mode="edge")
    if nx > 1:
        padded[:, :cells] += _SLOPE * (padded[:, cells] - padded[:, cells + 1])[:, None]
        padded[:, -cells:] += _SLOPE * (padded[:, -cells - 1] - padded[:, -cells - 2])[:, None]
    if ny > 1:
        padded[:cells] += _SLOPE * (padded[cells] - padded[cells + 1])
        padded[-cells:] += _SLOPE * (padded[-cells - 1] - padded[-cells - 2])
    return padded


def _cubic(factor: int) -> _Floats:
    """Return the weights (4, factor) of the values around each fine point between two neighbouring values."""
    offset = 0.5 if factor % 2 == 0 else 0.0
    t = (np.arange(factor) + offset) / factor
    return np.array(
        [
            -0.5 * t + t**2 - 0.5 * t**3,
            1.0 - 2.5 * t**2 + 1.5 * t**3,
            0.5 * t + 2.0 * t**2 - 1.5 * t**3,
            -0.5 * t**2 + 0.5 * t**3,
        ],
        dtype=np.float32,
    )


def _spans(values: _Floats) -> tuple[_Floats, _Floats]:
    """Return the least and the greatest of every four neighbouring values, shape (ny + 1, nx + 1)."""
    padded = _padded(values, 1)
    low, high = np.minimum(padded[1:], padded[:-1]), np.maximum(padded[1:], padded[:-1])
    return np.minimum(low[:, 1:], low[:, :-1]), np.maximum(high[:, 1:], high[:, :-1])


def _between(at: float, count: int) -> tuple[int, float]:
    """Return the index of the value before a position and the share of the way to the next one."""
    at = min(max(at, 0.0), count - 1.0)
    return min(int(at), count - 1), at - int(at)
