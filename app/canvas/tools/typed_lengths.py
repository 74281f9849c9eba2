"""Lengths on the drawing that can be clicked and typed: distances to walls, and lengths of walls."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF

from app.canvas.commands import with_wall_length
from app.canvas.measuring import Dimension, DimensionLine, dimensions_of, laid_out, line_between
from app.canvas.paint.look import wall_width
from core.plan.edits import placed_from_wall
from core.plan.outline import OutlineError
from core.units import UnitError, parse_length

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["TypedLengths"]

_SLACK = 2.0  # px around a text that count as on it


class TypedLengths:
    """What is measured on the drawing now, and the small field that opens on it."""

    def __init__(self, canvas: PlanCanvas) -> None:
        self.canvas = canvas

    def lines(self, walls: tuple[int, ...]) -> list[DimensionLine]:
        """Return the dimensions of the one selected thing, else of these walls if nothing is selected."""
        canvas, plan = self.canvas, self.canvas.document.plan
        ids = canvas.document.selection
        if len(ids) == 1:
            found = dimensions_of(plan, next(iter(ids)))
            return [laid_out(d, plan.room, canvas.view, canvas.look, canvas.frame) for d in found]
        beside = -(wall_width(canvas.view) + 12.0)
        return [
            line_between(*plan.room.wall(wall), canvas.view, canvas.look, canvas.frame, beside)
            for wall in (walls if not ids else ())
        ]

    def opener_under(self, pos: QPointF, walls: tuple[int, ...]) -> Callable[[], None] | None:
        """Return what opens the field on the text under a pixel."""
        for place, shown in enumerate(self.lines(walls)):
            if not shown.label.adjusted(-_SLACK, -_SLACK, _SLACK, _SLACK).contains(pos):
                continue
            if shown.of is not None:
                title, take = f"Centre to {shown.of.side} wall", partial(self._place, shown.of)
            else:
                title, take = "Length of the wall", partial(self._lengthen, walls[place])
            return partial(self.canvas.type_in, shown.label.center(), shown.text, title, take)
        return None

    def _place(self, of: Dimension, text: str) -> str | None:
        document = self.canvas.document
        try:
            distance = parse_length(text, self.canvas.units, negative=False)
            plan = placed_from_wall(document.plan, of.thing, of.side, distance)
        except UnitError as problem:
            return str(problem)
        except KeyError:
            return "There is no wall on that side any more."
        document.apply(f"Place by its distance to the {of.side} wall", plan)
        return None

    def _lengthen(self, wall: int, text: str) -> str | None:
        document = self.canvas.document
        try:
            length = parse_length(text, self.canvas.units, negative=False)
            plan = with_wall_length(document.plan, wall, length)
        except (UnitError, OutlineError) as problem:
            return str(problem)
        document.apply("Set a wall's length", plan)
        return None
