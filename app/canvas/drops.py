"""Things dragged in from the shelf: while they hover they are shown on the plan with their light; a drop is one step.

A fixture that is dropped with Shift held opens the panel for rows and columns of it.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, get_args

from PySide6.QtCore import QMimeData, Qt
from PySide6.QtGui import QDragMoveEvent, QDropEvent, QPainter

from app.canvas.candidates import for_thing
from app.canvas.footprints import name_of, thing_with
from app.canvas.measuring import all_lines_of
from app.canvas.new_things import with_new_furniture
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.pointer import Pointer
from app.canvas.snapping import Snap
from app.canvas.tools.gesture import paint_snap
from core.catalogue import catalogue
from core.plan import Fixture, FurnitureKind, Model, Plan, Point
from core.plan.edits import hung

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["MIME_TYPE", "Drops", "ShelfDrop", "what_is_dragged"]

MIME_TYPE = "application/x-candlebench-thing"

Maker = Callable[[Plan, Point], tuple[Plan, str]]


def what_is_dragged(data: QMimeData, model_with: Callable[[str], Model | None]) -> Maker | None:
    """Return what makes the dragged thing at a point of a plan; None for anything that is not from the
    shelf."""
    if not data.hasFormat(MIME_TYPE):
        return None
    try:
        told = json.loads(bytes(data.data(MIME_TYPE).data()).decode("utf-8"))
    except ValueError:
        return None
    what = told.get("what") if isinstance(told, dict) else None
    kind: FurnitureKind | None = next((kind for kind in get_args(FurnitureKind) if kind == what), None)
    if kind is not None:
        return lambda plan, point: with_new_furniture(plan, kind, *point)
    model = model_with(str(told.get("model"))) if what == "fixture" else None
    if model is None:
        return None
    return lambda plan, point: hung(plan, model, *point)


class ShelfDrop:
    """One drag from the shelf over the canvas, from entering to dropping or leaving."""

    def __init__(self, canvas: PlanCanvas, make: Maker, at: Pointer) -> None:
        self.canvas = canvas
        self.make = make
        self.before = canvas.document.settled_plan
        plan, self.identity = make(self.before, at.point)
        thing = thing_with(plan, self.identity)
        if thing is None:
            raise LookupError("the dragged thing is not in its own plan")
        self.name = name_of(plan, thing)
        self.is_fixture = isinstance(thing, Fixture)
        self.candidates = for_thing(plan, {self.identity}, thing, canvas.grid_step, canvas.units)
        self.last = at
        self.snap = Snap(at.point)

    def hint(self) -> str:
        """Return what the drag waits for."""
        more = " With Shift: rows and columns of it." if self.is_fixture else ""
        return f"Release to put it there. Alt or Ctrl stops snapping, Esc takes it away.{more}"

    def move(self, at: Pointer) -> None:
        """Show the thing under the pointer."""
        self.last = at
        self.snap = self.canvas.snapped(at.point, self.candidates, at)
        self.canvas.document.preview(self.make(self.before, self.snap.point)[0])

    def drop(self, at: Pointer) -> None:
        """Leave the thing there, as one step of undo, and select it."""
        self.move(at)
        document = self.canvas.document
        document.apply(f"Add {self.name}", document.plan, select={self.identity})

    def cancel(self) -> None:
        """Take the thing off the plan."""
        self.canvas.document.cancel()

    def paint(self, painter: QPainter) -> None:
        """Paint distances and snapping reasons."""
        canvas, plan = self.canvas, self.canvas.document.plan
        for line in all_lines_of(plan, self.identity, canvas.view, canvas.look, canvas.frame):
            paint_dimension(painter, line, canvas.look)
        more = "rows and columns of it" if self.is_fixture and self.last.shift else ""
        paint_snap(painter, canvas, self.snap, self.last, more)


class Drops:
    """The canvas's side of drag and drop: which thing hovers, if any, and the events of its way."""

    def __init__(self, canvas: PlanCanvas) -> None:
        self.canvas = canvas
        self.dragged: ShelfDrop | None = None
        self.catalogue: Callable[[str], Model | None] = _shipped

    def enter(self, event: QDragMoveEvent) -> None:
        """Take the thing up, if it is one of the shelf's."""
        make = what_is_dragged(event.mimeData(), self._model_with)
        if make is None:
            event.ignore()
            return
        self.canvas.tool.cancel()
        self.dragged = ShelfDrop(self.canvas, make, self._at(event))
        self.canvas.tell_hint()
        _take(event)

    def move(self, event: QDragMoveEvent) -> None:
        """Show it under the pointer."""
        if self.dragged is None:
            event.ignore()
            return
        self.dragged.move(self._at(event))
        _take(event)
        self.canvas.update()

    def leave(self) -> None:
        """Put everything back."""
        dragged, self.dragged = self.dragged, None
        if dragged is not None:
            dragged.cancel()
        self.canvas.tell_hint()
        self.canvas.update()

    def drop(self, event: QDropEvent) -> None:
        """Leave it where it is."""
        dragged, self.dragged = self.dragged, None
        if dragged is None:
            event.ignore()
            return
        at = self._at(event)
        dragged.drop(at)
        _take(event)
        self.canvas.finish()
        self.canvas.setFocus(Qt.FocusReason.MouseFocusReason)
        if dragged.is_fixture and at.shift:
            self.canvas.array.open_for_selection()

    def _model_with(self, identity: str) -> Model | None:
        models = self.canvas.document.plan.models
        return next((model for model in models if model.id == identity), None) or self.catalogue(identity)

    def _at(self, event: QDropEvent) -> Pointer:
        return Pointer.at(event.position(), self.canvas.view, event.modifiers())


def _shipped(identity: str) -> Model | None:
    """Return the entry of the catalogue that comes with the program."""
    return next((model for model in catalogue() if model.id == identity), None)


def _take(event: QDropEvent) -> None:
    event.setDropAction(Qt.DropAction.CopyAction)
    event.accept()
