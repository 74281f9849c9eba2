"""Doors, windows and overhead doors in the walls, in the plan symbols of the trade: leaf and swing, double
line, sheet."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPolygonF

from app.canvas.footprints import opening_ends
from app.canvas.paint.look import Look, faded, pen, wall_width
from app.canvas.view import View
from core.plan import Opening, Room

__all__ = ["paint_opening"]


def paint_opening(painter: QPainter, room: Room, opening: Opening, view: View, look: Look) -> None:
    """Cut the wall open and draw what closes it."""
    a, b = (view.to_screen(*end) for end in opening_ends(room, opening))
    length = math.hypot(b.x() - a.x(), b.y() - a.y())
    if length < 1.0:
        return
    along = (b - a) / length
    # The room lies to the left of a wall; on the screen, where y runs down, that is the other hand.
    inward = QPointF(along.y(), -along.x())
    thick = wall_width(view)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(look.theme.paper)
    outward = inward * -(thick + 1.0)
    painter.drawPolygon(QPolygonF([a + inward * 0.5, b + inward * 0.5, b + outward, a + outward]))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen(look.theme.opening, 1.2))
    outer = inward * -thick
    painter.drawLine(a, a + outer)
    painter.drawLine(b, b + outer)
    if opening.kind == "door":
        _paint_leaf(painter, a, b, inward, opening, look, outer)
    elif opening.kind == "window":
        for share in (0.15, 0.5, 0.85):
            painter.drawLine(a + outer * share, b + outer * share)
    else:
        _paint_sheet(painter, a, b, inward, opening.height * view.scale, opening, look, outer)


def _paint_leaf(
    painter: QPainter, a: QPointF, b: QPointF, inward: QPointF, opening: Opening, look: Look, outer: QPointF
) -> None:
    """Draw a door's leaf as it opens: into the room, outwards, or shut in the wall where it slides."""
    hinge, latch = (a, b) if opening.hinge == "start" else (b, a)
    reach = math.hypot(b.x() - a.x(), b.y() - a.y())
    if opening.swing == "along":
        # Shut, in the middle of the wall; it slides along it.
        painter.drawLine(a + outer * 0.5, b + outer * 0.5)
        return
    if opening.swing == "out":
        hinge, latch, inward = hinge + outer, latch + outer, -inward
    tip = hinge + inward * reach
    painter.drawLine(hinge, tip)
    painter.setPen(pen(faded(look.theme.opening, 0.55), 1.0))
    start = math.degrees(math.atan2(-(latch.y() - hinge.y()), latch.x() - hinge.x()))
    end = math.degrees(math.atan2(-(tip.y() - hinge.y()), tip.x() - hinge.x()))
    sweep = (end - start + 180.0) % 360.0 - 180.0
    circle = QRectF(hinge.x() - reach, hinge.y() - reach, 2 * reach, 2 * reach)
    painter.drawArc(circle, round(start * 16), round(sweep * 16))


def _paint_sheet(
    painter: QPainter,
    a: QPointF,
    b: QPointF,
    inward: QPointF,
    depth: float,
    opening: Opening,
    look: Look,
    outer: QPointF,
) -> None:
    """Draw an overhead door: shut as a double line in the wall, its open place under the ceiling dashed."""
    painter.drawLine(a + outer * 0.35, b + outer * 0.35)
    painter.drawLine(a + outer * 0.75, b + outer * 0.75)
    strength = 1.0 if opening.is_open else 0.5
    painter.setPen(pen(faded(look.theme.opening, strength), 1.0, Qt.PenStyle.DashLine))
    if opening.is_open:
        painter.setBrush(faded(look.theme.opening, 0.12))
    painter.drawPolygon(QPolygonF([a, b, b + inward * depth, a + inward * depth]))
    painter.setBrush(Qt.BrushStyle.NoBrush)
