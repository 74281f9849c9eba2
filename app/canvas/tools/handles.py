"""What a hand takes hold of while selecting: corners and walls of the room, and the ring that turns the selection."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF

from app.canvas.footprints import box_around, thing_with
from app.canvas.hit import corner_under, thing_under, wall_under
from app.canvas.paint.look import wall_width
from app.canvas.paint.selection import turn_handle
from app.canvas.pointer import Pointer
from core.plan import Opening, Underlay

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["HANDLE_PX", "REACH_PX", "Handle", "handle_under", "is_on_turn_handle", "turn_handle_place"]

REACH_PX = 5.0
HANDLE_PX = 8.0

Handle = tuple[str, int]
"""``corner`` or ``wall``, and its index."""


def handle_under(canvas: PlanCanvas, at: Pointer) -> Handle | None:
    """Return the room's handle under the pointer; none while things are selected, nor below a thing."""
    plan = canvas.document.plan
    outline = plan.room.outline
    if len(outline) < 3 or canvas.document.selection:
        return None
    scale = canvas.view.scale
    corner = corner_under(outline, at.point, HANDLE_PX / scale)
    if corner is not None:
        return "corner", corner
    covered = thing_under(plan, at.point, REACH_PX / scale) is not None
    wall = wall_under(outline, at.point, (REACH_PX + wall_width(canvas.view) / 2) / scale)
    if wall is None:
        return None
    a, b = plan.room.wall(wall)
    middle = canvas.view.to_screen((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    is_on_middle = (at.pos - middle).manhattanLength() <= HANDLE_PX
    return ("wall", wall) if is_on_middle or not covered else None


def is_on_turn_handle(canvas: PlanCanvas, pos: QPointF) -> bool:
    """Whether a pixel is on the ring that turns the selection."""
    handle = turn_handle_place(canvas)
    return handle is not None and math.hypot(pos.x() - handle.x(), pos.y() - handle.y()) <= HANDLE_PX + 1.0


def turn_handle_place(canvas: PlanCanvas) -> QPointF | None:
    """Return where that ring is [px]; None where nothing is selected that can be turned."""
    plan, ids = canvas.document.plan, canvas.document.selection
    box = box_around(plan, ids)
    things = (thing_with(plan, identity) for identity in ids)
    if box is None or all(isinstance(t, Opening) or (isinstance(t, Underlay) and t.locked) for t in things):
        return None
    return turn_handle(box, canvas.view, canvas.frame)
