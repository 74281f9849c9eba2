"""Dragging things across the plan, with snapping and live distances to the walls."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter

from app.canvas.candidates import for_thing
from app.canvas.footprints import centre_of, named, thing_with
from app.canvas.measuring import all_lines_of
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.pointer import Pointer
from app.canvas.snapping import Snap
from app.canvas.tools.gesture import Gesture, paint_snap
from core.plan.edits import moved

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["Moving"]


class Moving(Gesture):
    """Moves the things ``ids``; the centre of ``anchor`` is what snaps."""

    words = "Release to set it down. Shift keeps it level or upright, Alt or Ctrl stops snapping, Esc undoes."

    def __init__(self, canvas: PlanCanvas, at: Pointer, ids: frozenset[str], anchor: str) -> None:
        super().__init__(canvas, at)
        self.ids = ids
        self.anchor = anchor
        thing = thing_with(self.before, anchor)
        if thing is None:
            raise LookupError(f"{anchor} is not in the plan")
        self.origin = centre_of(self.before, thing)
        self.candidates = for_thing(self.before, ids, thing, canvas.grid_step, canvas.units)
        self.snap = Snap(self.origin)

    def moving(self) -> frozenset[str]:
        # A door's tracks and opener go with it.
        return self.ids | {item.id for item in self.before.room.keep_outs if item.door in self.ids}

    def move(self, at: Pointer) -> None:
        dx, dy = at.point[0] - self.start.point[0], at.point[1] - self.start.point[1]
        wanted = self.origin[0] + dx, self.origin[1] + dy
        snap = self.canvas.snapped(wanted, self.candidates, at)
        if at.shift:
            level = abs(dx) >= abs(dy)
            point = (snap.point[0], self.origin[1]) if level else (self.origin[0], snap.point[1])
            snap = Snap(point, ("level",) if level else ("upright",))
        self.last = at
        if snap.point != self.snap.point:
            shift = snap.point[0] - self.origin[0], snap.point[1] - self.origin[1]
            self.canvas.document.preview(moved(self.before, self.ids, *shift))
        self.snap = snap

    def release(self, at: Pointer) -> None:
        self.move(at)
        document = self.canvas.document
        document.apply(f"Move {named(self.before, self.ids)}", document.plan)

    def paint(self, painter: QPainter) -> None:
        canvas = self.canvas
        for line in all_lines_of(canvas.document.plan, self.anchor, canvas.view, canvas.look, canvas.frame):
            paint_dimension(painter, line, canvas.look)
        paint_snap(painter, canvas, self.snap, self.last)
