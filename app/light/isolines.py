"""Isolines: curves of equal illuminance at round levels, as hairlines; the target's is a little stronger."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

import contourpy
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from shiboken6 import VoidPtr

from app.light.colours import colour_at, lightness, wanted_colour
from app.light.picture import FieldPicture
from app.theme import Theme

if TYPE_CHECKING:
    from app.canvas.view import View

__all__ = ["Isoline", "isolines", "line_colour", "on_screen", "paint_isolines"]

_POINTS_PER_CELL = 2
_LIGHT_LINE = 0.4  # strength of a light line on dark ground
_DARK_GROUND = 58.0  # CIELAB lightness below which a line must be lighter than its ground
_TARGET_WIDTH = 1.5  # px
_PIECE = 24  # points drawn at a time: one long wide line takes Qt ten times as long as its pieces


@dataclass(frozen=True)
class Isoline:
    """One curve: its level [lx], whether that is the target, its points (n, 2) in the grid's frame [m]."""

    level: float
    is_target: bool
    points: NDArray[np.float64]


def isolines(picture: FieldPicture, levels: Iterable[float], target: float) -> list[Isoline]:
    """Return the curves of a picture's values at some levels [lx], out to the edges of its grid."""
    x, y = picture.fine_axes
    rect, fine = picture.rect, _to_edges(picture.fine)
    stride = max(1, picture.factor // _POINTS_PER_CELL)
    columns, rows = _picked(len(x), stride), _picked(len(y), stride)
    generator = contourpy.contour_generator(
        np.concatenate([[rect.left()], x, [rect.right()]])[columns],
        np.concatenate([[rect.top()], y, [rect.bottom()]])[rows],
        fine[np.ix_(rows, columns)],
        name="serial",
        line_type=contourpy.LineType.Separate,
    )
    return [
        Isoline(level, abs(level - target) < 1e-6 * target, points)
        for level in levels
        for points in cast("list[NDArray[np.float64]]", generator.lines(level))
    ]


def _to_edges(fine: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return values with one more row and column all round, half a step out: the grid's edges."""
    padded = np.pad(fine, 1, mode="edge")
    if min(fine.shape) > 1:
        padded[0] += 0.5 * (padded[1] - padded[2])
        padded[-1] += 0.5 * (padded[-2] - padded[-3])
        padded[:, 0] += 0.5 * (padded[:, 1] - padded[:, 2])
        padded[:, -1] += 0.5 * (padded[:, -2] - padded[:, -3])
    return padded


def _picked(count: int, stride: int) -> NDArray[np.intp]:
    """Return every so-manieth of ``count`` points, and the edges that were put around them."""
    return np.concatenate([[0], np.arange(1, count + 1, stride), [count + 1]])


def on_screen(points: NDArray[np.float64], view: View) -> NDArray[np.float64]:
    """Return plan points (n, 2) [m] in pixels."""
    pixels: NDArray[np.float64] = points * np.array([view.scale, -view.scale])
    pixels += np.array([view.origin_x, view.origin_y])
    return pixels


def line_colour(share: float, theme: Theme, is_target: bool = False) -> QColor:
    """Return the colour of the line at ``share`` times the target: dark on light, light on dark ground.

    A see-through colour takes Qt four times as long to draw; as a line lies on the very colour of its level,
    the mixture is known beforehand.
    """
    ground = QColor(*colour_at(share, theme.dark))
    if lightness(share, theme.dark) < _DARK_GROUND:
        return _mixed(ground, QColor(*wanted_colour(theme.dark)), _LIGHT_LINE)
    line = theme.target_line if is_target else theme.field_line
    return _mixed(ground, line, line.alphaF())


def paint_isolines(
    painter: QPainter,
    curves: Sequence[tuple[Isoline, NDArray[np.float64]]],
    target: float,
    theme: Theme,
) -> None:
    """Draw curves that are given with their pixels (n, 2); ``target`` is in the same unit as their levels."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for curve, pixels in curves:
        pen = QPen(line_colour(curve.level / target, theme, curve.is_target))
        pen.setWidthF(_TARGET_WIDTH if curve.is_target else 1.0)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        painter.setPen(pen)
        for i in range(0, len(pixels) - 1, _PIECE):
            painter.drawPolyline(_polygon(pixels[i : i + _PIECE + 1]))


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
