"""What the canvas shows at this moment, gathered for the painting: plan, light, what moves, marks of the tool."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter

from app.canvas.paint.drawing import Frame
from app.canvas.paint.layers import Sheet

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["frame_of"]


def frame_of(canvas: PlanCanvas) -> Frame:
    """Return the frame to paint."""
    tool, dragged = canvas.tool, canvas.drops.dragged
    is_idle = tool.name == "select" and not tool.is_busy() and not canvas.is_typing()
    return Frame(
        plan=canvas.document.plan,
        levels=canvas.switches.levels,
        sheet=_sheet(canvas),
        overlay=canvas.overlay,
        moving=tool.moving() | {dragged.identity} if dragged else tool.moving(),
        marks=_marks(canvas),
        pointer=canvas.pointer,
        reading=is_idle and dragged is None,
        texts=tool.texts() if is_idle and dragged is None and canvas.pointer is not None else (),
        strength=tool.strength(),
    )


def _sheet(canvas: PlanCanvas) -> Sheet:
    is_lit = canvas.overlay is not None
    ratio = canvas.devicePixelRatioF()
    return Sheet(canvas.view, canvas.look, canvas.frame, canvas.size(), ratio, is_lit, canvas.is_gliding)


def _marks(canvas: PlanCanvas) -> tuple[Callable[[QPainter], None], ...]:
    if canvas.array.isVisible():
        return ()  # the fixtures that are shown are not selected yet
    dragged = canvas.drops.dragged
    return (canvas.tool.paint, dragged.paint) if dragged else (canvas.tool.paint,)
