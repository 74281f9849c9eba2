"""The overlay of a stand-in's light, painted on a sheet of a colour that nothing else has."""

from __future__ import annotations

import math

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from app.canvas.view import View
from app.light.overlay import Overlay
from app.light.scale import Scale
from app.theme import theme
from core.light.field import Lighting
from core.plan import Plan
from tests.app.light.standin import lighting_of

ON = {"A": 1.0, "B": 1.0}
PAPER = QColor(255, 0, 255)


def view_of(plan: Plan) -> View:
    xs, ys = zip(*plan.room.outline, strict=True)
    return View.fitted((min(xs), min(ys), max(xs), max(ys)), QRectF(30.0, 30.0, 740.0, 540.0))


def overlay_of(plan: Plan, lighting: Lighting | None = None, dark: bool = False) -> Overlay:
    made = Overlay(theme(dark), Scale.of(plan))
    made.show(plan, lighting or lighting_of(plan), ON)
    return made


def painted(overlay: Overlay, view: View, density: float = 1.0, what: str = "field") -> QImage:
    image = QImage(round(800 * density), round(600 * density), QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(density)
    image.fill(PAPER)
    painter = QPainter(image)
    overlay.paint_field(painter, view, with_lines="lines" in what)
    if what == "lines":
        painter.fillRect(0, 0, 800, 600, PAPER)
    if "lines" in what:
        overlay.paint_lines(painter, view)
    painter.end()
    return image


def pixel(image: QImage, view: View, x: float, y: float) -> tuple[int, int, int]:
    at = view.to_screen(x, y) * image.devicePixelRatio()
    colour = image.pixelColor(math.floor(at.x()), math.floor(at.y()))
    return colour.red(), colour.green(), colour.blue()


def lux_at(plan: Plan, x: float, y: float, z: float) -> float:
    """The stand-in's own law, written out: F / pi * h^2 / d^4 for each fixture."""
    total = 0.0
    for fixture in plan.fixtures:
        h = plan.opening_height(fixture) - z
        d2 = (x - fixture.x) ** 2 + (y - fixture.y) ** 2 + h * h
        total += plan.setting(fixture).lumens / math.pi * h * h / d2**2
    return total
