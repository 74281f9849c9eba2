"""Notes: click where it goes, type what it says."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app.canvas.paint.selection import paint_box
from app.canvas.pointer import Pointer
from app.canvas.tools.tool import Tool
from core.plan import Note, Point
from core.plan.edits import added, fresh_id
from core.plan.settle import settled_point

__all__ = ["NoteTool"]


class NoteTool(Tool):
    """Puts one note on the plan."""

    name = "note"
    at: Pointer | None = None

    def hint(self) -> str:
        return "Click where the note goes and type it; Enter sets it down."

    def move(self, at: Pointer) -> None:
        self.at = at

    def press(self, at: Pointer) -> None:
        self.at = at

    def release(self, at: Pointer) -> None:
        point = settled_point(at.point)
        self.canvas.type_in(at.pos, "", "Note", lambda text: self._take(text, point))

    def _take(self, text: str, point: Point) -> str | None:
        words = text.strip()
        if not words:
            return "Type what the note says."
        document = self.canvas.document
        plan = document.settled_plan
        note = Note(fresh_id(plan, "note"), *point, words[:2000])
        document.apply("Add a note", added(plan, note), select={note.id})
        self.canvas.finish()
        return None

    def paint(self, painter: QPainter) -> None:
        if self.at is not None and not self.canvas.entry.isVisible():
            size = QPointF(24.0, 6.0)
            paint_box(painter, QRectF(self.at.pos - size, self.at.pos + size), self.canvas.look)
