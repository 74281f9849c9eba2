"""The light on a bench's own top, in the bench's own frame: it may stand askew and above the work plane."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.light.isolines import Isoline, isolines
from app.light.picture import FieldPicture
from core.light.field import BenchLight
from core.light.grid import FloatArray, Grid
from core.plan import Furniture

if TYPE_CHECKING:
    from app.canvas.view import View

__all__ = ["BenchTop"]

_FINE = 120  # points along a bench's longer side, about


class BenchTop:
    """Picture and reading of one bench's top; the points keep off its edge, the picture runs on to it."""

    def __init__(self, item: Furniture, light: BenchLight) -> None:
        self.item = item
        self.grid = light.grid
        self._margin = _margin(item, light.grid)
        wide = _widened(light.grid, self._margin)
        inside = np.zeros(wide.shape, dtype=bool)
        inside[self._core] = light.inside
        self._inside = light.inside
        # Up to the bench's edge the nearest points speak; beneath a box that stands on it nothing does.
        self._readable = np.ones(wide.shape, dtype=bool)
        self._readable[self._core] = light.inside
        self.picture = FieldPicture(wide, inside, _FINE)
        self.curves: list[Isoline] | None = None
        """Isolines of the present light, once they are asked for."""

    @property
    def _core(self) -> tuple[slice, slice]:
        m = self._margin
        return slice(m, m + self.grid.ny), slice(m, m + self.grid.nx)

    def fits(self, item: Furniture, light: BenchLight) -> bool:
        """Whether this picture's grid still serves a bench, wherever it stands now."""
        same_size = (item.width, item.depth) == (self.item.width, self.item.depth)
        return same_size and light.grid == self.grid and np.array_equal(light.inside, self._inside)

    def move_to(self, item: Furniture) -> bool:
        """Show the same light on the bench where it stands now; False if its size is another."""
        if (item.width, item.depth) != (self.item.width, self.item.depth):
            return False
        if item != self.item:
            self.item, self.curves = item, None
        return True

    def set_lux(self, lux: FloatArray) -> None:
        """Take the light at the bench's free points, in the grid's row order [lx]."""
        values = np.zeros(self.picture.grid.shape, dtype=np.float32)
        values[self._core][self._inside] = lux
        self.picture.set_values(values)
        self.curves = None

    def target(self, plan_target: float) -> float:
        """Return what is wanted on this bench [lx]: its own target, else the plan's."""
        return self.item.target_lux or plan_target

    def paint(self, painter: QPainter, view: View, target: float, dark: bool) -> None:
        """Draw the light on the top, clipped to the bench."""
        item, scale = self.item, view.scale
        top = QRectF(-item.width / 2 * scale, -item.depth / 2 * scale, item.width * scale, item.depth * scale)
        rect = self.picture.rect
        place = QRectF(
            rect.x() * scale, -(rect.y() + rect.height()) * scale, rect.width() * scale, rect.height() * scale
        )
        painter.save()
        painter.translate(view.to_screen(item.x, item.y))
        painter.rotate(-item.rotation_deg)
        painter.setClipRect(top)
        painter.drawImage(place, self.picture.image(target, dark))
        painter.restore()

    def lines(self, levels: tuple[float, ...], target: float) -> list[Isoline]:
        """Return the isolines on the top, in plan coordinates and within the bench."""
        curves = isolines(self.picture, levels, target)
        return [replace(curve, points=self._to_plan(curve.points)) for curve in curves]

    def covers(self, x: float, y: float) -> bool:
        """Whether a plan point lies on the bench."""
        across, along = self._local(x, y)
        return abs(across) <= self.item.width / 2 and abs(along) <= self.item.depth / 2

    def at(self, x: float, y: float) -> float | None:
        """Return the light [lx] at a point of the bench; None beneath a box that stands on it."""
        return self.picture.at(*self._local(x, y), self._readable)

    def _local(self, x: float, y: float) -> tuple[float, float]:
        c, s = self._turn()
        dx, dy = x - self.item.x, y - self.item.y
        return c * dx + s * dy, -s * dx + c * dy

    def _to_plan(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        c, s = self._turn()
        turned: NDArray[np.float64] = points @ np.array([[c, s], [-s, c]]) + (self.item.x, self.item.y)
        return turned

    def _turn(self) -> tuple[float, float]:
        angle = math.radians(self.item.rotation_deg)
        return math.cos(angle), math.sin(angle)


def _margin(item: Furniture, grid: Grid) -> int:
    """Return how many cells lie between the points' cells and the bench's edge."""
    missing = max(item.width - grid.nx * grid.step, item.depth - grid.ny * grid.step) / 2
    return max(0, math.ceil(missing / grid.step - 1e-6))


def _widened(grid: Grid, cells: int) -> Grid:
    by = cells * grid.step
    return Grid(grid.x0 - by, grid.y0 - by, grid.step, grid.nx + 2 * cells, grid.ny + 2 * cells)
