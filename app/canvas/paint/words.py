"""Text on the drawing: never wider than its place, readable on any ground."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter

from app.canvas.paint.look import Look, pen
from app.theme import font

__all__ = ["kept_within", "label_size", "paint_label", "paint_note"]

_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_WRAPPED = Qt.TextFlag.TextWordWrap | _LEFT
_GAP = 16.0  # px from the pointer to a note


def label_size(text: str, face: QFont, margin: float = 4.0) -> tuple[float, float]:
    """Return width and height of a label with its margin [px]."""
    metrics = QFontMetricsF(face)
    return metrics.horizontalAdvance(text) + 2 * margin, metrics.height() + 2.0


def paint_label(painter: QPainter, rect: QRectF, text: str, face: QFont, ink: QColor, ground: QColor) -> None:
    """Write a short text in the middle of a patch of ground that keeps it readable on the light."""
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ground)
    painter.drawRoundedRect(rect, 3.0, 3.0)
    painter.setFont(face)
    painter.setPen(ink)
    painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, text)


def kept_within(rect: QRectF, frame: QRectF) -> QRectF:
    """Return a rectangle shifted so that it lies in a frame (its top left corner where it is too large)."""
    dx = min(0.0, frame.right() - rect.right())
    dy = min(0.0, frame.bottom() - rect.bottom())
    moved = rect.translated(dx, dy)
    return moved.translated(max(0.0, frame.left() - moved.left()), max(0.0, frame.top() - moved.top()))


@lru_cache(maxsize=64)
def _note_size(text: str, is_refusal: bool, widest: float) -> QRectF:
    """Return how much room a note takes; it stays the same for many frames of a drag."""
    bounds = QFontMetricsF(font("small", strong=is_refusal)).boundingRect(
        QRectF(0.0, 0.0, widest, 400.0), int(_WRAPPED), text
    )
    return QRectF(0.0, 0.0, bounds.width() + 14.0, bounds.height() + 8.0)


def paint_note(painter: QPainter, look: Look, pos: QPointF, text: str, frame: QRectF, is_refusal: bool = False) -> None:
    """Write a note beside the pointer: a snapping reason, a length, or why something is refused."""
    face = font("small", strong=is_refusal)
    widest = min(320.0, frame.width() - 16.0)
    size = _note_size(text, is_refusal, widest)
    rect = kept_within(size.translated(pos.x() + _GAP, pos.y() + _GAP), frame)
    if rect.contains(pos):
        rect.moveBottom(pos.y() - _GAP)
    colours = look.theme
    painter.setBrush(colours.reading_fill)
    painter.setPen(pen(colours.warn if is_refusal else colours.edge, 1.5 if is_refusal else 1.0))
    painter.drawRoundedRect(rect, 4.0, 4.0)
    painter.setFont(face)
    painter.setPen(colours.reading_ink)
    painter.drawText(rect.adjusted(7.0, 4.0, -7.0 + 1.0, -4.0), int(_WRAPPED), text)
