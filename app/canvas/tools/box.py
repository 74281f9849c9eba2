"""Drawing a box: drag its rectangle, click for one of the usual size, or type the size first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QPainter

from app.canvas.candidates import for_tape
from app.canvas.measuring import line_between
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.pointer import Pointer
from app.canvas.snapping import Snap
from app.canvas.tools.gesture import paint_snap
from app.canvas.tools.tool import Tool
from core.plan import Plan
from core.plan.settle import settled
from core.units import INCH, UnitError, parse_point

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["BoxTool"]

_LEAST = INCH
_LARGEST = 100.0  # m

Made = tuple[Plan, str]


class BoxTool(Tool):
    """Common to everything that is drawn as a rectangle. ``noun`` is what it is called."""

    noun = "box"
    example = "6' by 30\""

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__(canvas)
        self.start: Pointer | None = None
        self.first = Snap((0.0, 0.0))
        self.second = Snap((0.0, 0.0))
        self.at: Pointer | None = None

    # What each kind of box says.

    def made(self, plan: Plan, x: float, y: float, size: tuple[float, float] | None) -> Made:
        """Return the plan with a new box about a centre [m], of the usual size if None, and its id."""
        raise NotImplementedError

    def paint_made(self, painter: QPainter, made: Made) -> None:
        """Draw a box that is not in the plan yet."""
        raise NotImplementedError

    def hint(self) -> str:
        return f"Drag the {self.noun}'s rectangle, click for the usual size, or type a size such as {self.example}."

    def is_busy(self) -> bool:
        return self.start is not None

    def press(self, at: Pointer) -> None:
        self.move(at)
        self.start, self.first = at, self.second

    def move(self, at: Pointer) -> None:
        self.at = at
        candidates = for_tape(self.canvas.document.plan, None, self.canvas.grid_step)
        self.second = self.canvas.snapped(at.point, candidates, at)

    def release(self, at: Pointer) -> None:
        if self.start is None:
            return
        self.move(at)
        start, self.start = self.start, None
        if not at.is_far_from(start):
            self._place(self.first.point, None)
            return
        made = self._drawn()
        if made is None:
            self.canvas.say(self._refusal())
            return
        self._apply(*made)

    def key(self, event: QKeyEvent) -> bool:
        if not self.wants(event):
            return False
        pos = self.at.pos if self.at is not None else self.canvas.frame.center()
        point = self.second.point if self.at is not None else self.canvas.view.to_plan(pos)
        title = f"Width by depth of the {self.noun}"

        def take(text: str) -> str | None:
            try:
                typed = parse_point(text, self.canvas.units)
            except UnitError as problem:
                return str(problem)
            if not typed.relative or min(typed.x, typed.y) < _LEAST or max(typed.x, typed.y) > _LARGEST:
                return f"Type a width and a depth of at least 1 in, such as {self.example}."
            self._place(point, (typed.x, typed.y))
            return None

        self.canvas.type_in(pos, event.text(), title, take, select=False)
        return True

    def wants(self, event: QKeyEvent) -> bool:
        has_command = event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
        return bool(event.text()) and not has_command and event.text() in "0123456789.("

    def cancel(self) -> None:
        self.start = None

    def _drawn(self) -> Made | None:
        (ax, ay), (bx, by) = self.first.point, self.second.point
        width, depth = settled(abs(bx - ax)), settled(abs(by - ay))
        if min(width, depth) < _LEAST or max(width, depth) > _LARGEST:
            return None
        middle = settled((ax + bx) / 2), settled((ay + by) / 2)
        return self.made(self.canvas.document.plan, *middle, (width, depth))

    def _refusal(self) -> str:
        (ax, ay), (bx, by) = self.first.point, self.second.point
        if max(abs(bx - ax), abs(by - ay)) > _LARGEST:
            return f"That is too large for a {self.noun}: zoom in and draw it again."
        return f"That is too small for a {self.noun}: drag both ways."

    def _place(self, point: tuple[float, float], size: tuple[float, float] | None) -> None:
        self._apply(*self.made(self.canvas.document.plan, settled(point[0]), settled(point[1]), size))

    def _apply(self, plan: Plan, identity: str) -> None:
        self.canvas.document.apply(f"Draw a {self.noun}", plan, select={identity})
        self.canvas.finish()

    def paint(self, painter: QPainter) -> None:
        if self.at is None:
            return
        canvas = self.canvas
        made = self._drawn() if self.start is not None else None
        if made is not None:
            self.paint_made(painter, made)
            (ax, ay), (bx, by) = self.first.point, self.second.point
            left, right, low, high = min(ax, bx), max(ax, bx), min(ay, by), max(ay, by)
            for a, b in (((left, high), (right, high)), ((right, high), (right, low))):
                line = line_between(a, b, canvas.view, canvas.look, canvas.frame, 14.0)
                paint_dimension(painter, line, canvas.look)
        elif self.start is None:
            # Where a click would put one of the usual size.
            painter.setOpacity(0.35)
            self.paint_made(painter, self.made(canvas.document.plan, *self.second.point, None))
            painter.setOpacity(1.0)
        paint_snap(painter, canvas, self.second, self.at)
