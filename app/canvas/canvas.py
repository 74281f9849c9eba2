"""The plan canvas: one widget that hands events to the tool in use and paints the layers of the drawing.

It holds no plan of its own: what is drawn is the document's plan, what is lit the switches' levels.
"""

from __future__ import annotations

import logging
from collections.abc import Callable

from PySide6.QtCore import QEvent, QPointF, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
)
from PySide6.QtWidgets import QWidget

from app.canvas import commands
from app.canvas.array_panel import ArrayPanel
from app.canvas.context_menu import open_menu
from app.canvas.drops import Drops
from app.canvas.entry import Entry
from app.canvas.footprints import Box, box_around, box_of_room
from app.canvas.framing import frame_of
from app.canvas.guard import guarded
from app.canvas.paint.drawing import Overlay, paint_drawing
from app.canvas.paint.layers import Layers
from app.canvas.paint.look import Look
from app.canvas.pointer import Pointer
from app.canvas.sheet import ZoomableSheet
from app.canvas.snapping import Candidates, Snap, snap
from app.canvas.tools import TOOLS
from app.document import Document
from app.switches import Switches
from app.theme import Theme
from core.plan import Model, Plan, Point
from core.units import UnitSystem

__all__ = ["PlanCanvas"]

_log = logging.getLogger(__name__)


