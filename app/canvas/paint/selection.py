"""What is selected: plain corner brackets, the turning handle, handles on corners and walls, and the
selection box."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPolygonF

from app.canvas.paint.look import Look, faded, pen, polygon
from app.canvas.view import View
from core.plan import Point

__all__ = [
    "HANDLE",
    "paint_box",
    "paint_brackets",
    "paint_corner_handles",
    "paint_turn_handle",
    "turn_handle",
]

HANDLE = 4.5  # px: half the side of a handle
_GAP = 5.0  # px between a thing and its brackets
_ARM = 9.0  # px: length of a bracket's arm
_STEM = 26.0  # px from the brackets to the turning handle


def paint_brackets(painter: QPainter, corners: Sequence[Point], view: View, look: Look) -> None:
    """Draw four corner brackets around a box, a little outside of it."""
    shape = polygon(view, corners)
    size = [shape[(i + 1) % 4] - shape[i] for i in range(4)]
    sides = [math.hypot(s.x(), s.y()) for s in size]
    units = [s / max(length, 1e-9) for s, length in zip(size, sides, strict=True)]
    brackets = QPainterPath()
    for i in range(4):
        onward, back = units[i], units[i - 1] * -1.0
        tip = shape[i] - onward * _GAP - back * _GAP
        arm_on = min(_ARM, sides[i] / 2 + _GAP - 1.0)
        arm_back = min(_ARM, sides[i - 1] / 2 + _GAP - 1.0)
        brackets.addPolygon(QPolygonF([tip + onward * arm_on, tip, tip + back * arm_back]))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for width, colour in ((4.0, look.theme.halo), (2.0, look.theme.selection)):
        painter.strokePath(brackets, pen(colour, width))


def turn_handle(box: tuple[float, float, float, float], view: View, frame: QRectF) -> QPointF:
    """Return where the handle for turning lies: above the box, or below it where that is off the sheet."""
    x0, y0, x1, y1 = box
    above = view.to_screen((x0 + x1) / 2, y1) - QPointF(0.0, _GAP + _STEM)
    if above.y() - HANDLE >= frame.top():
        return above
    return view.to_screen((x0 + x1) / 2, y0) + QPointF(0.0, _GAP + _STEM)


def paint_turn_handle(painter: QPainter, pos: QPointF, look: Look) -> None:
    """Draw the handle for turning: a ring with an arrow's barb."""
    theme = look.theme
    painter.setPen(pen(theme.selection, 1.5))
    painter.setBrush(theme.paper)
    painter.drawEllipse(pos, 6.5, 6.5)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawArc(QRectF(pos.x() - 3.0, pos.y() - 3.0, 6.0, 6.0), 30 * 16, 270 * 16)
    painter.setBrush(theme.selection)
    painter.drawEllipse(pos + QPointF(2.6, -1.5), 1.2, 1.2)


def paint_corner_handles(
    painter: QPainter, outline: Sequence[Point], view: View, look: Look, hot: tuple[str, int] | None
) -> None:
    """Draw square handles on the corners and round ones on the walls; ``hot`` is the one under the
    pointer."""
    theme = look.theme
    painter.setPen(pen(theme.selection, 1.5))
    for index, corner in enumerate(outline):
        painter.setBrush(theme.accent if hot == ("corner", index) else theme.paper)
        pos = view.to_screen(*corner)
        painter.drawRect(QRectF(pos.x() - HANDLE, pos.y() - HANDLE, 2 * HANDLE, 2 * HANDLE))
    for index, (a, b) in enumerate(zip(outline, [*outline[1:], *outline[:1]], strict=True)):
        painter.setBrush(theme.accent if hot == ("wall", index) else theme.paper)
        if math.dist(a, b) * view.scale > 8 * HANDLE:
            painter.drawEllipse(view.to_screen((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), HANDLE, HANDLE)


def paint_box(painter: QPainter, rect: QRectF, look: Look) -> None:
    """Draw the box that is being pulled to select."""
    painter.setPen(pen(look.theme.selection, 1.0, Qt.PenStyle.DashLine))
    painter.setBrush(faded(look.theme.selection, 0.06))
    painter.drawRect(rect)
