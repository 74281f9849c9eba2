"""A drag within the select tool: it computes every frame from the plan at the press, never from the last
frame."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF
from PySide6.QtGui import QPainter

from app.canvas.paint.dimensions import paint_guide
from app.canvas.paint.words import paint_note
from app.canvas.pointer import Pointer
from app.canvas.snapping import Snap

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["Gesture", "paint_snap"]


class Gesture:
    """Base of all drags. ``before`` is the plan at the press."""

    words = ""  # the hint

    def __init__(self, canvas: PlanCanvas, at: Pointer) -> None:
        self.canvas = canvas
        self.start = at
        self.last = at
        self.before = canvas.document.settled_plan

    def moving(self) -> frozenset[str]:
        """Return the ids of what is being changed."""
        return frozenset()

    def move(self, at: Pointer) -> None:
        """Follow the pointer."""

    def release(self, at: Pointer) -> None:
        """End the drag as one step of undo."""

    def cancel(self) -> None:
        """Put everything back."""
        self.canvas.document.cancel()

    def paint(self, painter: QPainter) -> None:
        """Paint guides and measures."""


def paint_snap(painter: QPainter, canvas: PlanCanvas, snap: Snap, at: Pointer, more: str = "") -> None:
    """Draw a snap's guide lines and its reasons beside the pointer."""
    view = canvas.view
    for guide in snap.guides:
        paint_guide(painter, QLineF(view.to_screen(*guide.a), view.to_screen(*guide.b)), canvas.look)
    text = "\n".join(part for part in (more, snap.told) if part)
    if text:
        paint_note(painter, canvas.look, at.pos, text, canvas.frame)
