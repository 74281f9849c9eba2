"""Drawing what is on the ceiling already: hatch, beam, duct, sprinkler, fan and the like, where no fixture can go."""

from __future__ import annotations

from PySide6.QtGui import QPainter

from app.canvas.footprints import thing_with
from app.canvas.new_things import with_new_keep_out
from app.canvas.paint.room import paint_keep_out
from app.canvas.tools.box import BoxTool, Made
from core.plan import KeepOut, Plan

__all__ = ["KeepOutTool"]


class KeepOutTool(BoxTool):
    """Draws one of the kind that was drawn last; the inspector says what it is."""

    name = "ceiling obstacle"
    noun = "ceiling obstacle"
    example = '22" by 54"'

    def hint(self) -> str:
        return (
            'Drag over what hangs on the ceiling, click for the usual size, or type a size such as 22" by 54".'
            " What it is, and how far it hangs down, is chosen at the right."
        )

    def made(self, plan: Plan, x: float, y: float, size: tuple[float, float] | None) -> Made:
        own = [item.kind for item in plan.room.keep_outs if not item.door]
        return with_new_keep_out(plan, own[-1] if own else "hatch", x, y, size)

    def paint_made(self, painter: QPainter, made: Made) -> None:
        item = thing_with(*made)
        if isinstance(item, KeepOut):
            paint_keep_out(painter, item, self.canvas.view, self.canvas.look)
