"""Small pictures for the shelf: fixtures to one common scale, boxes as signs."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from app.theme import Theme
from core.plan import Model

__all__ = ["BOX_WIDTH", "paint_box", "paint_model"]

BOX_WIDTH = 48
_PX_PER_M = 18.0  # an 8 ft strip is 44 px long
_LEAST = 5.0  # px: below that a body could not be seen


def paint_model(painter: QPainter, box: QRectF, model: Model, theme: Theme) -> None:
    """Draw a fixture from above, its luminous opening inside its body."""
    length = min(max(model.length * _PX_PER_M, _LEAST), BOX_WIDTH - 2)
    width = min(max(model.width * _PX_PER_M, _LEAST), box.height() - 2)
    body = QRectF(0, 0, length, width)
    body.moveCenter(box.center())
    painter.setPen(QPen(theme.ink, 1.2))
    painter.setBrush(theme.entry)
    if model.opening == "rectangle":
        painter.drawRect(body)
        if width > 9:
            painter.setPen(QPen(theme.muted, 0.8))
            share = min(model.opening_width / model.width, 0.86)
            painter.drawRect(
                body.adjusted(2.5, width * (1 - share) / 2 + 0.5, -2.5, -width * (1 - share) / 2 - 0.5).normalized()
            )
    else:
        painter.drawEllipse(body)
        if model.kind == "task lamp":
            painter.drawLine(body.center(), body.center() + QPointF(-length, length * 0.7))


def paint_box(painter: QPainter, box: QRectF, kind: str, theme: Theme) -> None:
    """Draw the sign of a bench (with its worker), a machine or a cabinet."""
    painter.setPen(QPen(theme.ink, 1.2))
    painter.setBrush(theme.entry)
    centre = box.center()
    if kind == "bench":
        top = QRectF(0, 0, 34, 13)
        top.moveCenter(centre - QPointF(0, 3))
        painter.drawRect(top)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.muted)
        painter.drawEllipse(centre + QPointF(0, 9), 4.5, 3)
    elif kind == "machine":
        body = QRectF(0, 0, 20, 20)
        body.moveCenter(centre)
        painter.drawRect(body)
        painter.drawLine(centre - QPointF(5, 0), centre + QPointF(5, 0))
        painter.drawLine(centre - QPointF(0, 5), centre + QPointF(0, 5))
    else:
        body = QRectF(0, 0, 32, 16)
        body.moveCenter(centre)
        painter.drawRect(body)
        painter.drawLine(QPointF(centre.x(), body.top()), QPointF(centre.x(), body.bottom()))
