"""Benches, machines and cabinets to scale, with name and height, and the worker where the worker stands."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPainterPath, QPainterPathStroker, QPolygonF, QTransform

from app.canvas.paint.look import FURNITURE_WIDTH, Look, faded, pen, polygon
from app.canvas.paint.words import paint_text
from app.canvas.view import View
from app.theme import font
from core.plan import Furniture, Worker, box_corners, standing_place
from core.units import show_length

__all__ = ["paint_furniture", "paint_worker"]

_INSET = 6.0  # px from a box's edge to its text


def paint_furniture(painter: QPainter, item: Furniture, view: View, look: Look) -> None:
    """Draw one box. A bench lets the light on its top show through; what is taller than a bench hides the
    floor."""
    theme = look.theme
    corners = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
    shape = polygon(view, corners)
    fill = theme.furniture_fill
    painter.setBrush(faded(fill, 0.8 if theme.dark else 0.55) if item.kind == "bench" else fill)
    painter.setPen(pen(theme.furniture_edge, FURNITURE_WIDTH))
    painter.drawPolygon(shape)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen(faded(theme.furniture_edge, 0.45), 1.0))
    _paint_kind(painter, item, view)
    _paint_name(painter, item, QPolygonF(shape).boundingRect(), view, look)


def _paint_kind(painter: QPainter, item: Furniture, view: View) -> None:
    """Mark the kind: a cabinet's door line at its front, a machine's inner outline, nothing on a bench."""
    inset = 0.0381  # m: 1 1/2 in, a door's or a casting's edge
    small = min(item.width, item.depth)
    if item.kind == "bench" or small < 4 * inset or inset * view.scale < 2.0:
        return
    if item.kind == "machine":
        painter.drawPolygon(
            polygon(
                view,
                box_corners(item.x, item.y, item.width - 2 * inset, item.depth - 2 * inset, item.rotation_deg),
            )
        )
        return
    front = box_corners(item.x, item.y, item.width, item.depth - 2 * inset, item.rotation_deg)
    painter.drawLine(view.to_screen(*front[0]), view.to_screen(*front[1]))


def _paint_name(painter: QPainter, item: Furniture, rect: QRectF, view: View, look: Look) -> None:
    """Write name and height within the box: level where it fits, else up the sheet, else cut with an
    ellipsis."""
    if item.rotation_deg % 90.0:
        # Text stays level; the largest upright box about the centre of a turned one is about this.
        side = min(item.width, item.depth) * view.scale
        rect = QRectF(rect.center().x() - side * 0.6, rect.center().y() - side * 0.35, side * 1.2, side * 0.7)
    room = rect.adjusted(_INSET, _INSET - 1, -_INSET, -_INSET + 1)
    strong, small = font("small", strong=True), font("small")
    needed = QFontMetricsF(strong).horizontalAdvance(item.name) + 1.0
    if needed > room.width() and room.height() > room.width():
        painter.save()
        turn = QTransform.fromTranslate(room.left(), room.bottom()).rotate(-90.0)
        painter.setTransform(turn, True)
        _paint_lines(painter, item, QRectF(0.0, 0.0, room.height(), room.width()), strong, small, look)
        painter.restore()
        return
    _paint_lines(painter, item, room, strong, small, look)


def _paint_lines(painter: QPainter, item: Furniture, room: QRectF, strong: QFont, small: QFont, look: Look) -> None:
    height = QFontMetricsF(strong).height()
    if room.width() < 14.0 or room.height() < height - 2.0:
        return
    ink = look.theme.furniture_ink
    line = QRectF(room.left(), room.top(), room.width(), height)
    paint_text(painter, line, item.name, strong, ink)
    words = f"{show_length(item.top, look.units)} high"
    if room.height() >= 2 * height and QFontMetricsF(small).horizontalAdvance(words) <= room.width():
        paint_text(painter, line.translated(0.0, height), words, small, faded(ink, 0.75))


def paint_worker(painter: QPainter, item: Furniture, worker: Worker, view: View, look: Look) -> None:
    """Draw the worker from above: shoulders, forearms reaching for the bench, and the head."""
    place = standing_place(item, worker)
    if place is None:
        return
    x, y, facing = place
    across, deep = worker.width * view.scale, worker.depth * view.scale
    painter.save()
    painter.translate(view.to_screen(x, y))
    painter.rotate(90.0 - facing)  # now the worker looks up the sheet
    painter.setPen(pen(faded(look.theme.ink, 0.3), 1.0))
    painter.setBrush(faded(look.theme.worker, 0.8))
    painter.drawPath(_body(across, deep))
    painter.setBrush(look.theme.worker)
    painter.drawEllipse(QPointF(0.0, 0.0), across * 0.19, across * 0.22)
    painter.restore()


def _body(across: float, deep: float) -> QPainterPath:
    shoulders = QPainterPath()
    shoulders.addEllipse(QPointF(0.0, 0.0), across / 2, deep * 0.40)
    arms = QPainterPath()
    for side in (-1.0, 1.0):
        arms.moveTo(side * across * 0.40, 0.0)
        arms.quadTo(side * across * 0.46, -deep * 0.6, side * across * 0.26, -deep * 0.9)
    stroker = QPainterPathStroker()
    stroker.setWidth(across * 0.15)
    stroker.setCapStyle(Qt.PenCapStyle.RoundCap)
    return shoulders.united(stroker.createStroke(arms)).simplified()
