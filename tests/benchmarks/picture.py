"""A picture of one reference case: the program's field, the reference's points over it, and how far each is off.

Left: the field on the plane that most of the case's points lie in, isolines by colour alone; the dots are the
reference's own values in the same colours, so a dot that cannot be seen agrees. Right: the deviations, blue where the
program is darker, orange where it is brighter, dot area in proportion, with the largest written out.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QGuiApplication, QImage, QPainter, QPen, QPolygonF

from core.light.engine import LightEngine
from core.light.field import Field
from core.plan import Plan, box_corners
from tests.reference.cases import plan_of

__all__ = ["draw_case"]

WIDTH, MARGIN, TITLE = 560, 28, 64
RAMP = np.array([(20, 24, 60), (52, 76, 140), (70, 140, 160), (150, 190, 130), (240, 220, 140), (255, 250, 235)], float)
WORST_SHOWN = 0.02


class _Sheet:
    """Maps the room to a panel of the picture."""

    def __init__(self, plan: Plan, left: float, top: float) -> None:
        xs, ys = (np.array(v) for v in zip(*plan.room.outline, strict=True))
        self.x0, self.y1 = float(xs.min()), float(ys.max())
        self.scale = (WIDTH - 2 * MARGIN) / float(xs.max() - xs.min())
        self.left, self.top = left + MARGIN, top + MARGIN
        self.height = float(ys.max() - ys.min()) * self.scale + 2 * MARGIN

    def at(self, x: float, y: float) -> QPointF:
        return QPointF(self.left + (x - self.x0) * self.scale, self.top + (self.y1 - y) * self.scale)


def draw_case(case: dict[str, Any], lux: np.ndarray, file: Path) -> None:
    """Draw a case's field beside its residuals and write a PNG; ``lux`` is what the program found at the points."""
    application = QGuiApplication.instance() or QGuiApplication([])
    points, exact = np.array(case["points"], float), np.array(case["E_lux"], float)
    height = Counter(z for _, _, z in case["points"]).most_common(1)[0][0]
    plan = replace(plan_of(case), work_plane=height)
    lighting = LightEngine(step=0.05).solve(plan)
    field = lighting.field(dict.fromkeys(lighting.groups, 1.0))
    left = _Sheet(plan, 0.0, TITLE)
    image = QImage(2 * WIDTH, int(left.height) + TITLE, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    high = float(np.nanpercentile(field.lux, 99.0))
    _draw_field(painter, left, field, high)
    _draw_room(painter, left, plan)
    on_plane = np.flatnonzero((points[:, 2] == height) & (np.array(case["normals"], float)[:, 2] > 0.99))
    for k in on_plane:
        painter.setPen(QPen(QColor(0, 0, 0, 130), 0.8))
        painter.setBrush(_colour(exact[k] / high))
        painter.drawEllipse(left.at(*points[k, :2]), 6.0, 6.0)
    _draw_residuals(painter, _Sheet(plan, WIDTH, TITLE), plan, points, lux / exact - 1.0)
    _draw_titles(painter, case, lux / exact - 1.0, height, high)
    painter.end()
    if not image.save(str(file)):
        raise OSError(f"{file}: could not be written")
    del application


def _colour(share: float) -> QColor:
    place = float(np.clip(share, 0.0, 1.0)) * (len(RAMP) - 1)
    low = min(int(place), len(RAMP) - 2)
    r, g, b = RAMP[low] + (place - low) * (RAMP[low + 1] - RAMP[low])
    return QColor(int(r), int(g), int(b))


def _draw_field(painter: QPainter, sheet: _Sheet, field: Field, high: float) -> None:
    side = field.grid.step * sheet.scale
    for row, y in enumerate(field.grid.ys):
        for column, x in enumerate(field.grid.xs):
            value = field.lux[row, column]
            if np.isfinite(value):
                corner = sheet.at(x, y)
                cell = QRectF(corner.x() - side / 2, corner.y() - side / 2, side + 0.6, side + 0.6)
                painter.fillRect(cell, _colour(value / high))


def _draw_room(painter: QPainter, sheet: _Sheet, plan: Plan) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor("black"), 2.0))
    painter.drawPolygon(QPolygonF([sheet.at(x, y) for x, y in plan.room.outline]))
    painter.setPen(QPen(QColor(90, 90, 90), 1.2))
    for item in plan.furniture:
        corners = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
        painter.drawPolygon(QPolygonF([sheet.at(x, y) for x, y in corners]))
    painter.setPen(QPen(QColor(190, 30, 30), 1.2, Qt.PenStyle.DashLine))
    for fixture in plan.fixtures:
        model = plan.model(fixture.model)
        size = max(model.opening_length, 0.08), max(model.opening_width, 0.08)
        corners = box_corners(fixture.x, fixture.y, *size, fixture.rotation_deg)
        painter.drawPolygon(QPolygonF([sheet.at(x, y) for x, y in corners]))


def _draw_residuals(painter: QPainter, sheet: _Sheet, plan: Plan, points: np.ndarray, off: np.ndarray) -> None:
    _draw_room(painter, sheet, plan)
    for (x, y, _), share in zip(points, off, strict=True):
        radius = 1.5 + 14.0 * float(np.sqrt(min(abs(share) / WORST_SHOWN, 1.0)))
        painter.setPen(QPen(QColor(0, 0, 0, 120), 0.8))
        painter.setBrush(QColor(225, 130, 30, 150) if share > 0.0 else QColor(40, 90, 190, 150))
        painter.drawEllipse(sheet.at(x, y), radius, radius)
    worst = int(np.abs(off).argmax())
    painter.setPen(QColor("black"))
    painter.setFont(QFont(painter.font().family(), 9))
    painter.drawText(sheet.at(points[worst, 0], points[worst, 1]) + QPointF(8.0, -8.0), f"{100.0 * off[worst]:+.2f} %")


def _draw_titles(painter: QPainter, case: dict[str, Any], off: np.ndarray, height: float, high: float) -> None:
    painter.setPen(QColor("black"))
    painter.setFont(QFont(painter.font().family(), 11))
    painter.drawText(QPointF(MARGIN, 24.0), f"{case['name']}: field at {height:.2f} m, 0 to {high:.0f} lx")
    text = f"Deviation from the reference: mean {100 * np.abs(off).mean():.2f} %, worst {100 * np.abs(off).max():.2f} %"
    painter.drawText(QPointF(WIDTH + MARGIN, 24.0), text)
    painter.setFont(QFont(painter.font().family(), 9))
    painter.drawText(QPointF(MARGIN, 44.0), "Dots: the reference's own values in the same colours. Dashed: fixtures.")
    painter.drawText(
        QPointF(WIDTH + MARGIN, 44.0), f"Full dot: {100 * WORST_SHOWN:.0f} %. Blue: program darker; orange: brighter."
    )
