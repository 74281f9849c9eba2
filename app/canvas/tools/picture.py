"""The picture underneath: choose it, scale it by two points whose distance is known, drag it into place."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QPainter
from PySide6.QtWidgets import QFileDialog

from app.canvas.measuring import line_between
from app.canvas.paint.dimensions import paint_dimension
from app.canvas.paint.look import pen
from app.canvas.pictures import PICTURE_FILTER, PictureError, read_picture, with_picture
from app.canvas.pointer import Pointer
from app.canvas.tools.tool import Tool
from core.plan import Plan, Point
from core.plan.edits import moved, removed
from core.plan.sheet import scaled_between
from core.units import UnitError, parse_length

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["PictureTool"]

_CROSS = 7.0  # px


class PictureTool(Tool):
    """``first`` is the first of the two points; ``before`` the plan while the picture is dragged."""

    name = "picture underneath"

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__(canvas)
        self.first: Point | None = None
        self.pressed: Pointer | None = None
        self.at: Pointer | None = None
        self.before: Plan | None = None
        self._select()

    def _select(self) -> None:
        underlay = self.canvas.document.plan.underlay
        if underlay is not None:
            self.canvas.document.select({underlay.id})

    def hint(self) -> str:
        if self.canvas.document.plan.underlay is None:
            return "Click or press Enter to choose a picture: a photo of a sketch, a layout drawing."
        if self.first is not None:
            return "Click the other end of what you know the length of."
        return "To scale it, click one end of something whose length you know. Drag moves the picture."

    def moving(self) -> frozenset[str]:
        underlay = self.canvas.document.plan.underlay
        return frozenset({underlay.id}) if underlay is not None and self.before is not None else frozenset()

    def is_busy(self) -> bool:
        return self.before is not None

    def press(self, at: Pointer) -> None:
        self.at = self.pressed = at

    def move(self, at: Pointer) -> None:
        self.at = at
        document = self.canvas.document
        underlay = document.settled_plan.underlay
        if self.pressed is None or underlay is None or not at.is_far_from(self.pressed):
            return
        if underlay.locked:
            return
        if self.before is None:
            self.before, self.first = document.settled_plan, None
        if document.settled_plan is not self.before:
            self.cancel()
            return
        dx, dy = at.point[0] - self.pressed.point[0], at.point[1] - self.pressed.point[1]
        document.preview(moved(self.before, [underlay.id], dx, dy))

    def release(self, at: Pointer) -> None:
        self.move(at)
        pressed, self.pressed = self.pressed, None
        document = self.canvas.document
        if pressed is None:
            return
        if self.before is not None:
            self.before = None
            document.apply("Move the picture", document.plan)
        elif document.plan.underlay is None:
            self.choose()
        elif at.is_far_from(pressed):
            self.canvas.say("The picture is locked; unlock it at the right to move it.")
        elif self.first is None:
            self.first = at.point
        else:
            self._ask_length(self.first, at)
        self.canvas.tell_hint()

    def key(self, event: QKeyEvent) -> bool:
        document = self.canvas.document
        underlay = document.settled_plan.underlay
        if underlay is None and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.choose()
            return True
        if underlay is not None and event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            document.apply("Remove the picture", removed(document.settled_plan, [underlay.id]), select=())
            return True
        return False

    def cancel(self) -> None:
        if self.before is not None:
            self.canvas.document.cancel()
        self.first = self.before = self.pressed = None

    def choose(self) -> None:
        """Ask for a file and lay the picture over the room."""
        name, _ = QFileDialog.getOpenFileName(self.canvas, "Choose a picture", "", PICTURE_FILTER)
        if name:
            self.lay(Path(name))

    def lay(self, path: Path) -> None:
        """Lay a picture file under the drawing, or say why it cannot be."""
        document = self.canvas.document
        try:
            plan, identity = with_picture(document.settled_plan, read_picture(path), path.name)
        except (PictureError, OSError) as problem:
            self.canvas.say(str(problem))
            return
        document.apply("Lay a picture underneath", plan, select={identity})

    def _ask_length(self, first: Point, at: Pointer) -> None:
        second = at.point
        if math.dist(first, second) * self.canvas.view.scale < 4.0:
            self.canvas.say("The two ends are too near to each other; take something longer.")
            return

        def take(text: str) -> str | None:
            document = self.canvas.document
            plan = document.settled_plan
            if plan.underlay is None:
                return "There is no picture any more."
            try:
                length = parse_length(text, self.canvas.units, negative=False)
                underlay = scaled_between(plan.underlay, first, second, length)
            except (UnitError, ValueError) as problem:
                return str(problem)
            self.first = None
            document.apply("Scale the picture", replace(plan, underlay=underlay))
            return None

        self.canvas.type_in(at.pos, "", "True distance of the two points", take)

    def paint(self, painter: QPainter) -> None:
        canvas = self.canvas
        if self.first is None:
            return
        pos = canvas.view.to_screen(*self.first)
        painter.setPen(pen(canvas.look.theme.accent, 1.5))
        painter.drawLine(int(pos.x() - _CROSS), int(pos.y()), int(pos.x() + _CROSS), int(pos.y()))
        painter.drawLine(int(pos.x()), int(pos.y() - _CROSS), int(pos.x()), int(pos.y() + _CROSS))
        if self.at is not None and math.dist(self.first, self.at.point) * canvas.view.scale > 4.0:
            line = line_between(self.first, self.at.point, canvas.view, canvas.look, canvas.frame)
            paint_dimension(painter, line, canvas.look)
