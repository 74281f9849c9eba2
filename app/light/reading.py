"""The reading at the pointer: a small ring, and beside it the illuminance with its unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from app.light.scale import Scale
from app.theme import Theme, font

__all__ = ["Reading", "paint_reading", "words"]

_RING = 4.0  # px
_AWAY = 12.0  # px from the pointer to the label
_PADDING = 8.0


@dataclass(frozen=True, slots=True)
class Reading:
    """Shown light at a point [lx]; on a bench its name, and what is wanted there if not the target."""

    lux: float
    bench: str = ""
    target: float | None = None


def words(reading: Reading, scale: Scale) -> tuple[str, str]:
    """Return the value, and what stands below it: the bench, its target, and that the light is maintained."""
    below = [reading.bench] if reading.bench else []
    if reading.target is not None:
        below.append(f"wanted {scale.text(reading.target)}")
    below.append(scale.words)
    return scale.text(reading.lux), " · ".join(below)


def paint_reading(
    painter: QPainter, pos: QPointF, reading: Reading, scale: Scale, theme: Theme, taken: Sequence[QRectF] = ()
) -> None:
    """Draw a reading beside ``pos``, on a side where the sheet has room and where it covers none of what is taken."""
    value, below = words(reading, scale)
    strong, small = font("body", strong=True), font("small")
    large, little = QFontMetricsF(strong), QFontMetricsF(small)
    width = max(large.horizontalAdvance(value), little.horizontalAdvance(below)) + 2 * _PADDING
    height = large.height() + little.height() + _PADDING
    rect = _beside(pos, width, height, QRectF(painter.viewport()), taken)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(theme.halo, 3.0))
    painter.drawEllipse(pos, _RING, _RING)
    painter.setPen(QPen(theme.target_line, 1.25))
    painter.drawEllipse(pos, _RING, _RING)
    painter.setPen(QPen(theme.edge, 1.0))
    painter.setBrush(theme.reading_fill)
    painter.drawRoundedRect(rect, 4.0, 4.0)
    inner = rect.adjusted(_PADDING, _PADDING / 2, -_PADDING, -_PADDING / 2)
    painter.setPen(theme.reading_ink)
    painter.setFont(strong)
    painter.drawText(inner, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft, value)
    painter.setPen(theme.muted)
    painter.setFont(small)
    painter.drawText(inner, Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignLeft, below)
    painter.restore()


def _beside(pos: QPointF, width: float, height: float, sheet: QRectF, taken: Sequence[QRectF]) -> QRectF:
    """Return the label's rectangle: above and right of the pointer, or where there is room."""
    sides = [
        QRectF(round(x) + 0.5, round(y) + 0.5, round(width), round(height))
        for y in (pos.y() - _AWAY - height, pos.y() + _AWAY)
        for x in (pos.x() + _AWAY, pos.x() - _AWAY - width)
    ]
    within = [rect for rect in sides if sheet.contains(rect)] or sides
    return next((rect for rect in within if not any(rect.intersects(other) for other in taken)), within[0])
