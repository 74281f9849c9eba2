"""Read a position typed while drawing.

Three ways, in words a person would say over a sketch; x runs to the right, y up the sheet:

- `3' by 4'` or `3'; 4'`: so far to the right and so far up from the last point (below zero: left, down);
- `12' at 45°`: so long, in this direction from the last point, counted from the right, counter-clockwise;
- `to 3' by 4'` or `to 3'; 4'`: the place itself, measured from the plan's zero point.

Each length may be anything that `parse_length` reads.
"""

import math
import re
from typing import Final, NamedTuple

from core.units.parse import parse_angle, parse_length
from core.units.quantities import UnitError, UnitSystem
from core.units.tokens import plain

__all__ = ["TypedPoint", "parse_point"]

_EXAMPLES: Final = {
    UnitSystem.US: "3' by 4' 6\", 12' at 45°, or to 3' by 4' for a place on the plan",
    UnitSystem.METRIC: "0.9 m by 1.2 m, 3.6 m at 45°, or to 0.9 m by 1.2 m for a place on the plan",
}
_TO: Final = re.compile(r"to\b")
_BY: Final = re.compile(r";|\bby\b")
_AT: Final = re.compile(r"\bat\b")


class TypedPoint(NamedTuple):
    """A typed position [m], counted from the last point when `relative`, else from the plan's zero."""

    x: float
    y: float
    relative: bool


def parse_point(text: str, system: UnitSystem = UnitSystem.US) -> TypedPoint:
    """Read a position: `3' by 4'`, `3'; 4'`, `12' at 45°`, `to 3' by 4'`.

    Raises
    ------
    UnitError
        When the entry is none of these, or a length or angle in it is not understood.
    """
    example = _EXAMPLES[system]
    entry = plain(text, example)
    to = _TO.match(entry)
    if to:
        entry = entry[to.end() :]
    sides = _BY.split(entry)
    aims = _AT.split(entry)
    if len(sides) == 2 and len(aims) == 1:
        right, up = (_length(side, system, example) for side in sides)
        return TypedPoint(right, up, not to)
    if len(aims) == 2 and len(sides) == 1 and not to:
        length, angle = _length(aims[0], system, example), parse_angle(aims[1])
        return TypedPoint(*_in_direction(length, angle), True)
    if len(aims) == 2 and to:
        raise UnitError("A direction starts from the last point, so it goes without “to”.", example)
    raise UnitError("A position needs two lengths, or a length and a direction.", example)


def _length(text: str, system: UnitSystem, example: str) -> float:
    if not text.strip():
        raise UnitError("One of the two lengths is missing.", example)
    return parse_length(text, system)


def _in_direction(length: float, degrees: float) -> tuple[float, float]:
    """Return right and up [m]; multiples of 90° are exact, so that a wall typed at 90° is square."""
    quarter, rest = divmod(degrees, 90)
    if rest == 0:
        right, up = ((1, 0), (0, 1), (-1, 0), (0, -1))[int(quarter) % 4]
        return length * right + 0.0, length * up + 0.0
    turn = math.radians(math.fmod(degrees, 360))
    return round(length * math.cos(turn), 9), round(length * math.sin(turn), 9)
