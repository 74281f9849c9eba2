"""Dragging doors and windows along their walls, with snapping and the lengths that are left of the wall."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter

from app.canvas.footprints import centre_of, drawn_things, name_of, named
from app.canvas.measuring import line_between
from app.canvas.opening_measures import measures_of_opening
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.paint.words import paint_note
from app.canvas.pointer import Pointer
from app.canvas.snapping import GRID_WORDS, TOLERANCE_PX, Guide, Snap
from app.canvas.tools.gesture import Gesture, paint_snap
from app.canvas.tools.typed_lengths import OUTSIDE_PX
from core.plan import Fixture, Furniture, Opening, Plan, Point
from core.plan.edits import moved

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["Sliding"]

_Stop = tuple[int, float, str, tuple[Guide, ...]]  # rank, start of the opening along its wall [m], why, guides


class Sliding(Gesture):
    """Slides openings; ``anchor`` is the one that snaps."""

    words = "Release to set it down. Alt or Ctrl stops snapping, Esc undoes."

    def __init__(self, canvas: PlanCanvas, at: Pointer, ids: frozenset[str], anchor: Opening) -> None:
        super().__init__(canvas, at)
        self.ids = ids
        self.anchor = anchor
        a, b = self.before.room.wall(anchor.wall)
        self.length = math.dist(a, b)
        self.way: Point = ((b[0] - a[0]) / self.length, (b[1] - a[1]) / self.length)
        self.stops = tuple(self._stops())
        self.snap = Snap(a)
        self.problem: str | None = None

    def moving(self) -> frozenset[str]:
        # A door's tracks and opener go with it.
        return self.ids | {item.id for item in self.before.room.keep_outs if item.door in self.ids}

    def move(self, at: Pointer) -> None:
        self.last = at
        dx, dy = at.point[0] - self.start.point[0], at.point[1] - self.start.point[1]
        wanted = self.anchor.start + dx * self.way[0] + dy * self.way[1]
        start, why, guides = self._snapped(min(max(wanted, 0.0), self.length - self.anchor.width), at)
        self.snap = Snap(at.point, (why,) if why else (), guides)
        shift = start - self.anchor.start
        made = moved(self.before, self.ids, self.way[0] * shift, self.way[1] * shift)
        if _overlapping(made, self.ids) and not _overlapping(self.before, self.ids):
            self.problem = "There is another opening in the way."
            return
        self.problem = None
        self.canvas.document.preview(made)

    def release(self, at: Pointer) -> None:
        self.move(at)
        if self.problem:
            self.canvas.say(self.problem)
        document = self.canvas.document
        document.apply(f"Move {named(self.before, self.ids)}", document.plan)

    def paint(self, painter: QPainter) -> None:
        canvas, room = self.canvas, self.canvas.document.plan.room
        shown = next((opening for opening in room.openings if opening.id == self.anchor.id), self.anchor)
        for measure in measures_of_opening(room, shown):
            line = line_between(measure.a, measure.b, canvas.view, canvas.look, canvas.frame, OUTSIDE_PX)
            paint_dimension(painter, line, canvas.look)
        if self.problem:
            paint_note(painter, canvas.look, self.last.pos, self.problem, canvas.frame, is_refusal=True)
        else:
            paint_snap(painter, canvas, self.snap, self.last)

    def _snapped(self, wanted: float, at: Pointer) -> tuple[float, str, tuple[Guide, ...]]:
        if at.free:
            return wanted, "", ()
        reach = TOLERANCE_PX / self.canvas.view.scale
        near = [(rank, abs(start - wanted), i) for i, (rank, start, *_) in enumerate(self.stops)]
        within = [key for key in near if key[1] <= reach]
        if within:
            _, start, why, guides = self.stops[min(within)[2]]
            return start, why, guides
        step = self.canvas.grid_step
        return min(round(wanted / step) * step, self.length - self.anchor.width), GRID_WORDS, ()

    def _stops(self) -> Iterator[_Stop]:
        """Return where the opening may stop: at a corner, in the middle of the wall, in line with a thing."""
        room, free = self.before.room, self.length - self.anchor.width
        a, b = room.wall(self.anchor.wall)
        yield 0, 0.0, "in the corner", ()
        yield 0, free, "in the corner", ()
        yield 1, free / 2, "middle of the wall", (Guide(a, b),)
        for thing in drawn_things(self.before):
            if not isinstance(thing, Fixture | Furniture):
                continue
            x, y = centre_of(self.before, thing)
            along = (x - a[0]) * self.way[0] + (y - a[1]) * self.way[1]
            start = along - self.anchor.width / 2
            if 0.0 <= start <= free:
                foot = a[0] + self.way[0] * along, a[1] + self.way[1] * along
                yield 2, start, f"in line with {name_of(self.before, thing)}", (Guide((x, y), foot),)


def _overlapping(plan: Plan, ids: frozenset[str]) -> bool:
    """Whether one of these openings lies over another opening of its wall."""
    openings = plan.room.openings
    return any(
        one.id != other.id
        and one.wall == other.wall
        and one.start < other.start + other.width - 1e-6
        and other.start < one.start + one.width - 1e-6
        for one in openings
        if one.id in ids
        for other in openings
    )
