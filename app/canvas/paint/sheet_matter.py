"""Notes, and the picture underneath: what lies on the sheet and not in the room."""

from __future__ import annotations

import math
from functools import lru_cache

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QImage, QPainter

from app.canvas.paint.look import Look, faded
from app.canvas.view import View
from app.theme import font
from core.plan import Note, Underlay
from core.plan.sheet import picture_bytes

__all__ = ["paint_note_text", "paint_underlay", "picture_of"]

_LEAST_PX = 6.0  # smaller letters are drawn as a bar


@lru_cache(maxsize=2)
def picture_of(uri: str) -> QImage:
    """Return the picture of a data URI; an empty one if it cannot be read."""
    try:
        return QImage.fromData(picture_bytes(uri))
    except ValueError:
        return QImage()


def paint_underlay(painter: QPainter, underlay: Underlay, view: View) -> None:
    """Draw the picture, faded."""
    image = picture_of(underlay.picture)
    if image.isNull():
        return
    width = underlay.width * view.scale
    height = width * underlay.aspect
    painter.save()
    painter.translate(view.to_screen(underlay.x, underlay.y))
    painter.rotate(-underlay.rotation_deg)
    painter.setOpacity(painter.opacity() * underlay.strength)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawImage(QRectF(-width / 2, -height / 2, width, height), image)
    painter.restore()


def paint_note_text(painter: QPainter, note: Note, view: View, look: Look) -> None:
    """Write a note in letters that grow with the drawing."""
    width, height = (side * view.scale for side in note.size)
    box = QRectF(-width / 2, -height / 2, width, height)
    painter.save()
    painter.translate(view.to_screen(note.x, note.y))
    painter.rotate(-note.rotation_deg)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(faded(look.theme.halo, 0.8))
    painter.drawRoundedRect(box.adjusted(-3.0, -1.0, 3.0, 1.0), 3.0, 3.0)
    letters = note.letter * view.scale
    if letters < _LEAST_PX:
        painter.setBrush(faded(look.theme.muted, 0.5))
        painter.drawRect(QRectF(-width / 2, -0.75, width, 1.5))
    else:
        painter.setPen(look.theme.ink)
        painter.setFont(_fitting(note, letters, width))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip), "\n".join(note.lines))
    painter.restore()


def _fitting(note: Note, letters: float, width: float) -> QFont:
    """Return a font whose longest line is no wider than the note's box."""
    face = QFont(font("small"))
    face.setPixelSize(max(1, math.floor(letters)))
    metrics = QFontMetricsF(face)
    longest = max(metrics.horizontalAdvance(line) for line in note.lines)
    if longest > width > 0.0:
        face.setPixelSize(max(1, math.floor(letters * width / longest)))
    return face
