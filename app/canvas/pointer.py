"""Where the pointer is and which modifiers are held: what a tool gets instead of a Qt event."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, Qt

from app.canvas.view import View
from core.plan import Point

__all__ = ["Pointer"]

_FARTHEST = 1000.0  # m from the sheet's zero: whoever pans farther can carry nothing there
_FREE = Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.ControlModifier


@dataclass(frozen=True, slots=True)
class Pointer:
    """``pos`` in the widget [px], ``point`` on the plan [m]; ``free`` means that snapping is off (Alt or
    Ctrl)."""

    pos: QPointF
    point: Point
    shift: bool = False
    free: bool = False
    ctrl: bool = False

    @classmethod
    def at(cls, pos: QPointF, view: View, modifiers: Qt.KeyboardModifier) -> Pointer:
        """Make one from what a mouse event says."""
        x, y = view.to_plan(pos)
        return cls(
            QPointF(pos),
            (min(max(x, -_FARTHEST), _FARTHEST), min(max(y, -_FARTHEST), _FARTHEST)),
            bool(modifiers & Qt.KeyboardModifier.ShiftModifier),
            bool(modifiers & _FREE),
            bool(modifiers & Qt.KeyboardModifier.ControlModifier),
        )

    def is_far_from(self, other: Pointer, px: float = 4.0) -> bool:
        """Whether a hand meant to drag and not to click."""
        return (self.pos - other.pos).manhattanLength() > px
