"""Drawing the room, and drawing it anew over the old one."""

from __future__ import annotations

from collections.abc import Sequence

from app.canvas.tools.outline import OutlineTool
from core.plan import Point
from core.plan.edits import with_outline

__all__ = ["RoomOutlineTool"]

_FAINT = 0.3  # how much of the old room shows meanwhile


class RoomOutlineTool(OutlineTool):
    """Draws the walls."""

    name = "room outline"

    def hint(self) -> str:
        if not self.corners:
            return "Click the first corner of the room, or type where it is, such as to 0 by 0."
        return super().hint()

    def strength(self) -> float:
        return _FAINT if self.corners else 1.0

    def closed(self, corners: Sequence[Point]) -> None:
        plan = with_outline(self.canvas.document.plan, corners)
        self.canvas.document.apply("Draw the room", plan, select=())
        self.canvas.finish()