class PlanCanvas(ZoomableSheet):
    """Draws the plan and lets it be edited."""

    tool_changed = Signal(str)
    hint_changed = Signal(str)
    message = Signal(str)
    fields_wanted = Signal()

    def __init__(self, document: Document, switches: Switches, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self.document = document
        self.switches = switches
        self.layers = Layers()
        self.overlay: Overlay | None = None
        self.entry = Entry(self)
        self.array = ArrayPanel(self)
        self._dress(theme)
        self.drops = Drops(self)
        self._hint = ""
        self.tool = TOOLS["select"](self)
        self.setAcceptDrops(True)
        self.setAccessibleName("Plan of the shop")
        document.changed.connect(self._follow_plan)
        document.history_changed.connect(self._follow_history)
        document.selection_changed.connect(self._follow_selection)
        switches.changed.connect(self.update)
        self._follow_selection()

    # What the window sets.

    def set_theme(self, theme: Theme) -> None:
        """Draw in other colours."""
        self.look = Look(theme, self.look.units)
        self._dress(theme)
        self.update()

    def _dress(self, theme: Theme) -> None:
        self.entry.dress(theme)
        self.array.dress(theme)

    def set_units(self, units: UnitSystem) -> None:
        """Show and read lengths in another system."""
        self.look = Look(self.look.theme, units)
        self.tell_hint()
        self.update()

    def set_overlay(self, overlay: Overlay | None) -> None:
        """Show light: an object with ``paint_field``, ``paint_lines`` and ``paint_reading``, or None."""
        self.overlay = overlay
        self.update()

    def set_catalogue(self, model_with: Callable[[str], Model | None]) -> None:
        """Say how to find the entry of a model that the plan does not hold yet."""
        self.drops.catalogue = model_with

    def set_tool(self, name: str) -> None:
        """Take up a tool by name; KeyError for a name that is not in `TOOLS`."""
        kind = TOOLS[name]
        self.entry.close_up()
        self.array.cancel()
        self.tool.leave()
        self.tool = kind(self)
        self.setCursor(self.tool.cursor)
        self.tool_changed.emit(name)
        self.tell_hint()
        self.update()

    def tool_names(self) -> tuple[str, ...]:
        """Return the names of all tools."""
        return tuple(TOOLS)

    # What tools use.

    def snapped(self, point: Point, candidates: Candidates, at: Pointer) -> Snap:
        """Return where a point is pulled to; nowhere while Alt or Ctrl is held."""
        return Snap(point) if at.free else snap(point, candidates, self.view.scale)

    def say(self, text: str) -> None:
        """Tell the user something in plain words."""
        if text:
            self.message.emit(text)

    def tell_hint(self) -> None:
        """Tell what the tool waits for, if that has changed."""
        dragged = self.drops.dragged
        hint = dragged.hint() if dragged else self.tool.hint()
        if hint != self._hint:
            self._hint = hint
            self.hint_changed.emit(hint)

    def type_in(
        self,
        pos: QPointF,
        text: str,
        title: str,
        take: Callable[[str], str | None],
        select: bool = True,
    ) -> None:
        """Open the small field at a place; ``take`` gets the text and returns None or what is wrong with
        it."""
        self.entry.open_at(pos, self.frame, text, title, take, select)

    def finish(self) -> None:
        """Go back to selecting."""
        self.set_tool("select")

    # The view.

    def whole(self) -> Box:
        return box_of_room(self.document.plan)

    def zoom_to_selection(self) -> bool:
        """Show what is selected; False where nothing is."""
        box = box_around(self.document.plan, self.document.selection)
        return box is not None and self.zoom_to(box)

    # Following the document.

    def _follow_plan(self, old: Plan, new: Plan) -> None:
        if self.is_fitted and not self.document.in_gesture and box_of_room(old) != box_of_room(new):
            self.zoom_to_fit()
        self.update()

    def _follow_history(self) -> None:
        """A room that was pulled larger is fitted again when the hand lets go."""
        if self.is_fitted:
            self.zoom_to_fit()

    def _follow_selection(self, _: object = None) -> None:
        count = len(self.document.selection)
        plan = self.document.plan
        self.setAccessibleDescription(
            f"{len(plan.fixtures)} fixtures, {len(plan.furniture)} pieces of furniture, {count} selected. "
            "Tab goes from thing to thing, arrow keys nudge, R turns, Delete removes, Enter goes to its fields."
        )
        self.tell_hint()
        self.update()

    def recover(self) -> None:
        """Drop what is going on after an error; the plan stays as it was before the gesture."""
        super().recover()
        self.array.cancel()
        self.drops.dragged = None
        self.tool = TOOLS["select"](self)
        self.document.cancel()
        self.say("Something went wrong with that gesture; the plan is as it was before it.")

    # Events: thin, on to the tool.

    @guarded
    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if event.button() == Qt.MouseButton.LeftButton:
            self.array.cancel()
        if self.navigation.press(event, self.view):
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        elif event.button() == Qt.MouseButton.LeftButton:
            self.tool.press(self.pointer_at(event))
        self.tell_hint()
        self.update()

    @guarded
    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.pointer = event.position()
        panned = self.navigation.move(event.position())
        if panned is not None:
            self.set_view(panned)
        else:
            self.tool.move(self.pointer_at(event))
        self.pointer_moved.emit(self.view.to_plan(self.pointer))
        self.update()

    @guarded
    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self.navigation.release(event.button()):
            self.setCursor(self.tool.cursor)
        elif event.button() == Qt.MouseButton.LeftButton:
            self.tool.release(self.pointer_at(event))
        self.update()

    @guarded
    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.tool.press(self.pointer_at(event))
            self.tool.double_click(self.pointer_at(event))
        self.update()

    @guarded
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space:
            self.navigation.space_held = True
            self.setCursor(Qt.CursorShape.OpenHandCursor)
        elif not self.tool.key(event) and not self._escape(event):
            event.ignore()
        self.update()

    @guarded
    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self.navigation.space_held = False
            self.setCursor(self.tool.cursor)
        else:
            event.ignore()

    @guarded
    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        if self.tool.is_busy() or self.navigation.is_panning:
            return
        self.array.cancel()
        pos = QPointF(event.pos())
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            box = box_around(self.document.plan, self.document.selection)
            middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2) if box else None
            pos = self.view.to_screen(*middle) if middle else self.frame.center()
        open_menu(self, pos, self.mapToGlobal(pos.toPoint()))

    def _escape(self, event: QKeyEvent) -> bool:
        if event.key() != Qt.Key.Key_Escape:
            return False
        self.tool.cancel()
        self.set_tool("select")
        return True

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab goes through the things of the plan before it leaves the canvas."""
        if not self.is_typing() and commands.select_next(self.document, 1 if forward else -1):
            return True
        return super().focusNextPrevChild(forward)

    def event(self, event: QEvent) -> bool:
        """Claim keys that the tool wants before a shortcut takes them."""
        is_key = event.type() == QEvent.Type.ShortcutOverride
        if is_key and isinstance(event, QKeyEvent) and self.tool.wants(event):
            event.accept()
            return True
        return super().event(event)

    # Things from the shelf.

    @guarded
    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        self.drops.enter(event)

    @guarded
    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        self.pointer = event.position()
        self.drops.move(event)

    @guarded
    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        self.drops.leave()

    @guarded
    def dropEvent(self, event: QDropEvent) -> None:
        self.drops.drop(event)

    def is_typing(self) -> bool:
        """Whether a field on the drawing is open."""
        return self.entry.isVisible() or self.array.isVisible()

    # Painting.

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the layers; an error is logged and leaves the frame as far as it got."""
        painter = QPainter(self)
        try:
            paint_drawing(painter, self.layers, frame_of(self))
        except Exception:
            _log.exception("painting failed")
        finally:
            painter.end()
