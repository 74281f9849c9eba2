"""Rulers along the top and the left edge in the unit in use, with a mark where the pointer is."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter

from app.canvas.paint.look import RULER, Look, crisp, faded, pen
from app.canvas.steps import ruler_steps, ticks
from app.canvas.view import View
from app.theme import font
from core.units import UnitSystem, show_length

__all__ = ["paint_pointer_marks", "paint_rulers", "ruler_text"]


def ruler_text(metres: float, units: UnitSystem) -> str:
    """Write a ruler's label: short, the zero without a unit."""
    return "0" if abs(metres) < 1e-9 else show_length(metres, units, style="short")


def paint_rulers(painter: QPainter, view: View, look: Look, frame: QRectF) -> None:
    """Draw both rulers around the drawing's frame."""
    theme = look.theme
    top = QRectF(0.0, 0.0, frame.right(), RULER)
    left = QRectF(0.0, 0.0, RULER, frame.bottom())
    painter.fillRect(top, theme.paper)
    painter.fillRect(left, theme.paper)
    coarse, fine = ruler_steps(look.units, view.scale)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    x0, y0, x1, y1 = view.visible(frame)
    painter.setPen(pen(theme.edge))
    for x in ticks(x0, x1, fine):
        at = crisp(view.to_screen(x, 0.0).x())
        painter.drawLine(QLineF(at, RULER - (7.0 if _is_on(x, coarse) else 4.0), at, RULER - 1.0))
    for y in ticks(y0, y1, fine):
        at = crisp(view.to_screen(0.0, y).y())
        painter.drawLine(QLineF(RULER - (7.0 if _is_on(y, coarse) else 4.0), at, RULER - 1.0, at))
    painter.setPen(pen(theme.hairline))
    painter.drawLine(QLineF(RULER - 0.5, RULER - 0.5, frame.right(), RULER - 0.5))
    painter.drawLine(QLineF(RULER - 0.5, RULER - 0.5, RULER - 0.5, frame.bottom()))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    _paint_labels(painter, view, look, frame, coarse)


def _is_on(value: float, step: float) -> bool:
    return abs(value / step - round(value / step)) < 1e-6


def _paint_labels(painter: QPainter, view: View, look: Look, frame: QRectF, coarse: float) -> None:
    x0, y0, x1, y1 = view.visible(frame)
    painter.setFont(font("small"))
    painter.setPen(look.theme.muted)
    middle = Qt.AlignmentFlag.AlignCenter
    for x in ticks(x0, x1, coarse):
        at = view.to_screen(x, 0.0).x()
        if frame.left() + 18.0 < at < frame.right() - 18.0:
            painter.drawText(QRectF(at - 40.0, 2.0, 80.0, RULER - 10.0), middle, ruler_text(x, look.units))
    for y in ticks(y0, y1, coarse):
        at = view.to_screen(0.0, y).y()
        if frame.top() + 18.0 < at < frame.bottom() - 18.0:
            painter.save()
            painter.translate(QPointF(2.0 + (RULER - 10.0) / 2, at))
            painter.rotate(-90.0)
            painter.drawText(QRectF(-40.0, -(RULER - 10.0) / 2, 80.0, RULER - 10.0), middle, ruler_text(y, look.units))
            painter.restore()


def paint_pointer_marks(painter: QPainter, pos: QPointF, look: Look, frame: QRectF) -> None:
    """Mark the pointer's place on both rulers."""
    painter.setPen(pen(faded(look.theme.accent, 0.9)))
    if frame.left() <= pos.x() <= frame.right():
        painter.drawLine(QLineF(crisp(pos.x()), 0.0, crisp(pos.x()), RULER - 1.0))
    if frame.top() <= pos.y() <= frame.bottom():
        painter.drawLine(QLineF(0.0, crisp(pos.y()), RULER - 1.0, crisp(pos.y())))
