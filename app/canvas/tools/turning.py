"""Turning what is selected by its handle, in steps of 15 degrees unless snapping is off."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter

from app.canvas.footprints import Box, named, rotation_of, thing_with
from app.canvas.paint.words import paint_note
from app.canvas.pointer import Pointer
from app.canvas.tools.gesture import Gesture
from core.plan.edits import turned
from core.units import UnitError, parse_angle, show_angle

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["Turning"]

STEP = 15.0


class Turning(Gesture):
    """Turns one thing on its spot, or several about the middle of their box."""

    words = "Turn in steps of 15°, or type the angle. Alt or Ctrl turns freely, Esc puts it back."

    def __init__(self, canvas: PlanCanvas, at: Pointer, ids: frozenset[str], box: Box) -> None:
        super().__init__(canvas, at)
        self.ids = ids
        self.middle = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        thing = thing_with(self.before, next(iter(ids))) if len(ids) == 1 else None
        self.own = rotation_of(self.before, thing) if thing is not None else 0.0
        self.angle = 0.0

    def moving(self) -> frozenset[str]:
        return self.ids

    def move(self, at: Pointer) -> None:
        self.last = at
        raw = self._heading(at) - self._heading(self.start)
        wanted = raw if at.free else round((self.own + raw) / STEP) * STEP - self.own
        if wanted != self.angle:
            self.angle = wanted
            about = None if len(self.ids) == 1 else self.middle
            self.canvas.document.preview(turned(self.before, self.ids, wanted, about))

    def release(self, at: Pointer) -> None:
        self.move(at)
        document = self.canvas.document
        document.apply(f"Turn {named(self.before, self.ids)}", document.plan)

    def ask(self, first: str) -> None:
        """Let the angle be typed instead: the direction of one thing, or by how much to turn several."""
        canvas, before, ids = self.canvas, self.before, self.ids

        def take(text: str) -> str | None:
            try:
                wanted = parse_angle(text)
            except UnitError as problem:
                return str(problem)
            about = None if len(ids) == 1 else self.middle
            plan = turned(before, ids, wanted - (self.own if about is None else 0.0), about)
            canvas.document.apply(f"Turn {named(before, ids)}", plan)
            return None

        self.cancel()
        title = "Turned to" if len(ids) == 1 else "Turn by"
        canvas.type_in(self.last.pos, first, title, take, select=False)

    def paint(self, painter: QPainter) -> None:
        shown = show_angle((self.own + self.angle + 180.0) % 360.0 - 180.0)
        paint_note(painter, self.canvas.look, self.last.pos, shown, self.canvas.frame)

    def _heading(self, at: Pointer) -> float:
        return math.degrees(math.atan2(at.point[1] - self.middle[1], at.point[0] - self.middle[0]))
