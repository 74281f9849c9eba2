"""Snapping: where a point is pulled to, and why. Pure; the tolerance is in pixels, so it feels the same at
any zoom.

Three kinds of candidates: a place (corner, equal spacing) fixes both coordinates; a line (wall, in line
with another fixture, square to the last wall) fixes one; the grid takes what is left. A place wins over
lines, two lines meet in their crossing, and a lower rank wins among those within reach.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from core.plan import Point

__all__ = ["FREE", "GRID_WORDS", "TOLERANCE_PX", "Candidates", "Guide", "Line", "Place", "Snap", "snap"]

TOLERANCE_PX = 8.0
GRID_WORDS = "grid"
_PARALLEL = 1e-6


class Guide(NamedTuple):
    """A line to draw so that the reason can be seen [m]."""

    a: Point
    b: Point


@dataclass(frozen=True, slots=True)
class Place:
    """A point to snap to. ``marks`` are drawn with it."""

    point: Point
    words: str
    rank: int = 0
    marks: tuple[Guide, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """An endless line to snap to, through ``through`` in the unit direction ``direction``.

    The guide runs from ``through`` to the snapped point, or is ``mark`` where one is given. A line that is not endless
    ends with its mark.
    """

    through: Point
    direction: Point
    words: str
    rank: int = 5
    mark: Guide | None = None
    is_endless: bool = True

    def reaches(self, point: Point) -> bool:
        """Whether a point on the line lies between the ends of its mark, or the line has no ends."""
        if self.is_endless or self.mark is None:
            return True
        (ax, ay), (bx, by) = self.mark
        share = (point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)
        return 0.0 <= share <= (bx - ax) ** 2 + (by - ay) ** 2

    def foot(self, point: Point) -> Point:
        """Return the nearest point of the line."""
        (px, py), (ux, uy) = self.through, self.direction
        along = (point[0] - px) * ux + (point[1] - py) * uy
        return px + along * ux, py + along * uy


@dataclass(frozen=True, slots=True)
class Candidates:
    """All that a point may snap to; ``grid`` is the grid's step [m], None for no grid."""

    places: tuple[Place, ...] = ()
    lines: tuple[Line, ...] = ()
    grid: float | None = None


FREE = Candidates()


@dataclass(frozen=True, slots=True)
class Snap:
    """The snapped point, the reasons in words, and guide lines to show them."""

    point: Point
    reasons: tuple[str, ...] = ()
    guides: tuple[Guide, ...] = ()

    @property
    def told(self) -> str:
        """The reasons worth showing: the grid goes without saying."""
        return ", ".join(dict.fromkeys(words for words in self.reasons if words != GRID_WORDS))


def snap(point: Point, candidates: Candidates, px_per_metre: float, tolerance_px: float = TOLERANCE_PX) -> Snap:
    """Return where a point [m] is pulled to; each coordinate moves by the tolerance at most."""
    reach = tolerance_px / px_per_metre
    places = [(p.rank, math.dist(p.point, point), i) for i, p in enumerate(candidates.places)]
    within = [key for key in places if key[1] <= reach]
    if within:
        place = candidates.places[min(within)[2]]
        return Snap(place.point, (place.words,), place.marks)
    lines = _lines_within(point, candidates.lines, reach)
    if not lines:
        return _on_grid(point, candidates.grid, reach)
    return _on_lines(point, lines, candidates.grid, reach)


def _lines_within(point: Point, lines: tuple[Line, ...], reach: float) -> list[Line]:
    """Return the lines within reach, best first; among equal ones that with the nearest reference."""
    feet = [(line, line.foot(point)) for line in lines]
    keyed = [(line, foot, math.dist(foot, point)) for line, foot in feet]
    near = [
        (line.rank, round(gap, 9), math.dist(line.through, point), line)
        for line, foot, gap in keyed
        if gap <= reach and line.reaches(foot)
    ]
    return [line for *_, line in sorted(near, key=lambda key: key[:3])]


def _on_lines(point: Point, lines: list[Line], grid: float | None, reach: float) -> Snap:
    first = lines[0]
    for second in lines[1:]:
        crossing = _crossing(first, second)
        if crossing is not None and _moved(point, crossing) <= reach:
            guides = (_guide(first, crossing), _guide(second, crossing))
            return Snap(crossing, (first.words, second.words), guides)
    foot = _along_grid(first, first.foot(point), grid, reach)
    words = (first.words,) if foot == first.foot(point) else (first.words, GRID_WORDS)
    return Snap(foot, words, (_guide(first, foot),))


def _moved(one: Point, other: Point) -> float:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]))


def _crossing(one: Line, other: Line) -> Point | None:
    (px, py), (ux, uy) = one.through, one.direction
    (qx, qy), (vx, vy) = other.through, other.direction
    turn = ux * vy - uy * vx
    if abs(turn) < _PARALLEL:
        return None
    along = ((qx - px) * vy - (qy - py) * vx) / turn
    return px + along * ux, py + along * uy


def _along_grid(line: Line, foot: Point, grid: float | None, reach: float) -> Point:
    """Pull the free coordinate of a level or upright line to the grid."""
    if grid is None:
        return foot
    ux, uy = line.direction
    if abs(uy) < _PARALLEL:
        return _to_step(foot[0], grid, reach), foot[1]
    if abs(ux) < _PARALLEL:
        return foot[0], _to_step(foot[1], grid, reach)
    return foot


def _on_grid(point: Point, grid: float | None, reach: float) -> Snap:
    if grid is None:
        return Snap(point)
    pulled = _to_step(point[0], grid, reach), _to_step(point[1], grid, reach)
    return Snap(pulled, () if pulled == point else (GRID_WORDS,))


def _to_step(value: float, step: float, reach: float) -> float:
    nearest = round(round(value / step) * step, 9)
    return nearest if abs(nearest - value) <= reach else value


def _guide(line: Line, point: Point) -> Guide:
    return line.mark or Guide(line.through, point)
