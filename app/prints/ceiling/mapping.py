"""From the plan to the paper: to a usual scale, as on the floor or as one looks up."""

from __future__ import annotations

from dataclasses import dataclass

from app.prints.ceiling.words import scale_text
from app.prints.paper.page import Frame
from core.ceiling import CeilingSheet
from core.plan import Point

__all__ = ["Mapping", "mapping_for"]


@dataclass(frozen=True, slots=True)
class Mapping:
    """``number`` is the scale 1:number; ``looking_up`` swaps left and right. Centres in metres and millimetres."""

    number: int
    name: str
    looking_up: bool
    centre: Point
    middle: Point

    def __call__(self, point: Point) -> Point:
        """Return where a point of the plan [m] lies on the paper [mm]."""
        per_metre = 1000.0 / self.number
        way = -1.0 if self.looking_up else 1.0
        return (
            self.middle[0] + way * (point[0] - self.centre[0]) * per_metre,
            self.middle[1] - (point[1] - self.centre[1]) * per_metre,
        )

    def length(self, metres: float) -> float:
        """Return how long a length is on paper [mm]."""
        return metres * 1000.0 / self.number


def mapping_for(sheet: CeilingSheet, frame: Frame, looking_up: bool, border: float = 12.0) -> Mapping:
    """Return the mapping that shows the whole room in a frame, with a border for names and figures [mm]."""
    xs, ys = zip(*sheet.survey.outline, strict=True)
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    needed = max(wide * 1000 / (frame.width - 2 * border), high * 1000 / (frame.height - 2 * border))
    number, name = scale_text(sheet.system, needed)
    centre = ((max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2)
    return Mapping(number, name, looking_up, centre, (frame.x + frame.width / 2, frame.y + frame.height / 2))
