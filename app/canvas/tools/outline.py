"""Drawing an outline: click corner after corner, or type a length; close it on the first corner, by Enter or a double
click.

A corner that would make the outline cross itself is refused on the spot, in words beside the pointer; the plan changes
only when the outline is closed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QPolygonF

from app.canvas.candidates import for_new_corner
from app.canvas.measuring import line_between
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.paint.look import faded, pen
from app.canvas.paint.selection import HANDLE
from app.canvas.paint.words import paint_note
from app.canvas.pointer import Pointer
from app.canvas.snapping import Candidates, Snap
from app.canvas.tools.gesture import paint_snap
from app.canvas.tools.tool import Tool
from core.plan import Point
from core.plan.outline import outline_problem, segment_problem
from core.plan.settle import settled_point
from core.units import UnitError, parse_length, parse_point

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["OutlineTool"]

_SAME_PX = 3.0


class OutlineTool(Tool):
    """Corners set so far, the next one under the pointer, and why it is refused.

    ``whole`` and ``edge`` are what the outline and its sides are called.
    """

    whole = "room"
    edge = "wall"

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__(canvas)
        self.corners: list[Point] = []
        self.next = Snap((0.0, 0.0))
        self.at: Pointer | None = None
        self.problem: str | None = None

    # What each kind of outline says.

    def candidates(self) -> Candidates:
        """Return what the next corner may snap to."""
        return for_new_corner(self.corners, self.canvas.grid_step)

    def closed(self, corners: Sequence[Point]) -> None:
        """Take the finished outline."""
        raise NotImplementedError

    def hint(self) -> str:
        if len(self.corners) < 3:
            return "Click the next corner, or type a length (12' 6) or a way (3' by 4'). Backspace takes one back."
        return f"Click the next corner; close the {self.whole} on its first corner, by Enter or a double click."

    def is_busy(self) -> bool:
        return bool(self.corners)

    def move(self, at: Pointer) -> None:
        self.at = at
        self.next = self.canvas.snapped(at.point, self.candidates(), at)
        self.problem = self._refusal(self.next.point) if self._is_apart(at) else None

    def _refusal(self, point: Point) -> str | None:
        return self._in_its_words(segment_problem(self.corners, point))

    def _in_its_words(self, problem: str | None) -> str | None:
        return problem and problem.replace("wall", self.edge).replace("room", self.whole)

    def _is_apart(self, at: Pointer) -> bool:
        """Whether the pointer has left the last corner: before that, there is nothing to judge."""
        if not self.corners:
            return True
        last = self.canvas.view.to_screen(*self.corners[-1])
        return math.hypot(at.pos.x() - last.x(), at.pos.y() - last.y()) > _SAME_PX

    def press(self, at: Pointer) -> None:
        self.move(at)
        if self._is_apart(at):
            self._set(self.next.point)

    def double_click(self, at: Pointer) -> None:
        self.move(at)
        if len(self.corners) >= 3:
            self._close()

    def key(self, event: QKeyEvent) -> bool:
        key = event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.corners:
            self._close()
            return True
        is_undo = key == Qt.Key.Key_Z and event.modifiers() == Qt.KeyboardModifier.ControlModifier
        if (key == Qt.Key.Key_Backspace or is_undo) and self.corners:
            self.corners.pop()
            self._refresh()
            return True
        if _starts_typing(event):
            self._type(event.text())
            return True
        return False

    def wants(self, event: QKeyEvent) -> bool:
        is_undo = event.key() == Qt.Key.Key_Z and event.modifiers() == Qt.KeyboardModifier.ControlModifier
        return _starts_typing(event) or (is_undo and bool(self.corners))

    def cancel(self) -> None:
        self.corners.clear()
        self.problem = None

    def _refresh(self) -> None:
        if self.at is not None:
            self.move(self.at)
        self.canvas.tell_hint()
        self.canvas.update()

    def _set(self, point: Point) -> str | None:
        """Set a corner, or close the room on the first one; return why it is refused."""
        point = settled_point(point)
        problem = self._refusal(point)
        if problem is not None:
            self.problem = problem
            self.canvas.say(problem)
            return problem
        if len(self.corners) >= 3 and math.dist(point, self.corners[0]) < 1e-3:
            self._close()
            return None
        self.corners.append(point)
        self._refresh()
        return None

    def _close(self) -> None:
        problem = self._in_its_words(outline_problem(self.corners))
        if problem is not None:
            self.problem = problem
            self.canvas.say(problem)
            self.canvas.update()
            return
        corners = tuple(self.corners)
        self.corners.clear()
        self.closed(corners)

    def _type(self, first: str) -> None:
        pos = self.at.pos if self.at is not None else self.canvas.frame.center()
        aim = self.next.point
        title = f"Length of the {self.edge}, or a place" if self.corners else "Place of the first corner"
        self.canvas.type_in(pos, first, title, lambda text: self._take(text, aim), select=False)

    def _take(self, text: str, aim: Point) -> str | None:
        """Set the corner that was typed: a length runs towards ``aim``, where the pointer was."""
        try:
            point = self._typed(text, aim)
        except UnitError as problem:
            return str(problem)
        refused = self._set(point)
        if refused is None:
            self.problem = None  # the pointer is still where it was; it is judged when it moves
        return refused

    def _typed(self, text: str, aim: Point) -> Point:
        try:
            typed = parse_point(text, self.canvas.units)
        except UnitError:
            if not self.corners or any(word in text for word in (";", "by", "at", "to")):
                raise
            length = parse_length(text, self.canvas.units, negative=False)
            x, y = self.corners[-1]
            far = math.dist((x, y), aim)
            if far == 0.0:
                raise UnitError("Point the way first: move the pointer off the last corner.", "12' at 90°") from None
            return x + (aim[0] - x) / far * length, y + (aim[1] - y) / far * length
        x, y = self.corners[-1] if self.corners and typed.relative else (0.0, 0.0)
        return x + typed.x, y + typed.y

    def paint(self, painter: QPainter) -> None:
        canvas, theme = self.canvas, self.canvas.look.theme
        shown = [canvas.view.to_screen(*corner) for corner in self.corners]
        if shown:
            tip = canvas.view.to_screen(*self.next.point)
            if len(shown) >= 2:
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(faded(theme.accent, 0.08))
                painter.drawPolygon(QPolygonF([*shown, tip]))
            painter.setPen(pen(theme.wall, 3.0))
            painter.drawPolyline(QPolygonF(shown))
            painter.setPen(pen(theme.wall, 1.5, Qt.PenStyle.DotLine if self.problem else Qt.PenStyle.SolidLine))
            painter.drawLine(QLineF(shown[-1], tip))
            if len(shown) >= 2:
                painter.setPen(pen(theme.muted, 1.0, Qt.PenStyle.DashLine))
                painter.drawLine(QLineF(tip, shown[0]))
        painter.setPen(pen(theme.wall, 1.5))
        painter.setBrush(theme.paper)
        for pos in shown:
            painter.drawRect(int(pos.x() - HANDLE), int(pos.y() - HANDLE), int(2 * HANDLE), int(2 * HANDLE))
        self._paint_words(painter)

    def _paint_words(self, painter: QPainter) -> None:
        canvas = self.canvas
        if self.at is None or canvas.entry.isVisible():
            return
        if self.corners and math.dist(self.corners[-1], self.next.point) > 0.01:
            line = line_between(self.corners[-1], self.next.point, canvas.view, canvas.look, canvas.frame, 16.0)
            paint_dimension(painter, line, canvas.look)
        if self.problem:
            paint_note(painter, canvas.look, self.at.pos, self.problem, canvas.frame, is_refusal=True)
        else:
            paint_snap(painter, canvas, self.next, self.at)


def _starts_typing(event: QKeyEvent) -> bool:
    """Whether a key begins a typed length or place: a digit, a point, a bracket, or t for 'to'."""
    has_command = event.modifiers() & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier)
    return bool(event.text()) and not has_command and event.text() in "0123456789.-(tT"
