"""Selecting, and starting the drags: move, turn, pull a box, shape the room. What is pressed decides
which."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPainter

from app.canvas import commands
from app.canvas.footprints import box_around, corners_of, thing_with
from app.canvas.hit import corner_under, picture_under, thing_under, things_under, wall_under
from app.canvas.measuring import DimensionLine
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.paint.joists import paint_zone
from app.canvas.paint.selection import paint_brackets, paint_corner_handles, paint_turn_handle
from app.canvas.pointer import Pointer
from app.canvas.tools.boxing import Boxing
from app.canvas.tools.gesture import Gesture
from app.canvas.tools.handles import HANDLE_PX, REACH_PX, Handle, handle_under, is_on_turn_handle, turn_handle_place
from app.canvas.tools.moving import Moving
from app.canvas.tools.shaping import DraggingCorner, DraggingWall
from app.canvas.tools.sliding import Sliding
from app.canvas.tools.tool import Tool
from app.canvas.tools.turning import Turning
from app.canvas.tools.typed_lengths import TypedLengths
from core.plan import Note, Opening, Plan
from core.plan.edits import changed, with_corner_inserted, without_corner
from core.plan.outline import OutlineError
from core.units import UnitSystem

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["SelectTool"]


class SelectTool(Tool):
    """The tool to which everything returns."""

    name = "select"
    cursor = Qt.CursorShape.ArrowCursor

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__(canvas)
        self.gesture: Gesture | None = None
        self.pressed: Pointer | None = None
        self._plan_at_press = canvas.document.settled_plan
        self._begin: Callable[[Pointer], Gesture] | None = None
        self._click: Callable[[], None] | None = None
        self.lengths = TypedLengths(canvas)
        self.picked: Handle | None = None  # a corner or wall of the room that was clicked
        self.hot: Handle | None = None

    def hint(self) -> str:
        if self.gesture is not None:
            return self.gesture.words
        if self.picked is not None:
            return "Drag a corner or a wall; click a length to type it; Delete removes a corner."
        if self.canvas.document.selection:
            step = "1 in" if self.canvas.units is UnitSystem.US else "10 mm"
            return f"Drag to move, R turns, Ctrl+D duplicates, Delete removes, arrow keys nudge by {step}, Enter edits."
        return "Click to select, drag to pull a box. Drag things in from the shelf."

    def moving(self) -> frozenset[str]:
        return self.gesture.moving() if self.gesture else frozenset()

    def is_busy(self) -> bool:
        return self.gesture is not None or self.pressed is not None

    # Pressing decides what a drag and what a click would do; the hand decides which of the two it is.

    def press(self, at: Pointer) -> None:
        self._begin = self._click = None
        self.pressed = at
        self._plan_at_press = self.canvas.document.settled_plan
        label = self.lengths.opener_under(at.pos, self._picked_walls())
        if label is not None:
            self._click = label
            return
        ids = self.canvas.document.selection
        if is_on_turn_handle(self.canvas, at.pos):
            box = box_around(self.canvas.document.plan, ids)
            if box is not None:
                self._begin = lambda now: Turning(self.canvas, self._first(), ids, box)
            return
        handle = handle_under(self.canvas, at)
        if handle is not None:
            self._press_handle(handle)
            return
        self._press_thing_or_paper(at)

    def _first(self) -> Pointer:
        if self.pressed is None:
            raise RuntimeError("a gesture needs a press")
        return self.pressed

    def _press_handle(self, handle: Handle) -> None:
        kind = DraggingCorner if handle[0] == "corner" else DraggingWall
        self.canvas.document.select(())
        self.picked = handle
        self._begin = lambda now: kind(self.canvas, self._first(), handle[1])

    def _press_thing_or_paper(self, at: Pointer) -> None:
        document = self.canvas.document
        self.picked = None
        stack = things_under(document.plan, at.point, REACH_PX / self.canvas.view.scale)
        picture = picture_under(document.plan, at.point)
        if picture is not None and at.ctrl:
            stack.append(picture)
        if not stack:
            self._press_paper(at, picture)
            return
        top = stack[0]
        if at.shift:
            document.select(document.selection ^ {top})
            if top in document.selection:
                self._begin = lambda now: self._dragging(top)
            return
        held = next((identity for identity in stack if identity in document.selection), None)
        if held is None:
            document.select({top})
            held = top
        else:
            below = stack[(stack.index(held) + 1) % len(stack)] if at.ctrl else top
            self._click = lambda: document.select({below})
        self._begin = lambda now: self._dragging(held)

    def _dragging(self, anchor: str) -> Gesture:
        ids = self.canvas.document.selection
        thing = thing_with(self.canvas.document.settled_plan, anchor)
        if isinstance(thing, Opening):
            return Sliding(self.canvas, self._first(), ids, thing)
        return Moving(self.canvas, self._first(), ids, anchor)

    def _press_paper(self, at: Pointer, picture: str | None) -> None:
        """A click on paper selects nothing, a drag pulls a box, or the picture underneath where that is selected."""
        document = self.canvas.document
        if not at.shift:
            self._click = lambda: document.select(())
        if picture is not None and document.selection == {picture} and not _is_locked(document.plan):
            self._begin = lambda now: self._dragging(picture)
        else:
            self._begin = lambda now: Boxing(self.canvas, self._first())

    def move(self, at: Pointer) -> None:
        if self.gesture is not None:
            if self.canvas.document.settled_plan is not self.gesture.before:
                self._drop()  # undo or a new file came in between
                return
            self.gesture.move(at)
        elif self.pressed is not None:
            if self.canvas.document.settled_plan is not self._plan_at_press:
                self._drop()  # what was pressed may be gone: a key removed it
                return
            if self._begin is not None and at.is_far_from(self.pressed):
                self.gesture = self._begin(at)
                self.canvas.tell_hint()
                self.gesture.move(at)
        else:
            self._hover(at)

    def release(self, at: Pointer) -> None:
        gesture, click = self.gesture, self._click
        is_current = gesture is None or self.canvas.document.settled_plan is gesture.before
        self._drop()
        if gesture is not None and is_current:
            gesture.release(at)
        elif gesture is None and click is not None:
            click()
        self._hover(at)
        self.canvas.tell_hint()

    def double_click(self, at: Pointer) -> None:
        """Rewrite a note; open or shut an overhead door; put a new corner on a wall."""
        reach = HANDLE_PX / self.canvas.view.scale
        plan = self.canvas.document.plan
        under = things_under(plan, at.point, REACH_PX / self.canvas.view.scale)
        if under:
            note = next((note for note in plan.notes if note.id == under[0]), None)
            if note is not None:
                self._rewrite(note, at)
                return
            # A door's own tracks and opener lie over it.
            doors = {item.door for item in plan.room.keep_outs if item.id in under}
            commands.open_or_shut(self.canvas.document, {*under, *doors})
            return
        wall = wall_under(plan.room.outline, at.point, reach)
        if wall is None or corner_under(plan.room.outline, at.point, reach) is not None:
            return
        try:
            self.canvas.document.apply("Add a corner", with_corner_inserted(plan, wall, at.point))
            self.picked = ("corner", wall + 1)
        except OutlineError as problem:
            self.canvas.say(str(problem))

    def _rewrite(self, note: Note, at: Pointer) -> None:
        document = self.canvas.document

        def take(text: str) -> str | None:
            if not text.strip():
                return "Type what the note says; Delete removes it."
            words = "\n".join(part.strip() for part in text.split(" / "))
            document.apply("Rewrite a note", changed(document.settled_plan, [note.id], text=words[:2000]))
            return None

        self._drop()
        self.canvas.type_in(at.pos, " / ".join(note.lines), "Note (a slash between lines)", take)

    def cancel(self) -> None:
        gesture = self.gesture
        self._drop()
        if gesture is not None:
            gesture.cancel()
        self.picked = None
        self.hot = None

    def _drop(self) -> None:
        self.gesture = self.pressed = self._begin = self._click = None

    def key(self, event: QKeyEvent) -> bool:
        if isinstance(self.gesture, Turning) and event.text() and event.text() in "0123456789.-":
            turning = self.gesture
            self._drop()
            turning.ask(event.text())
            return True
        if self.gesture is not None:
            return False
        if event.key() == Qt.Key.Key_Escape and self.canvas.document.selection:
            self.canvas.document.select(())
            return True
        is_delete = event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace)
        if is_delete and self.picked is not None and self.picked[0] == "corner":
            self._remove_corner(self.picked[1])
            return True
        return commands.run_key(self.canvas, event)

    def _remove_corner(self, index: int) -> None:
        try:
            self.canvas.document.apply("Remove a corner", without_corner(self.canvas.document.plan, index))
        except OutlineError as problem:
            self.canvas.say(str(problem))
        self.picked = None

    # What is under the pointer.

    def _hover(self, at: Pointer) -> None:
        was = self.hot
        self.hot = handle_under(self.canvas, at)
        over = thing_under(self.canvas.document.plan, at.point, REACH_PX / self.canvas.view.scale)
        if self.lengths.opener_under(at.pos, self._picked_walls()) is not None:
            shape = Qt.CursorShape.IBeamCursor
        elif is_on_turn_handle(self.canvas, at.pos) or self.hot is not None:
            shape = Qt.CursorShape.PointingHandCursor
        else:
            shape = Qt.CursorShape.SizeAllCursor if over else Qt.CursorShape.ArrowCursor
        self.canvas.setCursor(shape)
        if was != self.hot:
            self.canvas.update()

    def dimension_lines(self) -> list[DimensionLine]:
        """Return the dimensions on show: those of the one selected thing, else of the picked wall or corner."""
        return self.lengths.lines(self._picked_walls())

    def _picked_walls(self) -> tuple[int, ...]:
        count = len(self.canvas.document.plan.room.outline)
        if self.picked is None or self.picked[1] >= count:
            return ()
        kind, index = self.picked
        return (index,) if kind == "wall" else ((index - 1) % count, index)

    # Painting.

    def texts(self) -> tuple[QRectF, ...]:
        return () if self.gesture is not None else tuple(line.label for line in self.dimension_lines())

    def paint(self, painter: QPainter) -> None:
        canvas, plan = self.canvas, self.canvas.document.plan
        shows_room = (self.hot is not None or self.picked is not None) and not canvas.document.selection
        if shows_room and self.gesture is None:
            paint_corner_handles(painter, plan.room.outline, canvas.view, canvas.look, self.hot or self.picked)
        for identity in canvas.document.selection:
            thing = thing_with(plan, identity)
            if thing is not None:
                paint_brackets(painter, corners_of(plan, thing), canvas.view, canvas.look)
        for zone in plan.room.joists:
            if zone.id in canvas.document.selection:
                paint_zone(painter, zone, plan.room, canvas.view, canvas.look, is_chosen=True)
        if self.gesture is not None:
            self.gesture.paint(painter)
            return
        handle = turn_handle_place(self.canvas)
        if handle is not None:
            paint_turn_handle(painter, handle, canvas.look)
        for shown in self.dimension_lines():
            paint_dimension(painter, shown, canvas.look)


def _is_locked(plan: Plan) -> bool:
    return plan.underlay is not None and plan.underlay.locked
