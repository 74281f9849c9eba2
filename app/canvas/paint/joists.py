"""Joists, drawn quietly: their centre lines as thin dashes, and the outline of a zone while it is worked on."""

from __future__ import annotations

from PySide6.QtCore import QLineF, Qt
from PySide6.QtGui import QPainter

from app.canvas.joist_lines import joist_segments
from app.canvas.paint.look import Look, faded, pen, polygon
from app.canvas.view import View
from core.plan import JoistZone, Plan, Room

__all__ = ["paint_joists", "paint_zone"]

_LEAST_APART = 6.0  # px: closer lines would read as a tint


def paint_joists(painter: QPainter, plan: Plan, view: View, look: Look) -> None:
    """Draw the centre lines of all joists."""
    if not plan.room.joists or min(zone.spacing for zone in plan.room.joists) * view.scale < _LEAST_APART:
        return
    line = pen(faded(look.theme.muted, 0.45), 1.0)
    line.setDashPattern([10.0, 6.0])
    painter.setPen(line)
    painter.drawLines([QLineF(view.to_screen(*a), view.to_screen(*b)) for a, b in joist_segments(plan)])


def paint_zone(painter: QPainter, zone: JoistZone, room: Room, view: View, look: Look, is_chosen: bool) -> None:
    """Draw the outline of a zone."""
    colour = look.theme.selection if is_chosen else look.theme.muted
    painter.setPen(pen(colour, 2.0 if is_chosen else 1.0, Qt.PenStyle.DotLine))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolygon(polygon(view, zone.outline or room.outline))
