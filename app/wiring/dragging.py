"""Panel, switch boxes and leads are dragged on the plan while cable is shown: along the walls, leads anywhere.

It listens to the canvas before its tools do, and takes a press only when the selecting tool is idle and the press is on
one of these marks. Places go in whole inches or centimetres from the corner; Alt or Ctrl sets them free. Each move is
worked out from the plan as it was at the press; letting go is one step of undo, Esc brings the old place back.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent

from app.canvas.canvas import PlanCanvas
from app.canvas.pointer import Pointer
from app.document import Document
from app.guard import guarded
from core.plan import Plan, Point
from core.units import INCH, UnitSystem, show_length
from core.wiring.assumed import with_assumptions
from core.wiring.decisions import with_place_at
from core.wiring.places import nearest_wall, panel_place, switch_place

__all__ = ["PlaceDrag", "marks_of"]

REACH = 11.0
"""How near to a mark a press takes hold of it [px]."""
_CENTIMETRE = 0.01


def marks_of(plan: Plan) -> list[tuple[str, str, Point]]:
    """Return id, name and place of all that can be dragged; what is assumed among it."""
    wiring = with_assumptions(plan).wiring
    found = []
    if wiring.panel is not None:
        found.append(("panel", "the panel", panel_place(plan, wiring.panel).point))
    for box in wiring.switch_boxes:
        found.append((box.id, f"switch box {' '.join(box.groups)}", switch_place(plan, box).point))
    found += [(lead.id, f"lead {lead.group}", (lead.x, lead.y)) for lead in wiring.leads]
    return found


@dataclass(frozen=True, slots=True)
class _Held:
    identity: str
    name: str
    at: Pointer
    plan: Plan
    is_moving: bool = False


class PlaceDrag(QObject):
    """Drags marks of the wiring over a canvas while ``enabled``."""

    def __init__(self, canvas: PlanCanvas, document: Document) -> None:
        super().__init__(canvas)
        self._canvas, self._document = canvas, document
        self.enabled = False
        self._held: _Held | None = None
        self._is_over = False
        canvas.installEventFilter(self)

    @guarded
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        kind = event.type()
        if not self.enabled or watched is not self._canvas:
            return False
        if kind == QEvent.Type.MouseButtonPress and isinstance(event, QMouseEvent):
            return self._press(event)
        if kind == QEvent.Type.MouseMove and isinstance(event, QMouseEvent):
            return self._move(event)
        if kind == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent) and self._held is not None:
            return self._release(event)
        if kind == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and self._held is not None:
            if event.key() == Qt.Key.Key_Escape:
                self._let_go()
                self._document.cancel()
            return True
        return False

    def _is_free(self) -> bool:
        canvas = self._canvas
        return canvas.tool.name == "select" and not canvas.tool.is_busy() and not canvas.navigation.is_panning

    def _mark_under(self, pos: QPointF) -> tuple[str, str] | None:
        near = [
            ((self._canvas.view.to_screen(*place) - pos).manhattanLength(), identity, name)
            for identity, name, place in marks_of(self._document.plan)
        ]
        distance, identity, name = min(near, default=(REACH + 1.0, "", ""))
        return (identity, name) if distance <= REACH else None

    def _press(self, event: QMouseEvent) -> bool:
        if event.button() != Qt.MouseButton.LeftButton or self._held is not None:
            return self._held is not None
        if not self._is_free() or self._canvas.navigation.space_held:
            return False
        found = self._mark_under(event.position())
        if found is None:
            return False
        at = Pointer.at(event.position(), self._canvas.view, event.modifiers())
        self._held = _Held(*found, at, self._document.settled_plan)
        self._canvas.setFocus(Qt.FocusReason.MouseFocusReason)
        self._canvas.hint_changed.emit(f"Drag {found[1]} along the walls; Alt sets it free of whole steps.")
        return True

    def _move(self, event: QMouseEvent) -> bool:
        held = self._held
        if held is None:
            self._hover(event.position())
            return False
        at = Pointer.at(event.position(), self._canvas.view, event.modifiers())
        if held.is_moving or at.is_far_from(held.at):
            self._held = _Held(held.identity, held.name, held.at, held.plan, True)
            plan = self._moved(held, at)
            self._document.preview(plan)
            self._canvas.hint_changed.emit(self._where(held, plan))
        return True

    def _release(self, event: QMouseEvent) -> bool:
        held = self._held
        if event.button() != Qt.MouseButton.LeftButton or held is None:
            return True
        at = Pointer.at(event.position(), self._canvas.view, event.modifiers())
        self._let_go()
        if held.is_moving:
            self._document.apply(f"Move {held.name}", self._moved(held, at))
        return True

    def _moved(self, held: _Held, at: Pointer) -> Plan:
        step = _CENTIMETRE if held.plan.units == "metric" else INCH
        return with_place_at(held.plan, held.identity, *at.point, 0.0 if at.free else step)

    def _where(self, held: _Held, plan: Plan) -> str:
        """Say how far the mark is from both ends of its wall."""
        index = [mark[0] for mark in marks_of(held.plan)].index(held.identity)
        x, y = marks_of(plan)[index][2]
        if any(lead.id == held.identity for lead in plan.wiring.leads):
            return f"{held.name[:1].upper()}{held.name[1:]}"
        wall, point = nearest_wall(plan.room, x, y)
        a, b = plan.room.wall(wall)
        system = UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US
        ends = (show_length(((p[0] - point[0]) ** 2 + (p[1] - point[1]) ** 2) ** 0.5, system) for p in (a, b))
        return f"{held.name[:1].upper()}{held.name[1:]}: {' and '.join(ends)} from the corners of its wall"

    def _hover(self, pos: QPointF) -> None:
        """Show by the pointer that there is something to hold on to."""
        is_over = self._is_free() and self._mark_under(pos) is not None
        if is_over != self._is_over:
            self._is_over = is_over
            self._canvas.setCursor(Qt.CursorShape.OpenHandCursor if is_over else self._canvas.tool.cursor)

    def _let_go(self) -> None:
        self._held = None
        self._canvas.tell_hint()
        self._canvas.hint_changed.emit(self._canvas.tool.hint())
