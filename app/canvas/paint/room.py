"""The room: floor, and walls as the heaviest lines of the sheet, drawn outside of the floor so that they
cover none."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPainterPath, QPainterPathStroker

from app.canvas.paint.look import Look, faded, pen, polygon, wall_width
from app.canvas.view import View
from core.plan import KeepOut, Room, box_corners

__all__ = ["paint_floor", "paint_keep_out", "paint_walls", "room_path"]

_LEAST_CROSSED = 14.0  # px: in a narrower box the diagonal would read as a third edge


def room_path(room: Room, view: View) -> QPainterPath:
    """Return the floor's outline on the screen."""
    path = QPainterPath()
    if len(room.outline) >= 3:
        path.addPolygon(polygon(view, room.outline))
        path.closeSubpath()
    return path


def paint_floor(painter: QPainter, room: Room, view: View, look: Look) -> None:
    """Fill the floor."""
    painter.fillPath(room_path(room, view), look.theme.floor)


def paint_walls(painter: QPainter, room: Room, view: View, look: Look) -> None:
    """Draw the walls around the floor."""
    if len(room.outline) < 3:
        return
    path = room_path(room, view)
    stroker = QPainterPathStroker()
    stroker.setWidth(2.0 * wall_width(view))
    stroker.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    stroker.setMiterLimit(4.0)
    painter.fillPath(stroker.createStroke(path).subtracted(path), look.theme.wall)


def paint_keep_out(painter: QPainter, item: KeepOut, view: View, look: Look) -> None:
    """Draw something on the ceiling as a dashed box with one diagonal: above the cutting plane of the
    drawing."""
    shape = polygon(view, box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg))
    is_crossed = min(item.width, item.depth) * view.scale >= _LEAST_CROSSED
    painter.setBrush(Qt.BrushStyle.NoBrush)
    ink = look.theme.furniture_edge if not look.theme.dark else look.theme.muted
    # A soft ground keeps the dashes readable on the colours of the light.
    for line in (pen(faded(look.theme.halo, 0.5), 2.6), pen(ink, 1.0, Qt.PenStyle.DashLine)):
        painter.setPen(line)
        painter.drawPolygon(shape)
        if is_crossed:
            painter.drawLine(shape[0], shape[2])
