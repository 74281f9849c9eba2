"""Numbers on the isolines: where they stand, and their pictures with a halo of paper.

A number stands upright on its own line, where the line is straight, and covers no other number, no
furniture with its name, no fixture and no wall. While something is dragged it stays near where it was.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QPainterPath, QPen

from app.light.colours import wanted_colour
from app.theme import Theme, font

__all__ = ["Label", "LabelPictures", "place_labels", "sides_of", "stayed_labels"]

_Pixels = NDArray[np.float64]

_SPACING = 18.0  # px between the places that are tried on a line
_SHORTEST = 70.0  # px: a shorter line keeps no number
_CLEAR = 4.0  # px kept free around a number
_HALO = 3.0  # px
_STAYS = 12.0  # px: a line that moved less from one picture to the next keeps its number where it is
_REACH = 250.0  # px: beyond, a number may as well stand anywhere


@dataclass(frozen=True)
class Label:
    """A number: which line (index) it belongs to, its text and its rectangle in pixels."""

    line: int
    text: str
    rect: QRectF


def place_labels(
    lines: Sequence[tuple[_Pixels, str, QRectF]],
    taken: _Pixels,
    room: shapely.Polygon,
    before: Sequence[tuple[str, QPointF]],
) -> list[Label]:
    """Choose a place on every line that is long enough, first lines first.

    Parameters
    ----------
    lines
        Points (n, 2) in pixels, text, and the text's rectangle about the origin.
    taken
        Rectangles that must stay free, (n, 4: left, top, right, bottom) in pixels.
    room
        The room in pixels; a number lies in it whole.
    before
        Texts and places of the last picture's numbers, in pixels.
    """
    if not lines:
        return []
    places, turn, owner = _places([pixels for pixels, _, _ in lines])
    halves = np.array([(size.width() / 2 + _CLEAR, size.height() / 2 + _CLEAR) for _, _, size in lines])
    sides = np.hstack([places - halves[owner], places + halves[owner]])
    free = ~_covers(sides, taken)
    free[free] = _within(sides[free], room)
    placed: list[Label] = []
    for index, (_, text, size) in enumerate(lines):
        own = np.flatnonzero(free & (owner == index))
        if own.size == 0:
            continue
        best = own[np.argmin(turn[own] + _distance(places[own], text, before))]
        placed.append(Label(index, text, size.translated(*places[best])))
        free &= ~_covers(sides, sides[best][None, :])
    return placed


def stayed_labels(
    lines: Sequence[tuple[_Pixels, str, QRectF]],
    taken: _Pixels,
    room: shapely.Polygon,
    before: Sequence[tuple[str, QPointF]],
) -> list[Label] | None:
    """Return the last picture's numbers where their lines run now, if all have moved but a little.

    None where one must look for places anew: a line went, moved far, or ran under something. The parameters are those
    of `place_labels`, which takes several times as long.
    """
    kept: list[Label] = []
    for text, at in before:
        found = (
            Label(index, text, size.translated(*spot))
            for index, (pixels, own, size) in enumerate(lines)
            if own == text and (spot := _on_line(pixels, at.x(), at.y())) is not None
        )
        label = next(found, None)
        if label is None:
            return None
        kept.append(label)
    sides = sides_of(label.rect.adjusted(-_CLEAR, -_CLEAR, _CLEAR, _CLEAR) for label in kept)
    if not kept or _covers(sides, taken).any() or not _within(sides, room).all():
        return None
    apart = _apart(sides, sides)
    np.fill_diagonal(apart, True)
    return kept if apart.all() else None


def _on_line(pixels: _Pixels, x: float, y: float) -> tuple[float, float] | None:
    """Return the point of a line next to a place, None if it is an end of the line or `_STAYS` away."""
    square = (pixels[:, 0] - x) ** 2 + (pixels[:, 1] - y) ** 2
    near = int(square.argmin())
    if not 0 < near < len(pixels) - 1 or square[near] > _STAYS**2:
        return None
    best, spot = math.inf, None
    for i in (near - 1, near):
        (x0, y0), (x1, y1) = pixels[i].tolist(), pixels[i + 1].tolist()
        dx, dy = x1 - x0, y1 - y0
        share = min(max(((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy + 1e-12), 0.0), 1.0)
        px, py = x0 + share * dx, y0 + share * dy
        away = (px - x) ** 2 + (py - y) ** 2
        if away < best:
            best, spot = away, (px, py)
    return spot


def _places(lines: Sequence[_Pixels]) -> tuple[_Pixels, _Pixels, NDArray[np.intp]]:
    """Return points at even spacing along all lines that are long enough, their ends left out.

    With each comes how much its line turns there (0 straight on, 2 back again) and the line's index. All lines are
    measured as one, with no way between the end of one and the start of the next.
    """
    pixels = np.concatenate(lines)
    last = np.cumsum([len(line) for line in lines]) - 1
    first = np.concatenate([[0], last[:-1] + 1])
    steps = np.hypot(*(pixels[1:] - pixels[:-1]).T)
    steps[last[:-1]] = 0.0
    along = np.concatenate([[0.0], np.cumsum(steps)])
    length = along[last] - along[first]
    pieces = np.where(length < _SHORTEST, 0, (length / _SPACING).astype(int) + 1)
    owner = np.repeat(np.arange(len(lines)), pieces + 1)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(pieces + 1) - pieces - 1, pieces + 1)
    at = along[first][owner] + length[owner] * number / np.maximum(pieces, 1)[owner]
    points = np.stack([np.interp(at, along, pixels[:, 0]), np.interp(at, along, pixels[:, 1])], axis=1)
    inner = np.flatnonzero((number > 0) & (number < pieces[owner]))
    before, after = points[inner] - points[inner - 1], points[inner + 1] - points[inner]
    size = np.hypot(*before.T) * np.hypot(*after.T) + 1e-9
    return points[inner], 1.0 - (before * after).sum(axis=1) / size, owner[inner]


def _covers(sides: _Pixels, full: _Pixels) -> NDArray[np.bool_]:
    """Whether each rectangle (n, 4: left, top, right, bottom) meets any of the full ones (m, 4)."""
    return np.asarray((~_apart(sides, full)).any(axis=1))


def _apart(sides: _Pixels, full: _Pixels) -> NDArray[np.bool_]:
    """Tell for each of some rectangles (n, 4) and each of others (m, 4) whether they lie apart, (n, m)."""
    return np.asarray(
        (sides[:, None, 2] <= full[None, :, 0])
        | (sides[:, None, 0] >= full[None, :, 2])
        | (sides[:, None, 3] <= full[None, :, 1])
        | (sides[:, None, 1] >= full[None, :, 3])
    )


def _within(sides: _Pixels, room: shapely.Polygon) -> NDArray[np.bool_]:
    """Whether all four corners of each rectangle lie in the room."""
    x, y = sides[:, [0, 2, 2, 0]], sides[:, [1, 1, 3, 3]]
    left, top, right, bottom = room.bounds
    if room.area > (1.0 - 1e-9) * (right - left) * (bottom - top):
        # A room along the axes is its own bounds, and quickly asked.
        low, high = sides[:, :2] > (left, top), sides[:, 2:] < (right, bottom)
        return np.asarray(low.all(axis=1) & high.all(axis=1))
    within: NDArray[np.bool_] = shapely.contains_xy(room, x.ravel(), y.ravel()).reshape(x.shape).all(axis=1)
    return within


def _distance(places: _Pixels, text: str, before: Sequence[tuple[str, QPointF]]) -> NDArray[np.float64]:
    """Return 0 to 4 by how far each place is from where the number was; 4 where it was nowhere."""
    old = np.array([(at.x(), at.y()) for known, at in before if known == text]).reshape(-1, 2)
    if len(old) == 0:
        return np.full(len(places), 4.0)
    far = np.hypot(places[:, None, 0] - old[:, 0], places[:, None, 1] - old[:, 1]).min(axis=1)
    return np.asarray(4.0 * np.minimum(far / _REACH, 1.0))


def sides_of(rects: Iterable[QRectF]) -> _Pixels:
    """Return rectangles as rows of left, top, right, bottom (n, 4)."""
    return np.array([(r.left(), r.top(), r.right(), r.bottom()) for r in rects]).reshape(-1, 4)


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
