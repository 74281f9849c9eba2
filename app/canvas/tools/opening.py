"""Doors, windows and overhead doors: point at a wall and click; a drag along the wall gives the width."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter

from app.canvas.hit import wall_under
from app.canvas.measuring import line_between
from app.canvas.new_things import OPENING_SIZES, new_opening
from app.canvas.opening_measures import measures_of_opening
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.paint.openings import paint_opening
from app.canvas.paint.words import paint_note
from app.canvas.pointer import Pointer
from app.canvas.tools.tool import Tool
from app.canvas.tools.typed_lengths import OUTSIDE_PX
from core.plan import Opening, Plan
from core.plan.door_gear import HEADROOM, OPENER_HEADROOM, headroom
from core.plan.edits import added, with_door_gear
from core.plan.room import OpeningKind
from core.plan.settle import settled
from core.units import INCH, show_length

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["DoorTool", "OpeningTool", "OverheadDoorTool", "WindowTool"]

_REACH_PX = 40.0
_LEAST = 6 * INCH


class OpeningTool(Tool):
    """Common to the three kinds of opening."""

    kind: OpeningKind = "door"

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__(canvas)
        self.at: Pointer | None = None
        self.shown: Opening | None = None
        self.problem: str | None = None
        self.hooked: tuple[Pointer, int, float] | None = None  # press, wall, distance along it [m]

    def hint(self) -> str:
        return f"Click on a wall for the usual {self.kind}, or drag along the wall to give its width."

    def is_busy(self) -> bool:
        return self.hooked is not None

    def press(self, at: Pointer) -> None:
        self.move(at)
        wall = self._wall(at)
        if wall is not None:
            self.hooked = (at, wall, self._along(wall, at))

    def move(self, at: Pointer) -> None:
        self.at, self.shown, self.problem = at, None, None
        if self.hooked is not None and at.is_far_from(self.hooked[0]):
            _, hooked_wall, start = self.hooked
            end = self._along(hooked_wall, at)
            self._fit(hooked_wall, min(start, end), abs(end - start))
            return
        wall = self._wall(at)
        if wall is None:
            self.problem = f"A {self.kind} goes into a wall: point at one."
            return
        width = min(OPENING_SIZES[self.kind][0], self._length(wall))
        self._fit(wall, self._along(wall, at) - width / 2, width)

    def release(self, at: Pointer) -> None:
        if self.hooked is None:
            if self.problem:
                self.canvas.say(self.problem)
            return
        self.move(at)
        shown, self.hooked = self.shown, None
        if shown is None:
            self.canvas.say(self.problem or "")
            return
        document = self.canvas.document
        document.apply(f"Add a {self.kind}", self.fitted_out(added(document.plan, shown), shown), select={shown.id})
        self.canvas.finish()

    def fitted_out(self, plan: Plan, opening: Opening) -> Plan:
        """Return the plan with what comes with a new opening."""
        return plan

    def cancel(self) -> None:
        self.hooked = self.shown = self.problem = None

    def _fit(self, wall: int, start: float, width: float) -> None:
        """Show the opening as far as it fits into the wall beside the others."""
        length = self._length(wall)
        if width < _LEAST:
            self.problem = "That is too narrow: drag farther along the wall."
            return
        start = settled(min(max(start, 0.0), length - min(width, length)))
        width = settled(min(width, length - start))
        others = [o for o in self.canvas.document.plan.room.openings if o.wall == wall]
        if any(start < o.start + o.width - 1e-6 and o.start < start + width - 1e-6 for o in others):
            self.problem = "There is another opening in the way."
            return
        self.shown = new_opening(self.canvas.document.plan, self.kind, wall, start, width)

    def _wall(self, at: Pointer) -> int | None:
        outline = self.canvas.document.plan.room.outline
        if len(outline) < 3:
            return None
        return wall_under(outline, at.point, _REACH_PX / self.canvas.view.scale)

    def _length(self, wall: int) -> float:
        return math.dist(*self.canvas.document.plan.room.wall(wall))

    def _along(self, wall: int, at: Pointer) -> float:
        """Return how far along a wall the pointer is, in steps of the grid unless snapping is off [m]."""
        (ax, ay), (bx, by) = self.canvas.document.plan.room.wall(wall)
        length = self._length(wall)
        along = ((at.point[0] - ax) * (bx - ax) + (at.point[1] - ay) * (by - ay)) / length
        step = self.canvas.grid_step
        if not at.free:
            middle = abs(along - length / 2) <= step / 2
            along = length / 2 if middle else round(along / step) * step
        return min(max(along, 0.0), length)

    def paint(self, painter: QPainter) -> None:
        canvas, plan = self.canvas, self.canvas.document.plan
        if self.shown is not None:
            paint_opening(painter, plan.room, self.shown, canvas.view, canvas.look)
            self._paint_measures(painter, self.shown)
        elif self.problem and self.at is not None:
            paint_note(painter, canvas.look, self.at.pos, self.problem, canvas.frame)

    def _paint_measures(self, painter: QPainter, shown: Opening) -> None:
        """Draw the opening's width and what is left of the wall on both sides, outside of the room."""
        canvas = self.canvas
        for measure in measures_of_opening(canvas.document.plan.room, shown):
            line = line_between(measure.a, measure.b, canvas.view, canvas.look, canvas.frame, OUTSIDE_PX)
            paint_dimension(painter, line, canvas.look)


class DoorTool(OpeningTool):
    """Puts doors into walls."""

    name = kind = "door"


class WindowTool(OpeningTool):
    """Puts windows into walls."""

    name = kind = "window"


class OverheadDoorTool(OpeningTool):
    """Puts overhead doors into walls."""

    name = kind = "overhead door"

    def hint(self) -> str:
        return "Click on a wall for the usual overhead door, or drag its width. Tracks and opener come with it."

    def fitted_out(self, plan: Plan, opening: Opening) -> Plan:
        free, units = headroom(plan.room, opening), self.canvas.units
        if free < OPENER_HEADROOM - 1e-9:
            wanted = HEADROOM if free < HEADROOM - 1e-9 else OPENER_HEADROOM
            why = "its tracks and springs" if wanted == HEADROOM else "an opener"
            self.canvas.say(
                f"There are {show_length(free, units)} above this door; {why} usually take"
                f" {show_length(wanted, units)}. Ask for low-headroom tracks, or make the door lower."
            )
        return with_door_gear(plan, opening.id)
