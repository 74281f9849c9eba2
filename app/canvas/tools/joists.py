"""The joists above the ceiling: Enter or a click lays them over the whole room, a drag over a part of it, corners set
with Shift over a part of any shape."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPainter

from app.canvas.candidates import for_new_corner, for_tape
from app.canvas.joist_lines import new_zone
from app.canvas.paint.joists import paint_zone
from app.canvas.paint.selection import paint_box
from app.canvas.pointer import Pointer
from app.canvas.snapping import Candidates, Snap
from app.canvas.tools.gesture import paint_snap
from app.canvas.tools.outline import OutlineTool
from app.canvas.tools.tool import Tool
from core.ceiling.joists import zone_at
from core.plan import Point
from core.plan.edits import added, fresh_id, removed
from core.plan.outline import outline_problem, signed_area
from core.plan.settle import settled_point
from core.units import INCH

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["JoistTool"]

_LEAST = 12 * INCH


class _PartOutline(OutlineTool):
    """The corners of a part that is no rectangle."""

    whole = "part"
    edge = "edge"

    def __init__(self, canvas: PlanCanvas, lay: Callable[[tuple[Point, ...]], None]) -> None:
        super().__init__(canvas)
        self._lay = lay

    def candidates(self) -> Candidates:
        drawn = for_new_corner(self.corners, self.canvas.grid_step)
        room = for_tape(self.canvas.document.plan, None, None)
        return Candidates((*drawn.places, *room.places), (*drawn.lines, *room.lines), drawn.grid)

    def closed(self, corners: Sequence[Point]) -> None:
        self._lay(tuple(corners))


class JoistTool(Tool):
    """Lays, picks and removes zones of joists."""

    name = "joists"

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__(canvas)
        self.at: Pointer | None = None
        self.start: Pointer | None = None
        self.first = self.second = Snap((0.0, 0.0))
        self.part = _PartOutline(canvas, self._lay)

    def hint(self) -> str:
        if self.part.corners:
            return self.part.hint()
        if self.canvas.document.plan.room.joists:
            return "Click joists to change them; drag over a part where they run otherwise, or Shift+click its corners."
        return "Click or press Enter for joists over the whole room; drag over a part, or Shift+click its corners."

    def is_busy(self) -> bool:
        return self.start is not None or self.part.is_busy()

    def press(self, at: Pointer) -> None:
        if at.shift or self.part.corners:
            self.part.press(at)
            return
        self.move(at)
        self.start, self.first = at, self.second

    def move(self, at: Pointer) -> None:
        self.at = at
        if self.part.corners:
            self.part.move(at)
            return
        candidates = for_tape(self.canvas.document.plan, None, self.canvas.grid_step)
        self.second = self.canvas.snapped(at.point, candidates, at)

    def release(self, at: Pointer) -> None:
        if self.start is None:
            return
        self.move(at)
        start, self.start = self.start, None
        if at.is_far_from(start):
            self._lay(self._rectangle())
            return
        zone = zone_at(self.canvas.document.plan, at.point)
        if zone is not None:
            self.canvas.document.select({zone.id})
        else:
            self._lay(())

    def double_click(self, at: Pointer) -> None:
        if self.part.corners:
            self.part.double_click(at)

    def wants(self, event: QKeyEvent) -> bool:
        return bool(self.part.corners) and self.part.wants(event)

    def key(self, event: QKeyEvent) -> bool:
        if self.part.corners:
            return self.part.key(event)
        document = self.canvas.document
        zones = {zone.id for zone in document.plan.room.joists} & document.selection
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._lay(())
            return True
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and zones:
            document.apply("Remove joists", removed(document.settled_plan, zones), select=())
            return True
        return False

    def cancel(self) -> None:
        self.start = None
        self.part.cancel()

    def _rectangle(self) -> tuple[Point, ...]:
        (ax, ay), (bx, by) = self.first.point, self.second.point
        left, right, low, high = min(ax, bx), max(ax, bx), min(ay, by), max(ay, by)
        return tuple(settled_point(p) for p in ((left, low), (right, low), (right, high), (left, high)))

    def _lay(self, outline: tuple[Point, ...]) -> None:
        document = self.canvas.document
        plan = document.settled_plan
        if len(plan.room.outline) < 3:
            self.canvas.say("Draw the room first; joists run between its walls.")
            return
        if outline and abs(signed_area(outline)) < _LEAST * _LEAST:
            self.canvas.say("That part is too small for joists: it takes at least a foot both ways.")
            return
        problem = outline_problem(outline) if outline else None
        if problem is not None:
            self.canvas.say("That part is too large for joists: zoom in and drag again.")
            return
        whole = next((zone for zone in plan.room.joists if not zone.outline), None)
        if not outline and whole is not None:
            document.select({whole.id})
            return
        identity = fresh_id(plan, "joists")
        document.apply("Lay joists", added(plan, new_zone(plan, identity, outline)), select={identity})
        self.canvas.tell_hint()

    def paint(self, painter: QPainter) -> None:
        canvas = self.canvas
        for zone in canvas.document.plan.room.joists:
            paint_zone(
                painter, zone, canvas.document.plan.room, canvas.view, canvas.look, zone.id in canvas.document.selection
            )
        if self.part.corners:
            self.part.paint(painter)
            return
        if self.at is None:
            return
        if self.start is not None and self.at.is_far_from(self.start):
            a, b = (canvas.view.to_screen(*snap.point) for snap in (self.first, self.second))
            paint_box(painter, QRectF(a, b).normalized(), canvas.look)
        paint_snap(painter, canvas, self.second, self.at)
