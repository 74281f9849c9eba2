"""The whole drawing from bottom to top: sheet, light, room and furniture, fixtures, the tool's marks, rulers, reading.

What stands still comes from `Layers`; what moves and the marks are painted anew every frame.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app.canvas.paint.layers import Layers, Sheet, paint_boxes
from app.canvas.paint.openings import paint_opening
from app.canvas.paint.room import paint_keep_out
from app.canvas.paint.rulers import paint_pointer_marks
from app.canvas.paint.sheet_matter import paint_note_text, paint_underlay
from app.canvas.view import View
from core.plan import Plan

__all__ = ["Frame", "Overlay", "paint_drawing"]


class Overlay(Protocol):
    """The light as the canvas sees it."""

    def paint_field(self, painter: QPainter, view: View) -> None:
        """Paint the colours of the light, below the furniture."""

    def paint_lines(self, painter: QPainter, view: View) -> None:
        """Paint lines of equal light."""

    def paint_reading(self, painter: QPainter, view: View, pos: QPointF, taken: Sequence[QRectF]) -> None:
        """Paint the value at the pointer, off what is taken on the screen."""


@dataclass(frozen=True, slots=True)
class Frame:
    """What one frame shows.

    ``pointer`` is None off the sheet, ``reading`` whether the probe is wanted and ``texts`` where it would hide what
    the marks say, ``strength`` how much of the drawing shows: below 1 it is faint, and without its light.
    """

    plan: Plan
    levels: Mapping[str, float]
    sheet: Sheet
    overlay: Overlay | None
    moving: frozenset[str]
    marks: tuple[Callable[[QPainter], None], ...]
    pointer: QPointF | None
    reading: bool
    texts: tuple[QRectF, ...] = ()
    strength: float = 1.0


def paint_drawing(painter: QPainter, layers: Layers, frame: Frame) -> None:
    """Paint one frame."""
    plan, sheet = frame.plan, frame.sheet
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    layers.paint_under(painter, plan, sheet)
    painter.setClipRect(sheet.frame)
    overlay = frame.overlay if len(plan.room.outline) >= 3 and frame.strength == 1.0 else None
    if overlay is not None:
        with _apart(painter):
            overlay.paint_field(painter, sheet.view)
        with _apart(painter):
            overlay.paint_lines(painter, sheet.view)
    painter.setOpacity(frame.strength)
    if frame.moving.issubset(fixture.id for fixture in plan.fixtures):
        layers.paint_over_and_hung(painter, plan, frame.levels, sheet, frame.moving)
    else:
        layers.paint_over(painter, plan, sheet, frame.moving)
        _paint_moving(painter, plan, sheet, frame.moving)
        layers.paint_hung(painter, plan, frame.levels, sheet, frame.moving)
    layers.paint_moving(painter, plan, frame.levels, sheet, frame.moving)
    painter.setOpacity(1.0)
    for paint_marks in frame.marks:
        paint_marks(painter)
    painter.setClipping(False)
    layers.paint_edges(painter, sheet)
    pointer = frame.pointer
    if pointer is not None:
        paint_pointer_marks(painter, pointer, sheet.look, sheet.frame)
        if overlay is not None and frame.reading and sheet.frame.contains(pointer):
            with _apart(painter):
                overlay.paint_reading(painter, sheet.view, pointer, frame.texts)


@contextmanager
def _apart(painter: QPainter) -> Iterator[None]:
    """Let somebody else paint without leaving pens and clips behind."""
    painter.save()
    try:
        yield
    finally:
        painter.restore()


def _paint_moving(painter: QPainter, plan: Plan, sheet: Sheet, moving: frozenset[str]) -> None:
    if not moving:
        return
    if plan.underlay is not None and plan.underlay.id in moving:
        paint_underlay(painter, plan.underlay, sheet.view)
    for opening in plan.room.openings:
        if opening.id in moving:
            paint_opening(painter, plan.room, opening, sheet.view, sheet.look)
    for item in plan.room.keep_outs:
        if item.id in moving:
            paint_keep_out(painter, item, sheet.view, sheet.look)
    paint_boxes(painter, plan, tuple(item for item in plan.furniture if item.id in moving), sheet)
    for note in plan.notes:
        if note.id in moving:
            paint_note_text(painter, note, sheet.view, sheet.look)
