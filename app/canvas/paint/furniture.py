"""Benches, machines and cabinets to scale, with name and height, and the worker where the worker stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPainterPathStroker, QPolygonF

from app.canvas.paint.look import FURNITURE_WIDTH, Look, faded, pen, polygon
from app.canvas.paint.names import arranged, paint_name, place_of
from app.canvas.view import View
from core.plan import Furniture, Worker, box_corners, standing_place
from core.units import show_length

__all__ = ["paint_furniture", "paint_furniture_name", "paint_worker", "shown_box"]


def paint_furniture(painter: QPainter, item: Furniture, view: View, look: Look, is_lit: bool = False) -> None:
    """Draw one box without its name. With light, a bench is clear so that the light on its top shows."""
    theme = look.theme
    corners = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
    clear = (0.12 if is_lit else 0.8 if theme.dark else 0.55) if item.kind == "bench" else 1.0
    if is_lit:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(pen(faded(theme.furniture_fill, 0.7), FURNITURE_WIDTH + 2.0))
        painter.drawPolygon(polygon(view, corners))
    painter.setBrush(faded(theme.furniture_fill, clear))
    painter.setPen(pen(theme.furniture_edge, FURNITURE_WIDTH))
    painter.drawPolygon(polygon(view, corners))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen(faded(theme.furniture_edge, 0.45), 1.0))
    _paint_kind(painter, item, view)


def shown_box(item: Furniture, view: View) -> QRectF:
    """Return the upright rectangle of a box that is free for text [px]."""
    shape = QPolygonF(polygon(view, box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)))
    rect = shape.boundingRect()
    if item.rotation_deg % 90.0 == 0.0:
        return rect
    # Text stays level; about this is the largest upright box about the centre of a turned one.
    side = min(item.width, item.depth) * view.scale
    return QRectF(rect.center().x() - side * 0.6, rect.center().y() - side * 0.35, side * 1.2, side * 0.7)


def paint_furniture_name(
    painter: QPainter, item: Furniture, view: View, look: Look, obstacles: Sequence[QRectF] = ()
) -> None:
    """Write a box's name and height where what lies above the box hides least of them."""
    box = shown_box(item, view)
    name = arranged(item.name, f"{show_length(item.top, look.units)} high", box.width(), box.height())
    if name is not None:
        place = place_of(name, box, obstacles)
        if name.detail and any(place.intersects(obstacle) for obstacle in obstacles):
            # The height gives way before the name is covered.
            name = replace(name, detail="")
            place = place_of(name, box, obstacles)
        halo = faded(look.theme.furniture_fill, 0.8)
        paint_name(painter, name, place, look.theme.furniture_ink, halo)


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
