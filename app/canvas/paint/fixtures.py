"""Fixtures to scale: body in the colour of its switch group, luminous opening bright when lit, and the
group's letter.

Lit and off differ in more than colour: a lit fixture has a bright opening, a glow and a filled badge; one
that is off is an outline with a faint body and an outlined badge.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from app.canvas.paint.look import FIXTURE_WIDTH, Look, faded, mixed, pen, polygon
from app.canvas.view import View
from app.theme import font, group_colour, group_ink
from core.plan import Fixture, Model, box_corners

__all__ = ["BADGE", "paint_fixture"]

BADGE = 7.5  # px: radius of the letter's disc
_LEAST = 5.0  # px: a thinner body could not be seen


def paint_fixture(painter: QPainter, fixture: Fixture, model: Model, level: float, view: View, look: Look) -> None:
    """Draw one fixture at a level from 0 (off) to 1 (full)."""
    theme = look.theme
    colour = group_colour(fixture.group, theme.dark)
    body = _outline(fixture, model.length, model.width, view)
    opening = _outline(fixture, model.opening_length, model.opening_width, view, least=2.0)
    is_round = model.opening == "round" or model.kind in ("high bay", "downlight")
    if level > 0.0:
        _paint_glow(painter, body, is_round, level, look)
    off = mixed(theme.paper, theme.muted, 0.30)
    # What is off lets the light of the others show through.
    fill = faded(off, 0.3) if level <= 0.0 else theme.fixture_fill
    _draw(painter, body, is_round, fill, pen(colour, FIXTURE_WIDTH))
    if level > 0.0 and model.opening != "point":
        bright = mixed(mixed(off, theme.lamp, 0.25), theme.fixture_fill, 0.3 + 0.7 * level)
        _draw(painter, opening, is_round, bright, pen(faded(theme.lamp, 0.35), 1.0))
    _paint_badge(painter, fixture, view, look, colour, level > 0.0)


def _paint_glow(painter: QPainter, body: list[QPointF], is_round: bool, level: float, look: Look) -> None:
    for width, share in ((12.0, 0.10), (7.0, 0.14)):
        line = pen(faded(look.theme.lamp, share * (0.4 + 0.6 * level)), width)
        line.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        _draw(painter, body, is_round, faded(look.theme.lamp, 0.0), line)


def _outline(fixture: Fixture, length: float, width: float, view: View, least: float = _LEAST) -> list[QPointF]:
    smallest = least / view.scale
    corners = box_corners(fixture.x, fixture.y, max(length, smallest), max(width, smallest), fixture.rotation_deg)
    return polygon(view, corners)


def _draw(painter: QPainter, shape: list[QPointF], is_round: bool, fill: QColor, line: QPen) -> None:
    painter.setBrush(fill)
    painter.setPen(line)
    if not is_round:
        painter.drawPolygon(shape)
        return
    middle = (shape[0] + shape[2]) / 2.0
    side, other = shape[1] - shape[0], shape[2] - shape[1]
    wide, deep = math.hypot(side.x(), side.y()) / 2, math.hypot(other.x(), other.y()) / 2
    painter.drawEllipse(middle, wide, deep)


def _paint_badge(painter: QPainter, fixture: Fixture, view: View, look: Look, colour: QColor, is_lit: bool) -> None:
    middle = view.to_screen(fixture.x, fixture.y)
    disc = QRectF(middle - QPointF(BADGE, BADGE), middle + QPointF(BADGE, BADGE))
    painter.setBrush(colour if is_lit else look.theme.paper)
    painter.setPen(pen(colour if not is_lit else look.theme.paper, 1.2 if not is_lit else 0.8))
    painter.drawEllipse(disc)
    painter.setFont(font("small", strong=True))
    painter.setPen(group_ink(look.theme.dark) if is_lit else colour)
    painter.drawText(disc, Qt.AlignmentFlag.AlignCenter, fixture.group)
