"""An opening measured along its wall: what is left of the wall before it, its width, what is left after it. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from core.plan import Opening, Plan, Point, Room
from core.plan.edits import changed

__all__ = ["MeasureError", "OpeningMeasure", "measures_of_opening", "with_opening_measure"]

Part = Literal["before", "width", "after"]
_PARTS: tuple[Part, ...] = ("before", "width", "after")
_LEAST = 0.01  # m: what is shorter has no dimension


class MeasureError(ValueError):
    """A length that the wall has no room for; the text says so."""


@dataclass(frozen=True, slots=True)
class OpeningMeasure:
    """One of the three lengths, with its ends on the inner face of the wall [m]."""

    opening: str
    part: Part
    a: Point
    b: Point

    @property
    def title(self) -> str:
        """What is measured, in words."""
        return "Width between the jambs" if self.part == "width" else "Corner to the jamb"


def measures_of_opening(room: Room, opening: Opening) -> tuple[OpeningMeasure, ...]:
    """Return the lengths along the wall from its first corner on."""
    (ax, ay), (bx, by) = room.wall(opening.wall)
    length = math.dist((ax, ay), (bx, by))
    ux, uy = (bx - ax) / length, (by - ay) / length
    stops = (0.0, opening.start, opening.start + opening.width, length)
    return tuple(
        OpeningMeasure(opening.id, part, (ax + ux * low, ay + uy * low), (ax + ux * high, ay + uy * high))
        for part, (low, high) in zip(_PARTS, pairwise(stops), strict=True)
        if high - low > _LEAST
    )


def with_opening_measure(plan: Plan, measure: OpeningMeasure, length: float) -> Plan:
    """Return the plan in which a measure has this length [m]: the opening slides, or widens at its far jamb.

    Raises
    ------
    MeasureError
        If the wall is too short for that, or the opening is gone.
    """
    opening = next((o for o in plan.room.openings if o.id == measure.opening), None)
    if opening is None:
        raise MeasureError("It is not there any more.")
    wall = math.dist(*plan.room.wall(opening.wall))
    if measure.part == "width":
        if not 0.0 < length <= wall - opening.start + 1e-9:
            raise MeasureError("The wall is too short for that, from the near jamb on.")
        return changed(plan, [opening.id], width=length)
    start = length if measure.part == "before" else wall - opening.width - length
    if not -1e-9 <= start <= wall - opening.width + 1e-9:
        raise MeasureError("The wall is too short for that.")
    return changed(plan, [opening.id], start=max(start, 0.0))
