"""The plan with its light as a picture, drawn by the same hands as the window."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QImageWriter, QPainter

from app.canvas.footprints import box_of_room
from app.canvas.paint.fixtures import paint_fixture
from app.canvas.paint.layers import Layers, Sheet
from app.canvas.paint.look import RULER, Look
from app.canvas.view import View
from app.light.legend import paint_legend
from app.light.overlay import Overlay
from app.light.scale import Scale
from app.theme import Theme, font, theme
from core.light.field import Lighting
from core.plan import Plan
from core.plan.safe_write import write_safely
from core.units import UnitSystem, show_illuminance, show_ratio

__all__ = ["plan_picture", "save_picture"]

_SIZE = QSize(1100, 900)  # logical pixels
_RATIO = 2.0
_HEAD, _FOOT, _MARGIN, _SCALE_BAR = 56, 64, 32, 32


def plan_picture(
    plan: Plan,
    lighting: Lighting,
    levels: Mapping[str, float],
    setting: str,
    dark: bool = False,
    ratio: float = _RATIO,
) -> QImage:
    """Return the picture of a plan at a switch setting.

    Parameters
    ----------
    plan, lighting
        What is drawn, and its light (initial).
    levels : mapping
        Share (0 to 1) of each switch group.
    setting : str
        What the switch setting is called.
    ratio : float
        Dots for each of the picture's 1100 x 900 logical pixels.
    """
    look = Look(theme(dark), UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US)
    scale = Scale.of(plan, look.units)
    overlay = Overlay(look.theme, scale)
    field = overlay.show(plan, lighting, levels)
    image = QImage(_SIZE * ratio, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    image.fill(look.theme.paper)
    painter = QPainter(image)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        light = (
            f"{setting}: average {show_illuminance(field.room.average, look.units)}, minimum / average "
            f"{show_ratio(field.room.evenness)}, initial light"
        )
        _paint_head(painter, look.theme, plan.name, light)
        painter.translate(0, _HEAD)
        _paint_plan(painter, plan, overlay, levels, look, ratio)
        painter.resetTransform()
        foot = QRectF(RULER + 8, _SIZE.height() - _FOOT + 4, _SIZE.width() - RULER - 24, _FOOT - 8)
        paint_legend(painter, foot, scale, look.theme)
    finally:
        painter.end()
    return image


def save_picture(plan: Plan, lighting: Lighting, levels: Mapping[str, float], path: Path) -> None:
    """Save the picture of a plan as a PNG file; raises OSError if that cannot be."""
    buffer = QBuffer()
    buffer.open(QBuffer.OpenModeFlag.WriteOnly)
    setting = "All on" if all(level >= 1.0 for level in levels.values()) else "As switched"
    writer = QImageWriter(buffer, QByteArray(b"png"))
    if not writer.write(plan_picture(plan, lighting, levels, setting)):
        raise OSError(writer.errorString())
    write_safely(path, bytes(buffer.data().data()))


def _paint_head(painter: QPainter, colours: Theme, name: str, light: str) -> None:
    painter.setPen(colours.ink)
    painter.setFont(font("figure", strong=True))
    painter.drawText(QPointF(16, 34), name)
    painter.setPen(colours.muted)
    painter.setFont(font("body"))
    right = QRectF(_SIZE.width() / 2, 10, _SIZE.width() / 2 - 16, 32)
    painter.drawText(right, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, light)


def _paint_plan(
    painter: QPainter, plan: Plan, overlay: Overlay, levels: Mapping[str, float], look: Look, ratio: float
) -> None:
    size = QSize(_SIZE.width(), _SIZE.height() - _HEAD - _FOOT)
    frame = QRectF(RULER, RULER, size.width() - RULER, size.height() - RULER)
    view = View.fitted(box_of_room(plan), frame.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN - _SCALE_BAR))
    sheet = Sheet(view, look, frame, size, ratio)
    layers = Layers()
    layers.paint_under(painter, plan, sheet)
    painter.save()
    painter.setClipRect(frame)
    for paint in (overlay.paint_field, overlay.paint_lines):
        painter.save()
        paint(painter, view)
        painter.restore()
    layers.paint_over(painter, plan, sheet, frozenset())
    for fixture in plan.fixtures:
        level = levels.get(fixture.group, 0.0)
        paint_fixture(painter, fixture, plan.model(fixture.model), level, view, look)
    painter.restore()
    layers.paint_edges(painter, sheet)
