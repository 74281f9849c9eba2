"""Isolines: curves of equal illuminance at round levels, as hairlines; the target's is a little stronger."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache, partial
from itertools import groupby
from typing import NamedTuple, cast

import contourpy
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF
from shiboken6 import VoidPtr

from app.light.colours import colour_at, lightness, wanted_colour
from app.light.picture import FieldPicture
from app.theme import Theme
from core.light.grid import Grid

__all__ = ["GridFrame", "Isoline", "isolines", "line_colour", "paint_isolines", "stride_at"]

_APART = 5.5  # px between the points of a curve, about
_FEWEST = 7  # points of a curve; one with fewer is a speck
_LIGHT_LINE = 0.4  # strength of a light line on dark ground
_DARK_GROUND = 58.0  # CIELAB lightness below which a line must be lighter than its ground
_TARGET_WIDTH = 1.5  # px
_HAIRLINES = 2.0  # device px: up to this width hairlines side by side are three times as quick as a wide pen
_PIECE = 24  # points drawn at a time: one long wide line takes Qt ten times as long as its pieces


# Made directly: the usual way of making one looks for masked values, which takes as long as the curves themselves.
_contours_of = partial(
    contourpy.SerialContourGenerator,
    corner_mask=False,
    line_type=contourpy.LineType.Separate,
    fill_type=contourpy.FillType.OuterCode,
    quad_as_tri=False,
    z_interp=contourpy.ZInterp.Linear,
)


@dataclass(frozen=True)
class Isoline:
    """One curve: its level [lx], whether that is the target, its points (n, 2) in the frame that was asked for."""

    level: float
    is_target: bool
    points: NDArray[np.float64]

    @cached_property
    def polygon(self) -> QPolygonF:
        """The points as Qt has them; a bench's curves are drawn many times before they change."""
        return _polygon(self.points)


class GridFrame(NamedTuple):
    """Where a picture's own frame [m] lies in another: its origin there and its unit vectors, in that one's unit."""

    origin: tuple[float, float] = (0.0, 0.0)
    along: tuple[float, float] = (1.0, 0.0)
    across: tuple[float, float] = (0.0, 1.0)


_OWN = GridFrame()


def stride_at(picture: FieldPicture, scale: float) -> int:
    """Return every how many-th fine value to trace at a scale [px/m], so that a curve's points lie close enough."""
    return int(min(max(_APART * picture.factor / (picture.grid.step * scale), 1), picture.factor))


def isolines(
    picture: FieldPicture, levels: Iterable[float], target: float, stride: int = 1, frame: GridFrame = _OWN
) -> list[Isoline]:
    """Return the curves of a picture's values at some levels [lx], out to the edges of its grid, in some frame."""
    x, y = _places(picture.grid, picture.factor, stride, frame)
    values = _to_edges(picture.fine, stride)
    low, high = float(values.min()), float(values.max())
    generator = _contours_of(x, y, values, None)  # type: ignore[arg-type]  # no mask, as the usual way has it
    return [
        Isoline(level, abs(level - target) < 1e-6 * target, points)
        for level in levels
        if low < level < high
        for points in cast("list[NDArray[np.float64]]", generator.lines(level))
        if len(points) >= _FEWEST
    ]


@lru_cache(maxsize=32)
def _places(grid: Grid, factor: int, stride: int, frame: GridFrame) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return where the picked values lie in a frame, the grid's edges included: x and y, each (rows, columns)."""
    fine = grid.step / factor
    axes = []
    for start, cells in ((grid.x0, grid.nx), (grid.y0, grid.ny)):
        inner = start + (np.arange(0, cells * factor, stride) + 0.5) * fine
        axes.append(np.concatenate([[start], inner, [start + cells * grid.step]]))
    u, v = np.meshgrid(*axes)
    x, y = (frame.origin[i] + u * frame.along[i] + v * frame.across[i] for i in (0, 1))
    return x, y


