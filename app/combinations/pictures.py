"""Small pictures of the light at switch settings, all in the colours of the plan's target, to be set side by side."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPen, QPixmap, QPolygonF

from app.canvas.view import View
from app.light.ground import outline_path
from app.light.picture import FieldPicture
from app.theme import Theme
from core.light.field import Field, Lighting
from core.plan import Plan, box_corners

__all__ = ["PICTURE_SIZE", "SettingPictures"]

PICTURE_SIZE = QSize(104, 72)
_FINE = 96
_MARGIN = 3.0


class SettingPictures:
    """Pictures of one plan's light; what all of them have in common is prepared once."""

    def __init__(self, plan: Plan, lighting: Lighting, theme: Theme, ratio: float) -> None:
        self._plan, self._theme, self._ratio = plan, theme, ratio
        self._picture = FieldPicture(lighting.grid, lighting.inside, _FINE)
        xs, ys = zip(*plan.room.outline, strict=True)
        frame = QRectF(QPointF(0.0, 0.0), PICTURE_SIZE.toSizeF()).adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
        self._view = View.fitted((min(xs), min(ys), max(xs), max(ys)), frame)
        self._outline = QPolygonF([self._view.to_screen(x, y) for x, y in plan.room.outline])

    def of(self, field: Field, levels: Mapping[str, float], factor: float = 1.0) -> QPixmap:
        """Return the picture of one setting; ``factor`` turns initial light into maintained light."""
        pixmap = QPixmap(PICTURE_SIZE * self._ratio)
        pixmap.setDevicePixelRatio(self._ratio)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        self._light(painter, field, factor)
        self._things(painter, levels)
        painter.setPen(QPen(self._theme.wall, 1.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolygon(self._outline)
        painter.end()
        return pixmap

    def _light(self, painter: QPainter, field: Field, factor: float) -> None:
        self._picture.set_values(field.lux * factor)
        grid = field.grid
        corner = self._view.to_screen(grid.x0 + grid.nx * grid.step, grid.y0)
        target = QRectF(self._view.to_screen(grid.x0, grid.y0 + grid.ny * grid.step), corner)
        painter.save()
        painter.setClipPath(outline_path(self._outline))
        painter.drawImage(target, self._picture.image(self._plan.targets.lux, self._theme.dark))
        painter.restore()

    def _things(self, painter: QPainter, levels: Mapping[str, float]) -> None:
        """Draw benches as outlines, and the fixtures that are on."""
        painter.setPen(QPen(self._theme.furniture_edge, 0.8))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for item in self._plan.benches():
            self._box(painter, item.x, item.y, item.width, item.depth, item.rotation_deg)
        painter.setPen(QPen(self._theme.fixture_edge, 0.8))
        painter.setBrush(self._theme.fixture_fill)
        for fixture in self._plan.fixtures:
            if levels.get(fixture.group, 0.0) > 0.0:
                model = self._plan.model(fixture.model)
                least = 2.5 / self._view.scale
                wide, deep = max(model.length, least), max(model.width, least)
                self._box(painter, fixture.x, fixture.y, wide, deep, fixture.rotation_deg)

    def _box(self, painter: QPainter, x: float, y: float, wide: float, deep: float, turn: float) -> None:
        corners = box_corners(x, y, wide, deep, turn)
        painter.drawPolygon(QPolygonF([self._view.to_screen(px, py) for px, py in corners]))
