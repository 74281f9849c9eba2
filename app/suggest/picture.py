"""A small picture of a plan: walls, boxes, fixtures and their light, or the difference between two lights."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.canvas.view import View
from app.guard import guarded
from app.light.ground import outline_path
from app.light.picture import FieldPicture
from app.theme import Theme
from core.light.field import Lighting
from core.light.grid import FloatArray, Grid
from core.plan import Fixture, Plan, box_corners

__all__ = ["PlanPicture"]

_MARGIN = 6.0
_FINE = 200


class PlanPicture(QWidget):
    """Draws one plan, whole; all pictures with one target have one scale of colours."""

    def __init__(self, theme: Theme, size: QSize) -> None:
        super().__init__()
        self._theme = theme
        self._size = size
        self._plan: Plan | None = None
        self._fixtures: tuple[Fixture, ...] = ()
        self._light: FieldPicture | None = None
        self._difference: tuple[Grid, QImage] | None = None
        self.setMinimumSize(size)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        return self._size

    def show_plan(self, plan: Plan, lighting: Lighting | None) -> None:
        """Show a plan with everything on."""
        self._plan, self._fixtures, self._light = plan, plan.fixtures, None
        self._difference = None
        if lighting is not None:
            picture = FieldPicture(lighting.grid, lighting.inside, _FINE)
            picture.set_values(lighting.field(dict.fromkeys(lighting.groups, 1.0)).lux)
            self._light = picture
        self.update()

    def show_difference(self, plan: Plan, grid: Grid, difference: FloatArray, largest: float) -> None:
        """Show where there is more light (accent) and less (ink); ``largest`` [lx] gets the full colour."""
        self._plan, self._fixtures, self._light = plan, (), None
        self._difference = grid, _image(difference, max(largest, 1e-6), self._theme)
        self.update()

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        plan = self._plan
        if plan is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        xs, ys = zip(*plan.room.outline, strict=True)
        frame = QRectF(self.rect()).adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
        view = View.fitted((min(xs), min(ys), max(xs), max(ys)), frame)
        outline = QPolygonF([view.to_screen(x, y) for x, y in plan.room.outline])
        painter.fillPath(outline_path(outline), self._theme.floor)
        painter.save()
        painter.setClipPath(outline_path(outline))
        self._paint_light(painter, view, plan)
        painter.restore()
        self._paint_things(painter, view, plan)
        painter.setPen(QPen(self._theme.wall, 2.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolygon(outline)
        painter.end()

    def _paint_light(self, painter: QPainter, view: View, plan: Plan) -> None:
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        if self._light is not None:
            grid = self._light.grid
            painter.drawImage(_on_screen(grid, view), self._light.image(plan.targets.lux, self._theme.dark))
        elif self._difference is not None:
            grid, image = self._difference
            painter.drawImage(_on_screen(grid, view), image)

    def _paint_things(self, painter: QPainter, view: View, plan: Plan) -> None:
        edge = QPen(self._theme.furniture_edge, 1.0)
        for item in plan.furniture:
            painter.setPen(edge)
            hides = item.kind != "bench" and item.top > plan.work_plane and item.bottom < plan.work_plane
            painter.setBrush(self._theme.floor if hides else Qt.BrushStyle.NoBrush)
            corners = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
            painter.drawPolygon(QPolygonF([view.to_screen(x, y) for x, y in corners]))
        painter.setPen(QPen(self._theme.fixture_edge, 1.0))
        painter.setBrush(self._theme.fixture_fill)
        for fixture in self._fixtures:
            model = plan.model(fixture.model)
            wide = max(model.width, 3.0 / view.scale)
            if model.opening == "round":
                radius = max(model.length * view.scale / 2, 2.5)
                painter.drawEllipse(view.to_screen(fixture.x, fixture.y), radius, radius)
                continue
            corners = box_corners(fixture.x, fixture.y, model.length, wide, fixture.rotation_deg)
            painter.drawPolygon(QPolygonF([view.to_screen(x, y) for x, y in corners]))


def _on_screen(grid: Grid, view: View) -> QRectF:
    x1, y1 = grid.x0 + grid.nx * grid.step, grid.y0 + grid.ny * grid.step
    return QRectF(view.to_screen(grid.x0, y1), QPointF(view.to_screen(x1, grid.y0)))


def _image(difference: FloatArray, largest: float, theme: Theme) -> QImage:
    """Return the picture of a difference (ny, nx), row 0 at the bottom of the sheet."""
    share = np.clip(np.nan_to_num(difference[::-1]) / largest, -1.0, 1.0)
    pixels = np.zeros((*share.shape, 4), dtype=np.uint8)
    for colour, mask in ((theme.accent, share > 0.0), (theme.ink, share < 0.0)):
        for channel, value in enumerate(_bgr(colour)):
            pixels[..., channel][mask] = value
    pixels[..., 3] = (np.abs(share) * 230.0).astype(np.uint8)
    height, width = share.shape
    return QImage(pixels.tobytes(), width, height, width * 4, QImage.Format.Format_ARGB32).copy()


def _bgr(colour: QColor) -> tuple[int, int, int]:
    return colour.blue(), colour.green(), colour.red()
