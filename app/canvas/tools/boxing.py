"""Pulling a box to select what lies wholly in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.canvas.hit import things_within
from app.canvas.paint.selection import paint_box
from app.canvas.pointer import Pointer
from app.canvas.tools.gesture import Gesture

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["Boxing"]


class Boxing(Gesture):
    """Selects live while the box is pulled; with Shift, adds to what was selected."""

    words = "Pull a box around what you want to select. Shift adds to the selection."

    def __init__(self, canvas: PlanCanvas, at: Pointer) -> None:
        super().__init__(canvas, at)
        self.kept = canvas.document.selection
        self.added = self.kept if at.shift else frozenset()

    def move(self, at: Pointer) -> None:
        self.last = at
        (ax, ay), (bx, by) = self.start.point, at.point
        box = (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
        self.canvas.document.select(self.added | things_within(self.before, box))

    def release(self, at: Pointer) -> None:
        self.move(at)

    def cancel(self) -> None:
        self.canvas.document.select(self.kept)

    def paint(self, painter: QPainter) -> None:
        paint_box(painter, QRectF(self.start.pos, self.last.pos).normalized(), self.canvas.look)
