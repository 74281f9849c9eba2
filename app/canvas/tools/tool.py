"""What every tool of the canvas has in common.

A tool is one class in one file. It gets presses, moves, releases and keys as plain values, changes the plan
only through the document, paints its own marks, and says in words what it waits for. It knows the canvas
and the document, no other tool. `cancel` restores exactly what was there before the gesture; Esc then
returns to selecting.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPainter

from app.canvas.pointer import Pointer

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["Tool"]


class Tool:
    """A mode of the canvas. Every reaction may be left out."""

    name = ""
    cursor = Qt.CursorShape.CrossCursor

    def __init__(self, canvas: PlanCanvas) -> None:
        self.canvas = canvas

    def hint(self) -> str:
        """Return what the tool waits for."""
        return ""

    def moving(self) -> frozenset[str]:
        """Return the ids of things that change from frame to frame, to be kept out of the painted-ahead
        layers."""
        return frozenset()

    def is_busy(self) -> bool:
        """Whether a gesture is going on."""
        return False

    def strength(self) -> float:
        """Return how much of the drawing shows (0 nothing, 1 all): less while the tool draws what takes its place."""
        return 1.0

    def press(self, at: Pointer) -> None:
        """Take a press of the left button."""

    def move(self, at: Pointer) -> None:
        """Take a move of the pointer, with the button down or up."""

    def release(self, at: Pointer) -> None:
        """Take the release of the left button."""

    def double_click(self, at: Pointer) -> None:
        """Take the second press of a double click."""

    def key(self, event: QKeyEvent) -> bool:
        """Take a key; return whether it was used."""
        return False

    def wants(self, event: QKeyEvent) -> bool:
        """Whether a key is for this tool although the window has a shortcut on it."""
        return False

    def cancel(self) -> None:
        """Drop the gesture and restore the plan as it was before it."""

    def leave(self) -> None:
        """Be put away for another tool."""
        self.cancel()

    def texts(self) -> tuple[QRectF, ...]:
        """Return where the tool's marks have text [px], which nothing else should cover."""
        return ()

    def paint(self, painter: QPainter) -> None:
        """Paint the tool's marks over the drawing."""
