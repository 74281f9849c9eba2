"""How the plan lies on the screen: an immutable mapping from metres (y up) to widget pixels (y down)."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QTransform

from core.plan import Point

__all__ = ["MAX_SCALE", "MIN_SCALE", "View"]

MIN_SCALE = 2.0  # px per metre: 640 m across a 1280 px window
MAX_SCALE = 4000.0  # px per metre: 1/16 in is 6 px


@dataclass(frozen=True, slots=True)
class View:
    """``scale`` px per metre; the plan's zero point lies at pixel ``origin_x, origin_y``."""

    scale: float
    origin_x: float
    origin_y: float

    def to_screen(self, x: float, y: float) -> QPointF:
        """Return the pixel of a plan point [m]."""
        return QPointF(self.origin_x + x * self.scale, self.origin_y - y * self.scale)

    def to_plan(self, pos: QPointF) -> Point:
        """Return the plan point [m] under a pixel."""
        return (pos.x() - self.origin_x) / self.scale, (self.origin_y - pos.y()) / self.scale

    def transform(self) -> QTransform:
        """Return the same mapping for a painter that draws in metres."""
        return QTransform(self.scale, 0.0, 0.0, -self.scale, self.origin_x, self.origin_y)

    def zoomed(self, factor: float, about: QPointF) -> View:
        """Return the view magnified by ``factor``; the plan point under ``about`` stays there."""
        x, y = self.to_plan(about)
        scale = min(MAX_SCALE, max(MIN_SCALE, self.scale * factor))
        return View(scale, about.x() - x * scale, about.y() + y * scale)

    def panned(self, dx: float, dy: float) -> View:
        """Return the view moved by so many pixels."""
        return replace(self, origin_x=self.origin_x + dx, origin_y=self.origin_y + dy)

    def visible(self, frame: QRectF) -> tuple[float, float, float, float]:
        """Return what a frame in pixels shows of the plan: ``(x0, y0, x1, y1)`` [m]."""
        x0, y0 = self.to_plan(frame.bottomLeft())
        x1, y1 = self.to_plan(frame.topRight())
        return x0, y0, x1, y1

    @classmethod
    def fitted(cls, box: tuple[float, float, float, float], frame: QRectF) -> View:
        """Return the view that shows a box ``(x0, y0, x1, y1)`` [m] whole and centred in a frame of
        pixels."""
        x0, y0, x1, y1 = box
        width, height = max(x1 - x0, 1e-6), max(y1 - y0, 1e-6)
        scale = min(max(frame.width(), 1.0) / width, max(frame.height(), 1.0) / height)
        scale = min(MAX_SCALE, max(MIN_SCALE, scale))
        middle = frame.center()
        # Whole pixels keep axis-parallel hairlines crisp.
        return cls(
            scale,
            math.floor(middle.x() - (x0 + x1) / 2 * scale + 0.5),
            math.floor(middle.y() + (y0 + y1) / 2 * scale + 0.5),
        )
