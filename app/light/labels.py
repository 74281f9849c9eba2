"""Numbers on the isolines: where they stand, and their pictures with a halo of paper.

A number stands upright on its own line, where the line is straight, and covers no other number, no
furniture with its name, no fixture and no wall. While something is dragged it stays near where it was.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QPainterPath, QPen

from app.light.colours import wanted_colour
from app.theme import Theme, font

__all__ = ["Label", "LabelPictures", "place_labels"]

_Pixels = NDArray[np.float64]

_SPACING = 18.0  # px between the places that are tried on a line
_SHORTEST = 70.0  # px: a shorter line keeps no number
_CLEAR = 4.0  # px kept free around a number
_HALO = 3.0  # px
_REACH = 250.0  # px: beyond, a number may as well stand anywhere


@dataclass(frozen=True)
class Label:
    """A number: which line (index) it belongs to, its text and its rectangle in pixels."""

    line: int
    text: str
    rect: QRectF


def place_labels(
    lines: Sequence[tuple[_Pixels, str, QRectF]],
    taken: Sequence[QRectF],
    room: shapely.Polygon,
    before: Sequence[tuple[str, QPointF]],
) -> list[Label]:
    """Choose a place on every line that is long enough, first lines first.

    Parameters
    ----------
    lines
        Points (n, 2) in pixels, text, and the text's rectangle about the origin.
    taken
        Rectangles that must stay free, in pixels.
    room
        The room in pixels; a number lies in it whole.
    before
        Texts and places of the last picture's numbers, in pixels.
    """
    tried = [_places(pixels) for pixels, _, _ in lines]
    halves = np.array([(size.width() / 2 + _CLEAR, size.height() / 2 + _CLEAR) for _, _, size in lines])
    half = np.repeat(halves, [len(places) for places, _ in tried], axis=0).reshape(-1, 2)
    centres = np.vstack([np.zeros((0, 2)), *(places for places, _ in tried)])
    sides = np.hstack([centres - half, centres + half])
    full = np.array([_sides(rect) for rect in taken]).reshape(-1, 4)
    free = ~_covers(sides, full) & _within(sides, room)
    placed: list[Label] = []
    start = 0
    for index, ((places, bend), (_, text, size)) in enumerate(zip(tried, lines, strict=True)):
        own = slice(start, start + len(places))
        start += len(places)
        if not free[own].any():
            continue
        cost = np.where(free[own], bend + _distance(places, text, before), np.inf)
        best = int(np.argmin(cost))
        placed.append(Label(index, text, size.translated(*places[best])))
        free &= ~_covers(sides, sides[own][best][None, :])
    return placed


def _places(pixels: _Pixels) -> tuple[_Pixels, _Pixels]:
    """Return points at even spacing along a line and how much it turns there: 0 straight on, 2 back again."""
    dx, dy = (pixels[1:] - pixels[:-1]).T
    length = np.concatenate([[0.0], np.cumsum(np.hypot(dx, dy))])
    if length[-1] < _SHORTEST:
        return np.zeros((0, 2)), np.zeros(0)
    at = np.arange(0.0, length[-1], length[-1] / (int(length[-1] / _SPACING) + 1))
    points = np.stack([np.interp(at, length, pixels[:, 0]), np.interp(at, length, pixels[:, 1])], axis=1)
    step = points[1:] - points[:-1]
    size = np.hypot(step[:, 0], step[:, 1]) + 1e-9
    turn = 1.0 - (step[1:] * step[:-1]).sum(axis=1) / (size[1:] * size[:-1])
    return points[1:-1], turn


def _covers(sides: _Pixels, full: _Pixels) -> NDArray[np.bool_]:
    """Whether each rectangle (n, 4: left, top, right, bottom) meets any of the full ones (m, 4)."""
    apart = (
        (sides[:, None, 2] <= full[None, :, 0])
        | (sides[:, None, 0] >= full[None, :, 2])
        | (sides[:, None, 3] <= full[None, :, 1])
        | (sides[:, None, 1] >= full[None, :, 3])
    )
    return np.asarray((~apart).any(axis=1))


def _within(sides: _Pixels, room: shapely.Polygon) -> NDArray[np.bool_]:
    """Whether all four corners of each rectangle lie in the room."""
    shapely.prepare(room)
    x, y = sides[:, [0, 2, 2, 0]], sides[:, [1, 1, 3, 3]]
    within: NDArray[np.bool_] = shapely.contains_xy(room, x.ravel(), y.ravel()).reshape(x.shape).all(axis=1)
    return within


def _distance(places: _Pixels, text: str, before: Sequence[tuple[str, QPointF]]) -> NDArray[np.float64]:
    """Return 0 to 4 by how far each place is from where the number was; 4 where it was nowhere."""
    old = np.array([(at.x(), at.y()) for known, at in before if known == text]).reshape(-1, 2)
    if len(old) == 0:
        return np.full(len(places), 4.0)
    far = np.hypot(places[:, None, 0] - old[:, 0], places[:, None, 1] - old[:, 1]).min(axis=1)
    return np.asarray(4.0 * np.minimum(far / _REACH, 1.0))


def _sides(rect: QRectF) -> tuple[float, float, float, float]:
    return rect.left(), rect.top(), rect.right(), rect.bottom()


class LabelPictures:
    """Pictures of the numbers, made once for each text, theme and pixel density."""

    def __init__(self) -> None:
        self._made: dict[tuple[str, bool, bool, float], QImage] = {}
        self._sizes: dict[tuple[str, bool], QRectF] = {}

    def size(self, text: str, strong: bool) -> QRectF:
        """Return the rectangle of a number about the origin [px]."""
        if (text, strong) not in self._sizes:
            metrics = QFontMetricsF(font("small", strong=strong))
            width = math.ceil(metrics.horizontalAdvance(text) + 2 * _HALO)
            height = math.ceil(metrics.capHeight() + 2 * _HALO)
            self._sizes[text, strong] = QRectF(-width / 2, -height / 2, width, height)
        return self._sizes[text, strong]

    def paint(self, painter: QPainter, label: Label, strong: bool, theme: Theme) -> None:
        """Draw a number in its place."""
        density = painter.device().devicePixelRatioF()
        key = (label.text, strong, theme.dark, density)
        if key not in self._made:
            if len(self._made) > 300:
                self._made.clear()
                self._sizes.clear()
            self._made[key] = self._make(label.text, strong, theme, density)
        corner = label.rect.topLeft()
        snapped = QPointF(round(corner.x() * density) / density, round(corner.y() * density) / density)
        painter.drawImage(snapped, self._made[key])

    def _make(self, text: str, strong: bool, theme: Theme, density: float) -> QImage:
        size, face = self.size(text, strong), font("small", strong=strong)
        image = QImage(
            round(size.width() * density),
            round(size.height() * density),
            QImage.Format.Format_ARGB32_Premultiplied,
        )
        image.setDevicePixelRatio(density)
        image.fill(Qt.GlobalColor.transparent)
        path = QPainterPath()
        path.addText(QPointF(_HALO, size.height() - _HALO), face, text)
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        pen = QPen(QColor(*wanted_colour(theme.dark), 225), 2 * _HALO - 1.0)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.strokePath(path, pen)
        painter.fillPath(path, theme.target_line)
        painter.end()
        return image
