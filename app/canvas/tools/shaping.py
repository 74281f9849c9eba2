"""Dragging a corner or a wall of the room. What would not be a room is refused in words; the last good one
stays."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter

from app.canvas.candidates import for_corner
from app.canvas.measuring import line_between
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.paint.look import wall_width
from app.canvas.paint.words import paint_note
from app.canvas.pointer import Pointer
from app.canvas.snapping import Candidates, Line, Snap
from app.canvas.tools.gesture import Gesture, paint_snap
from core.plan import Plan
from core.plan.edits import with_corner, with_wall_shifted
from core.plan.outline import OutlineError

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["DraggingCorner", "DraggingWall", "paint_wall_lengths"]


class _Shaping(Gesture):
    """What corner and wall have in common: preview, refusal, release."""

    text = ""

    def __init__(self, canvas: PlanCanvas, at: Pointer, index: int) -> None:
        super().__init__(canvas, at)
        self.index = index
        self.snap = Snap(at.point)
        self.problem: str | None = None

    def walls(self) -> tuple[int, ...]:
        """Return the walls whose length changes."""
        return ()

    def _show(self, make: Plan | OutlineError) -> None:
        if isinstance(make, OutlineError):
            self.problem = str(make)
            return
        self.problem = None
        self.canvas.document.preview(make)

    def release(self, at: Pointer) -> None:
        self.move(at)
        if self.problem:
            self.canvas.say(self.problem)
        document = self.canvas.document
        document.apply(self.text, document.plan)

    def paint(self, painter: QPainter) -> None:
        canvas = self.canvas
        paint_wall_lengths(painter, canvas, self.walls())
        if self.problem:
            paint_note(painter, canvas.look, self.last.pos, self.problem, canvas.frame, is_refusal=True)
        else:
            paint_snap(painter, canvas, self.snap, self.last)


class DraggingCorner(_Shaping):
    """Moves one corner; the two walls that meet there follow."""

    text = "Move a corner"
    words = "Release to set the corner. Alt or Ctrl turns snapping off, Esc puts it back."

    def __init__(self, canvas: PlanCanvas, at: Pointer, index: int) -> None:
        super().__init__(canvas, at, index)
        self.corner = self.before.room.outline[index]
        self.candidates = for_corner(self.before.room.outline, index, canvas.grid_step)

    def walls(self) -> tuple[int, ...]:
        count = len(self.before.room.outline)
        return (self.index - 1) % count, self.index

    def move(self, at: Pointer) -> None:
        self.last = at
        dx, dy = at.point[0] - self.start.point[0], at.point[1] - self.start.point[1]
        self.snap = self.canvas.snapped((self.corner[0] + dx, self.corner[1] + dy), self.candidates, at)
        try:
            plan = with_corner(self.before, self.index, self.snap.point)
        except OutlineError as problem:
            self._show(problem)
        else:
            self._show(plan)


class DraggingWall(_Shaping):
    """Shifts one wall square to itself; its neighbours grow or shrink."""

    text = "Move a wall"
    words = "Release to set the wall. Alt or Ctrl turns snapping off, Esc puts it back."

    def __init__(self, canvas: PlanCanvas, at: Pointer, index: int) -> None:
        super().__init__(canvas, at, index)
        (ax, ay), (bx, by) = self.before.room.wall(index)
        length = math.dist((ax, ay), (bx, by))
        self.along = ((bx - ax) / length, (by - ay) / length)
        self.outward = (self.along[1], -self.along[0])
        self.middle = ((ax + bx) / 2, (ay + by) / 2)
        is_square_on = min(abs(self.along[0]), abs(self.along[1])) < 1e-9
        lines = [
            Line(corner, self.along, "in line with a corner", 3)
            for other, corner in enumerate(self.before.room.outline)
            if other not in (index, (index + 1) % len(self.before.room.outline))
        ]
        self.candidates = Candidates((), tuple(lines), canvas.grid_step if is_square_on else None)

    def walls(self) -> tuple[int, ...]:
        count = len(self.canvas.document.plan.room.outline)
        if count != len(self.before.room.outline):
            return ()
        return (self.index - 1) % count, (self.index + 1) % count

    def move(self, at: Pointer) -> None:
        self.last = at
        out = self.outward
        dx, dy = at.point[0] - self.start.point[0], at.point[1] - self.start.point[1]
        wanted = dx * out[0] + dy * out[1]
        target = self.middle[0] + wanted * out[0], self.middle[1] + wanted * out[1]
        snap = self.canvas.snapped(target, self.candidates, at)
        px, py = snap.point[0] - self.middle[0], snap.point[1] - self.middle[1]
        distance = px * out[0] + py * out[1]
        self.snap = snap
        try:
            plan = with_wall_shifted(self.before, self.index, distance) if distance else self.before
        except OutlineError as problem:
            self._show(problem)
        else:
            self._show(plan)


def paint_wall_lengths(painter: QPainter, canvas: PlanCanvas, walls: tuple[int, ...]) -> None:
    """Draw the lengths of some walls outside of the room."""
    room = canvas.document.plan.room
    beside = -(wall_width(canvas.view) + 12.0)
    for index in walls:
        a, b = room.wall(index)
        paint_dimension(painter, line_between(a, b, canvas.view, canvas.look, canvas.frame, beside), canvas.look)
