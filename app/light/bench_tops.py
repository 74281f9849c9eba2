"""The light on a bench's own top, in the bench's own frame: it may stand askew and above the work plane."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.light.isolines import GridFrame, Isoline, isolines, stride_at
from app.light.picture import FieldPicture, division
from core.light.field import BenchLight
from core.light.grid import FloatArray, Grid
from core.plan import Furniture

if TYPE_CHECKING:
    from app.canvas.view import View

__all__ = ["BenchTop"]

_PIXELS = 3.0  # px between the fine points of a picture, about
_LARGE = 120.0  # px: the longer side of a bench that is large enough for isolines
_ONE_COLOUR = 0.001  # share of the light by which it may change and still be the same colour, of 1024
_UNSEEN = 0.002  # share of the light by which it may change before the isolines are traced anew: a line's width or less


class BenchTop:
    """Picture and reading of one bench's top; the points keep off its edge, the picture runs on to it.

    The picture is made when it is asked for, as finely as it will be seen: a hall has a hundred small benches.
    """

    def __init__(self, item: Furniture, light: BenchLight) -> None:
        self.item = item
        self.grid = light.grid
        self._margin = _margin(item, light.grid)
        self._wide = _widened(light.grid, self._margin)
        self._inside = light.inside
        self._values = np.zeros(self._wide.shape, dtype=np.float32)
        # Up to the bench's edge the nearest points speak; beneath a box that stands on it nothing does.
        self._readable = np.ones(self._wide.shape, dtype=bool)
        self._readable[self._core] = light.inside
        self._picture: FieldPicture | None = None
        self._is_current = False
        self._curves: tuple[object, list[Isoline]] | None = None
        self._traced: FloatArray | None = None

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
            self.item, self._curves = item, None
        return True

    def set_lux(self, lux: FloatArray) -> None:
        """Take the light at the bench's free points, in the grid's row order [lx]."""
        values, most = self._values[self._core], float(lux.max(initial=0.0))
        if float(np.abs(lux - values[self._inside]).max(initial=0.0)) > _ONE_COLOUR * most:
            values[self._inside] = lux
            self._is_current = False
        if self._traced is None or float(np.abs(lux - self._traced).max()) > _UNSEEN * most:
            self._curves = None

    @property
    def brightest(self) -> float:
        """The largest of the present values [lx]."""
        return float(self._values[self._core][self._inside].max())

    def picture(self, points: int) -> FieldPicture:
        """Return the present picture with about so many points along its longer side, at least the grid's own."""
        factor = division(self._wide, points)
        if self._picture is None or self._picture.factor != factor:
            inside = np.zeros(self._wide.shape, dtype=bool)
            inside[self._core] = self._inside
            self._picture, self._is_current = FieldPicture(self._wide, inside, points), False
        if not self._is_current:
            self._picture.set_values(self._values)
            self._is_current = True
        return self._picture

    def is_large(self, view: View) -> bool:
        """Whether the bench is large enough on the screen for isolines."""
        return max(self.item.width, self.item.depth) * view.scale >= _LARGE

    def target(self, plan_target: float) -> float:
        """Return what is wanted on this bench [lx]: its own target, else the plan's."""
        return self.item.target_lux or plan_target

    def paint(self, painter: QPainter, view: View, target: float, dark: bool) -> None:
        """Draw the light on the top, clipped to the bench."""
        item, scale = self.item, view.scale
        picture = self.picture(self._points(view))
        top = QRectF(-item.width / 2 * scale, -item.depth / 2 * scale, item.width * scale, item.depth * scale)
        rect = picture.rect
        place = QRectF(
            rect.x() * scale, -(rect.y() + rect.height()) * scale, rect.width() * scale, rect.height() * scale
        )
        painter.save()
        painter.translate(view.to_screen(item.x, item.y))
        painter.rotate(-item.rotation_deg)
        painter.setClipRect(top)
        painter.drawImage(place, picture.image(target, dark))
        painter.restore()

    def lines(self, view: View, levels: tuple[float, ...], target: float) -> list[Isoline]:
        """Return the isolines on the top in pixels; the same ones until light, bench, view or question change."""
        asked = (levels, target, view, self.item)
        if self._curves is None or self._curves[0] != asked:
            picture = self.picture(self._points(view))
            curves = isolines(picture, levels, target, stride_at(picture, view.scale), self._frame(view))
            self._traced = self._values[self._core][self._inside]
            self._curves = asked, curves
        return self._curves[1]

    def _frame(self, view: View) -> GridFrame:
        """Return where the bench's own frame lies on the screen."""
        c, s = (view.scale * part for part in self._turn())
        middle = view.to_screen(self.item.x, self.item.y)
        return GridFrame((middle.x(), middle.y()), (c, -s), (-s, -c))

    def _points(self, view: View) -> int:
        return int(max(self.item.width, self.item.depth) * view.scale / _PIXELS)

    def covers(self, x: float, y: float) -> bool:
        """Whether a plan point lies on the bench."""
        across, along = self._local(x, y)
        return abs(across) <= self.item.width / 2 and abs(along) <= self.item.depth / 2

    def at(self, x: float, y: float) -> float | None:
        """Return the light [lx] at a point of the bench; None beneath a box that stands on it."""
        picture = self._picture if self._picture is not None and self._is_current else self.picture(0)
        return picture.at(*self._local(x, y), self._readable)

    def _local(self, x: float, y: float) -> tuple[float, float]:
        c, s = self._turn()
        dx, dy = x - self.item.x, y - self.item.y
        return c * dx + s * dy, -s * dx + c * dy

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
