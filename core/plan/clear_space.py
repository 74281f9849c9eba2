"""The largest rectangle of floor around a point: what "between the walls" means for a row of fixtures.

In a rectangular room it is the room. In an L-shaped one it is the wing, or the length, in which the point lies: of all
rectangles along the tape's axes that hold the point and cross no wall, the one with the largest area; between slanted
walls, nearly the largest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from core.plan.room import Point

__all__ = ["ClearSpace", "clear_space"]

_SLACK = 1e-6
_PARTS = 12
_MOST_EDGES = 40  # a side is looked for among so many corners nearest to the point


@dataclass(frozen=True, slots=True)
class ClearSpace:
    """A rectangle in axes turned by ``skew_deg`` from the sheet's: ``left``, ``low``, ``right``, ``high`` [m]."""

    left: float
    low: float
    right: float
    high: float
    skew_deg: float = 0.0

    def to_sheet(self, x: float, y: float) -> Point:
        """Return a point of the rectangle's axes on the sheet [m]."""
        return _turned((x, y), self.skew_deg)

    def to_own(self, point: Point) -> Point:
        """Return a point of the sheet in the rectangle's axes [m]."""
        return _turned(point, -self.skew_deg)


def clear_space(outline: Sequence[Point], point: Point, skew_deg: float = 0.0) -> ClearSpace | None:
    """Return the largest rectangle about a point within an outline; None where the point is not inside.

    Parameters
    ----------
    outline : sequence of (x, y)
        Corners of the room [m].
    point : (x, y)
        What the rectangle has to hold [m].
    skew_deg : float
        Direction of its sides [degree].
    """
    corners = [_turned(corner, -skew_deg) for corner in outline]
    x, y = _turned(point, -skew_deg)
    walls = list(zip(corners, [*corners[1:], *corners[:1]], strict=True))
    lefts, rights = _sides(walls, x, y)
    best: ClearSpace | None = None
    for left in lefts:
        for right in rights:
            reach = _reach(walls, left, right, y)
            if reach is None:
                continue
            low, high = reach
            if best is None or (right - left) * (high - low) > _area(best) + _SLACK:
                best = ClearSpace(left, low, right, high, skew_deg)
    return best


def _area(space: ClearSpace) -> float:
    return (space.right - space.left) * (space.high - space.low)


def _sides(walls: Sequence[tuple[Point, Point]], x: float, y: float) -> tuple[list[float], list[float]]:
    """Return where the left and right side may lie: at corners, where a level line through the point ends, and, for
    slanted walls, at a few places on the way there."""
    ends = [corner[0] for corner, _ in walls]
    is_slanted = any(min(abs(bx - ax), abs(by - ay)) > _SLACK for (ax, ay), (bx, by) in walls)
    for (ax, ay), (bx, by) in walls:
        if min(ay, by) - _SLACK <= y <= max(ay, by) + _SLACK and abs(by - ay) > _SLACK:
            end = ax + (y - ay) / (by - ay) * (bx - ax)
            ends.append(end)
            ends += [x + (end - x) * part / _PARTS for part in range(1, _PARTS)] if is_slanted else []
    lefts = sorted({end for end in ends if end < x - _SLACK}, reverse=True)[:_MOST_EDGES]
    return lefts, sorted({end for end in ends if end > x + _SLACK})[:_MOST_EDGES]


def _reach(walls: Sequence[tuple[Point, Point]], left: float, right: float, y: float) -> tuple[float, float] | None:
    """Return how far down and up a strip between two sides is clear around a height; None where a wall crosses it."""
    low, high = -math.inf, math.inf
    for (ax, ay), (bx, by) in walls:
        begin, end = max(min(ax, bx), left), min(max(ax, bx), right)
        if end - begin <= _SLACK:
            # Beside the strip, or upright: in the way only within it.
            if left + _SLACK < (ax + bx) / 2 < right - _SLACK and min(ay, by) < y < max(ay, by):
                return None
            if left + _SLACK < (ax + bx) / 2 < right - _SLACK:
                low, high = _narrowed(low, high, min(ay, by), max(ay, by), y)
            continue
        heights = [ay + (at - ax) / (bx - ax) * (by - ay) for at in (begin, end)]
        if min(heights) < y - _SLACK and max(heights) > y + _SLACK:
            return None
        low, high = _narrowed(low, high, min(heights), max(heights), y)
    if math.isinf(low) or math.isinf(high) or high - low <= _SLACK:
        return None
    return low, high


def _narrowed(low: float, high: float, bottom: float, top: float, y: float) -> tuple[float, float]:
    return (low, min(high, bottom)) if bottom >= y - _SLACK else (max(low, top), high)


def _turned(point: Point, degrees: float) -> Point:
    if degrees == 0.0:
        return point
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return c * point[0] - s * point[1], s * point[0] + c * point[1]
