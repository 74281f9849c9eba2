"""Drawing benches, machines and cabinets."""

from __future__ import annotations

from PySide6.QtGui import QPainter

from app.canvas.new_things import with_new_furniture
from app.canvas.paint.furniture import paint_furniture, paint_furniture_name
from app.canvas.tools.box import BoxTool, Made
from core.plan import FurnitureKind, Plan

__all__ = ["BenchTool", "CabinetTool", "FurnitureBoxTool", "MachineTool"]


class FurnitureBoxTool(BoxTool):
    """Common to the three kinds of furniture."""

    kind: FurnitureKind = "bench"

    def made(self, plan: Plan, x: float, y: float, size: tuple[float, float] | None) -> Made:
        return with_new_furniture(plan, self.kind, x, y, size)

    def paint_made(self, painter: QPainter, made: Made) -> None:
        item = made[0].piece(made[1])
        paint_furniture(painter, item, self.canvas.view, self.canvas.look)
        if self.is_busy():
            paint_furniture_name(painter, item, self.canvas.view, self.canvas.look)


class BenchTool(FurnitureBoxTool):
    """Draws benches."""

    name = noun = kind = "bench"


class MachineTool(FurnitureBoxTool):
    """Draws machines."""

    name = noun = kind = "machine"


class CabinetTool(FurnitureBoxTool):
    """Draws cabinets and racks."""

    name = noun = kind = "cabinet"