def _to_edges(fine: NDArray[np.float32], stride: int) -> NDArray[np.float64]:
    """Return every so-manieth value, and all round the values half a step beyond the last ones: at the grid's edges."""
    inner = fine[::stride, ::stride]
    if min(fine.shape) < 2:
        return np.pad(inner, 1, mode="edge").astype(np.float64)
    values = np.empty((inner.shape[0] + 2, inner.shape[1] + 2))
    values[1:-1, 1:-1] = inner
    values[0, 1:-1] = (1.5 * fine[0] - 0.5 * fine[1])[::stride]
    values[-1, 1:-1] = (1.5 * fine[-1] - 0.5 * fine[-2])[::stride]
    values[1:-1, 0] = (1.5 * fine[:, 0] - 0.5 * fine[:, 1])[::stride]
    values[1:-1, -1] = (1.5 * fine[:, -1] - 0.5 * fine[:, -2])[::stride]
    for row, column, i, j in ((0, 0, 1, 1), (0, -1, 1, -2), (-1, 0, -2, 1), (-1, -1, -2, -2)):
        values[row, column] = values[row, j] + values[i, column] - values[i, j]
    return values


def line_colour(share: float, theme: Theme, is_target: bool = False) -> QColor:
    """Return the colour of the line at ``share`` times the target: dark on light, light on dark ground.

    A see-through colour takes Qt four times as long to draw; as a line lies on the very colour of its level,
    the mixture is known beforehand.
    """
    line = theme.target_line if is_target else theme.field_line
    return QColor(_mixture(share, theme.dark, line.rgba()))


@lru_cache(maxsize=256)
def _mixture(share: float, dark: bool, strong: int) -> int:
    """Return what a line of a colour (as Qt packs it) becomes on the ground at a share of the target."""
    ground, line = QColor(*colour_at(share, dark)), QColor.fromRgba(strong)
    if lightness(share, dark) < _DARK_GROUND:
        return _mixed(ground, QColor(*wanted_colour(dark)), _LIGHT_LINE).rgb()
    return _mixed(ground, line, line.alphaF()).rgb()


def paint_isolines(painter: QPainter, curves: Sequence[Isoline], target: float, theme: Theme) -> None:
    """Draw curves that are given in pixels; ``target`` is in the same unit as their levels."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    density = painter.device().devicePixelRatioF()
    for (level, is_target), alike in groupby(curves, lambda curve: (curve.level, curve.is_target)):
        width = (_TARGET_WIDTH if is_target else 1.0) * density
        colour = line_colour(level / target, theme, is_target)
        painter.setPen(_pen(colour, 0.0 if width <= _HAIRLINES else width / density))
        if width <= _HAIRLINES:
            # One path for all lines of a level: each call costs as much as a hundred pixels.
            path = QPainterPath()
            for curve in alike:
                path.addPolygon(curve.polygon)
            for offset in _offsets(width):
                painter.drawPath(path.translated(*(offset / density)) if offset.any() else path)
            continue
        for curve in alike:
            for i in range(0, len(curve.points) - 1, _PIECE):
                painter.drawPolyline(_polygon(curve.points[i : i + _PIECE + 1]))


@lru_cache(maxsize=16)
def _offsets(width: float) -> NDArray[np.float64]:
    """Return by how much [device px] hairlines stand apart that look like one line of ``width`` device px."""
    if width <= 1.0:
        return np.zeros((1, 2))
    turn = np.array([0.0, 1.0, 2.0]) * (2.0 * np.pi / 3.0)
    return 0.6 * (width - 1.0) * np.stack([np.sin(turn), np.cos(turn)], axis=1)


def _pen(colour: QColor, width: float) -> QPen:
    pen = QPen(colour)
    pen.setWidthF(width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen


def _mixed(ground: QColor, line: QColor, share: float) -> QColor:
    return QColor(
        round(ground.red() + (line.red() - ground.red()) * share),
        round(ground.green() + (line.green() - ground.green()) * share),
        round(ground.blue() + (line.blue() - ground.blue()) * share),
    )


def _polygon(pixels: NDArray[np.float64]) -> QPolygonF:
    """Return points (n, 2) as Qt's polygon, copied in one go: QPolygonF holds pairs of doubles."""
    polygon = QPolygonF()
    polygon.resize(len(pixels))
    address = VoidPtr(polygon.data(), pixels.size * 8, True)  # type: ignore[call-arg, arg-type]
    np.frombuffer(address, dtype=np.float64)[:] = pixels.ravel()  # type: ignore[call-overload]
    return polygon
