"""Names on furniture: how a name and its second line are arranged within a box, and where they hide least.

A name stays level where it fits, on several lines if need be, else runs up the sheet, then in smaller letters, and
is cut with an ellipsis only where all of that fails. It never touches the edge of its box.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter

from app.theme import font

__all__ = ["Name", "arranged", "paint_name", "place_of"]

INSET = 6.0  # px from a box's edge to the ends of its text
_ABOVE = 4.0  # px from a box's edge to the first and the last line
_SIZES = (11, 10, 9)
_SPOTS = (0.0, 0.25, 0.5, 0.75, 1.0)
_AROUND = [(dx * 1.2, dy * 1.2) for dx in (-1, 0, 1) for dy in (-1, 0, 1) if dx or dy]
_LEAST = 14.0  # px: in less width not even an ellipsis makes sense


@dataclass(frozen=True, slots=True)
class Name:
    """A name in lines, with or without the second line of smaller weight, level or running up the sheet."""

    lines: tuple[str, ...]
    detail: str
    is_upright: bool
    pixels: int

    def face(self, strong: bool) -> QFont:
        """Return the font of the name or of the second line."""
        return _face(self.pixels, strong)

    def size(self) -> tuple[float, float]:
        """Return width and height as read [px]."""
        strong, plain = QFontMetricsF(self.face(True)), QFontMetricsF(self.face(False))
        width = max(strong.horizontalAdvance(line) for line in self.lines)
        count = len(self.lines) + (1 if self.detail else 0)
        return max(width, plain.horizontalAdvance(self.detail)) + 1.0, count * strong.height()


def arranged(name: str, detail: str, width: float, height: float) -> Name | None:
    """Return how a name goes into a box of so many pixels; None where there is no room for a letter."""
    for pixels in _SIZES:
        for is_upright in (False, True):
            across, deep = _inner(width, height, is_upright)
            lines = _wrapped(name, across, deep, pixels)
            if lines:
                return _with_detail(Name(lines, "", is_upright, pixels), detail, across, deep)
    is_upright = height > width
    across, deep = _inner(width, height, is_upright)
    metrics = QFontMetricsF(_face(_SIZES[-1], True))
    if across < _LEAST or deep < metrics.height():
        return None
    cut = metrics.elidedText(name, Qt.TextElideMode.ElideRight, across)
    return _with_detail(Name((cut,), "", is_upright, _SIZES[-1]), detail, across, deep)


def place_of(name: Name, box: QRectF, obstacles: Sequence[QRectF]) -> QRectF:
    """Return the rectangle of a name within its box: that spot where the least of it is covered."""
    width, height = reversed(name.size()) if name.is_upright else name.size()
    dx, dy = (_ABOVE, INSET) if name.is_upright else (INSET, _ABOVE)
    inner = box.adjusted(dx, dy, -dx, -dy)
    free_x, free_y = max(0.0, inner.width() - width), max(0.0, inner.height() - height)
    # From the corner where reading begins: top left for level text, bottom left for upright text.
    downward = reversed(_SPOTS) if name.is_upright else _SPOTS
    places = [
        QRectF(inner.left() + x * free_x, inner.top() + y * free_y, width, height) for y in downward for x in _SPOTS
    ]
    near = [obstacle for obstacle in obstacles if obstacle.intersects(box)]
    return min(places, key=lambda place: sum(_overlap(place, obstacle) for obstacle in near)) if near else places[0]


def paint_name(painter: QPainter, name: Name, place: QRectF, ink: QColor, halo: QColor) -> None:
    """Write a name into its place; a halo keeps it readable on the light."""
    painter.save()
    if name.is_upright:
        painter.translate(place.bottomLeft())
        painter.rotate(-90.0)
    else:
        painter.translate(place.topLeft())
    metrics = QFontMetricsF(name.face(True))
    baseline = metrics.ascent()
    weaker = QColor(ink)
    weaker.setAlphaF(0.75 * ink.alphaF())
    rows = [(line, True, ink) for line in name.lines] + ([(name.detail, False, weaker)] if name.detail else [])
    for text, strong, colour in rows:
        _write(painter, QPointF(0.0, baseline), text, name.face(strong), colour, halo)
        baseline += metrics.height()
    painter.restore()


def _write(painter: QPainter, at: QPointF, text: str, face: QFont, ink: QColor, halo: QColor) -> None:
    painter.setFont(face)
    painter.setPen(halo)
    for dx, dy in _AROUND:  # quicker by far than stroking the letters' outlines
        painter.drawText(at + QPointF(dx, dy), text)
    painter.setPen(ink)
    painter.drawText(at, text)


def _inner(width: float, height: float, is_upright: bool) -> tuple[float, float]:
    """Return the room for text along its lines and across them."""
    along, across = (height, width) if is_upright else (width, height)
    return along - 2 * INSET, across - 2 * _ABOVE


def _face(pixels: int, strong: bool) -> QFont:
    face = font("small", strong)
    face.setPixelSize(pixels)
    return face


def _wrapped(name: str, across: float, deep: float, pixels: int) -> tuple[str, ...]:
    """Return the fewest lines of whole words that fit; none where they do not."""
    metrics = QFontMetricsF(_face(pixels, True))
    lines: list[str] = []
    for word in name.split() or [name]:
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and metrics.horizontalAdvance(longer) + 1.0 <= across:
            lines[-1] = longer
        else:
            lines.append(word)
    is_wide_enough = all(metrics.horizontalAdvance(line) + 1.0 <= across for line in lines)
    return tuple(lines) if is_wide_enough and len(lines) * metrics.height() <= deep else ()


def _with_detail(name: Name, detail: str, across: float, deep: float) -> Name:
    full = Name(name.lines, detail, name.is_upright, name.pixels)
    width, height = full.size()
    return full if width <= across and height <= deep else name


def _overlap(one: QRectF, other: QRectF) -> float:
    common = one.intersected(other)
    return common.width() * common.height() if common.isValid() else 0.0
