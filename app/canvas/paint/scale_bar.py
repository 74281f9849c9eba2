"""The scale bar: how long a round length is on the screen, in alternating pieces as on a map."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter

from app.canvas.paint.look import Look, pen
from app.canvas.steps import ruler_steps
from app.canvas.view import View
from app.theme import font
from core.units import UnitSystem, show_length

__all__ = ["paint_scale_bar"]

_MARGIN = 16.0
_HEIGHT = 5.0


def paint_scale_bar(painter: QPainter, view: View, look: Look, frame: QRectF) -> None:
    """Draw the bar in the lower left corner of the frame."""
    theme = look.theme
    step = ruler_steps(look.units, view.scale)[0]
    width = float(round(2 * step * view.scale))
    text = show_length(2 * step, look.units) if look.units is UnitSystem.US else _round_metric(2 * step)
    face = font("small")
    metrics = QFontMetricsF(face)
    wide = metrics.horizontalAdvance(text)
    left, top = frame.left() + _MARGIN, frame.bottom() - _MARGIN - _HEIGHT
    ground = QRectF(left - 8.0, top - 8.0, width + wide + 24.0, _HEIGHT + 16.0)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.halo)
    painter.drawRoundedRect(ground, 4.0, 4.0)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.fillRect(QRectF(left, top, width / 2, _HEIGHT), theme.muted)
    painter.setPen(pen(theme.muted))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(QRectF(left, top, width, _HEIGHT).adjusted(0.0, 0.0, -1.0, -1.0))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    painter.setFont(face)
    painter.setPen(theme.muted)
    words = QRectF(left + width + 8.0, top - 8.0, wide + 2.0, _HEIGHT + 16.0)
    painter.drawText(words, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, text)


def _round_metric(metres: float) -> str:
    """Write a round length without the zeros that a measured one carries."""
    return f"{metres:g} m" if metres >= 1.0 else f"{1000 * metres:.0f} mm"
