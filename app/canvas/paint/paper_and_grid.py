"""The sheet: paper, and a faint grid whose lines are those of the rulers."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QPainter

from app.canvas.paint.look import Look, faded, pen
from app.canvas.steps import ruler_steps, ticks
from app.canvas.view import View

__all__ = ["paint_grid", "paint_paper"]

_LEAST_PX = 14.0  # finer ticks would make the sheet grey


def paint_paper(painter: QPainter, look: Look, frame: QRectF) -> None:
    """Fill the sheet."""
    painter.fillRect(frame, look.theme.paper)


def paint_grid(painter: QPainter, view: View, look: Look, frame: QRectF) -> None:
    """Draw the grid over a frame of pixels; labelled lines are a little stronger."""
    coarse, fine = ruler_steps(look.units, view.scale)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    if fine * view.scale >= _LEAST_PX:
        painter.setPen(pen(faded(look.theme.hairline, 0.4)))
        painter.drawLines(_lines(view, frame, fine))
    painter.setPen(pen(faded(look.theme.hairline, 0.8)))
    painter.drawLines(_lines(view, frame, coarse))
    painter.restore()


def _lines(view: View, frame: QRectF, step: float) -> list[QLineF]:
    x0, y0, x1, y1 = view.visible(frame)
    upright = [view.to_screen(x, 0.0).x() for x in ticks(x0, x1, step)]
    level = [view.to_screen(0.0, y).y() for y in ticks(y0, y1, step)]
    return [QLineF(x, frame.top(), x, frame.bottom()) for x in upright] + [
        QLineF(frame.left(), y, frame.right(), y) for y in level
    ]
