"""Lengths on the drawing that can be clicked and typed: distances to walls and to neighbours, places and widths of
openings, lengths of walls."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF

from app.canvas.commands import with_wall_length
from app.canvas.footprints import thing_with
from app.canvas.measuring import (
    Dimension,
    DimensionLine,
    dimensions_of,
    kept_apart,
    laid_out,
    line_between,
    line_to_neighbour,
    neighbours_of,
)
from app.canvas.opening_measures import MeasureError, OpeningMeasure, measures_of_opening, with_opening_measure
from app.canvas.paint.look import wall_width
from core.plan import Opening, Plan, Point
from core.plan.edits import moved, placed_from_wall
from core.plan.outline import OutlineError
from core.units import UnitError, parse_length

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["OUTSIDE_PX", "TypedLengths"]

OUTSIDE_PX = -22.0
"""How far outside of the room the lengths along an opening's wall are drawn [px]."""
_SLACK = 2.0  # px around a text that count as on it


@dataclass(frozen=True, slots=True)
class _Typed:
    """A dimension on show; ``made`` gives the plan in which it has another length [m]."""

    shown: DimensionLine
    title: str
    step: str  # of undo
    made: Callable[[Plan, float], Plan]


class TypedLengths:
    """What is measured on the drawing now, and the small field that opens on it."""

    def __init__(self, canvas: PlanCanvas) -> None:
        self.canvas = canvas

    def lines(self, walls: tuple[int, ...]) -> list[DimensionLine]:
        """Return the dimensions of the one selected thing, else of these walls if nothing is selected."""
        return [typed.shown for typed in self._apart(walls)]

    def opener_under(self, pos: QPointF, walls: tuple[int, ...]) -> Callable[[], None] | None:
        """Return what opens the field on the text under a pixel."""
        for typed in self._apart(walls):
            if typed.shown.label.adjusted(-_SLACK, -_SLACK, _SLACK, _SLACK).contains(pos):
                take = partial(self._take, typed)
                return partial(self.canvas.type_in, typed.shown.label.center(), typed.shown.text, typed.title, take)
        return None

    def _apart(self, walls: tuple[int, ...]) -> list[_Typed]:
        found = list(self._on_show(walls))
        lines = kept_apart([typed.shown for typed in found], self.canvas.frame)
        return [replace(typed, shown=line) for typed, line in zip(found, lines, strict=True)]

    def _on_show(self, walls: tuple[int, ...]) -> Iterator[_Typed]:
        plan, ids = self.canvas.document.plan, self.canvas.document.selection
        if not ids:
            yield from map(self._of_wall, walls)
        if len(ids) != 1:
            return
        identity = next(iter(ids))
        thing = thing_with(plan, identity)
        if isinstance(thing, Opening):
            yield from map(self._along_wall, measures_of_opening(plan.room, thing))
        yield from map(self._to_wall, dimensions_of(plan, identity))
        for centre, end in neighbours_of(plan, identity):
            yield self._to_neighbour(identity, centre, end)

    def _of_wall(self, wall: int) -> _Typed:
        canvas = self.canvas
        beside = -(wall_width(canvas.view) + 12.0)
        line = line_between(*canvas.document.plan.room.wall(wall), canvas.view, canvas.look, canvas.frame, beside)
        return _Typed(
            line, "Length of the wall", "Set a wall's length", lambda plan, to: with_wall_length(plan, wall, to)
        )

    def _along_wall(self, measure: OpeningMeasure) -> _Typed:
        canvas = self.canvas
        line = line_between(measure.a, measure.b, canvas.view, canvas.look, canvas.frame, OUTSIDE_PX)
        step = "Set an opening's width" if measure.part == "width" else "Place by its distance to the corner"
        return _Typed(line, measure.title, step, lambda plan, to: with_opening_measure(plan, measure, to))

    def _to_wall(self, of: Dimension) -> _Typed:
        canvas = self.canvas
        line = laid_out(of, canvas.document.plan.room, canvas.view, canvas.look, canvas.frame)
        step = f"Place by its distance to the {of.side} wall"
        return _Typed(line, f"Centre to {of.side} wall", step, partial(_from_wall, of))

    def _to_neighbour(self, identity: str, centre: Point, end: Point) -> _Typed:
        canvas = self.canvas
        line = line_to_neighbour(canvas.document.plan, centre, end, canvas.view, canvas.look, canvas.frame)
        now = math.dist(centre, end)
        way = (end[0] - centre[0]) / now, (end[1] - centre[1]) / now

        def made(plan: Plan, length: float) -> Plan:
            return moved(plan, [identity], way[0] * (now - length), way[1] * (now - length))

        return _Typed(line, "Centre to the neighbour's centre", "Place by its distance to a neighbour", made)

    def _take(self, typed: _Typed, text: str) -> str | None:
        document = self.canvas.document
        try:
            plan = typed.made(document.plan, parse_length(text, self.canvas.units, negative=False))
        except (UnitError, OutlineError, MeasureError) as problem:
            return str(problem)
        except KeyError:
            return "There is no wall on that side any more."
        document.apply(typed.step, plan)
        return None


def _from_wall(of: Dimension, plan: Plan, length: float) -> Plan:
    return placed_from_wall(plan, of.thing, of.side, length)
