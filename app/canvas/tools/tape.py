"""The tape measure: a click or a drag from one place to another shows the distance. It changes nothing."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter

from app.canvas.candidates import for_tape
from app.canvas.measuring import line_between
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.pointer import Pointer
from app.canvas.snapping import Snap
from app.canvas.tools.gesture import paint_snap
from app.canvas.tools.tool import Tool
from core.plan import Point
from core.units import show_angle, show_length

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["TapeTool"]


class TapeTool(Tool):
    """``start`` is where the tape is hooked, ``end`` where it was read; both None before the first click."""

    name = "tape measure"

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__(canvas)
        self.start: Point | None = None
        self.end: Point | None = None
        self.pressed: Pointer | None = None
        self.at: Pointer | None = None
        self.snap = Snap((0.0, 0.0))

    def hint(self) -> str:
        if self.start is None or self.end is not None:
            return "Click where to hook the tape, or drag from one place to another."
        return "Click where to read the tape."

    def is_busy(self) -> bool:
        return self.start is not None and self.end is None

    def move(self, at: Pointer) -> None:
        self.at = at
        hooked = self.start if self.end is None else None
        candidates = for_tape(self.canvas.document.plan, hooked, self.canvas.grid_step)
        self.snap = self.canvas.snapped(at.point, candidates, at)

    def press(self, at: Pointer) -> None:
        self.move(at)
        if self.start is None or self.end is not None:
            self.start, self.end, self.pressed = self.snap.point, None, at
        else:
            self.end = self.snap.point
        self.canvas.tell_hint()

    def release(self, at: Pointer) -> None:
        self.move(at)
        pressed, self.pressed = self.pressed, None
        if pressed is not None and self.end is None and at.is_far_from(pressed):
            self.end = self.snap.point
            self.canvas.tell_hint()

    def cancel(self) -> None:
        self.start = self.end = self.pressed = None

    def reading(self) -> str:
        """Return the distance on show, its two parts and its direction; empty before there is one."""
        end = self.end if self.end is not None else self.snap.point
        if self.start is None or math.dist(self.start, end) < 1e-6:
            return ""
        dx, dy = end[0] - self.start[0], end[1] - self.start[1]
        length = show_length(math.hypot(dx, dy), self.canvas.units)
        if min(abs(dx), abs(dy)) < 1e-6:
            return length
        parts = f"{show_length(abs(dx), self.canvas.units)} across, {show_length(abs(dy), self.canvas.units)} up"
        return f"{length}\n{parts}\n{show_angle(math.degrees(math.atan2(dy, dx)))}"

    def paint(self, painter: QPainter) -> None:
        canvas = self.canvas
        if self.start is not None:
            end = self.end if self.end is not None else self.snap.point
            line = line_between(self.start, end, canvas.view, canvas.look, canvas.frame)
            if line.line.length() > 2.0:
                paint_dimension(painter, line, canvas.look)
        if self.at is not None:
            more = self.reading().partition("\n")[2] if self.end is None else ""
            paint_snap(painter, canvas, self.snap, self.at, more)
