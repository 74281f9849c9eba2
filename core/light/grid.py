"""The grid of points on the work plane: one type owns shape, extent and the half-cell offset."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["BoolArray", "FloatArray", "Grid"]

FloatArray = NDArray[np.floating]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Grid:
    """Square cells over a rectangle; a point lies at the centre of each cell.

    ``x0, y0`` is the lower left corner of the first cell, ``step`` the side of a cell [m]. Arrays over the grid have
    shape ``(ny, nx)``, row 0 at the bottom of the sheet.
    """

    x0: float
    y0: float
    step: float
    nx: int
    ny: int

    @classmethod
    def over(cls, x0: float, y0: float, x1: float, y1: float, step: float) -> Grid:
        """Return the grid that covers a rectangle, centred on it, with cells of ``step`` [m]."""
        nx = max(1, math.ceil((x1 - x0) / step - 1e-9))
        ny = max(1, math.ceil((y1 - y0) / step - 1e-9))
        return cls((x0 + x1 - nx * step) / 2, (y0 + y1 - ny * step) / 2, step, nx, ny)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.ny, self.nx

    @property
    def xs(self) -> FloatArray:
        """Centres of the columns, shape (nx,) [m]."""
        return self.x0 + (np.arange(self.nx) + 0.5) * self.step

    @property
    def ys(self) -> FloatArray:
        """Centres of the rows, shape (ny,) [m]."""
        return self.y0 + (np.arange(self.ny) + 0.5) * self.step

    def points(self) -> FloatArray:
        """Return the points in row order, shape (ny * nx, 2) [m]."""
        x, y = np.meshgrid(self.xs, self.ys)
        return np.column_stack([x.ravel(), y.ravel()])
