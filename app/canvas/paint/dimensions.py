"""Dimension lines as on a building plan: a thin line, slanted ticks at its ends, the text on the line."""

from __future__ import annotations

import math

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QColor, QPainter

from app.canvas.measuring import DimensionLine
from app.canvas.paint.look import DIMENSION_WIDTH, Look, crisp, faded, pen
from app.canvas.paint.words import paint_label
from app.theme import font

__all__ = ["paint_dimension", "paint_guide"]

_TICK = 5.0  # px: half a tick's length along each axis
_HALO = 3.0  # px: as many whole ones around a line of one pixel as are needed to read it on any light
_OVERRUN = 4.0  # px: how far an extension line runs past the dimension line


def paint_dimension(painter: QPainter, shown: DimensionLine, look: Look) -> None:
    """Draw one dimension. A soft ground under the lines keeps them readable on any light."""
    theme = look.theme
    for width, colour in ((_HALO, faded(theme.halo, 0.8)), (DIMENSION_WIDTH, theme.dimension)):
        for line in (shown.line, *map(_run_past, shown.extensions)):
            _draw_line(painter, line, colour, width)
        painter.setPen(pen(colour, width + 0.6))
        for end in shown.ticks:
            painter.drawLine(QLineF(end + QPointF(-_TICK, _TICK), end + QPointF(_TICK, -_TICK)))
    ground = faded(theme.halo, 1.0)
    ground.setAlpha(255)
    paint_label(painter, shown.label, shown.text, font("small", strong=True), theme.dimension, ground)


def _draw_line(painter: QPainter, line: QLineF, colour: QColor, width: float) -> None:
    """Draw a line with flat ends; one along an axis fills whole pixels, which is crisper and many times as quick."""
    box = QRectF(line.p1(), line.p2()).normalized()
    if box.width() < 1e-6 or box.height() < 1e-6:
        across = width / 2
        if box.width() < 1e-6:
            box.moveLeft(crisp(box.left()))
            painter.fillRect(box.adjusted(-across, 0.0, across, 0.0), colour)
        else:
            box.moveTop(crisp(box.top()))
            painter.fillRect(box.adjusted(0.0, -across, 0.0, across), colour)
        return
    painter.setPen(pen(colour, width))
    painter.drawLine(line)


def paint_guide(painter: QPainter, line: QLineF, look: Look) -> None:
    """Draw the line that shows why a point was pulled there, a little longer than its two ends."""
    painter.setPen(pen(look.theme.guide, 1.0))
    length = math.hypot(line.dx(), line.dy())
    if length < 1.0:
        return
    run = QPointF(line.dx(), line.dy()) * (10.0 / length)
    painter.drawLine(line.p1() - run, line.p2() + run)


def _run_past(line: QLineF) -> QLineF:
    length = line.length()
    if length == 0.0:
        return line
    return QLineF(line.p1(), line.p2() + QPointF(line.dx(), line.dy()) * (_OVERRUN / length))
